"""Curves of time to push and of loss of one group, without a model.

Checked by tests/engines/test_take_curves.py.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.take import Curve, TakeGraft
from barkslip.engines.survival import aalen_johansen, band, kaplan_meier

Floats = NDArray[np.float64]
#: Curves end here [d].
LAST_D = 364.0
#: Standard normal quantile of 95 in 100.
Z = 1.6448536269514722


def curve(held: Sequence[TakeGraft]) -> Curve | None:
    """Curves of a group; None if none of its grafts has been followed."""
    lives = [g.life for g in held if g.life is not None and g.life.days > 0.0]
    if not lives:
        return None
    days = np.array([life.days for life in lives])
    way = np.array([{"": 0, "failed": 1, "other": 2}[life.end] for life in lives])
    # what happens later than the curves is, for them, a graft that was followed to their end
    way = np.where(days > LAST_D, 0, way)
    days = np.minimum(days, LAST_D)
    pushed = np.array([life.push_days is not None and life.push_days <= LAST_D for life in lives])
    until = np.where(pushed, [life.push_days or 0.0 for life in lives], days)
    lost = aalen_johansen(days, way, 2)
    push = aalen_johansen(until, np.where(pushed, 1, np.where(way > 0, 2, 0)), 2)
    km = kaplan_meier(days, way > 0)
    at = np.unique(np.concatenate([[0.0], push.time, km.time, [float(days.max())]]))
    risk = len(days) - np.searchsorted(np.sort(days), at)
    standing, error = _at(at, km.time, km.share, 1.0), _at(at, km.time, km.error, 0.0)
    low, high = band(standing, error, np.maximum(risk, 1), Z)
    return Curve(
        weeks=_tuple(at / 7.0),
        pushed=_tuple(_at(at, push.time, push.share[:, 0], 0.0)),
        failed=_tuple(_at(at, lost.time, lost.share[:, 0], 0.0)),
        other=_tuple(_at(at, lost.time, lost.share[:, 1], 0.0)),
        standing=_tuple(standing),
        low=_tuple(low),
        high=_tuple(high),
        at_risk=tuple(int(n) for n in risk),
    )


def _at(at: Floats, time: Floats, value: Floats, first: float) -> Floats:
    """A step function at other times."""
    return np.concatenate([[first], value])[np.searchsorted(time, at, side="right")]


def _tuple(values: Floats) -> tuple[float, ...]:
    return tuple(float(v) for v in values)
