"""`barkslip worth`: keep, rework or replace."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed

if TYPE_CHECKING:
    from barkslip.domain.worth import WorthAnswer


@click.command("worth", short_help="Keep, rework or replace: years of good fruit that each way brings.")
@fields(
    ("tree", "CODE", "A tree of the book: its kind, tastings, joins, limbs and the garden's takes are taken."),
    ("kind", "NAME", "What it bears, if not the kind tasted last."),
    ("to", "NAME", "What would be put on it, or planted."),
    ("union", "WORD", "What you saw at the union: not looked, sound, crease."),
    ("beside", "CODES", "Other trees whose times of bearing are shown beside, with commas."),
    ("method", "WORD", "Count only grafts of this method for the take."),
    ("years", "N", "Years looked ahead."),
    ("discount", "SHARE", "What fruit loses for each year that it lies ahead, 5% or 0.05."),
    ("score", "1-9", "Liking of what it bears now."),
    ("score_to", "1-9", "Liking of what would be put on it."),
    ("score_new", "1-9", "Liking of a new tree's fruit."),
    ("crop", "SHARE", "Its crop now, as a share of a full one."),
    ("dry", "SHARE", "Share of its fruit that is dry inside."),
    ("take", "SHARE", "Chance that a graft takes."),
    ("bears_now", "YEAR", "Year from which it bears good fruit; 1 if it does."),
    ("bears", "YEAR", "Year from which grafts bear good fruit."),
    ("bears_new", "YEAR", "Year from which a new tree bears."),
    ("stands", "SHARE", "Chance that a new tree lives to bear."),
    ("give_out", "SHARE", "Chance each year that this tree gives out."),
    ("share", "SHARE", "Share of the crown that a trial limb takes."),
    ("cost_trial", "N", "Cost of a trial limb: in money with --fruit-year, else in years of good fruit; so all costs."),
    ("cost_rework", "N", "Cost of reworking the whole tree."),
    ("cost_replace", "N", "Cost of replacing it."),
    ("upkeep", "N", "Water and care of this tree, a year."),
    ("upkeep_new", "N", "Water and care of a new tree, a year."),
    ("fruit_year", "MONEY", "What a year of good fruit of the tree is worth to you."),
)
@click.option("--brief", is_flag=True, help="The answer and the ways only.")
@common
@pass_call
def command(call: Call, /, brief: bool, **given: Any) -> None:
    """Years of good fruit that keeping, one more crop, a trial limb, reworking and replacing bring, and what turns it.

    Every number may be typed; what is not typed comes from the book, then from the tables. It writes nothing.
    """
    from barkslip.app.worth import ask_worth

    words = typed(given)
    answer = ask_worth(call.open() if words.get("tree") else None, call.settings(), words)
    if call.as_json:
        from barkslip.present.worth_data import worth_data

        call.json(worth_data(answer))
        return
    _show(call, answer)
    if not brief:
        _rest(call, answer)


def _show(call: Call, v: WorthAnswer) -> None:
    from barkslip.present import worth

    screen = call.screen
    screen.line(worth.headline(v), "bold")
    for line in worth.first_of_all(v):
        screen.line(f"! {line}")
    screen.line(worth.lead(v))
    if worth.tasted_text(v):
        screen.line(worth.tasted_text(v))
    screen.head("Ways, in years of good fruit")
    rows = [
        (worth.WAY_WORDS[w.code], f"{w.value:.1f}", f"{w.low:.1f} to {w.high:.1f}", worth.way_note(v, w))
        for w in v.ways
    ]
    screen.table(("!Way", ">Years", "!8 in 10 between", ""), rows, indent=2)


def _rest(call: Call, v: WorthAnswer) -> None:
    from barkslip.present import worth

    screen = call.screen
    within, beyond = worth.turn_lists(v)
    screen.head("What would turn the answer")
    screen.line("Each alone, all else as it is. Within what may be so:" if within else
                "No number alone turns it within what may be so.", indent=2)  # fmt: skip
    screen.table(("!", ""), [("-", t) for t in within], indent=4)
    if beyond:
        screen.line("Only beyond that:", indent=2)
        screen.table(("!", ""), [("-", t) for t in beyond], indent=4)
    screen.line(worth.known_text(v), indent=2)
    screen.head("Numbers taken; each can be typed")
    screen.table(("!", ">Value", "Range", "How known"), worth.input_rows(v), indent=2)
    if v.bearing:
        screen.head("Times of bearing")
        screen.table(("!", ""), [("-", worth.bearing_text(b)) for b in v.bearing], indent=2)
    screen.head("What else to know")
    said = [*worth.notes(v), worth.SMALL_PRINT, *worth.CAUTIONS]
    screen.table(("!", ""), [("-", t) for t in said], indent=2)
