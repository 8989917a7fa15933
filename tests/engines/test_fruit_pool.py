"""Pooling of trials: checked against scipy, against numpy's linear algebra done another way, and against hand cases."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from barkslip.domain.fruit import Opinion, Reading
from barkslip.engines.fruit import (
    Belief,
    level,
    mixed,
    more_on_second,
    pool,
    pool_steps,
    reach_of,
    sd_of_spread,
    steps_of_order,
    with_own,
)


def flat(stock: str) -> Belief:
    return Belief(-0.65 if stock == "lemon" else 0.0, 0.39**2)


@pytest.mark.parametrize("df", [3, 4, 5, 8, 12, 30, math.inf])
def test_reach_against_students_t(df: float) -> None:
    """scipy.stats.t; the expansion is within a thousandth."""
    assert reach_of(df) == pytest.approx(float(stats.t.ppf(0.9, df)), rel=1e-3)


def test_pool_against_the_whole_normal_model() -> None:
    """The same model as one multivariate normal of all readings, conditioned by Kalman's formula."""
    readings = [
        Reading("a", "t1", 12.0, "s"), Reading("b", "t1", 11.0, "s"), Reading("lemon", "t1", 10.2, "s"),
        Reading("a", "t2", 9.0, "s"), Reading("c", "t2", 10.5, "s"),
    ]  # fmt: skip
    found = pool(readings, flat)
    names = ["a", "b", "c", "lemon"]
    prior_mean = np.array([flat(n).mean for n in names] + [10.54, 10.54])
    prior = np.diag([0.39**2] * 4 + [1.0e4] * 2)
    design = np.zeros((5, 6))
    for i, r in enumerate(readings):
        design[i, names.index(r.stock)] = 1
        design[i, 4 + ["t1", "t2"].index(r.trial)] = 1
    noise = found.rest_var * np.eye(5)
    values = np.array([r.value for r in readings])
    gain = prior @ design.T @ np.linalg.inv(design @ prior @ design.T + noise)
    mean = prior_mean + gain @ (values - design @ prior_mean)
    cov = prior - gain @ design @ prior
    for i, name in enumerate(names):
        assert found.effects[name].mean == pytest.approx(mean[i], abs=1e-6)
        assert found.effects[name].var == pytest.approx(cov[i, i], abs=1e-6)


def test_a_stock_without_trials_keeps_its_prior_and_the_rest() -> None:
    found = pool([Reading("a", "t", 11.0, "s"), Reading("b", "t", 10.0, "s")], flat)
    unknown = found.effect("nobody")
    assert unknown.mean == 0.0
    assert unknown.var == pytest.approx(0.39**2 + found.rest_var)
    assert found.effect("lemon").mean == -0.65


def test_a_trial_tells_only_differences() -> None:
    """Adding the same to all of a trial changes no stock."""
    base = [Reading("a", "t", 11.0, "s"), Reading("b", "t", 10.0, "s"), Reading("c", "t", 10.4, "s")]
    up = [Reading(r.stock, r.trial, r.value + 3.0, r.source) for r in base]
    first, second = pool(base, flat), pool(up, flat)
    for stock in "abc":
        assert first.effects[stock].mean == pytest.approx(second.effects[stock].mean, abs=1e-6)
    assert second.levels["t"] == pytest.approx(first.levels["t"] + 3.0)


def test_orders_as_normal_scores() -> None:
    """Expected normal order statistics of 3 and 5 (Harter 1961: 0.8463; 1.1630, 0.4950); Blom's are near them."""
    steps = steps_of_order([["a"], ["b"], ["c"]])
    assert steps == pytest.approx({"a": 0.8463, "b": 0.0, "c": -0.8463}, abs=0.03)
    five = steps_of_order([["a"], ["b"], ["c"], ["d"], ["e"]])
    assert [five["a"], five["b"]] == pytest.approx([1.1630, 0.4950], abs=0.02)
    alike = steps_of_order([["a", "b"], ["c"]])
    assert alike["a"] == alike["b"] == pytest.approx(NormalDist().inv_cdf(1 - (1.5 - 0.375) / 3.25))


@pytest.mark.parametrize(("n", "expected"), [(2, 1.128), (4, 2.059), (16, 3.532), (45, 4.415)])
def test_spread_of_so_many_against_the_tables(n: int, expected: float) -> None:
    """Expected range of n normal values (Tippett 1925; d2 of control charts)."""
    assert 1.0 / sd_of_spread(1.0, n) == pytest.approx(expected, rel=0.06)


def test_steps_shrink_and_one_source_is_one_voice() -> None:
    once = [Opinion("a", "s1", 1.0, "s1"), Opinion("b", "s1", -1.0, "s1"), Opinion("a", "s2", 1.0, "s2")]
    twice = [*once, Opinion("a", "s1", 1.0, "s1")]
    assert pool_steps(once, least_rest=0.3).step("a") == pool_steps(twice, least_rest=0.3).step("a")
    pooled = pool_steps(once, least_rest=0.3)
    assert 0 < pooled.step("a").mean < 1.0
    assert abs(pooled.step("b").mean) < pooled.step("a").mean
    assert pooled.step("nobody").mean == 0.0
    # by hand: stock 0.7, rest 0.3, two voices of 1: (2 / 0.3) / (1 / 0.7 + 2 / 0.3)
    assert pooled.step("a").mean == pytest.approx((2 / 0.3) / (1 / 0.7 + 2 / 0.3))


def test_level_of_a_variety_leans_on_its_own_trial_first() -> None:
    levels = {"t1": 10.0, "t2": 13.0, "t3": 11.5}
    grown = {"t1": (("x",), ("navel",)), "t2": (("y",), ("mandarin",)), "t3": (("z",), ("tangor",))}
    own, basis = level("x", "navel", levels, grown, same_variety=0.5, same_group=0.25)
    kin, near = level("w", "navel", levels, grown, same_variety=0.5, same_group=0.25)
    none, far = level("w", "lime", levels, grown, same_variety=0.5, same_group=0.25)
    assert (basis, near, far) == ("variety", "group", "all")
    assert 10.0 < own.mean < kin.mean < none.mean
    assert own.var < kin.var < none.var
    assert none.mean == pytest.approx(11.5)


def test_own_tastings_move_a_range_by_hand() -> None:
    """One tasting of 4 fruits: variance 0.7² + 0.8²/4 = 0.65 against a belief of 1: weight 1/(1 + 0.65)."""
    moved = with_own(Belief(11.0, 1.0), [(13.0, 4)], year_sd=0.7, fruit_sd=0.8)
    assert moved.mean == pytest.approx((11.0 + 13.0 / 0.65) / (1 + 1 / 0.65))
    assert moved.var == pytest.approx(1 / (1 + 1 / 0.65) + 0.49)
    assert with_own(Belief(11.0, 1.0), [], year_sd=0.7, fruit_sd=0.8) == Belief(11.0, 1.0)


def test_a_mixture_against_draws() -> None:
    rng = np.random.default_rng(1)
    parts = [(Belief(0.0, 1.0), 0.7), (Belief(4.0, 0.25), 0.3)]
    draws = np.where(rng.random(400_000) < 0.7, rng.normal(0, 1, 400_000), rng.normal(4, 0.5, 400_000))
    span = mixed(parts)
    assert (span.low, span.middle, span.high) == pytest.approx(tuple(np.quantile(draws, [0.1, 0.5, 0.9])), abs=0.02)


def test_two_stocks_beside_each_other() -> None:
    a, b = [(Belief(0.0, 0.5), 1.0)], [(Belief(1.0, 0.5), 1.0)]
    span, chance = more_on_second(a, b)
    assert chance == pytest.approx(NormalDist().cdf(1.0))
    assert span.middle == pytest.approx(1.0)
    back, other = more_on_second(b, a)
    assert other == pytest.approx(1 - chance)
    assert back.low == pytest.approx(-span.high)


@given(st.lists(st.tuples(st.floats(-3, 3), st.floats(0.01, 4), st.floats(0.01, 1)), min_size=1, max_size=6))
@settings(max_examples=60, deadline=None)
def test_ranges_run_forward(parts: list[tuple[float, float, float]]) -> None:
    span = mixed([(Belief(mean, var), share) for mean, var, share in parts])
    assert span.low <= span.middle <= span.high
    widest = max(math.sqrt(var) for _, var, _ in parts)
    assert min(p[0] for p in parts) - 1.3 * widest <= span.low
