"""How long the wood of a lot keeps, by several sources and its own store."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.kind_curve import curve_for
from barkslip.app.lines import Fields, door
from barkslip.domain.budwood import WoodLot
from barkslip.domain.keeping import STORES, KeepVerdict
from barkslip.domain.tree import Tree
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.knowledge.load import Knowledge


def keep_lot(ctx: Context, code: str, fields: Fields | None = None) -> KeepVerdict:
    """How long the wood of one lot keeps.

    Parameters
    ----------
    code : str
        Lot number.
    fields : mapping
        on (a day; today if left out), store (a key of `STORES`, instead of the one that is written).

    Raises
    ------
    NotFoundError, InputError
    """
    from barkslip.engines import keeping

    typed = fields or {}
    at = door(ctx, typed)
    day = at.day(typed, "on", "today", future=True).first
    store = at.choice(typed, "store", STORES) if at.text(typed, "store") else ""
    with ctx.book.read() as reader:
        lot = reader.by_code(WoodLot, code)
        kind = wood_kind(ctx.knowledge, reader, lot)
        used = _used(reader, lot)
    return keeping.judge(
        lot.code,
        lot.name,
        kind,
        lot.storage,
        lot.cut,
        day,
        ctx.knowledge.rows("budwood"),
        month_d=month_days(ctx.knowledge),
        cited=ctx.knowledge.source,
        used_d=used,
        lot_state=lot.lot_state,
        store=store,
    )


def month_days(knowledge: Knowledge) -> float:
    """Days of a month in which wood keeps [d]."""
    value = knowledge.value("wood.month_days").value
    return float(value) if isinstance(value, (int, float)) else 30.44


def wood_kind(knowledge: Knowledge, reader: Reader, lot: WoodLot) -> str:
    """ "citrus", "mango", "deciduous", another evergreen's name, or "" if it is not known what it is."""
    fruit = reader.get(Tree, lot.from_tree).fruit if lot.from_tree else ""
    return kind_of(knowledge, lot.name, lot.crop, lot.genus, fruit)


def kind_of(knowledge: Knowledge, *names: str) -> str:
    """The kind of wood that the first known of some names means."""
    curve = curve_for(knowledge, *(n for n in names if n))
    if curve is None:
        return ""
    return "deciduous" if curve.habit == "deciduous" else curve.species


def _used(reader: Reader, lot: WoodLot) -> tuple[int, int] | None:
    """Ages of the wood on the days grafts were set from it, least and most [d]; None if none was."""
    rows = reader.rows(
        "SELECT min(set_on_first), max(set_on_last) FROM graft WHERE lot = :lot AND current AND NOT withdrawn",
        lot=lot.thing,
    )
    first, last = rows[0]
    if first is None:
        return None
    from datetime import date

    least = (date.fromisoformat(first) - lot.cut.last).days
    most = (date.fromisoformat(last) - lot.cut.first).days
    return max(least, 0), max(most, 0)
