"""Curves of what has been seen, without a model: Kaplan-Meier with Greenwood's error, Aalen-Johansen.

Sources: km.1958, greenwood.1926, aj.1978 of docs/models/take.md. Checked by tests/engines/test_survival.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Standing:
    """Share still standing after each time at which something was lost.

    Parameters
    ----------
    time : array, shape (E,)
        Rising, in the units of the input.
    at_risk, lost : int array, shape (E,)
    share, error : array, shape (E,)
        Kaplan-Meier [0..1] and Greenwood's standard error; 0 where nothing is left to vary.
    """

    time: Floats
    at_risk: Ints
    lost: Ints
    share: Floats
    error: Floats


def kaplan_meier(time: Floats, lost: NDArray[np.bool_]) -> Standing:
    """Share standing by the product of what each time left.

    Parameters
    ----------
    time : array, shape (N,)
        Last time known, at or above 0. One that is lost and one last seen alive at the same time: the loss is first.
    lost : bool array, shape (N,)
        True if it was lost then, False if that is as long as it was followed.
    """
    at = np.unique(time[lost])
    risk = len(time) - np.searchsorted(np.sort(time), at)
    gone = np.bincount(np.searchsorted(at, time[lost]), minlength=len(at))
    share = np.asarray(np.cumprod(1.0 - gone / risk), dtype=np.float64)
    left = risk - gone
    with np.errstate(divide="ignore", invalid="ignore"):
        parts = np.cumsum(np.where(left > 0, gone / (risk * left), 0.0))
    return Standing(at, risk, gone, share, share * np.sqrt(parts))


def band(share: Floats, error: Floats, at_risk: Ints, z: float) -> tuple[Floats, Floats]:
    """Interval of a share standing: on the scale log(-log), where nothing or all is lost by Wilson's.

    Greenwood's error is 0 where nothing is lost yet, which would make the interval a point.
    """
    inside = (share > 0.0) & (share < 1.0) & (error > 0.0)
    s = np.where(inside, share, 0.5)
    reach = np.exp(z * np.where(inside, error, 0.0) / (s * -np.log(s)))
    w_low, w_high = wilson(share, at_risk, z)
    return np.where(inside, s**reach, w_low), np.where(inside, s ** (1.0 / reach), w_high)


def wilson(share: Floats, n: Ints, z: float) -> tuple[Floats, Floats]:
    """Wilson's interval of a share of n."""
    n = np.maximum(n, 1)
    middle = (share + z**2 / (2.0 * n)) / (1.0 + z**2 / n)
    half = z / (1.0 + z**2 / n) * np.sqrt(share * (1.0 - share) / n + z**2 / (4.0 * n**2))
    return np.clip(middle - half, 0.0, 1.0), np.clip(middle + half, 0.0, 1.0)


@dataclass(frozen=True)
class Ways:
    """Share that has gone each of several ways by each time at which something happened.

    Parameters
    ----------
    time : array, shape (E,)
    at_risk : int array, shape (E,)
    share : array, shape (E, W)
        Aalen-Johansen cumulative shares of the ways 1..W [0..1].
    """

    time: Floats
    at_risk: Ints
    share: Floats


def aalen_johansen(time: Floats, way: Ints, ways: int) -> Ways:
    """Cumulative shares of ways that exclude each other.

    Parameters
    ----------
    time : array, shape (N,)
    way : int array, shape (N,)
        1..ways; 0 for one that was followed so long and had gone no way.
    ways : int
    """
    at = np.unique(time[way > 0])
    risk = len(time) - np.searchsorted(np.sort(time), at)
    each = np.stack(
        [np.bincount(np.searchsorted(at, time[way == w]), minlength=len(at)) for w in range(1, ways + 1)], axis=1
    )
    standing = np.cumprod(1.0 - each.sum(axis=1) / risk)
    before = np.concatenate([[1.0], standing[:-1]]) if len(at) else standing
    return Ways(at, risk, np.cumsum(before[:, None] * each / risk[:, None], axis=0))
