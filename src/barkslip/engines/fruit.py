"""Pooling trials of stocks into ranges. Pure: gets readings and opinions, looks nothing up.

Figures (soluble solids) are pooled by a normal model: reading = level of the trial + effect of the stock + rest. Orders
and ratings are turned into steps, one standard deviation of the stocks of a trial each, and pooled the same way.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.fruit import HELD, Opinion, Range, Reading

Array = NDArray[np.float64]
_NORMAL = NormalDist()
_ROOT2 = math.sqrt(2.0)
#: As good as no knowledge of a trial's level beforehand [units of the reading, squared].
_FLAT = 1.0e4
#: No trial repeats itself better than this [share of the prior's variance].
_LEAST_REST = 0.1


@dataclass(frozen=True)
class Belief:
    """A normal belief; `df` below infinity makes its tails those of Student's t."""

    mean: float
    var: float
    df: float = math.inf

    @property
    def sd(self) -> float:
        """Standard deviation."""
        return math.sqrt(max(self.var, 0.0))

    def range(self) -> Range:
        """The range that holds eight in ten."""
        reach = self.sd * reach_of(self.df)
        return Range(self.mean - reach, self.mean, self.mean + reach)


def reach_of(df: float, held: float = HELD) -> float:
    """Half the width of the range that holds a share of cases [standard deviations], by Student's t.

    Cornish and Fisher's expansion about the normal; within 0.1 % of the exact for df of 3 and more at 80 %.
    """
    z = _NORMAL.inv_cdf((1 + held) / 2)
    if math.isinf(df):
        return z
    g1 = (z**3 + z) / 4
    g2 = (5 * z**5 + 16 * z**3 + 3 * z) / 96
    g3 = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384
    return z + g1 / df + g2 / df**2 + g3 / df**3


# -- figures ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Pool:
    """Effects of stocks on a figure, pooled.

    Parameters
    ----------
    prior : callable
        Stock -> belief before any trial.
    effects : mapping
        Stock -> belief after the trials.
    rest_var : float
        Variance of what neither level nor stock explains: chance, place, age.
    df : float
        Degrees of freedom behind `rest_var`.
    levels : mapping
        Trial -> level of a middling stock in it.
    """

    prior: Callable[[str], Belief]
    effects: Mapping[str, Belief]
    rest_var: float
    df: float
    levels: Mapping[str, float]

    def effect(self, stock: str) -> Belief:
        """What a stock does to the figure in a garden of one's own, the rest counted in."""
        known = self.effects.get(stock) or self.prior(stock)
        return Belief(known.mean, known.var + self.rest_var, self.df)


def pool(readings: Sequence[Reading], prior: Callable[[str], Belief]) -> Pool:
    """Pool readings of stocks from several trials."""
    trials = sorted({r.trial for r in readings})
    stocks = sorted({r.stock for r in readings})
    rest_var, df = _rest(readings, prior)
    if not readings:
        return Pool(prior, {}, rest_var, df, {})
    n = len(trials) + len(stocks)
    precision = np.zeros((n, n))
    pull = np.zeros(n)
    middle = float(np.mean([r.value for r in readings]))
    for i in range(len(trials)):
        precision[i, i] += 1.0 / _FLAT
        pull[i] += middle / _FLAT
    for j, stock in enumerate(stocks):
        belief = prior(stock)
        precision[len(trials) + j, len(trials) + j] += 1.0 / belief.var
        pull[len(trials) + j] += belief.mean / belief.var
    for r in readings:
        row: Array = np.zeros(n)
        row[trials.index(r.trial)] = 1.0
        row[len(trials) + stocks.index(r.stock)] = 1.0
        precision += np.outer(row, row) / rest_var
        pull += row * (r.value / rest_var)
    covariance = np.linalg.inv(precision)
    mean = covariance @ pull
    effects = {
        s: Belief(float(mean[len(trials) + j]), float(covariance[len(trials) + j, len(trials) + j]))
        for j, s in enumerate(stocks)
    }
    return Pool(prior, effects, rest_var, df, {t: float(mean[i]) for i, t in enumerate(trials)})


def _rest(readings: Sequence[Reading], prior: Callable[[str], Belief]) -> tuple[float, float]:
    """Variance of the rest and its degrees of freedom: what the trials scatter more than stocks are thought to."""
    squares, df, spread = 0.0, 0, []
    for trial in {r.trial for r in readings}:
        gone = [(r.value - prior(r.stock).mean) for r in readings if r.trial == trial]
        mean = sum(gone) / len(gone)
        squares += sum((g - mean) ** 2 for g in gone)
        df += len(gone) - 1
    spread = [prior(r.stock).var for r in readings] or [prior("").var]
    usual = sum(spread) / len(spread)
    if df < 1:
        return usual, 3.0
    return max(squares / df - usual, _LEAST_REST * usual), float(max(df, 3))


def level(
    variety: str,
    group: str,
    levels: Mapping[str, float],
    grown: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]],
    *,
    same_variety: float,
    same_group: float,
) -> tuple[Belief, str]:
    """Level of a variety on a middling stock at a place of one's own, and what it leans on most.

    Parameters
    ----------
    levels : mapping
        Trial -> its level.
    grown : mapping
        Trial -> (varieties, groups) it was made with.
    same_variety, same_group : float
        How alike two places are for one variety, two varieties of a group [0..1].

    Notes
    -----
    Levels are drawn from one spread over trials, correlated as said; the mean over all trials is estimated with them.
    """
    trials = sorted(levels)
    n = len(trials)
    values: Array = np.array([levels[t] for t in trials])
    spread = float(np.var(values, ddof=1)) if n > 1 else 4.0

    def alike(a: tuple[tuple[str, ...], tuple[str, ...]], b: tuple[tuple[str, ...], tuple[str, ...]]) -> float:
        if set(a[0]) & set(b[0]):
            return same_variety
        return same_group if set(a[1]) & set(b[1]) else 0.0

    asked = ((variety,), (group,))
    among = spread * np.array([[1.0 if a == b else alike(grown[a], grown[b]) for b in trials] for a in trials])
    near = spread * np.array([alike(asked, grown[t]) for t in trials])
    inverse = np.linalg.inv(among)
    ones = np.ones(n)
    mean_var = 1.0 / float(ones @ inverse @ ones)
    mean = mean_var * float(ones @ inverse @ values)
    weight = inverse @ near
    middle = mean + float(weight @ (values - mean))
    left = 1.0 - float(weight @ ones)
    var = spread - float(near @ weight) + left**2 * mean_var
    highest = max((alike(asked, grown[t]) for t in trials), default=0.0)
    basis = "all" if highest == 0 else "variety" if highest == same_variety else "group"
    return Belief(middle, var, float(max(n - 1, 3))), basis


def with_own(belief: Belief, own: Sequence[tuple[float, int]], *, year_sd: float, fruit_sd: float) -> Belief:
    """A belief about one's own fruit moved by own tastings, for the fruit of a coming year.

    Parameters
    ----------
    own : sequence of (value, fruits)
        Mean of each tasting and fruits in it; one tasting a year is assumed.
    year_sd, fruit_sd : float
        Spread from year to year, and from fruit to fruit.
    """
    if not own:
        return belief
    precision, pull = 1.0 / belief.var, belief.mean / belief.var
    for value, fruits in own:
        var = year_sd**2 + fruit_sd**2 / max(fruits, 1)
        precision += 1.0 / var
        pull += value / var
    return Belief(pull / precision, 1.0 / precision + year_sd**2, belief.df)


# -- orders and ratings -------------------------------------------------------------------------------------


def steps_of_order(tiers: Sequence[Sequence[str]]) -> dict[str, float]:
    """Names of an order, best first, as steps: normal scores of the middle rank of each tier.

    Blom (1958): the rank r of n stands for the normal quantile at (r - 3/8) / (n + 1/4).
    """
    n = sum(len(tier) for tier in tiers)
    out: dict[str, float] = {}
    before = 0
    for tier in tiers:
        rank = before + (len(tier) + 1) / 2
        for name in tier:
            out[name] = -_NORMAL.inv_cdf((rank - 0.375) / (n + 0.25))
        before += len(tier)
    return out


def sd_of_spread(spread: float, n: int) -> float:
    """Standard deviation of n values from their spread, highest less lowest: twice the normal score of the highest."""
    return spread / (2.0 * _NORMAL.inv_cdf((n - 0.375) / (n + 0.25)))


@dataclass(frozen=True)
class StepPool:
    """Steps of stocks pooled: stocks differ by `stock_var`, the rest is of the place, the top and chance."""

    beliefs: Mapping[str, Belief]
    stock_var: float
    rest_var: float

    def step(self, stock: str) -> Belief:
        """Step of a stock in a garden of one's own, the rest counted in."""
        known = self.beliefs.get(stock) or Belief(0.0, self.stock_var)
        return Belief(known.mean, known.var + self.rest_var)


def pool_steps(opinions: Sequence[Opinion], *, least_rest: float) -> StepPool:
    """Pool steps; each voice counts once for a stock.

    Parameters
    ----------
    least_rest : float
        Least share of the rest [0..1].
    """
    by_stock: dict[str, dict[str, list[float]]] = {}
    for one in opinions:
        by_stock.setdefault(one.stock, {}).setdefault(one.trial, []).append(one.step)
    voices = {s: [sum(v) / len(v) for v in said.values()] for s, said in by_stock.items()}
    squares = sum(sum((x - sum(v) / len(v)) ** 2 for x in v) for v in voices.values() if len(v) > 1)
    df = sum(len(v) - 1 for v in voices.values() if len(v) > 1)
    rest = min(max(squares / df if df else 1.0 - least_rest, least_rest), 1.0 - 0.2)
    stock_var = 1.0 - rest
    beliefs = {}
    for stock, said in voices.items():
        precision = 1.0 / stock_var + len(said) / rest
        beliefs[stock] = Belief(sum(said) / rest / precision, 1.0 / precision)
    return StepPool(beliefs, stock_var, rest)


# -- beliefs about the stock --------------------------------------------------------------------------------


def mixed(beliefs: Sequence[tuple[Belief, float]]) -> Range:
    """The range of a mixture of beliefs with their shares: found by halving, its middle is the median."""
    total = sum(share for _, share in beliefs)
    if len(beliefs) == 1:
        return beliefs[0][0].range()
    alike: dict[Belief, float] = {}
    for belief, share in beliefs:
        alike[belief] = alike.get(belief, 0.0) + share / total
    wide = [(b.mean, max(b.sd, 1e-12) * reach_of(b.df) / reach_of(math.inf), share) for b, share in alike.items()]

    def below(x: float) -> float:
        return sum(share * (0.5 + 0.5 * math.erf((x - mean) / (sd * _ROOT2))) for mean, sd, share in wide)

    low = min(mean - 8 * sd for mean, sd, _ in wide)
    high = max(mean + 8 * sd for mean, sd, _ in wide)

    def quantile(p: float) -> float:
        a, b = low, high
        for _ in range(40):
            half = (a + b) / 2
            a, b = (half, b) if below(half) < p else (a, half)
        return (a + b) / 2

    return Range(quantile((1 - HELD) / 2), quantile(0.5), quantile((1 + HELD) / 2))


def mean_and_var(beliefs: Sequence[tuple[Belief, float]]) -> tuple[float, float]:
    """Mean and variance of a mixture."""
    total = sum(share for _, share in beliefs)
    mean = sum(b.mean * share for b, share in beliefs) / total
    return mean, sum((b.var + (b.mean - mean) ** 2) * share for b, share in beliefs) / total


def more_on_second(
    first: Sequence[tuple[Belief, float]], second: Sequence[tuple[Belief, float]]
) -> tuple[Range, float]:
    """Second less first, each a mixture, and the chance that it is over nothing."""
    pairs = [
        (Belief(b.mean - a.mean, a.var + b.var, min(a.df, b.df)), share_a * share_b)
        for a, share_a in first
        for b, share_b in second
    ]
    total = sum(share for _, share in pairs)
    over = sum(share * (1 - _NORMAL.cdf(-d.mean / d.sd if d.sd else 0.0)) for d, share in pairs) / total
    return mixed(pairs), over
