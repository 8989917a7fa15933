"""Hours of wrapped grafts ahead of a day: the forecast or what was measured, then own years, each member taking one.

The ensemble falls into groups. Each group lives through one row of hours: those at hand, then one own year; and has its
own draws of the wrap, so that a member keeps its coefficients from the first hour to the last.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.heat import Wrap, WrappedGraft
from barkslip.domain.timing import GraftPlan
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.wrap_hours import wrap_hours

#: Groups of an ensemble: enough that a forecast's error and the years are well spread.
GROUPS = 20
#: Least members of a group; with more own years than groups they are taken evenly.
LEAST_MEMBERS = 4
HOUR_S, DAY_H = 3600, 24
#: A stretch of about one year goes round: it is a typical year, or a single own one.
_ROUND_H = (365 * DAY_H, 366 * DAY_H)


class Wrapped(Protocol):
    """What is needed of a wrapped graft's hours, each float64[members, n]."""

    @property
    def union_c(self) -> Array: ...

    @property
    def scion_c(self) -> Array: ...

    @property
    def loss_per_h(self) -> Array: ...

    @property
    def dose_per_h(self) -> Array: ...


#: (hours, members, seed, middle) -> the wrapped graft's hours.
Wrapping = Callable[[SunHours, int, int, bool], Wrapped]


@dataclass(frozen=True, eq=False)
class HealHours:
    """Hours ahead of an ensemble, arrays of shape (members, n) or (members, n + 1) for running sums.

    Parameters
    ----------
    hours : SunHours
        Those of the first group: for their clock.
    union_c, scion_c, growth_c, air_c : Array
        Union, scion, new growth, air [°C].
    loss_sum, dose_sum : Array
        Running sums of the share of water lost and of the heat dose.
    known_h : int
        Hours that are not from own years.
    years : int
        Own years that were used.
    """

    hours: SunHours
    union_c: Array
    scion_c: Array
    growth_c: Array
    air_c: Array
    loss_sum: Array
    dose_sum: Array
    known_h: int
    years: int

    @property
    def count(self) -> int:
        """Hours."""
        return int(self.union_c.shape[1])


def wrapping_of(plan: GraftPlan, known: Known) -> Wrapping:
    """The model of the wrap for the graft that is thought of."""
    graft = WrappedGraft(
        species=plan.species,
        scion_mm=plan.scion_mm,
        limb_mm=plan.limb_mm,
        bearing_deg=plan.bearing_deg,
        shade=plan.shade,
    )
    wrap = Wrap(plan.cover)

    def run(hours: SunHours, members: int, seed: int, best: bool) -> Wrapped:
        return wrap_hours(hours, graft, wrap, known, members=members, seed=seed, middle=best)

    return run


def local_start(hours: SunHours) -> datetime:
    """Local time of the first hour, without a zone's name."""
    return datetime.fromtimestamp(int(hours.time_s[0]), UTC) + timedelta(hours=hours.utc_offset_h)


def own_spans(stretches: Sequence[SunHours], first: datetime, count: int) -> tuple[SunHours, ...]:
    """Spans of own years that begin at a moment of the calendar, each `count` hours long.

    Parameters
    ----------
    stretches : sequence of SunHours
        Unbroken hours of any length. One of a year goes round.
    first : datetime
        Local; its year does not matter. The 29th of February is taken as the 28th.
    count : int
        [h]
    """
    out = []
    for stretch in stretches:
        n = len(stretch)
        if not n:
            continue
        begin = local_start(stretch)
        for year in range(begin.year - 1, begin.year + n // _ROUND_H[0] + 2):
            day = 28 if (first.month, first.day) == (2, 29) else first.day
            at = round((first.replace(year=year, day=day) - begin) / timedelta(hours=1))
            if at >= 0 and at + count <= n:
                out.append(stretch.part(at, at + count))
            elif 0 <= at < n and goes_round(n) and count < n:
                out.append(_round(stretch, at, count))
    return tuple(out)


def goes_round(count: int) -> bool:
    """Whether a stretch of so many hours is about one year: its end is followed by its beginning."""
    return _ROUND_H[0] <= count <= _ROUND_H[1]


def _round(stretch: SunHours, at: int, count: int) -> SunHours:
    return joined(stretch.part(at, len(stretch)), stretch.part(0, count - (len(stretch) - at)))


def joined(one: SunHours, other: SunHours) -> SunHours:
    """One stretch after another; the second takes on the clock of the first."""
    if not len(one):
        return other
    if not len(other):
        return one
    columns: dict[str, Any] = {
        f.name: np.concatenate((getattr(one, f.name), getattr(other, f.name)))
        for f in fields(SunHours)
        if isinstance(getattr(one, f.name), np.ndarray)
    }
    columns["time_s"] = one.time_s[0] + HOUR_S * np.arange(len(one) + len(other), dtype=np.int64)
    return replace(one, **columns)


def ahead(
    plan: GraftPlan, hours: SunHours, stretches: Sequence[SunHours], count: int, known: Known, *, members: int,
    seed: int, wrapping: Wrapping | None = None,
) -> HealHours:  # fmt: skip
    """The ensemble's hours: those at hand, then own years up to `count` hours if there are any.

    Parameters
    ----------
    plan : GraftPlan
    hours : SunHours
        From the first day on, as far as they are known; at least one.
    stretches : sequence of SunHours
        Own years, as they are; see `own_spans`.
    count : int
        Hours wanted; fewer come back where neither reaches so far.
    known : callable
        key -> sourced number.
    wrapping : Wrapping or None
        None takes the model of the wrap.
    """
    run = wrapping or wrapping_of(plan, known)
    at_hand = hours.part(0, min(len(hours), count))
    spans: tuple[SunHours, ...] = ()
    if len(at_hand) < count:
        spans = own_spans(stretches, local_start(hours) + timedelta(hours=len(at_hand)), count - len(at_hand))
    rows, errors = _groups(at_hand, spans, members, seed)
    sizes = np.diff(np.linspace(0, members, len(rows) + 1).astype(int))
    below = Draws(members, seed).of("timing.growth_below_air", known("timing.frost.growth_below_air"))
    calm = middle(known("timing.frost.calm"))
    parts: list[tuple[Array, ...]] = []
    done = 0
    for g, (row, size) in enumerate(zip(rows, sizes.tolist(), strict=True)):
        with_error = _warmer(row, len(at_hand), float(errors[g]))
        out = run(with_error, size, seed + 1000 * g, False)
        air = np.broadcast_to(with_error.air_c, (size, len(row)))
        growth = with_error.air_c - below[done : done + size, np.newaxis] * night_share(with_error, calm)
        parts.append((out.union_c, out.scion_c, growth, air, out.loss_per_h, out.dose_per_h))
        done += size
    union, scion, growth, air, loss, dose = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    return HealHours(rows[0], union, scion, growth, air, running(loss), running(dose), len(at_hand), len(spans))


def night_share(hours: SunHours, calm_m_s: float) -> Array:
    """How much of the cooling of a clear still night an exposed leaf has, float64[n]: 0 by day."""
    wind = np.minimum(1.0, calm_m_s / np.maximum(hours.wind_m_s, 1e-6))
    return np.asarray(np.where(hours.sun_up_deg <= 0.0, (1.0 - hours.cloud) * wind, 0.0))


def running(per_hour: Array) -> Array:
    """Running sums of each row, float64[m, n + 1]."""
    out = np.zeros((per_hour.shape[0], per_hour.shape[1] + 1))
    np.cumsum(per_hour, axis=1, out=out[:, 1:])
    return out


def _groups(
    at_hand: SunHours, spans: Sequence[SunHours], members: int, seed: int
) -> tuple[list[SunHours], NDArray[np.float64]]:
    """Hours of each group and the error of its air at hand [K]."""
    most = max(1, members // LEAST_MEMBERS)
    if not spans:
        groups = min(GROUPS, most) if at_hand.air_sd_k > 0.0 else 1
        rows = [at_hand] * groups
    else:
        kept = [spans[i] for i in np.linspace(0, len(spans) - 1, min(len(spans), most)).round().astype(int)]
        groups = min(most, len(kept) * -(-GROUPS // len(kept)))
        rows = [joined(at_hand, kept[g % len(kept)]) for g in range(groups)]
    errors = Draws(len(rows), seed).error("timing.air", at_hand.air_sd_k)
    # the error is dealt out here, once a group; the wrap must not deal it again
    return [replace(row, air_sd_k=0.0) for row in rows], errors if len(rows) > 1 else np.zeros(1)


def _warmer(row: SunHours, known_h: int, error_k: float) -> SunHours:
    """The hours with the air at hand off by an error; what comes after is weather that was."""
    if error_k == 0.0:
        return row
    air = row.air_c.copy()
    air[:known_h] += error_k
    return replace(row, air_c=air, dew_c=np.minimum(row.dew_c, air))


def day_starts(hours: SunHours, count: int) -> NDArray[np.int32]:
    """Places of the local midnights in `count` hours, the first hour's day included, int32[days]."""
    begin = local_start(hours)
    first = (DAY_H - begin.hour) % DAY_H
    starts = np.arange(first, count, DAY_H, dtype=np.int32)
    return starts if first == 0 else np.concatenate((np.zeros(1, dtype=np.int32), starts))
