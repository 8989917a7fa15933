"""Power of small trials, counted exactly where it can be: both binomials summed over Fisher's region.

Checked by tests/engines/test_power.py; equations in docs/models/trials.md.
"""

from __future__ import annotations

from functools import lru_cache
from math import ceil, comb, sqrt

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.power import MeasuredPower, SizeRow, StopRule, TakePower

Floats = NDArray[np.float64]
#: More than this in each arm is not searched for: no garden sets so many.
MOST_EACH = 600
#: Sizes whose power is always told.
TOLD_SIZES = (10, 20, 30)
#: Probabilities that differ by less than this share count as equal in Fisher's test.
TIE = 1e-7


def quantile(p: float) -> float:
    """Standard normal quantile."""
    from scipy.special import ndtri

    return float(ndtri(p))


def normal_n(a: float, b: float, alpha: float = 0.05, power: float = 0.8) -> float:
    """In each arm, for a two-sided test of two shares by the normal approximation; not rounded.

    Source: Fleiss, Levin and Paik 2003, Statistical Methods for Rates and Proportions, ch. 4.
    """
    mean = (a + b) / 2.0
    reach = quantile(1.0 - alpha / 2.0) * sqrt(2.0 * mean * (1.0 - mean))
    reach += quantile(power) * sqrt(a * (1.0 - a) + b * (1.0 - b))
    return (reach / (a - b)) ** 2


def normal_power(n: float, a: float, b: float, alpha: float = 0.05) -> float:
    """The same approximation the other way round: chance of seeing it with n in each arm [0..1]."""
    from scipy.special import ndtr

    mean = (a + b) / 2.0
    reach = sqrt(n) * abs(a - b) - quantile(1.0 - alpha / 2.0) * sqrt(2.0 * mean * (1.0 - mean))
    return float(ndtr(reach / sqrt(a * (1.0 - a) + b * (1.0 - b))))


def fleiss_n(a: float, b: float, alpha: float = 0.05, power: float = 0.8) -> int:
    """In each arm, with the correction for counts: n/4 (1 + sqrt(1 + 4 / (n |a - b|)))²."""
    n = normal_n(a, b, alpha, power)
    return ceil(n / 4.0 * (1.0 + sqrt(1.0 + 4.0 / (n * abs(a - b)))) ** 2 - 1e-9)


@lru_cache(maxsize=8)
def _log_factorials(size: int) -> Floats:
    return np.concatenate(([0.0], np.cumsum(np.log(np.arange(1.0, size + 1.0)))))


def _log_choose(n: int) -> Floats:
    f = _log_factorials(4096 if n < 2048 else 2 * n + 2)
    return np.asarray(f[n] - f[: n + 1] - f[: n + 1][::-1])


def binomial(n: int, p: float) -> Floats:
    """Chances of 0..n successes."""
    if p <= 0.0 or p >= 1.0:
        out = np.zeros(n + 1)
        out[n if p >= 1.0 else 0] = 1.0
        return out
    k = np.arange(n + 1)
    return np.asarray(np.exp(_log_choose(n) + k * np.log(p) + (n - k) * np.log1p(-p)))


@lru_cache(maxsize=64)
def _critical(n: int, alpha: float) -> NDArray[np.int64]:
    """For each total 0..2n of successes: the most in one arm that Fisher's test still calls different; -1 for none.

    With arms of the same size the law of a total is symmetric, so the two-sided p is twice the tail.
    """
    choose = _log_choose(n)
    total = np.arange(2 * n + 1)
    k = np.arange(n + 1)
    other = total[:, None] - k[None, :]
    inside = (other >= 0) & (other <= n)
    logs = np.where(inside, choose[k][None, :] + choose[np.clip(other, 0, n)], -np.inf)
    whole = _log_choose(2 * n)[:, None]
    tails = np.cumsum(np.exp(logs - whole), axis=1)
    rejects = inside & (2.0 * tails <= alpha * (1.0 + TIE)) & (2 * k[None, :] < total[:, None])
    return np.where(rejects.any(axis=1), rejects.shape[1] - 1 - np.argmax(rejects[:, ::-1], axis=1), -1)


def fisher_power(n: int, a: float, b: float, alpha: float = 0.05) -> float:
    """Chance that Fisher's two-sided test with n in each arm tells takes a and b apart [0..1]; exact."""
    critical = _critical(n, alpha)
    in_a, in_b = binomial(n, a), binomial(n, b)
    i = np.arange(n + 1)
    total = i[:, None] + i[None, :]
    low = np.minimum(i[:, None], i[None, :])
    return float((in_a[:, None] * in_b[None, :])[low <= critical[total]].sum())


def fisher_n(a: float, b: float, alpha: float = 0.05, power: float = 0.8) -> int | None:
    """The first number in each arm with which Fisher's test reaches the wanted power; None above `MOST_EACH`.

    Searched upwards from 0.7 of the normal number (0.97 where that is over 150; Fisher's needs 1.04 times the
    normal number and more there). Power saw-tooths, so one more can see a
    little less.
    """
    guess = normal_n(a, b, alpha, power)
    if guess > MOST_EACH:
        return None
    for n in range(max(2, int(guess * (0.7 if guess < 150.0 else 0.97))), MOST_EACH + 1):
        if fisher_power(n, a, b, alpha) >= power:
            return n
    return None


def fisher_p(took_a: int, n_a: int, took_b: int, n_b: int) -> float:
    """Fisher's two-sided p of a two-by-two table: all tables of the same margins that are no likelier [0..1]."""
    total = took_a + took_b
    k = np.arange(max(0, total - n_b), min(n_a, total) + 1)
    chances = np.array([float(comb(n_a, int(i)) * comb(n_b, total - int(i))) for i in k])
    chances /= chances.sum()
    own = chances[took_a - int(k[0])]
    return float(min(1.0, chances[chances <= own * (1.0 + TIE)].sum()))


def all_or_none_p(n: int) -> float:
    """Fisher's two-sided p of all against none with n in each arm: 2 / C(2n, n)."""
    return 2.0 / comb(2 * n, n)


def inflation(per_tree: int, icc: float) -> float:
    """By what numbers grow if each tree carries one arm only: 1 + (m - 1) icc."""
    return 1.0 + (per_tree - 1) * icc


def paired_power(n: float, difference: float, sd: float, alpha: float = 0.05) -> float:
    """Chance that a two-sided paired t with n pairs sees a difference; sd of the differences [0..1].

    Both tails are counted.
    """
    return _t_power(n - 1.0, sqrt(n) * abs(difference) / sd, alpha)


def unit_power(n: float, difference: float, sd: float, alpha: float = 0.05) -> float:
    """Chance that a two-sided t with n units in each arm sees a difference; sd of the units [0..1]."""
    return _t_power(2.0 * (n - 1.0), sqrt(n / 2.0) * abs(difference) / sd, alpha)


def _t_power(df: float, shift: float, alpha: float) -> float:
    from scipy.special import nctdtr, stdtrit

    if df <= 0.0:
        return 0.0
    edge = float(stdtrit(df, 1.0 - alpha / 2.0))
    lower = float(nctdtr(df, shift, -edge))  # not a number where it is far below what can be told from 0
    return 1.0 - float(nctdtr(df, shift, edge)) + (lower if lower == lower else 0.0)


def measured_power(
    difference: float, sd: float, *, paired: bool, alpha: float, wanted: float, own_n: int | None = None
) -> MeasuredPower:
    """How many pairs, or units in each arm, tell a measured difference."""
    how = paired_power if paired else unit_power
    n = 2
    while n < 10_000 and how(n, difference, sd, alpha) < wanted:
        n += 1 if n < 200 else n // 50
    return MeasuredPower(
        difference=difference,
        sd=sd,
        paired=paired,
        alpha=alpha,
        wanted=wanted,
        needed=n,
        at=tuple((size, how(size, difference, sd, alpha)) for size in (3, 5, *TOLD_SIZES)),
        own_n=own_n,
        own_power=how(own_n, difference, sd, alpha) if own_n and own_n > 1 else None,
    )


def take_power(
    a: float,
    b: float,
    *,
    alpha: float,
    wanted: float,
    own_n: int | None = None,
    per_tree: int = 1,
    icc: float = 0.0,
    stop: StopRule | None = None,
) -> TakePower:
    """How many grafts tell two takes apart, by three ways of counting.

    Parameters
    ----------
    a, b : float
        Takes, not equal [0..1].
    own_n : int or None
        A number in each arm that is asked about.
    per_tree, icc
        As in `TakePower`.
    """
    fisher = fisher_n(a, b, alpha, wanted)
    grown = inflation(per_tree, icc)
    return TakePower(
        a=a,
        b=b,
        alpha=alpha,
        wanted=wanted,
        normal=normal_n(a, b, alpha, wanted),
        fleiss=fleiss_n(a, b, alpha, wanted),
        fisher=fisher,
        at=tuple((n, fisher_power(n, a, b, alpha)) for n in TOLD_SIZES),
        own_n=own_n,
        own_power=_own_power(own_n, a, b, alpha, grown),
        per_tree=per_tree,
        icc=icc,
        inflation=grown,
        with_trees=ceil(fisher * grown - 1e-9) if fisher is not None else None,
        stop=stop,
    )


def _own_power(n: int | None, a: float, b: float, alpha: float, grown: float) -> float | None:
    """Power of the number asked about, worth less by what whole trees cost."""
    if n is None:
        return None
    worth = int(n / grown + 1e-9)
    return fisher_power(worth, a, b, alpha) if worth >= 1 else 0.0


def size_rows(
    n: int, difference: float, *, alpha: float, wanted: float, usual: tuple[float, ...] = (0.5, 0.6, 0.7, 0.8)
) -> tuple[SizeRow, ...]:
    """What n in each arm sees of a difference, from several usual takes."""
    rows = []
    for one in usual:
        other = one + difference
        if other >= 1.0:
            other = one - difference
        if other <= 0.0:
            continue
        rows.append(SizeRow(one, other, fisher_power(n, one, other, alpha), fisher_n(one, other, alpha, wanted)))
    return tuple(rows)
