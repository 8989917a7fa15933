"""`barkslip wood`: wood lots."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli import clean_wood
from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing
from barkslip.domain.budwood import LOT_STATES, SOURCE_CLASSES

if TYPE_CHECKING:
    from barkslip.domain.moving import Moving

_LOT = (
    ("cut", "DATE", "Day it was cut."),
    ("code", "CODE", "Lot number, never used twice; the next W.. if left out."),
    ("source_class", "CLASS", f"{', '.join(SOURCE_CLASSES)}."),
    ("source", "TEXT", "Giver or place."),
    ("from_tree", "CODE", "Tree of this garden it was cut from,"),
    ("from_limb", "ADDRESS", "its limb,"),
    ("from_graft", "CODE", "or a graft of this garden."),
    ("received", "DATE", "Day it came in."),
    ("sticks", "N", "How many sticks."),
    ("state", "TEXT", "How the wood looked."),
    ("storage", "TEXT", "Where and how it is kept."),
    ("paper", "TEXT", "Paper that came with it."),
    ("genus", "TEXT", "Genus, such as Citrus."),
    ("species", "TEXT", "Species."),
    ("crop", "TEXT", "Crop."),
    ("lot_state", "STATE", f"{', '.join(LOT_STATES)}."),
    ("note", "TEXT", "Anything else."),
)


@click.group("wood", cls=Noun, short_help="Wood lots: where wood came from and what it turned out to be.")
@common
def command() -> None:
    """Wood lots: sticks cut from one source on one day."""


@command.command("list", short_help="All lots, newest first.")
@common
@pass_call
def list_(call: Call) -> None:
    """All lots, newest first. Counts of grafts, never a share: few grafts prove little."""
    from barkslip.app.wood import all_lots

    cards = all_lots(call.open())
    if call.as_json:
        call.json({"lots": cards})
        return
    if not cards:
        call.say("No wood lot is written down yet. Next: barkslip wood new NAME --cut DATE")
        return
    from barkslip.present.dates import when_text
    from barkslip.present.wood import grafts_words, name_words, sticks_words

    rows = [
        (c.lot.code, name_words(c), when_text(c.lot.cut), c.lot.source_class, sticks_words(c.lot), grafts_words(c))
        for c in cards
    ]
    call.screen.table(("!Lot", "Name", "Cut", "From", "Sticks", "Grafts"), rows)


@command.command("show", short_help="One lot: origin, grafts set from it, lots cut from those.")
@click.argument("code")
@common
@pass_call
def show(call: Call, code: str) -> None:
    """Everything about the lot CODE, traced both ways."""
    from barkslip.app.moving import moving_lot
    from barkslip.app.wood import lot_story

    ctx = call.open()
    story, moving = lot_story(ctx, code), moving_lot(ctx, code)
    if call.as_json:
        from barkslip.present.moving import moving_data

        call.json({"lot": story, "moving": moving_data(moving)})
        return
    from barkslip.cli.screen import graft_rows
    from barkslip.present import wood
    from barkslip.present.counts import sentence

    screen, lot = call.screen, story.card.lot
    screen.line(f"{lot.code} · {wood.name_words(story.card)}", "bold")
    screen.line(wood.identity_words(story.card))
    came = " ".join(w for w in story.from_words if w)
    screen.line(sentence(wood.came_words(lot) + (f"; cut from {came}" if came else "")))
    screen.line(f"{sentence(wood.sticks_words(lot))} {sentence(wood.grafts_words(story.card))}")
    said = (("State", lot.state), ("Kept", lot.storage), ("Paper", lot.paper), ("Note", lot.note))
    if any(words for _, words in said):
        screen.table(("!", ""), [(name, words) for name, words in said if words])
    for find in story.finds:
        screen.line(wood.find_words(find) + ".")
    screen.line(wood.DO_NOT_MOVE)
    _moving(call, moving)
    if story.grafts:
        screen.head("Grafts set from it")
        screen.table(("!Code", "Stands", "Where", "Variety", "!Since"), graft_rows(story.grafts), indent=2)
    if story.descendants:
        screen.head("Lots cut from those grafts")
        rows = [(c.lot.code, wood.name_words(c), wood.grafts_words(c)) for c in story.descendants]
        screen.table(("!", "", ""), rows, indent=2)
    if story.mcpd:
        screen.head("Passport (MCPD V.2.1)")
        screen.table(("!", ""), story.mcpd, indent=2)


def _moving(call: Call, moving: Moving) -> None:
    """What speaks against moving it, and the rules written down with their day and office."""
    from barkslip.present import moving as words

    for text in words.reason_texts(moving):
        call.screen.line(f"! {text}", indent=2)
    for card in moving.rules:
        call.screen.line(f"{words.rule_head(card)}: {card.rule.text} {words.rule_age(card)}", indent=2)


@command.command("new", short_help="Add a wood lot.")
@click.argument("name")
@fields(*_LOT)
@writing
@common
@pass_call
def new(call: Call, /, **given: Any) -> None:
    """Add a lot of wood of the variety NAME, as the giver calls it."""
    from barkslip.app.wood import save_lot

    ctx = call.open()
    lot = call.write(typed(given), lambda f: save_lot(ctx, f))
    _saved(call, lot, "is in the book")


@command.command("edit", short_help="Correct a wood lot.")
@click.argument("lot", metavar="CODE")
@fields(("name", "NAME", "Variety as the giver calls it."), *_LOT)
@writing
@common
@pass_call
def edit(call: Call, /, lot: str, **given: Any) -> None:
    """Correct the lot CODE: what is not typed stays as it is; "" empties a field. Older versions are kept."""
    from barkslip.app.wood import save_lot

    ctx = call.open()
    saved = call.write(typed(given), lambda f: save_lot(ctx, f, code=lot))
    _saved(call, saved, "is corrected")


def _saved(call: Call, lot: Any, words: str) -> None:
    if call.as_json:
        call.json({"lot": lot})
    else:
        from barkslip.present.wood import DO_NOT_MOVE, came_words

        call.say(f"{lot.code} {lot.name} {words}: {came_words(lot)}.")
        call.say(DO_NOT_MOVE)
    call.backed_up()


@command.command("find", short_help="Write down what a lot turned out to be.")
@click.argument("lot", metavar="CODE")
@click.argument("found", metavar="[NAME]", required=False)
@fields(("how", "TEXT", "By what it was found: fruit, leaf, a test report."), ("on", "DATE", "Day; today if left out."))
@writing
@common
@pass_call
def find(call: Call, /, lot: str, **given: Any) -> None:
    """Write down that the lot CODE turned out to be NAME; without NAME, that its name was confirmed."""
    from barkslip.app.wood import save_find

    ctx = call.open()
    saved = call.write(typed(given), lambda f: save_find(ctx, f, lot=lot))
    if call.as_json:
        call.json({"find": saved})
    else:
        from barkslip.present.wood import find_words

        call.say(f"{lot}: {find_words(saved)}. All grafts set from it are shown so; their old name is kept.")
    call.backed_up()


for _one in clean_wood.COMMANDS:
    command.add_command(_one)
