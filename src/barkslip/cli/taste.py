"""`barkslip taste`: juice scored, coded sheets, tastings written down and judged."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing

if TYPE_CHECKING:
    from barkslip.domain.taste import JuiceScore, TasteLine, TasteSheet, TastingVerdict

_JUICE = (
    ("brix", "NUMBER", "What the refractometer shows [°Brix]."),
    ("acid", "NUMBER", "Anhydrous citric acid [%]."),
    ("temp", "TEMP", "Temperature of the juice, for an instrument that does not correct for it."),
    ("compensated", "YES|NO", "The instrument corrects for temperature by itself."),
)


@click.group("taste", cls=Noun, short_help="Fruit tasted: juice scored, coded sheets, judged or too early.")
@common
def command() -> None:
    """Fruit tasted: juice scored by the published rules, coded sheets, and tastings judged or too early to judge."""


@command.command("score", short_help="Score one juice by the published rules.")
@fields(
    *_JUICE,
    ("juice", "NUMBER", "Juice, share of the fruit's mass [%]."),
    ("fruit", "NAME", "Variety or kind of fruit, such as navel: its standards are looked up."),
    ("lye", "ML", "Lye that turned the juice, instead of the acid."),
    ("juice_ml", "ML", "Juice that was titrated; 25 if left out."),
    ("normality", "NUMBER", "Strength of the lye; 0.1562 if left out."),
)
@click.option("--sure", multiple=True, metavar="CODE", help="Answer a question with: yes, as typed. May be repeated.")
@common
@pass_call
def score_command(call: Call, /, **given: Any) -> None:
    """Score one juice: corrections, ratio, (Brix - 4 acid) x 16.5, standards met or not. Needs no book."""
    from barkslip.app.juice import ask_score

    found = call.write(typed(given), lambda f: ask_score(None, call.settings(), f))
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.taste_data import juice_data

        call.json(juice_data(found, call.units), METRIC)
        return
    show_juice(call, found)


@command.command("sheet", short_help="Lay out a coded tasting.")
@fields(
    ("samples", "LINES", "What is tasted, ; between them: 'T01 navel; bought navel'."),
    ("tasters", "N", "How many taste; 4 if left out."),
    ("seed", "N", "Where the lot begins; one is made if left out."),
)
@common
@pass_call
def sheet_command(call: Call, /, **given: Any) -> None:
    """Lay out a coded tasting: three figures for each sample by lot, and an order of its own for each taster."""
    from barkslip.app.tasting_write import lay_out

    found = lay_out(None, call.settings(), typed(given))
    if call.as_json:
        from barkslip.present.taste_data import sheet_data

        call.json(sheet_data(found))
        return
    _show_sheet(call, found)


@command.command("add", short_help="Write a tasting down.")
@click.argument("tree")
@fields(
    ("variety", "NAME", "As written on the sheet; of a campaign its own name is taken."),
    ("campaign", "CODE", "The grafts it came from, or one of them."),
    ("on", "DATE", "Day of the tasting; today if left out."),
    ("fruit", "N", "Fruits tasted."),
    ("panel", "N", "People tasting."),
    ("scores", "LIST", "Liking of each, 1 to 9: '7 6 8'."),
    ("score", "NUMBER", "Mean liking instead, 1 to 9."),
    *_JUICE,
    ("juice", "NUMBER", "Juice, share of the fruit's mass [%]."),
    ("juice_g", "MASS", "Juice of one fruit instead, with --fruit-g."),
    ("fruit_g", "MASS", "Mean mass of one fruit."),
    ("dry", "N", "Fruits that were dry inside."),
    ("seeds", "NUMBER", "Seeds a fruit."),
    ("crop", "N", "Which crop of this variety on this tree, from 1."),
    ("note", "TEXT", "Note."),
)
@writing
@common
@pass_call
def add_command(call: Call, /, tree: str, **given: Any) -> None:
    """Write a tasting down."""
    from barkslip.app import tasting, tasting_write

    words = typed(given) | {"tree": tree}
    new = call.write(words, lambda f: tasting_write.save_tasting(call.open(), f))
    lines = tasting.judged(call.open(), tree=tree)
    line = next(k for k in lines if any(v.tasting.thing == new.thing for v in k.tastings))
    found = next(v for v in line.tastings if v.tasting.thing == new.thing)
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.taste_data import verdict_data

        call.json(verdict_data(found, call.units), METRIC)
        return
    call.say("Written down.")
    show_tasting(call, found)


@command.command("check", short_help="Judge the tastings of the book.")
@fields(
    ("tree", "CODE", "Tastings of this tree only."),
    ("variety", "WORDS", "Of varieties whose name holds these words."),
)
@click.option("--brief", is_flag=True, help="One line for each variety.")
@common
@pass_call
def check_command(call: Call, /, brief: bool, **given: Any) -> None:
    """Judge the tastings of the book: good, poor, too early, or another variety than the label says."""
    from barkslip.app.tasting import judged

    words = typed(given)
    lines = judged(call.open(), tree=words.get("tree", ""), variety=words.get("variety", ""))
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.taste_data import lines_data

        call.json(lines_data(lines, call.units), METRIC)
        return
    if not lines:
        call.say("No tasting is written down for that. Write one: barkslip taste add TREE")
        return
    for line in lines:
        _show_line(call, line, brief)


def show_juice(call: Call, found: JuiceScore) -> None:
    """One juice on the terminal."""
    from barkslip.present import taste

    screen = call.screen
    screen.line(taste.juice_headline(found), "bold")
    screen.table(("", ""), taste.juice_rows(found, call.units), indent=2)
    if found.standards:
        screen.head(f"Standards for {found.fruit}")
        screen.table(("!", "Asked", "Found", "If", "Known"), taste.standard_rows(found), indent=2)
        screen.line(taste.RULES_NOTE, indent=2)
    for words in taste.juice_notes(found):
        screen.line(f"- {words}", indent=2)
    if found.sources:
        screen.head("Sources")
        screen.table(("!", ""), [(key, s.citation) for key, s in found.sources.items()], indent=2)


def _show_sheet(call: Call, found: TasteSheet) -> None:
    screen = call.screen
    screen.head("For each taster: codes in this order, liking from 1 to 9")
    screen.table(
        ("!Taster", "Order"), [(str(i), "  ".join(order)) for i, order in enumerate(found.orders, start=1)], indent=2
    )
    screen.head("Key: keep it away from the tasters")
    screen.table(("!Code", "Sample"), found.samples, indent=2)
    screen.line(f"Seed {found.seed}: the same seed lays out the same sheet.", indent=2)


def _show_line(call: Call, line: TasteLine, brief: bool) -> None:
    from barkslip.present import taste

    screen = call.screen
    sign = taste.VERDICT_SIGNS[line.newest.verdict]
    screen.head(f"{line.tree_code} {line.tree}: {line.variety}")
    screen.line(f"{sign} {taste.line_headline(line)}", "bold", indent=2)
    if brief:
        return
    for v in reversed(line.tastings):
        show_tasting(call, v)


def show_tasting(call: Call, v: TastingVerdict) -> None:
    """One tasting on the terminal."""
    from barkslip.present import dates, taste

    screen = call.screen
    screen.line(f"{dates.when_text(v.tasting.on)}: {taste.verdict_headline(v)}", indent=2)
    facts = "; ".join(f"{name} {words}" for name, words in taste.tasting_rows(v, call.units))
    screen.line(facts, indent=4)
    screen.line(taste.identity_text(v.identity), indent=4)
    for words in taste.verdict_notes(v):
        screen.line(f"- {words}", indent=4)
    if v.dry:
        screen.line(taste.DRY_LEAD, indent=4)
        screen.table(("!", "", ""), taste.dry_rows(v.dry), indent=4)
    if v.tasting.note:
        screen.line(v.tasting.note, indent=4)
