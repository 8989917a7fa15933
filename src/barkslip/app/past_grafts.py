"""Grafts that have been set, as the clock takes them: plan, curve, and the hours they have had."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.days_fields import DaysAsked, Places, read_days
from barkslip.app.days_places import wood_of
from barkslip.app.frost import night_door
from barkslip.app.kind_curve import curve_for
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.timing import HealingCurve
from barkslip.domain.tree import Limb, Tree
from barkslip.domain.when import When
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.engines.sun_hours import SunHours

#: A graft whose day of setting is known no closer than this has no clock [d].
VAGUE_DAYS = 14
#: What the book's clocks depend on.
_NOUNS = ("record", "logger", "graft", "look", "act", "limb", "tree", "plot", "wood_lot", "lot_find", "garden")


@dataclass(frozen=True)
class SetGraft:
    """A graft of the book.

    Parameters
    ----------
    graft : Graft
    plot : Plot
    asked : DaysAsked
        The graft as it was set, by the book.
    curve : HealingCurve or None
        None if nothing is known of its kind.
    day : date or None
        The day it was set on, the middle of the days it can have been; None if that is too vague.
    """

    graft: Graft
    plot: Plot
    asked: DaysAsked
    curve: HealingCurve | None
    day: date | None


def read_grafts(ctx: Context, reader: Reader, grafts: list[Graft]) -> list[SetGraft]:
    """Grafts of the book with their plans."""
    trees = reader.many(Tree, [g.tree for g in grafts])
    limbs = reader.many(Limb, [g.limb for g in grafts if g.limb])
    plots = reader.many(Plot, [t.plot for t in trees.values()])
    wood: dict[tuple[str | None, str, str], tuple[str, str]] = {}
    curves: dict[tuple[str, str], HealingCurve | None] = {}
    at = night_door(ctx, ctx.settings, {})
    south = at.garden.lat is not None and at.garden.lat < 0.0
    out = []
    for graft in grafts:
        tree = trees[graft.tree]
        one = (graft.lot, graft.name, graft.note)
        if one not in wood:
            wood[one] = wood_of(reader, graft, ctx.names)
        kind, buds = wood[one]
        if (kind, tree.fruit) not in curves:
            curves[kind, tree.fruit] = curve_for(ctx.knowledge, kind, tree.fruit)
        places = Places(tree, limbs.get(graft.limb or ""), graft, kind, "", buds)
        plot, day = plots[tree.plot], set_day(graft.set_on)
        first = day or graft.set_on.first
        asked = read_days(at, {}, ctx.knowledge, places, plot.code, first=first, south=south)
        out.append(SetGraft(graft, plot, asked, curves[kind, tree.fruit], day))
    return out


def set_day(set_on: When) -> date | None:
    """The day a graft was set on, the middle of the days it can have been; None if that is too vague."""
    days = (set_on.last - set_on.first).days
    return set_on.first + timedelta(days=days // 2) if days <= VAGUE_DAYS else None


def hours_since(ctx: Context, one: SetGraft, days: int) -> tuple[SunHours | None, tuple[str, ...]]:
    """Hours from the day a graft was set, as far as they are known, at most `days`; and the source of each day."""
    from barkslip.app.sun_air import stretch

    if one.day is None:
        return None, ()
    at = night_door(ctx, ctx.settings, {})
    try:
        hours, sources, _ = stretch(ctx, one.plot, one.day, days, {}, at=at, knowledge=ctx.knowledge)
    except InputError:
        # a garden without a place, or readings that cannot be: the clock says nothing then, and the page stays
        return None, ()
    return (hours if len(hours) else None), sources


def state_of(ctx: Context, reader: Reader) -> str:
    """What every clock of the book depends on: today and the number of lines of its nouns."""
    lines = (str(reader.lines_of(noun)) for noun in _NOUNS)
    return " ".join((ctx.today(ctx.garden()).isoformat(), *lines))
