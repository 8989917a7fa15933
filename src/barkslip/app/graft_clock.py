"""The healing clock of each graft that has been set: what it has gathered, and the days to expect."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.days import forget
from barkslip.app.past_grafts import SetGraft, hours_since, read_grafts, state_of
from barkslip.app.plot_offset import number
from barkslip.domain.graft import Graft
from barkslip.domain.timing import GraftClock

if TYPE_CHECKING:
    from barkslip.engines.sun_hours import SunHours

#: Clocks that are kept at most.
MOST_KEPT = 500
#: Members of the ensemble; of old grafts, whose many hours take long and of whose clock nothing is open.
MEMBERS, MEMBERS_OLD, OLD_DAYS = 200, 100, 120
_READ = ("measured", "typed")


def clock_of(ctx: Context, code: str) -> GraftClock:
    """The clock of one graft, worked out once and kept while the day and the book are the same.

    Raises
    ------
    NotFoundError
        If there is no such graft.
    """
    with ctx.book.read() as reader:
        graft = reader.by_code(Graft, code)
        key = f"clock {graft.thing} {state_of(ctx, reader)}"
        one = None if key in ctx.kept else read_grafts(ctx, reader, [graft])[0]
    if one is not None:
        found = _clock(ctx, one, ctx.today(ctx.garden()))
        for old in [k for k in ctx.kept if k.startswith(f"clock {graft.thing} ")]:
            del ctx.kept[old]
        forget(ctx, "clock ", MOST_KEPT)
        ctx.kept[key] = found
        return found
    kept: GraftClock = ctx.kept[key]
    return kept


def clock_kept(ctx: Context, code: str) -> GraftClock | None:
    """The clock if it has been worked out already and still holds; None otherwise. Takes no time.

    Raises
    ------
    NotFoundError
        If there is no such graft.
    """
    with ctx.book.read() as reader:
        graft = reader.by_code(Graft, code)
        found: GraftClock | None = ctx.kept.get(f"clock {graft.thing} {state_of(ctx, reader)}")
    return found


def _clock(ctx: Context, one: SetGraft, today: date) -> GraftClock:
    from barkslip.app.frost import night_door
    from barkslip.app.sun_air import own_stretches
    from barkslip.engines import graft_clock as engine

    known = ctx.knowledge.value
    day = one.day or one.graft.set_on.first
    past = max(0, min((today - day).days, engine.LONGEST_DAYS))
    ahead = round(number(known, "timing.look_days"))
    hours, sources = hours_since(ctx, one, past + ahead) if one.curve is not None else (None, ())
    years: tuple[SunHours, ...] = ()
    if hours is not None:
        at = night_door(ctx, ctx.settings, {})
        years = own_stretches(ctx, one.plot, {}, at=at, knowledge=ctx.knowledge)
    asked = one.asked
    binding = ctx.knowledge.binding(one.graft.binding) if one.graft.binding else None
    found = engine.clock(
        asked.plan,
        one.curve,
        hours,
        years,
        known,
        code=one.graft.code,
        set_on=day.isoformat(),
        as_of=today.isoformat(),
        method=asked.method,
        binding=binding,
        measured_share=_share(sources, past),
        members=MEMBERS if past <= OLD_DAYS else MEMBERS_OLD,
        unknowns=asked.doubts,
    )
    return found if one.day is not None else replace(found, words=("set_day",))


def _share(sources: tuple[str, ...], past: int) -> float:
    """Share of the days so far that have readings [0..1]."""
    return sum(source in _READ for source in sources[:past]) / past if past else 0.0
