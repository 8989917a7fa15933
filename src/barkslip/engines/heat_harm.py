"""Harm of one day of sun to a scion, by heat and by drying, and spreads over an ensemble with or without weights."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.night import Spread
from barkslip.engines.frost_draws import Draws, Known
from barkslip.engines.wrap_hours import WrapHours

Array = NDArray[np.float64]
#: shares that are dead at the two losses of water which the knowledge base names
_TENTH, _MOST = 0.1, 0.8


def logit(share: float) -> float:
    """Log of the odds."""
    return float(np.log(share / (1.0 - share)))


def heat_chance(run: WrapHours) -> Array:
    """Share of the sunny strip that the day's heat kills, float64[members]: 1 - exp(-dose)."""
    return np.asarray(1.0 - np.exp(-run.dose_per_h.sum(axis=1)))


def dry_chance(lost: Array, draws: Draws, known: Known) -> Array:
    """Chance that a loss of water kills, float64[members]: logistic through one in ten and eight in ten, less its value
    at no loss at all. A guess with a wide range: no source was found.

    Parameters
    ----------
    lost : float64[members]
        Share of the scion's water [1].
    """
    tenth = draws.of("wrap.dry.tenth", known("wrap.dry.tenth"))
    most = np.maximum(draws.of("wrap.dry.most", known("wrap.dry.most")), tenth + 0.01)
    slope = (logit(_MOST) - logit(_TENTH)) / (most - tenth)

    def dead(x: Array) -> Array:
        return np.asarray(1.0 / (1.0 + np.exp(-(logit(_TENTH) + slope * (x - tenth)))))

    none = dead(np.zeros_like(lost))
    return np.asarray((dead(lost) - none) / (1.0 - none))


def day_chance(run: WrapHours, draws: Draws, known: Known) -> Array:
    """Chance that this day's heat or drying harms, float64[members]."""
    dry = dry_chance(run.loss_per_h.sum(axis=1), draws, known)
    return np.asarray(1.0 - (1.0 - heat_chance(run)) * (1.0 - dry))


def spread(values: Array, weights: Array | None = None) -> Spread:
    """One in ten below, the middle, one in ten above; with weights, the same of the weighted members."""
    if weights is None:
        return Spread(*map(float, np.percentile(values, [10, 50, 90])))
    order = np.argsort(values)
    passed = np.cumsum(weights[order])
    places = (passed - 0.5 * weights[order]) / passed[-1]
    return Spread(*(float(np.interp(q, places, values[order])) for q in (0.1, 0.5, 0.9)))


def mean(values: Array, weights: Array | None = None) -> float:
    """Mean over the members."""
    return float(np.average(values, weights=weights))


def by_hour(values: Array, weights: Array | None = None) -> tuple[tuple[float, ...], ...]:
    """p10, p50 and p90 of each hour, from float64[members, n]."""
    if weights is None:
        rows = np.percentile(values, [10, 50, 90], axis=0)
        return tuple(tuple(map(float, row)) for row in rows)
    spreads = [spread(values[:, i], weights) for i in range(values.shape[1])]
    return tuple(tuple(getattr(s, name) for s in spreads) for name in ("p10", "p50", "p90"))
