"""The year at this place: how often a graft set in each week would have linked, from many years of hours.

One wrap with the best values serves all years; the curves, clocks and limits of the ensemble are drawn as ever.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.method import Method
from barkslip.domain.timing import GraftPlan, HealingCurve, WeekOfYear
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.engines.heal_hours import (
    DAY_H,
    HOUR_S,
    HealHours,
    Wrapping,
    day_starts,
    goes_round,
    joined,
    night_share,
    running,
    wrapping_of,
)
from barkslip.engines.heal_members import Members, members_of
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.timing import ENDS, outcomes, set_at, spread
from barkslip.kernels import healing as kernel

#: Weeks of the year; the last one takes in the days left over.
WEEKS = 52
#: A week of a year counts if so many of its days could be looked at.
LEAST_DAYS = 4


@dataclass(frozen=True, eq=False)
class Starts:
    """All start days looked at.

    Parameters
    ----------
    day : datetime64[D][s]
        Local days.
    shares : float64[s, kernel.N_ENDS]
        Share of members by what became of them.
    """

    day: NDArray[np.datetime64]
    shares: Array


def year(
    plan: GraftPlan, curve: HealingCurve | None, years: Sequence[SunHours], known: Known, *,
    method: Method | None = None, members: int = 200, seed: int = 1, wrapping: Wrapping | None = None,
) -> tuple[WeekOfYear, ...]:  # fmt: skip
    """What the years say about grafts set in each week of the year.

    Parameters
    ----------
    plan : GraftPlan
    curve : HealingCurve or None
    years : sequence of SunHours
        Unbroken stretches of own or typical years; one of a year goes round.
    known : callable
        key -> sourced number.
    method : Method or None
    members, seed : int
        Draws of curves, clocks and limits.
    wrapping : callable or None
        Model of the wrap; None takes the program's own.

    Returns
    -------
    tuple of WeekOfYear
        From January on; only weeks that some year can speak for; empty without curve or years.
    """
    if curve is None:
        return ()
    drawn = members_of(plan, curve, Draws(members, seed), known, method)
    run = wrapping or wrapping_of(plan, known)
    found = [s for stretch in years if (s := starts_of(plan, stretch, drawn, known, run)) is not None]
    if not found:
        return ()
    day = np.concatenate([s.day for s in found])
    shares = np.concatenate([s.shares for s in found])
    return weeks_of(day, shares, middle(known("timing.named_share")))


def starts_of(
    plan: GraftPlan, stretch: SunHours, drawn: Members, known: Known, run: Wrapping
) -> Starts | None:  # fmt: skip
    """Every start day of a stretch that has the whole time looked at before it; None if there is none."""
    look_h = int(middle(known("timing.look_days"))) * DAY_H
    n = len(stretch)
    if goes_round(n):
        stretch = joined(stretch, stretch.part(0, look_h + DAY_H))
    midnights = day_starts(stretch, min(len(stretch) - look_h - DAY_H, n))
    if len(stretch) <= look_h + DAY_H or not midnights.size:
        return None
    air = middle_hours(stretch, known, run)
    found = outcomes(plan, drawn, air, set_at(midnights, air.count, known), look_h)
    shares = np.stack([(found.ends == code).mean(axis=0) for code in range(kernel.N_ENDS)], axis=1)
    local_s = stretch.time_s[midnights] + round(HOUR_S * stretch.utc_offset_h)
    return Starts(local_s.astype("datetime64[s]").astype("datetime64[D]"), shares)


def middle_hours(hours: SunHours, known: Known, run: Wrapping) -> HealHours:
    """Hours of one graft with the best values of the wrap."""
    out = run(hours, 1, 0, True)
    below = middle(known("timing.frost.growth_below_air"))
    growth = hours.air_c - below * night_share(hours, middle(known("timing.frost.calm")))
    union, scion = np.ascontiguousarray(out.union_c), np.ascontiguousarray(out.scion_c)
    loss, dose = running(out.loss_per_h), running(out.dose_per_h)
    return HealHours(hours, union, scion, growth[np.newaxis], hours.air_c[np.newaxis], loss, dose, len(hours), 0)


def weeks_of(day: NDArray[np.datetime64], shares: Array, least: float) -> tuple[WeekOfYear, ...]:
    """Start days gathered by week of the year and by year.

    Parameters
    ----------
    day : datetime64[D][s]
    shares : float64[s, kernel.N_ENDS]
    least : float
        An ending is named from this share [1].
    """
    calendar = day.astype("datetime64[Y]")
    first = calendar.astype("datetime64[D]")
    place = (day - first).astype(int)
    leap = ((calendar + 1).astype("datetime64[D]") - first).astype(int) == 366
    place = np.where(leap & (place >= 59), place - 1, place)  # the 29th of February counts as the 28th
    week = np.minimum(place // 7, WEEKS - 1)
    out = [_week(w, calendar[week == w], shares[week == w], least) for w in range(WEEKS)]
    return tuple(found for found in out if found is not None)


def _week(w: int, calendar: NDArray[np.datetime64], shares: Array, least: float) -> WeekOfYear | None:
    by_year = [shares[calendar == y] for y in np.unique(calendar)]
    means = np.array([rows.mean(axis=0) for rows in by_year if rows.shape[0] >= LEAST_DAYS])
    if not means.size:
        return None
    worked = means[:, kernel.LINKED] > 0.5
    without_frost = means[:, kernel.LINKED] + means[:, kernel.FROST_AFTER] > 0.5
    return WeekOfYear(
        month_day=(date(2001, 1, 1) + timedelta(days=7 * w)).strftime("%m-%d"),
        chance=spread(shares[:, kernel.LINKED]),
        worked=int(worked.sum()),
        years=int(means.shape[0]),
        ended_by=_most(shares.mean(axis=0), least),
        false_spring=int((without_frost & ~worked).sum()),
    )


def _most(shares: Array, least: float) -> str:
    """What ended grafts most often; "" if nothing did so to speak of."""
    named: dict[str, float] = {}
    for code, name in ENDS.items():
        named[name] = named.get(name, 0.0) + float(shares[code])
    name = max(named, key=lambda k: named[k])
    return name if named[name] >= least else ""
