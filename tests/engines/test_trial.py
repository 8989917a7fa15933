"""What a trial shows: the sleep data, hand-worked counts, and what must never count as more than one."""

from __future__ import annotations

import tomllib
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from barkslip.engines.trial import Lines, blocks_p, cells_of, holm, measured, shares, verdict_of

SLEEP = tomllib.loads((Path(__file__).parents[1] / "published" / "trial_power.toml").read_text("utf-8"))["sleep"]


def test_paired_against_student_sleep() -> None:
    rows = [(f"p{i}", arm, "", v) for arm in ("first", "second") for i, v in enumerate(SLEEP[arm])]
    found = measured(cells_of(rows), less_is_better=False, lines=Lines())
    (pair,) = found.pairs
    assert (found.replicate, found.n_blocks) == ("block", 10)
    assert (pair.arm, pair.against, pair.verdict) == ("second", "first", "shown")
    assert pair.difference == pytest.approx(SLEEP["difference"])
    assert pair.p_value == pytest.approx(SLEEP["p"], abs=5e-7)
    assert (pair.low, pair.high) == pytest.approx((SLEEP["low"], SLEEP["high"]), abs=5e-7)


def test_several_arms_against_scipy_tukey() -> None:
    from scipy.stats import tukey_hsd

    rng = np.random.default_rng(3)
    groups = [rng.normal(m, 1.0, 6) for m in (0.0, 0.8, 2.0)]
    rows = [(f"{a}{i}", a, "", v) for a, g in zip("abc", groups, strict=True) for i, v in enumerate(g)]
    found = measured(cells_of(rows), less_is_better=True, lines=Lines())
    theirs = tukey_hsd(*groups)
    interval = theirs.confidence_interval(0.95)
    for p in found.pairs:
        i, j = "abc".index(p.arm), "abc".index(p.against)
        assert p.p_value == pytest.approx(theirs.pvalue[i, j], abs=1e-6)
        assert (p.low, p.high) == pytest.approx((interval.low[i, j], interval.high[i, j]), abs=1e-4)


def test_single_readings_never_count() -> None:
    # two scions an arm, 500 readings each: the readings add nothing to two
    rng = np.random.default_rng(4)
    rows = [
        (u, u[0], "", rng.normal(m, 0.1)) for u, m in (("a1", 0), ("a2", 1), ("b1", 2), ("b2", 3)) for _ in range(500)
    ]
    found = measured(cells_of(rows), less_is_better=None, lines=Lines())
    assert [a.n for a in found.arms] == [2, 2]
    assert [a.readings for a in found.arms] == [1000, 1000]
    assert found.pairs[0].verdict == "not shown"
    assert found.pairs[0].better is None


def test_one_unit_an_arm_gives_no_verdict() -> None:
    found = measured(cells_of([("a1", "a", "", 1.0), ("b1", "b", "", 9.0)]), less_is_better=False, lines=Lines())
    assert found.pairs == ()
    assert [(a.low, a.high) for a in found.arms] == [(None, None)] * 2


def test_blocks_that_lack_a_way_are_not_paired() -> None:
    rows = [(f"{b}{a}", a, b, float(i)) for i, (b, a) in enumerate((("x", "a"), ("x", "b"), ("y", "a"), ("z", "b")))]
    found = measured(cells_of(rows), less_is_better=False, lines=Lines())
    assert (found.replicate, found.n_blocks) == ("unit", 0)


def test_interval_covers_on_simulated_nights() -> None:
    """Two ways in nine nights with a spread of nights: the range holds 19 times in 20 (se of 400 runs 1.1 points)."""
    rng = np.random.default_rng(8)
    true = {"a": 0.0, "b": 0.4}
    hits = 0
    for _ in range(400):
        night = rng.normal(0.0, 0.7, 9)
        rows = [
            (f"n{i}", a, f"n{i}", m + night[i] + rng.normal(0, 0.5)) for i, (a, m) in product(range(9), true.items())
        ]
        (p,) = measured(cells_of(rows), less_is_better=False, lines=Lines()).pairs
        hits += p.low <= true[p.arm] - true[p.against] <= p.high
    assert 0.92 <= hits / 400 <= 0.98


def test_blocks_of_takes_by_hand() -> None:
    # trees with 1, 2, 0, 1 losses of 4, all in the second arm: 1/2 * 1/6 * 1 * 1/2 = 1/24 one way, 1/12 both
    tables = [(2, 2, 1, 2), (2, 2, 0, 2), (2, 2, 2, 2), (2, 2, 1, 2)]
    assert blocks_p(tables) == pytest.approx(1 / 12)
    assert blocks_p([(2, 2, 2, 2)]) == 1.0


def test_takes_and_the_verdict() -> None:
    arms, (pair,) = shares({"chip bud": (7, 12), "T-bud": (10, 12)}, {}, Lines())
    assert [a.arm for a in arms] == ["T-bud", "chip bud"]
    assert pair.difference == pytest.approx(0.25)
    assert pair.p_value == pytest.approx(0.3707, abs=5e-5)
    assert pair.better == pytest.approx(0.899, abs=5e-4)
    assert pair.verdict == "not shown"
    blocks = {"T1": {"w": (2, 2), "u": (1, 2)}, "T2": {"w": (2, 2), "u": (0, 2)}, "T3": {"w": (2, 2), "u": (2, 2)},
              "T5": {"w": (2, 2), "u": (1, 2)}}  # fmt: skip
    _, (pair,) = shares({"w": (8, 8), "u": (4, 8)}, blocks, Lines())
    assert (pair.verdict, pair.in_blocks_p) == ("leaning", pytest.approx(1 / 12))


def test_one_of_one_shows_nothing() -> None:
    arms, (pair,) = shares({"A": (1, 1), "B": (0, 1)}, {}, Lines())
    assert pair.verdict == "not shown"
    assert arms[0].low is not None
    assert arms[0].low < 0.2


def test_several_ways_are_held_together() -> None:
    # one p of 0.03 among three pairs is no find: Holm 1979, three p-values by hand
    assert holm([0.01, 0.04, 0.03]) == pytest.approx([0.03, 0.06, 0.06])
    counts = {"a": (12, 12), "b": (9, 12), "c": (7, 12)}
    _, pairs = shares(counts, {}, Lines())
    alone = shares({"a": (12, 12), "c": (7, 12)}, {}, Lines())[1][0]
    assert alone.verdict == "shown"
    assert next(p for p in pairs if (p.arm, p.against) == ("a", "c")).verdict != "shown"


def test_alike_is_a_result_too() -> None:
    _, (pair,) = shares({"a": (480, 600), "b": (474, 600)}, {}, Lines(worth=0.1))
    assert pair.verdict == "alike"
    assert verdict_of(0.5, 0.6, (-0.3, 0.4), Lines(worth=0.1)) == "not shown"
    assert verdict_of(0.01, 0.99, (0.1, 0.4), Lines(worth=0.1)) == "shown"


def test_how_often_a_leaning_is_luck() -> None:
    """Between equal takes a leaning comes about 1 time in 20 each way, a shown far less often."""
    from barkslip.engines.beta_shares import better_table
    from barkslip.engines.power import binomial, fisher_p

    n, p = 12, 0.7
    table = better_table(n, n)
    weight = np.outer(binomial(n, p), binomial(n, p))
    lean = float(weight[(table >= 0.95) | (table <= 0.05)].sum())
    shown = sum(weight[x, y] for x in range(n + 1) for y in range(n + 1) if fisher_p(x, n, y, n) <= 0.05)
    assert 0.05 < lean < 0.13
    assert shown < 0.05


def test_nothing_varies() -> None:
    rows = [(f"{a}{i}", a, "", 1.0 if a == "a" else 2.0) for a in "ab" for i in range(3)]
    (pair,) = measured(cells_of(rows), less_is_better=False, lines=Lines()).pairs
    assert (pair.verdict, pair.p_value) == ("shown", 0.0)
    same = [(f"{a}{i}", a, "", 1.0) for a in "ab" for i in range(3)]
    (pair,) = measured(cells_of(same), less_is_better=False, lines=Lines()).pairs
    assert (pair.p_value, pair.verdict) == (1.0, "not shown")
