"""Looking before the end: the error over all looks, by counting and by simulation."""

from __future__ import annotations

import numpy as np
import pytest

from barkslip.engines.beta_shares import better_table
from barkslip.engines.power import binomial
from barkslip.engines.stopping import EQUAL_TAKES, ends, looks_of, stop_rule, with_takes


def test_a_line_of_nine_in_ten_at_one_look() -> None:
    # flat beliefs, chance over 0.9, .6 against .9: reached in .61 / .85 / .93 with 10 / 20 / 30 each (simulated
    # elsewhere); equal takes of .7: about .10 each way
    reached, wrong = [], []
    for n in (10, 20, 30):
        table = better_table(n, n)
        weight = np.outer(binomial(n, 0.9), binomial(n, 0.6))
        reached.append(float(weight[table > 0.9].sum()))
        equal = np.outer(binomial(n, 0.7), binomial(n, 0.7))
        wrong.append(float(equal[table > 0.9].sum()))
    assert reached == pytest.approx([0.61, 0.85, 0.93], abs=0.006)
    assert wrong == pytest.approx([0.10, 0.10, 0.10], abs=0.012)


@pytest.mark.parametrize(("most", "every"), [(12, 4), (40, 5)])
def test_error_over_all_looks_is_kept_at_every_take(most: int, every: int) -> None:
    rule = stop_rule(most, every)
    errors = [float(sum(part.sum() for part in ends(rule.looks, rule.bound, p, p))) for p in EQUAL_TAKES]
    assert max(errors) <= 0.05
    assert rule.error == pytest.approx(max(errors))
    assert max(errors) > 0.035  # the line is not drawn higher than it must be


def test_the_same_line_at_every_look_without_care_would_lie() -> None:
    # a chance of 95 in 100, looked at eight times, stops on equal arms far more often than 1 time in 20 each way
    stopped = sum(part.sum() for part in ends(looks_of(40, 5), 0.975, 0.5, 0.5))
    assert stopped > 0.12


def test_against_simulation() -> None:
    rule = with_takes(stop_rule(40, 5), 0.6, 0.9)
    rng = np.random.default_rng(5)
    right = wrong = 0
    sizes = []
    runs = 4000
    tables = {n: better_table(n, n) for n in rule.looks}
    for _ in range(runs):
        a, b = rng.random(40) < 0.6, rng.random(40) < 0.9
        for n in rule.looks:
            chance = tables[n][a[:n].sum(), b[:n].sum()]
            if chance >= rule.bound or chance <= 1 - rule.bound or n == rule.looks[-1]:
                sizes.append(n)
                right += chance <= 1 - rule.bound
                wrong += chance >= rule.bound
                break
    assert rule.power is not None
    assert rule.mean_n is not None
    assert rule.power == pytest.approx(right / runs, abs=0.02)
    assert rule.mean_n == pytest.approx(float(np.mean(sizes)), abs=0.6)
    assert wrong / runs < 0.002


def test_looks() -> None:
    assert looks_of(12, 5) == (5, 10, 12)
    assert looks_of(10, 5) == (5, 10)
