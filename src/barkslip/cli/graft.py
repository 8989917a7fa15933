"""`barkslip graft`: grafts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing
from barkslip.domain.graft import VERDICTS

if TYPE_CHECKING:
    from barkslip.domain.cards import GraftStory

_GRAFT = (
    ("lot", "CODE", "Wood lot it was cut from,"),
    ("name", "NAME", "or the variety's name if there is no lot; unknown is an answer."),
    ("method", "NAME", "bark graft, chip bud, cleft ..."),
    ("set_on", "DATE", "Day it was set; today if left out."),
    ("binding", "MATERIAL", "What it is bound with."),
    ("cover", "KIND", "Cover put on."),
    ("scion", "DIAMETER", "Scion where it meets the stock."),
    ("stock", "DIAMETER", "Stock where it meets the scion."),
    ("side", "TEXT", "Side of the limb."),
    ("arm", "TEXT", "Arm of a trial."),
    ("note", "TEXT", "Anything else."),
    ("campaign", "NAME", "Name shared by grafts set together."),
    ("code", "CODE", "Code of a single graft."),
)


@click.group("graft", cls=Noun, short_help="Grafts: list, show, set, correct.")
@common
def command() -> None:
    """Grafts. What is seen at them is written down with barkslip look, what is done with barkslip act."""


@command.command("list", short_help="Grafts in walking order.")
@click.option("--verdict", type=click.Choice(VERDICTS), help="Only these.")
@click.option("--campaign", default="", metavar="NAME", help="Only this campaign.")
@click.option("--plot", default="", metavar="CODE", help="Only this plot.")
@click.option("--page", type=click.IntRange(1), metavar="N", default=1, show_default=True, help="Page of a long list.")
@click.option("--size", type=click.IntRange(1, 500), metavar="N", default=50, show_default=True, help="Grafts a page.")
@common
@pass_call
def list_(call: Call, verdict: str | None, campaign: str, plot: str, page: int, size: int) -> None:
    """Grafts in walking order."""
    from barkslip.app.grafts import list_grafts

    cards, total = list_grafts(
        call.open(), word=verdict or "", campaign=campaign, plot=plot.upper(), page=page, size=size
    )
    if call.as_json:
        call.json({"total": total, "page": page, "size": size, "grafts": cards})
        return
    if not cards:
        call.say("No such graft. All of them: barkslip graft list" if total or verdict or campaign or plot else
                 "No graft is written down yet. Next: barkslip graft set TREE")  # fmt: skip
        return
    from barkslip.cli.screen import graft_rows
    from barkslip.present.lists import Pager

    call.screen.table(("!Code", "Stands", "Where", "Variety", "!Since"), graft_rows(cards))
    first = (page - 1) * size + 1
    if total > len(cards):
        after = f"; go on with --page {page + 1}" if first + len(cards) - 1 < total else ""
        call.screen.line(f"{Pager(first, first + len(cards) - 1, total).words}{after}")


@command.command("show", short_help="One graft: chain, looks, acts, weather, what is due.")
@click.argument("code")
@click.option("--ids", is_flag=True, help="Show the numbers of looks and acts, to correct them.")
@common
@pass_call
def show(call: Call, code: str, ids: bool) -> None:
    """Everything about the graft CODE."""
    from barkslip.app.grafts import graft_story

    ctx = call.open()
    story = graft_story(ctx, code)
    if call.as_json:
        call.json({"graft": story})
        return
    from barkslip.cli.today import due_lines
    from barkslip.present import chain, graft, weather
    from barkslip.present.counts import sentence

    screen, units, card = call.screen, call.units, story.card
    screen.line(f"{card.graft.code} · {graft.title(card)}", "bold")
    screen.line(f"On {card.tree.code} {card.tree.name}, {card.plot.name}.")
    screen.line(graft.standing_sentence(card))
    screen.line(f"Chain, from the top down: {chain.chain_text(story.chain)}")
    screen.line(sentence(graft.setting_words(card.graft, units)))
    _lot(call, story)
    if card.graft.note:
        screen.line(card.graft.note)
    if card.due:
        screen.head("Due")
        due_lines(call, card.due, ctx.today(ctx.garden()), indent=2)
    _looks(call, story, ids)
    if story.weather is not None:
        screen.head("Weather since it was set")
        screen.line(weather.since_text(story.weather, units), indent=2)
        screen.line(weather.coverage_text(story.weather), indent=2)
    if story.siblings:
        screen.head("Set together with")
        others = sorted(story.siblings, key=lambda c: (len(c.graft.code), c.graft.code))
        screen.line(", ".join(f"{c.graft.code} {graft.standing_words(c.standing)}" for c in others), indent=2)


def _lot(call: Call, story: GraftStory) -> None:
    from barkslip.present.wood import came_words, find_words

    if story.lot is None:
        return
    call.screen.line(f"Wood lot {story.lot.code} {story.lot.name}: {came_words(story.lot)}.")
    for find in story.finds:
        call.screen.line(find_words(find) + ".", indent=2)


def _looks(call: Call, story: GraftStory, ids: bool) -> None:
    from barkslip.present.act import text
    from barkslip.present.dates import when_text
    from barkslip.present.graft import look_text, turn_text

    units = call.units
    rows = [(k.on.first, when_text(k.on), look_text(k, units), k.note, k.id) for k in story.looks]
    rows += [(a.on.first, when_text(a.on), text(a, units), a.note, a.id) for a in story.acts]
    rows.sort(key=lambda row: row[0], reverse=True)
    if rows:
        call.screen.head("Seen and done, newest first")
        columns = ("!", "", "", "!") if ids else ("!", "", "")
        call.screen.table(
            columns, [(day, seen, note, number)[: len(columns)] for _, day, seen, note, number in rows], indent=2
        )
    if story.card.standing.turns:
        call.screen.head("How the verdict came about")
        for turn in story.card.standing.turns:
            call.screen.line(turn_text(turn) + ".", indent=2)


@command.command("set", short_help="Write down grafts that were set.")
@click.argument("tree")
@fields(("limbs", "ADDRESSES", "Limbs, comma-separated; left out if not known."), ("n", "N", "Grafts a limb."), *_GRAFT)
@writing
@common
@pass_call
def set_(call: Call, /, **given: Any) -> None:
    """Write down a graft set on TREE, or several equal ones: all of them or, after any error, none."""
    from barkslip.app.grafts import set_grafts

    ctx = call.open()
    made = call.write(typed(given), lambda f: set_grafts(ctx, f))
    if call.as_json:
        call.json({"grafts": made})
    else:
        from barkslip.present.counts import many
        from barkslip.present.graft import setting_words

        codes = made[0].code if len(made) == 1 else f"{made[0].code} to {made[-1].code}"
        call.say(f"{many(len(made), 'graft')} written down, {codes}: {setting_words(made[0], call.units)}.")
    call.backed_up()


@command.command("edit", short_help="Correct a graft.")
@click.argument("graft", metavar="CODE")
@fields(("tree", "CODE", "Tree it is on."), ("limb", "ADDRESS", "Limb it is on."), *_GRAFT)
@writing
@common
@pass_call
def edit(call: Call, /, graft: str, **given: Any) -> None:
    """Correct the graft CODE: what is not typed stays as it is; "" empties a field. Older versions are kept."""
    from barkslip.app.grafts import correct_graft

    ctx = call.open()
    saved = call.write(typed(given), lambda f: correct_graft(ctx, graft, f))
    if call.as_json:
        call.json({"graft": saved})
    else:
        from barkslip.present.graft import setting_words

        call.say(f"{saved.code} is corrected: {setting_words(saved, call.units)}.")
    call.backed_up()
