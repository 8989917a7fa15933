"""How past answers about nights have done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from barkslip.domain.night import NightScore


@dataclass(frozen=True)
class ScoreSummary:
    """How past answers have done; None where no night can say.

    Parameters
    ----------
    nights : int
        Nights with an answer and a measured low.
    bias_k, error_k : float or None
        Ours minus measured: mean, and root of the mean square [K].
    forecast_nights : int
        Those of them for which a forecast's low is known too.
    forecast_bias_k, forecast_error_k : float or None
        The same of the forecast as it was given [K].
    inside : int
        Nights whose low lay between our one in ten and nine in ten.
    """

    nights: int
    bias_k: float | None
    error_k: float | None
    forecast_nights: int
    forecast_bias_k: float | None
    forecast_error_k: float | None
    inside: int


def summed_up(scores: Sequence[NightScore]) -> ScoreSummary:
    """Mean error of past answers, over the nights with a measured low."""
    ours: list[float] = []
    theirs: list[float] = []
    inside = 0
    for one in scores:
        if one.measured_low_c is None or one.our_low_c is None:
            continue
        ours.append(one.our_low_c.p50 - one.measured_low_c)
        inside += one.our_low_c.p10 <= one.measured_low_c <= one.our_low_c.p90
        if one.forecast_low_c is not None:
            theirs.append(one.forecast_low_c - one.measured_low_c)
    return ScoreSummary(len(ours), _mean(ours), _root(ours), len(theirs), _mean(theirs), _root(theirs), inside)


def _mean(errors: list[float]) -> float | None:
    return sum(errors) / len(errors) if errors else None


def _root(errors: list[float]) -> float | None:
    return sqrt(sum(e * e for e in errors) / len(errors)) if errors else None
