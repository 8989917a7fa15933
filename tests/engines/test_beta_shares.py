"""Two shares with flat beliefs: against draws, closed forms and what must hold."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import beta

from barkslip.engines import beta_shares as engine


@pytest.mark.parametrize(("a", "n_a", "b", "n_b"), [(10, 12, 7, 12), (8, 8, 4, 8), (0, 3, 2, 9), (5, 20, 5, 20)])
def test_better_against_draws(a: int, n_a: int, b: int, n_b: int) -> None:
    rng = np.random.default_rng(11)
    x = rng.beta(a + 1, n_a - a + 1, 400_000)
    y = rng.beta(b + 1, n_b - b + 1, 400_000)
    assert engine.better(a, n_a, b, n_b) == pytest.approx(float((x > y).mean()), abs=0.004)
    low, high = engine.difference_interval(a, n_a, b, n_b)
    assert (low, high) == pytest.approx(np.quantile(x - y, [0.025, 0.975]), abs=0.006)


def test_one_against_none_by_hand() -> None:
    # flat beliefs, 1 of 1 against 0 of 1: densities 2x and 2(1-y); P(x > y) = int 2x (2x - x^2) dx = 4/3 - 1/2 = 5/6
    assert engine.better(1, 1, 0, 1) == pytest.approx(5 / 6)
    assert engine.better(0, 0, 0, 0) == pytest.approx(0.5)


def test_the_two_arms_share_one_chance() -> None:
    for a, b in ((3, 7), (0, 10), (10, 0)):
        assert engine.better(a, 10, b, 10) + engine.better(b, 10, a, 10) == pytest.approx(1.0)


def test_share_interval_is_the_beta_quantile() -> None:
    assert engine.share_interval(10, 12) == pytest.approx(beta.ppf([0.025, 0.975], 11, 3))
    low, high = engine.share_interval(1, 1)
    assert 0.1 < low < 0.2
    assert high < 1.0  # 1 of 1 is never 100 %


def test_table_is_the_single_value() -> None:
    table = engine.better_table(6, 6)
    assert table.shape == (7, 7)
    assert table[5, 2] == pytest.approx(engine.better(5, 6, 2, 6))
    assert np.all(np.diff(table, axis=0) > 0)
