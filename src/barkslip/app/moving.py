"""May wood be moved: rules as the grower wrote them down, what speaks against, and the bag's label."""

from __future__ import annotations

from datetime import date

from barkslip.app.context import Context
from barkslip.app.lines import Fields, already, begin, door, kept
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.clean import Hold, WoodRule
from barkslip.domain.errors import InputError
from barkslip.domain.moving import DO_NOT_MOVE, BagLabel, BladeWay, Moving, RuleCard
from barkslip.domain.names import same_word
from barkslip.fieldbook.reader import Reader

#: Rows that clean nothing: what keeps steel from rusting, and how old a dip may be.
_NO_WAY = ("vinegar_oil", "fresh_bleach")
_NO_PAPER = ("", "none", "no", "-", "not known", "unknown")


def save_rule(ctx: Context, fields: Fields, *, rule: str = "") -> WoodRule:
    """Write down what an office says about moving plants or wood, or correct it.

    Parameters
    ----------
    fields : mapping
        area, text, office, on (day it was asked or read; today if left out), until (day from which it must be asked
        again).
    rule : str
        Thing id of the rule that is corrected.

    Raises
    ------
    InputError
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, WoodRule, fields)
        if sent:
            return sent
        old = writer.get(WoodRule, rule) if rule else None
        asked = kept(fields, old, "on", lambda: at.day(fields, "on", "today"))
        until = kept(fields, old, "until", lambda: at.when(fields, "until", future=True))
        if until is not None and until.last < asked.first:
            raise InputError(
                "It would have to be asked again before it was asked.",
                given=f"asked {asked.iso()}, again from {until.iso()}",
                allowed=f"{asked.first.isoformat()} or later",
                next_step="Correct one of the two dates.",
                field="until",
            )
        saved = WoodRule(
            **begin(ctx, fields, old),
            area=kept(fields, old, "area", lambda: at.required(fields, "area", "area it holds for")),
            text=kept(fields, old, "text", lambda: at.required(fields, "text", "rule in your own words")),
            office=kept(fields, old, "office", lambda: at.required(fields, "office", "office that said so")),
            on=asked,
            until=until,
        )
        writer.append(saved)
    return saved


def moving(ctx: Context) -> Moving:
    """What is to be said about moving wood of this garden."""
    garden = ctx.garden()
    with ctx.book.read() as reader:
        return Moving(DO_NOT_MOVE, "", (), _rules(reader, ctx.today(garden)), garden.rules)


def moving_lot(ctx: Context, code: str) -> Moving:
    """What is to be said about moving one lot.

    Raises
    ------
    NotFoundError
    """
    garden = ctx.garden()
    with ctx.book.read() as reader:
        lot = reader.by_code(WoodLot, code)
        return Moving(
            DO_NOT_MOVE, lot.code, _reasons(reader, lot), _rules(reader, ctx.today(garden)), garden.rules
        )  # fmt: skip


def _rules(reader: Reader, on: date) -> tuple[RuleCard, ...]:
    found = reader.every(WoodRule, order="on_first DESC, id DESC")
    return tuple(RuleCard(r, r.until is not None and r.until.first <= on, (on - r.on.last).days) for r in found)


def _reasons(reader: Reader, lot: WoodLot) -> tuple[str, ...]:
    """What speaks against moving a lot, by what is written about it."""
    finds = reader.every(LotFind, "lot = :lot", order="on_first, id", lot=lot.thing)
    held = [h for h in reader.every(Hold, "lot = :lot", lot=lot.thing) if h.lifted is None]
    found = {
        "regulated area": lot.source_class == "inside a regulated area",
        "refused": lot.lot_state == "refused",
        "thrown away": lot.lot_state == "thrown away",
        "held": bool(held),
        "no paper": lot.paper.strip().rstrip(".").lower() in _NO_PAPER,
        "own wood": lot.from_tree is not None,
        "name not confirmed": not finds,
    }
    return tuple(name for name, holds in found.items() if holds)


def rule_of(ctx: Context, entry: str) -> WoodRule:
    """A rule by the id of one of its lines.

    Raises
    ------
    NotFoundError
    """
    with ctx.book.read() as reader:
        return reader.get(WoodRule, reader.line(WoodRule, entry).thing)


def blade_ways(ctx: Context) -> tuple[BladeWay, ...]:
    """Ways of cleaning blades: what works first, then what failed."""
    out = []
    for row in ctx.knowledge.table("tool_cleaning"):
        value = row.value
        if value is None or row.key in _NO_WAY:
            continue
        ends = [float(v) for v in (value.low, value.value, value.high) if isinstance(v, (int, float))]
        out.append(
            BladeWay(
                name=row.cell("name"),
                concentration=row.cell("concentration"),
                target=row.cell("target"),
                works=row.cell("works"),
                seconds=(min(ends), max(ends)) if ends else None,
                avoid="dangerous to people" in value.note,
                note=value.note,
                source=value.source,
                citation=ctx.knowledge.source(value.source).citation,
                status=value.status,
            )
        )
    return tuple(sorted(out, key=lambda w: (w.avoid, ("yes", "partly", "no").index(w.works))))


def bag_label(ctx: Context, code: str) -> BagLabel:
    """The label for a bag of one lot.

    Raises
    ------
    NotFoundError
    """
    from barkslip.app.wood import lot_story

    story, garden = lot_story(ctx, code), ctx.garden()
    lot = story.card.lot
    name = story.card.found or ctx.names.written(lot.name)
    botanical = ctx.knowledge.botanical(story.finds[-1].found if story.card.found else lot.name)
    source = f"{lot.source_class}: {lot.source}" if lot.source and lot.source != lot.source_class else lot.source_class
    return BagLabel(
        lot=lot.code,
        name=name,
        claimed="" if same_word(name, lot.name) or not story.card.found else lot.name,
        botanical="" if same_word(botanical, name) or same_word(botanical, lot.name) else botanical,
        cut=lot.cut.iso(),
        cut_mcpd=lot.cut.mcpd(),
        source=source,
        paper=lot.paper,
        storage=lot.storage,
        sticks=lot.sticks,
        moving=moving_lot(ctx, code),
        garden=garden.name,
        invented=garden.invented,
    )
