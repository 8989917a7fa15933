"""What a few successes and failures say about two shares, with flat beliefs beforehand. Exact; no draws.

Checked by tests/engines/test_beta_shares.py.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
#: Steps of the grid on which the difference of two shares is laid out; its error is far below one point.
STEPS = 2000


def share_interval(took: float, tried: float, level: float = 0.95) -> tuple[float, float]:
    """Interval of a share, flat beliefs beforehand [0..1]."""
    from scipy.special import betaincinv

    rest = (1.0 - level) / 2.0
    a, b = took + 1.0, tried - took + 1.0
    return float(betaincinv(a, b, rest)), float(betaincinv(a, b, 1.0 - rest))


def better(took_a: int, n_a: int, took_b: int, n_b: int) -> float:
    """Chance that the share behind a is the higher one, flat beliefs beforehand [0..1].

    Summed over the successes of a: with whole numbers the integral is a finite sum of beta functions.
    """
    from scipy.special import betaln

    a0, a1, b0, b1 = took_a + 1, n_a - took_a + 1, took_b + 1, n_b - took_b + 1
    i = np.arange(a0)
    terms = betaln(b0 + i, b1 + a1) - np.log(a1 + i) - betaln(1 + i, a1) - betaln(b0, b1)
    return float(min(1.0, np.exp(terms).sum()))


def better_table(n_a: int, n_b: int) -> Floats:
    """`better` for every result: shape (n_a + 1, n_b + 1)."""
    from scipy.special import betaln

    out = np.empty((n_a + 1, n_b + 1))
    took_b = np.arange(n_b + 1)
    for took_a in range(n_a + 1):
        i = np.arange(took_a + 1)[:, None]
        a1 = n_a - took_a + 1
        b0, b1 = took_b + 1, n_b - took_b + 1
        terms = betaln(b0 + i, b1 + a1) - np.log(a1 + i) - betaln(1 + i, a1) - betaln(b0, b1)
        out[took_a] = np.minimum(np.exp(terms).sum(axis=0), 1.0)
    return out


def difference_interval(took_a: int, n_a: int, took_b: int, n_b: int, level: float = 0.95) -> tuple[float, float]:
    """Interval of share a minus share b, flat beliefs beforehand: both laid out on a grid and folded."""
    in_a, in_b = _grid(took_a, n_a), _grid(took_b, n_b)
    folded = np.convolve(in_a, in_b[::-1])
    at = (np.arange(folded.size) - (STEPS - 1)) / STEPS
    whole = np.cumsum(folded)
    rest = (1.0 - level) / 2.0
    low, high = np.interp([rest, 1.0 - rest], whole / whole[-1], at)
    return float(low), float(high)


def _grid(took: int, tried: int) -> Floats:
    """Chance that the share lies in each of `STEPS` steps."""
    from scipy.special import betainc

    edges = np.linspace(0.0, 1.0, STEPS + 1)
    return np.diff(betainc(took + 1.0, tried - took + 1.0, edges))
