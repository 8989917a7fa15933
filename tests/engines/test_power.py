"""Power of small trials: against R's printed examples, hand-worked tables and plain enumeration."""

from __future__ import annotations

import tomllib
from math import ceil, comb
from pathlib import Path

import pytest

from barkslip.engines import power as engine

PUBLISHED = tomllib.loads((Path(__file__).parents[1] / "published" / "trial_power.toml").read_text("utf-8"))
ROWS = PUBLISHED["own"]["rows"]


def enumerated(n: int, a: float, b: float, alpha: float = 0.05) -> float:
    """Power by walking through every table with Fisher's p as SciPy has it: another path to the same number."""
    from scipy.stats import binom, fisher_exact

    total = 0.0
    for x in range(n + 1):
        for y in range(n + 1):
            if fisher_exact([[x, n - x], [y, n - y]])[1] <= alpha:
                total += binom.pmf(x, n, a) * binom.pmf(y, n, b)
    return float(total)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r[0]} v {r[1]}")
def test_table_of_takes(row: list[float]) -> None:
    a, b, normal, fleiss, fisher, *powers = row
    assert ceil(engine.normal_n(a, b)) == normal
    assert engine.fleiss_n(a, b) == fleiss
    assert engine.fisher_n(a, b) == fisher
    assert [engine.fisher_power(n, a, b) for n in (5, 8, 10, 15, 20, 30)] == pytest.approx(powers, abs=6e-4)


@pytest.mark.parametrize(("n", "a", "b"), [(6, 0.6, 0.9), (9, 0.3, 0.8), (12, 0.6, 0.8), (11, 0.5, 0.5)])
def test_power_against_enumeration(n: int, a: float, b: float) -> None:
    assert engine.fisher_power(n, a, b) == pytest.approx(enumerated(n, a, b), abs=1e-10)


def test_normal_power_against_r_power_prop_test() -> None:
    r = PUBLISHED["power_prop_test"]
    assert engine.normal_power(r["n"], r["p1"], r["p2"]) == pytest.approx(r["power"], abs=5e-7)
    assert engine.normal_n(r["p1"], r["p2"], power=0.9) == pytest.approx(r["n_for_90"], abs=0.05)


def test_fisher_power_against_statmod_within_its_simulation_error() -> None:
    r = PUBLISHED["power_fisher_test"]
    assert abs(engine.fisher_power(20, 0.5, 0.9) - r["about"]) < 2 * r["se"]


def test_t_power_against_r_power_t_test() -> None:
    r = PUBLISHED["power_t_test"]
    assert engine.unit_power(r["n"], 1.0, 1.0) == pytest.approx(r["power"], abs=5e-7)
    assert engine.unit_power(r["n_for_90"], 1.0, 1.0) == pytest.approx(0.9, abs=1e-5)


def test_all_against_none_by_hand() -> None:
    # 2 / C(2n, n): 2/20, 2/70, 2/252
    assert [engine.all_or_none_p(n) for n in (3, 4, 5)] == pytest.approx([0.1, 2 / 70, 2 / 252])
    for n in (3, 4, 5):
        assert engine.fisher_p(n, n, 0, n) == pytest.approx(engine.all_or_none_p(n))


def test_fisher_p_by_hand() -> None:
    # 10 of 12 against 7 of 12: C(12,k) C(12,17-k) / C(24,17) for k = 5..12; those no likelier than k = 10
    weights = {k: comb(12, k) * comb(12, 17 - k) for k in range(5, 13)}
    by_hand = sum(w for w in weights.values() if w <= weights[10]) / comb(24, 17)
    assert by_hand == pytest.approx(0.3707, abs=5e-5)
    assert engine.fisher_p(10, 12, 7, 12) == pytest.approx(by_hand)
    assert engine.fisher_p(8, 8, 4, 8) == pytest.approx(0.0769, abs=5e-5)  # 2 * 70 * 1 / 1820
    assert engine.fisher_p(0, 5, 0, 9) == 1.0


def test_six_against_six_needs_none_against_five() -> None:
    # hand-worked: with 6 each only 0 v 5, 0 v 6, 1 v 6 and their mirrors pass 0.05
    passing = {(x, y) for x in range(7) for y in range(7) if engine.fisher_p(x, 6, y, 6) <= 0.05}
    assert {p for p in passing if p[0] < p[1]} == {(0, 5), (0, 6), (1, 6)}


def test_paired_days_by_the_rule_of_thumb() -> None:
    # 7.85 (sd / difference)^2 + 2: sd 1 for 1 K -> 10 days; sd 2 -> 33, exactly 34
    assert engine.measured_power(1.0, 1.0, paired=True, alpha=0.05, wanted=0.8).needed == 10
    assert engine.measured_power(1.0, 2.0, paired=True, alpha=0.05, wanted=0.8).needed == pytest.approx(33.4, abs=1)


def test_whole_trees_cost_what_the_likeness_says() -> None:
    # 1 + (8 - 1) 0.1 = 1.7: 36 grow to 62
    found = engine.take_power(0.6, 0.9, alpha=0.05, wanted=0.8, per_tree=8, icc=0.1)
    assert found.inflation == pytest.approx(1.7)
    assert (found.fisher, found.with_trees) == (36, 62)


def test_the_search_of_large_numbers_misses_none() -> None:
    # where the guess is over 150 the search begins at 0.97 of it: nothing below reaches the wanted power
    for a, b in ((0.7, 0.8), (0.6, 0.7), (0.8, 0.9)):
        start = int(engine.normal_n(a, b) * 0.97)
        assert max(engine.fisher_power(n, a, b) for n in range(int(start * 0.7), start, 7)) < 0.8


def test_more_than_a_garden_sets_is_no_number() -> None:
    assert engine.fisher_n(0.90, 0.92) is None
    found = engine.take_power(0.90, 0.92, alpha=0.05, wanted=0.8)
    assert found.fisher is None
    assert found.with_trees is None
    assert found.fleiss > engine.MOST_EACH
