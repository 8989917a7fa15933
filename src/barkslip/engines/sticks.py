"""How many grafts to set, and so how many sticks to ask for, for a wanted chance of at least n living ones.

With a take that is sure the living grafts are binomial; with a take that is itself in doubt, a Beta, they are
beta-binomial (Skellam 1948): the doubt is shared by all grafts and does not average out.
"""

from __future__ import annotations

import math
from dataclasses import replace

from barkslip.domain.errors import InputError
from barkslip.domain.sticks import StickPlan, StickStep, Take

#: More grafts than this are no answer for a garden.
MOST_GRAFTS = 5_000
#: Fewer own grafts than this prove little.
FEW = 5


def chance_of(grafts: int, wanted: int, mean: float, weight: float | None = None) -> float:
    """Chance that at least `wanted` of `grafts` live.

    Parameters
    ----------
    grafts, wanted : int
    mean : float
        Share that takes [0..1].
    weight : float or None
        Grafts that the share is worth, as a Beta; None takes it as sure.

    Returns
    -------
    float
        [0..1]
    """
    if wanted <= 0:
        return 1.0
    if grafts < wanted:
        return 0.0
    if mean in (0.0, 1.0):
        return mean
    below = math.fsum(_share(k, grafts, mean, weight) for k in range(wanted))
    return min(1.0, max(0.0, 1.0 - below))


def _share(k: int, n: int, mean: float, weight: float | None) -> float:
    """Chance that exactly k of n live."""
    ways = math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
    if weight is None:
        return math.exp(ways + k * math.log(mean) + (n - k) * math.log1p(-mean))
    a, b = weight * mean, weight * (1.0 - mean)
    return math.exp(ways + _log_beta(k + a, n - k + b) - _log_beta(a, b))


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def least_grafts(wanted: int, sure: float, mean: float, weight: float | None = None) -> int:
    """The fewest grafts to set for a chance of `sure` that at least `wanted` live.

    Raises
    ------
    InputError
        If more than `MOST_GRAFTS` would be needed.
    """
    low, high = wanted - 1, wanted
    while chance_of(high, wanted, mean, weight) < sure:
        low, high = high, high * 2
        if low >= MOST_GRAFTS:
            raise InputError(
                "No number of sticks gives such a chance with such a take.",
                given=f"{wanted} alive, {100 * sure:g} % sure, take {100 * mean:g} %",
                allowed=f"what {MOST_GRAFTS} grafts can give",
                next_step="Ask for fewer living grafts or a smaller chance, or better the take first.",
                field="chance",
            )
    while high - low > 1:
        middle = (low + high) // 2
        if chance_of(middle, wanted, mean, weight) < sure:
            low = middle
        else:
            high = middle
    return high


def beta_range(mean: float, weight: float | None, tail: float = 0.1) -> tuple[float, float]:
    """The share with one chance in ten below it, and the one with one in ten above it [0..1]."""
    if weight is None or mean in (0.0, 1.0):
        return mean, mean
    from scipy.special import betaincinv  # only where a take is in doubt

    a, b = weight * mean, weight * (1.0 - mean)
    return float(betaincinv(a, b, tail)), float(betaincinv(a, b, 1.0 - tail))


def with_own(prior: Take, took: int, lost: int) -> Take:
    """A share in doubt after own grafts: what took and what did not are added to the Beta's two sides."""
    if prior.weight is None:
        raise ValueError("a sure share learns nothing")
    weight = prior.weight + took + lost
    mean = (prior.weight * prior.mean + took) / weight
    low, high = beta_range(mean, weight)
    return replace(prior, mean=mean, weight=weight, low=low, high=high, took=took, lost=lost)


def plan(
    wanted: int, sure: float, take: Take, *, buds_per_stick: int, buds_per_graft: int = 1,
    doubt_weight: float | None = None, unknowns: tuple[str, ...] = (),
) -> StickPlan:  # fmt: skip
    """How many sticks to ask for.

    Parameters
    ----------
    wanted : int
        Living grafts wanted, from 1.
    sure : float
        Wanted chance of at least so many (0..1).
    take : Take
    buds_per_stick, buds_per_graft : int
        Good buds on a stick, and how many of them one graft takes.
    doubt_weight : float or None
        Grafts that a sure share is worth if it is only a guess; the answer then has that case beside it.
    unknowns : tuple of str

    Raises
    ------
    InputError
        If a graft takes more buds than a stick has, or no number of sticks is enough.
    """
    if buds_per_graft > buds_per_stick:
        raise InputError(
            "One graft would take more buds than a stick has.",
            given=f"{buds_per_graft} buds a graft, {buds_per_stick} a stick",
            allowed=f"1 to {buds_per_stick} buds a graft",
            next_step="Correct one of the two.",
            field="buds_per_graft",
        )
    per_stick = buds_per_stick // buds_per_graft
    grafts = least_grafts(wanted, sure, take.mean, take.weight)
    sticks = math.ceil(grafts / per_stick)
    fewest = max(1, min(sticks - 2, math.ceil(wanted / per_stick)))
    shown = sorted({fewest, *range(max(1, sticks - 2), sticks + 2)})
    doubt = None
    if take.weight is None and doubt_weight is not None and 0.0 < take.mean < 1.0:
        low, high = beta_range(take.mean, doubt_weight)
        guess = replace(take, weight=doubt_weight, low=low, high=high)
        try:
            doubt = plan(wanted, sure, guess, buds_per_stick=buds_per_stick, buds_per_graft=buds_per_graft)
        except InputError:
            doubt = None  # so wide a doubt that no garden's sticks would settle it
    return StickPlan(
        wanted=wanted,
        sure=sure,
        buds_per_stick=buds_per_stick,
        buds_per_graft=buds_per_graft,
        take=take,
        grafts=grafts,
        buds=grafts * buds_per_graft,
        sticks=sticks,
        chance=chance_of(grafts, wanted, take.mean, take.weight),
        steps=tuple(_step(n, n * per_stick, wanted, take) for n in shown),
        doubt=doubt,
        unknowns=unknowns,
    )


def _step(sticks: int, grafts: int, wanted: int, take: Take) -> StickStep:
    return StickStep(
        sticks, grafts, chance_of(grafts, wanted, take.mean, take.weight), chance_of(grafts, 1, take.mean, take.weight)
    )
