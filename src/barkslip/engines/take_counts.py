"""What a bare count of grafts says with the published prior as a Beta: for typed counts, and to see what is too few.

Checked by tests/engines/test_take_counts.py against the worked table of docs/models/take.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class CountPrior:
    """A Beta belief about the share that takes, worth a + b grafts."""

    a: float
    b: float


@dataclass(frozen=True)
class CountAnswer:
    """Share that takes by a count and a prior.

    Parameters
    ----------
    mean : float
    low, high : float
        5 in 100 lie below, 5 above.
    prior_share : float
        Part of the answer that comes from the prior, (a + b) / (a + b + n).
    """

    mean: float
    low: float
    high: float
    prior_share: float


def beta_of(logit_mean: float, logit_sd: float) -> CountPrior:
    """The Beta whose share has the mean and the standard deviation of a logit-normal."""
    x, w = np.polynomial.hermite_e.hermegauss(60)
    share = 1.0 / (1.0 + np.exp(-(logit_mean + logit_sd * x)))
    mean = float(w @ share / w.sum())
    var = float(w @ (share - mean) ** 2 / w.sum())
    whole = mean * (1.0 - mean) / var - 1.0
    return CountPrior(mean * whole, (1.0 - mean) * whole)


def answer(took: float, n: float, prior: CountPrior, level: float = 0.9) -> CountAnswer:
    """What `took` of `n` say."""
    from scipy.special import betaincinv

    a, b = prior.a + took, prior.b + n - took
    rest = (1.0 - level) / 2.0
    whole = prior.a + prior.b
    return CountAnswer(
        a / (a + b), float(betaincinv(a, b, rest)), float(betaincinv(a, b, 1.0 - rest)), whole / (whole + n)
    )


def information(n: int, prior: CountPrior) -> float:
    """Expected information about the share from `n` more grafts [bit].

    Entropy of the prior less the mean entropy of what the n grafts can leave, each outcome by its chance beforehand.
    """
    from scipy.special import betaln, gammaln

    k = np.arange(n + 1, dtype=np.float64)
    chance = np.exp(
        gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
        + betaln(prior.a + k, prior.b + n - k) - betaln(prior.a, prior.b)
    )  # fmt: skip
    after = _entropy(prior.a + k, prior.b + n - k)
    return float(_entropy(np.array([prior.a]), np.array([prior.b]))[0] - chance @ after) / log(2.0)


def _entropy(a: Floats, b: Floats) -> Floats:
    """Entropy of a Beta [nat]."""
    from scipy.special import betaln, digamma

    return np.asarray(betaln(a, b) - (a - 1.0) * digamma(a) - (b - 1.0) * digamma(b) + (a + b - 2.0) * digamma(a + b))


def more_for_width(p: float, held: float, width: float, level: float = 0.9) -> int:
    """Grafts still needed until the interval of a share is no wider, if it stays about where it is.

    Parameters
    ----------
    p : float
        Share now [0..1].
    held : float
        Grafts that the present interval is worth.
    width : float
        Wanted width of the interval [0..1].
    """
    from math import ceil

    from scipy.special import ndtri

    z = float(ndtri(0.5 + level / 2.0))
    p = min(max(p, 0.02), 0.98)
    whole = p * (1.0 - p) * (2.0 * z / width) ** 2 - 1.0
    return max(0, ceil(whole - held))
