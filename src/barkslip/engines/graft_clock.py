"""The healing clock of a graft that has been set, and what the clock would have said of past ones."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

import numpy as np

from barkslip.domain.method import Binding, Method
from barkslip.domain.night import Spread
from barkslip.domain.timing import BackCast, GraftClock, GraftPlan, HealingCurve
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.engines.heal_hours import DAY_H, HealHours, Wrapping, ahead, local_start
from barkslip.engines.heal_members import Members, members_of
from barkslip.engines.healing_curve import WEAK
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.timing import dates, dates_from, healing_of, outcomes, reached_h, set_at, spread
from barkslip.kernels import healing as kernel

#: The clock is run for no longer than this after a graft was set [d]: what has not come by then is no matter of heat.
LONGEST_DAYS = 240


def clock(
    plan: GraftPlan, curve: HealingCurve | None, hours: SunHours | None, years: Sequence[SunHours], known: Known, *,
    code: str, set_on: str, as_of: str, method: Method | None = None, binding: Binding | None = None,
    measured_share: float = 0.0, members: int = 200, seed: int = 1, unknowns: Sequence[str] = (),
    wrapping: Wrapping | None = None,
) -> GraftClock:  # fmt: skip
    """The clock so far and the dates to come.

    Parameters
    ----------
    plan : GraftPlan
        The graft as it was set.
    curve : HealingCurve or None
        None if nothing is known of the species.
    hours : SunHours or None
        From local midnight of the day it was set, through today, as far as the forecast goes.
    years : sequence of SunHours
        Own years as unbroken stretches, to continue.
    code, set_on, as_of : str
        Code of the graft; ISO days. The clock counts up to midnight before `as_of`.
    method : Method or None
    binding : Binding or None
        Gives the latest release.
    measured_share : float
        Share of the hours so far that have a reading [0..1].
    unknowns : sequence of str
        Codes of what else is not known.
    """
    latest = latest_release(set_on, binding)
    if curve is None or hours is None or not len(hours):
        words = ("healing_curve",) if curve is None else ("no_own_years",)
        return GraftClock(
            code, set_on, as_of, curve.species if curve else "", None, None, None, None, None, None, None, latest,
            measured_share, "", tuple(dict.fromkeys((*words, *unknowns))),
        )  # fmt: skip
    past_days = min((date.fromisoformat(as_of) - date.fromisoformat(set_on)).days, LONGEST_DAYS)
    count = (max(past_days, 0) + int(middle(known("timing.look_days")))) * DAY_H
    air = ahead(plan, hours, years, count, known, members=members, seed=seed, wrapping=wrapping)
    drawn = members_of(plan, curve, Draws(members, seed), known, method)
    starts = set_at(np.zeros(1, dtype=np.int32), air.count, known)
    found = outcomes(plan, drawn, air, starts, air.count)
    now = min(max(_hour_of(air, as_of), int(starts[0])), air.count)
    so_far = _healed(drawn, air, int(starts[0]), now)
    release, push, link = dates_from(plan, drawn, air, found, 0, method)
    return GraftClock(
        code=code,
        set_on=set_on,
        as_of=as_of,
        species=curve.species,
        so_far=spread(so_far),
        bridge=dates(air, int(starts[0]), reached_h(drawn, air, drawn.days[:, 0], starts)[:, 0]),
        link=link,
        release=release,
        push=push if plan.path == "growing" else None,
        chance_bridge=float(np.mean(so_far >= drawn.days[:, 0])),
        chance_link=float(np.mean(so_far >= drawn.days[:, 1])),
        latest_release=latest,
        measured_share=measured_share,
        ahead=_ahead(air, now),
        words=tuple(dict.fromkeys((*unknowns, *_words(plan, curve, air, count, known)))),
    )


def back_cast(
    plan: GraftPlan, curve: HealingCurve | None, hours: SunHours | None, known: Known, *, code: str, set_on: str,
    outcome: str, method: Method | None = None, members: int = 200, seed: int = 1, wrapping: Wrapping | None = None,
) -> BackCast:  # fmt: skip
    """What the clock would have said of a past graft, from the hours that came.

    Parameters
    ----------
    hours : SunHours or None
        From local midnight of the day it was set on.
    outcome : str
        "took", "did not take", "waiting".
    """
    name = method.name if method is not None else plan.method
    if curve is None or hours is None or not len(hours):
        return BackCast(code, set_on, name, plan.species, plan.cover, outcome, None, None, None)
    look_h = int(middle(known("timing.look_days"))) * DAY_H
    air = ahead(plan, hours, (), look_h, known, members=members, seed=seed, wrapping=wrapping)
    drawn = members_of(plan, curve, Draws(members, seed), known, method)
    starts = set_at(np.zeros(1, dtype=np.int32), air.count, known)
    found = outcomes(plan, drawn, air, starts, look_h)
    open_end = found.share(kernel.NOT_KNOWN, 0) >= middle(known("timing.named_share"))
    early, late = (healed_by(drawn, air, int(starts[0]), days) for days in (21, 45))
    chance = None if open_end else found.share(kernel.LINKED, 0)
    return BackCast(code, set_on, name, plan.species, plan.cover, outcome, early, late, chance)


def healed_by(drawn: Members, air: HealHours, start: int, days: int) -> Spread | None:
    """Thermal days gathered within so many days of a start; None if the hours do not reach so far."""
    end = start + days * DAY_H
    return spread(_healed(drawn, air, start, end)) if end <= air.count else None


def _healed(drawn: Members, air: HealHours, start: int, end: int) -> Array:
    """Thermal days of each member between two hours [d]."""
    total = healing_of(drawn, air)
    return np.asarray(total[:, end] - total[:, start])


def _hour_of(air: HealHours, day: str) -> int:
    """Place of a day's midnight among the hours."""
    begin = datetime.combine(date.fromisoformat(day), time())
    return round((begin - local_start(air.hours).replace(tzinfo=None)) / timedelta(hours=1))


def latest_release(set_on: str, binding: Binding | None) -> str:
    """Day by which the binding must be off, from its kind; "" if that is not known."""
    value = binding.release_by_days if binding is not None else None
    if value is None:
        return ""
    return (date.fromisoformat(set_on) + timedelta(days=round(middle(value)))).isoformat()


def _ahead(air: HealHours, now: int) -> str:
    """Where the hours to come are from."""
    if not air.years:
        return ""
    return "forecast and own years" if air.known_h > now else "own years"


def _words(plan: GraftPlan, curve: HealingCurve, air: HealHours, count: int, known: Known) -> tuple[str, ...]:
    out = ["union_temperature"]
    if curve.evidence in WEAK:
        out.append("weak_species")
    if plan.path == "growing":
        out.append("push_clock")
    if air.count < count:
        out.append("no_own_years")
    elif air.years and air.years < middle(known("timing.few_years")):
        out.append("own_years_few")
    return tuple(out)
