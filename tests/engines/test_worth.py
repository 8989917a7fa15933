"""Keep, rework or replace against figures worked out by hand (d = 0.9, ten years), and against counting."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.worth import WAYS, Belief, WorthNumbers, sure
from barkslip.engines import worth as engine
from barkslip.engines.worth import Handle, Ranges

#: The example worked out by hand: 4 a year now; another kind brings 8 or 2, evenly; a new tree 6.
HAND = WorthNumbers(
    years=10, d=0.9, now=sure(4.0), rework=Belief((8.0, 2.0), (0.5, 0.5)), replace=sure(6.0), take=0.8,
    bears=3, bears_new=4, stands=0.9, share=0.1, cost_trial=0.4, cost_rework=2.0, cost_replace=5.0,
)  # fmt: skip


@pytest.mark.parametrize(
    ("first", "last", "known"), [(1, 10, 5.86189), (3, 10, 4.15189), (4, 10, 3.42289), (11, 10, 0.0)]
)
def test_discounted_years_by_hand(first: int, last: int, known: float) -> None:
    assert engine.annuity(0.9, first, last) == pytest.approx(known, abs=5e-6)
    assert engine.annuity(0.9, first, last) == pytest.approx(sum(0.9**t for t in range(first, last + 1)))


def test_years_without_discount_are_counted() -> None:
    assert engine.annuity(1.0, 3, 10) == 8.0
    assert engine.annuity(0.9, 3.5, 10) == pytest.approx(
        (engine.annuity(0.9, 3, 10) + engine.annuity(0.9, 4, 10)) / 2.0
    )


def test_ways_by_hand() -> None:
    found = engine.worths(HAND)
    assert engine.bearing_share(HAND) == pytest.approx(3.86918, abs=5e-6)
    assert found["keep"] == pytest.approx(23.4476, abs=5e-5)
    assert found["rework"] == pytest.approx(17.3459, abs=5e-5)
    assert found["replace"] == pytest.approx(13.4836, abs=5e-5)
    assert found["trial"] == pytest.approx(23.0194, abs=5e-5)
    assert engine.knowing(HAND) == pytest.approx(2.7529, abs=5e-5)
    assert engine.best_of(found) == "keep"


def test_a_trial_limb_wins_where_the_old_kind_is_a_little_worse() -> None:
    found = engine.worths(replace(HAND, now=sure(3.5)))
    assert found["keep"] == pytest.approx(20.517, abs=5e-4)
    assert found["rework"] == pytest.approx(17.346, abs=5e-4)
    assert found["trial"] == pytest.approx(21.121, abs=5e-4)
    assert engine.best_of(found) == "trial"
    assert engine.best_of(engine.worths(replace(HAND, now=sure(2.0)))) == "rework"


def test_break_even_by_hand() -> None:
    def difference(p: float) -> float:
        n = replace(HAND, rework=Belief((8.0, 2.0), (p, 1.0 - p)))
        return engine.rework(n) - engine.keep(n)

    found = engine.break_even(difference, 0.0, 1.0)
    assert found == pytest.approx(0.7628, abs=5e-5)
    assert engine.break_even(lambda x: x + 1.0, 0.0, 1.0) is None


def test_knowing_is_never_worth_less_than_nothing_nor_one_thing_more_than_all() -> None:
    n = replace(HAND, now=Belief((3.0, 5.0), (0.4, 0.6)), replace=Belief((3.0, 9.0), (0.5, 0.5)))
    parts = [engine.knowing(n, only) for only in ("now", "rework", "replace")]
    assert all(0.0 <= part <= engine.knowing(n) + 1e-12 for part in parts)
    assert engine.knowing(replace(HAND, rework=sure(5.0))) == 0.0


def test_knowing_against_a_count_of_all_cases() -> None:
    n = replace(HAND, now=Belief((3.0, 5.0), (0.4, 0.6)), replace=Belief((3.0, 9.0), (0.5, 0.5)))
    cases = itertools.product(*[zip(b.values, b.weights, strict=True) for b in (n.now, n.rework, n.replace)])
    best = sum(
        a * b * c * max(engine.keep(n, x), engine.rework(n, y), engine.replace_tree(n, z))
        for (x, a), (y, b), (z, c) in cases
    )
    plain = max(engine.keep(n), engine.rework(n), engine.replace_tree(n))
    assert engine.knowing(n) == pytest.approx(best - plain)


def test_one_more_crop_is_keeping_where_nothing_is_learned_and_pays_where_much_is() -> None:
    assert engine.one_more_crop(HAND) == pytest.approx(engine.keep(HAND))
    torn = replace(HAND, now=Belief((0.5, 6.0), (0.5, 0.5)), rework=sure(6.5), crop_spread=0.5)
    assert engine.one_more_crop(torn) > max(engine.keep(torn), engine.rework(torn), engine.replace_tree(torn))
    coarse = replace(torn, crop_spread=50.0)
    assert engine.one_more_crop(coarse) < engine.one_more_crop(torn)


def test_one_more_crop_against_draws() -> None:
    n = replace(HAND, now=Belief((0.5, 6.0), (0.5, 0.5)), rework=sure(6.5), crop_spread=1.5)
    table = engine.draws(n, Ranges(None, (3, 3), (4, 4), (0.9, 0.9), (0, 0)), count=6000, seed=7)
    for code in WAYS:
        column = table[:, WAYS.index(code)]
        four_se = 4.0 * column.std() / np.sqrt(len(column))
        assert abs(column.mean() - engine.worths(n)[code]) < max(four_se, 1e-9)


def test_a_tree_that_gives_out_is_worth_less_kept_and_no_less_replaced() -> None:
    frail = replace(HAND, give_out=0.25)
    assert engine.keep(frail) < 0.5 * engine.keep(HAND)
    assert engine.replace_tree(frail) == engine.replace_tree(HAND)
    assert engine.best_of(engine.worths(frail)) == "replace"


def test_costs_and_upkeep_are_taken_off_once() -> None:
    dearer = replace(HAND, cost_rework=3.0, upkeep=0.1)
    assert engine.rework(HAND) - engine.rework(dearer) == pytest.approx(1.0 + 0.1 * 5.86189, abs=1e-5)
    assert engine.keep(HAND) - engine.keep(dearer) == pytest.approx(0.1 * 5.86189, abs=1e-5)


def test_a_barred_way_is_never_the_best() -> None:
    found = engine.worths(replace(HAND, now=sure(2.0)))
    assert engine.best_of(found) == "rework"
    assert engine.best_of(found, frozenset({"rework"})) != "rework"


def test_what_turns_the_answer_is_where_the_two_ways_meet() -> None:
    handle = Handle("score", 4.0, 3.0, 5.0, 0.0, 9.0, lambda v: replace(HAND, now=sure(v)))
    (turn,) = engine.turns(HAND, (handle,))
    moved = engine.worths(replace(HAND, now=sure(turn.at)))
    assert (turn.key, turn.becomes, turn.within) == ("score", "trial", True)
    assert moved["trial"] == pytest.approx(moved["keep"], abs=1e-4)
    stiff = Handle("stands", 0.9, 0.8, 1.0, 0.0, 1.0, lambda v: replace(HAND, stands=v))
    assert engine.turns(HAND, (stiff,)) == ()


def test_nine_points_keep_mean_and_spread_of_a_normal_belief() -> None:
    belief = engine.normal_belief(6.0, 1.5)
    var = sum(w * (v - belief.mean) ** 2 for v, w in zip(belief.values, belief.weights, strict=True))
    assert belief.mean == pytest.approx(6.0)
    assert var == pytest.approx(1.5**2)
    assert engine.normal_belief(6.0, 0.0) == sure(6.0)


def test_tastings_weigh_against_what_was_believed() -> None:
    """One crop of spread 1 against a belief of spread 1.5: weights 1 : 1/2.25, by hand 6.9692 and .8321."""
    mean, sd = engine.learned(6.0, 1.5, (7.4,), 1.0)
    assert mean == pytest.approx(6.9692, abs=5e-5)
    assert sd == pytest.approx(0.83205, abs=5e-6)
    assert engine.learned(6.0, 1.5, (), 1.0) == (6.0, 1.5)


def test_a_liking_is_worth_nothing_below_and_no_more_than_all_above() -> None:
    worth = engine.straight(4.0, 8.0)
    assert [worth(s) for s in (1.0, 4.0, 5.0, 8.0, 9.0)] == [0.0, 0.0, 0.25, 1.0, 1.0]


def test_draws_are_the_same_each_time() -> None:
    ranges = Ranges((2.04, 0.91), (3, 4), (3, 5), (0.75, 0.98), (0.0, 0.03))
    first, again = (engine.draws(HAND, ranges, count=50) for _ in range(2))
    assert np.array_equal(first, again)
    low, high, more = engine.spread_of(first, "keep")["keep"]
    assert low <= high
    assert more == 0.0
