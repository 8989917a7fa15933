"""Looking at a trial before its end: a line to cross that keeps the false alarm over all looks, counted exactly.

After each look the trial stops if the chance that one arm is better (flat beliefs beforehand) has reached the line. All
paths of results between two looks are followed by their binomial chances; nothing is drawn at random. Checked by
tests/engines/test_stopping.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.power import StopRule
from barkslip.engines.beta_shares import better_table
from barkslip.engines.power import binomial

Floats = NDArray[np.float64]
#: Takes at which arms that are equal are tried.
EQUAL_TAKES = tuple(round(0.05 * k, 2) for k in range(1, 20))
#: Finest step of the line.
BOUND_STEP = 0.0005
#: Largest trial for which all paths are followed.
MOST_EACH = 120


def looks_of(most: int, every: int) -> tuple[int, ...]:
    """5, 10, ... most."""
    out = list(range(every, most, every))
    return (*out, most)


def ends(looks: Sequence[int], bound: float, take_a: float, take_b: float) -> tuple[Floats, Floats]:
    """Chance of stopping for a, and for b, at each look; arrays of the length of `looks`."""
    state = np.ones((1, 1))
    before = 0
    for_a, for_b = np.zeros(len(looks)), np.zeros(len(looks))
    for i, n in enumerate(looks):
        state = _step(n - before, take_a, before).T @ state @ _step(n - before, take_b, before)
        chance = _table(n)
        to_a, to_b = chance >= bound, chance <= 1.0 - bound
        for_a[i], for_b[i] = state[to_a].sum(), state[to_b].sum()
        state = np.where(to_a | to_b, 0.0, state)
        before = n
    return for_a, for_b


@lru_cache(maxsize=64)
def _table(n: int) -> Floats:
    return better_table(n, n)


def _step(more: int, take: float, before: int) -> Floats:
    """From 0..before successes to 0..before + more: shape (before + 1, before + more + 1)."""
    out = np.zeros((before + 1, before + more + 1))
    chances = binomial(more, take)
    for took in range(before + 1):
        out[took, took : took + more + 1] = chances
    return out


def stop_rule(most: int, every: int, alpha: float = 0.05) -> StopRule:
    """The lowest line that keeps the false alarm, at any take, over all looks together.

    Parameters
    ----------
    most : int
        In each arm, the end of the trial.
    every : int
        In each arm, between two looks.
    alpha : float
        Chance of stopping on equal arms, both sides together [0..1].
    """
    looks = looks_of(most, every)
    low, high = 0, round(0.5 / BOUND_STEP) - 1
    while low < high:
        middle = (low + high) // 2
        if _worst(looks, 0.5 + middle * BOUND_STEP)[0] <= alpha:
            high = middle
        else:
            low = middle + 1
    bound = round(0.5 + low * BOUND_STEP, 4)
    error, at = _worst(looks, bound)
    return StopRule(looks, bound, error, at)


def _worst(looks: Sequence[int], bound: float) -> tuple[float, float]:
    errors = [float(sum(part.sum() for part in ends(looks, bound, take, take))) for take in EQUAL_TAKES]
    worst = int(np.argmax(errors))
    return errors[worst], EQUAL_TAKES[worst]


def with_takes(rule: StopRule, take_a: float, take_b: float) -> StopRule:
    """The rule with its power between two takes and the mean size at which it stops."""
    for_a, for_b = ends(rule.looks, rule.bound, take_a, take_b)
    right = for_a if take_a > take_b else for_b
    looks = np.array(rule.looks, dtype=float)
    stopped = for_a + for_b
    mean = float((stopped * looks).sum() + (1.0 - stopped.sum()) * looks[-1])
    return replace(rule, power=float(right.sum()), mean_n=mean)
