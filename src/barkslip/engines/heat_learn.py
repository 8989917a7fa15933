"""A cover's numbers corrected by the grower's own logger: members that come near the measured days weigh more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.errors import InputError
from barkslip.domain.heat import CoverCheck, LearnedCover, MeasuredDay, Wrap, WrappedGraft
from barkslip.engines.frost_draws import Draws, Known, middle
from barkslip.engines.heat_harm import spread
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.wrap_hours import hour_rows, member_params, run

Array = NDArray[np.float64]
#: a day counts if at least this share of its compared hours was read
LEAST_READ = 0.5
#: farther from every member than so many standard deviations, the measurement is outside what the model can give
REACH_SD = 2.0
#: hours run before those that are compared: many times what a scion takes to follow [h]
BEFORE_H = 4


@dataclass(frozen=True, eq=False)
class _Compared:
    """One clear day: measured and modelled scion less air, mean of the hours compared [K]; model float64[members]."""

    day: str
    measured: float
    model: Array


def learn_cover(
    graft: WrappedGraft,
    wrap: Wrap,
    days: Sequence[tuple[SunHours, Array]],
    known: Known,
    *,
    from_h: float,
    to_h: float,
    members: int,
    seed: int,
) -> tuple[CoverCheck, LearnedCover]:
    """What measured days say of a cover.

    Parameters
    ----------
    graft : WrappedGraft
        The stick that carried the logger.
    wrap : Wrap
    days : sequence of (SunHours, float64[n])
        Hours of a day with the air as it was measured, and the logger's scion, corrected, less that air at the same
        hours [K]; NaN where it was not read.
    known : callable
        key -> sourced number.
    from_h, to_h : float
        Local hours of the day that are compared, both ends in.
    members, seed : int
        As `engines.heat.assess` will be asked with; the weights hold for these only.

    Returns
    -------
    CoverCheck
        Without the logger's code and the corrections, which are the caller's.
    LearnedCover
        Weights that add up to 1; all alike, and 0 days, if the measurement lies outside what the model can give.

    Raises
    ------
    InputError
        If no day had sun and readings enough.
    """
    draws = Draws(members, seed)
    found = [_compared(graft, wrap, hours, excess, draws, known, from_h, to_h) for hours, excess in days]
    kept = [one for one in found if one is not None]
    if not kept:
        least = middle(known("wrap.logger.least_sun"))
        raise InputError(
            "No clear day with readings in these hours; there is nothing to compare.",
            given=f"{len(days)} days, {from_h:g} to {to_h:g} h",
            allowed=f"half of the hours read, with direct sun of {least:g} W/m² in the mean",
            next_step="Take other days or other hours.",
            field="from",
        )
    measured = np.array([d.measured for d in kept])
    model = np.array([d.model for d in kept])
    weights, astray = _weights(measured, model, known)
    alone = model.mean(axis=0)
    check = CoverCheck(
        wrap=wrap,
        logger="",
        corrections=(),
        from_h=from_h,
        to_h=to_h,
        days=tuple(MeasuredDay(d.day, d.measured, spread(d.model)) for d in kept),
        left_out=len(days) - len(kept),
        before_k=spread(alone),
        after_k=spread(alone) if astray else spread(alone, weights),
        measured_k=spread(measured),
        weight_left=float(1.0 / np.sum(weights**2) / members),
        astray=astray,
    )
    return check, LearnedCover(wrap.cover, 0 if astray else len(kept), tuple(map(float, weights)))


def _compared(
    graft: WrappedGraft,
    wrap: Wrap,
    hours: SunHours,
    excess: Array,
    draws: Draws,
    known: Known,
    from_h: float,
    to_h: float,
) -> _Compared | None:
    """A day beside the model; None if it has not sun or readings enough."""
    shift = timedelta(hours=hours.utc_offset_h)
    local = [datetime.fromtimestamp(int(s), UTC) + shift for s in hours.time_s]
    clock = np.array([t.hour + t.minute / 60.0 for t in local])
    wanted = (clock >= from_h) & (clock <= to_h)
    read = wanted & np.isfinite(excess)
    if not wanted.any() or read.sum() < LEAST_READ * wanted.sum():
        return None
    if hours.dni_w_m2[wanted].mean() < middle(known("wrap.logger.least_sun")):
        return None
    places = np.flatnonzero(wanted)
    first, last = max(0, int(places[0]) - BEFORE_H), int(places[-1]) + 1
    measured_air = replace(hours.part(first, last), air_sd_k=0.0)
    params = member_params(graft, wrap, draws, known, measured_air)
    out = run(hour_rows(measured_air, graft, known), params)
    model = (out.scion_c - measured_air.air_c)[:, read[first:last]].mean(axis=1)
    return _Compared(local[int(places[0])].date().isoformat(), float(excess[read].mean()), model)


def _weights(measured: Array, model: Array, known: Known) -> tuple[Array, bool]:
    """Weights of the members by the likelihood of the days' mean, and whether the model cannot reach it at all.

    Residuals of the days share one error, of where the bead sits, and have each one of the day; of both, only the mean
    speaks. How the days differ among themselves says more of the wind that was taken for each than of the cover: it
    once drew members away from the very level that was measured. Eq. K1.

    Parameters
    ----------
    measured : float64[days]
    model : float64[days, members]
    """
    placement, daily = middle(known("wrap.logger.placement_sd")), middle(known("wrap.logger.day_sd"))
    off = measured[:, np.newaxis] - model
    centre = off.mean(axis=0)
    variance = placement**2 + daily**2 / len(measured)
    log = -0.5 * centre**2 / variance
    if np.abs(centre).min() > REACH_SD * variance**0.5:
        return np.full(model.shape[1], 1.0 / model.shape[1]), True
    weights = np.exp(log - log.max())
    return weights / weights.sum(), False
