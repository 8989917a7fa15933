"""Drawing by lot: balance, Latin squares, and the same lot for ever."""

from __future__ import annotations

from collections import Counter

import pytest

from barkslip.engines.lot_draw import Lot, crossover, in_blocks, is_latin, latin_square

ARMS = ("a", "b", "c", "d")


def test_the_same_seed_draws_the_same_lot_for_ever() -> None:
    # written down once; must not change with versions of anything
    assert in_blocks(("T-bud", "chip bud"), [4, 4], 7) == in_blocks(("T-bud", "chip bud"), [4, 4], 7)
    assert [Lot(1).below(1000) for _ in range(1)] == [Lot(1).below(1000)]
    assert in_blocks(ARMS, [2] * 8, 3) == [
        ["d", "c"], ["b", "a"], ["c", "d"], ["a", "b"], ["c", "b"], ["a", "d"], ["d", "a"], ["c", "b"],
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_blocks_are_balanced(seed: int) -> None:
    drawn = in_blocks(ARMS, [4, 8, 4], seed)
    assert [Counter(b) for b in drawn] == [Counter(dict.fromkeys(ARMS, n)) for n in (1, 2, 1)]
    uneven = in_blocks(ARMS, [2] * 8, seed)
    assert set(Counter(a for b in uneven for a in b).values()) == {4}
    assert all(len(set(b)) == 2 for b in uneven)
    odd = Counter(a for b in in_blocks(("a", "b"), [3, 3, 3], seed) for a in b)
    assert abs(odd["a"] - odd["b"]) == 1


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6])
def test_each_arm_once_in_every_row_and_column(n: int) -> None:
    arms = [str(i) for i in range(n)]
    for seed in range(30):
        assert is_latin(latin_square(arms, seed))
    assert not is_latin([["a", "b"], ["a", "b"]])


def test_squares_are_not_always_the_same() -> None:
    assert len({str(latin_square(ARMS, seed)) for seed in range(50)}) > 25


def test_nights_change_over() -> None:
    nights = crossover(ARMS, 4, 8, 5)
    assert all(sorted(night) == sorted(ARMS) for night in nights)
    for tree in range(4):
        assert Counter(night[tree] for night in nights) == Counter(dict.fromkeys(ARMS, 2))
    assert [len(n) for n in crossover(("a", "b"), 3, 5, 1)] == [3] * 5


def test_every_number_is_as_likely() -> None:
    lot = Lot(9)
    seen = Counter(lot.below(6) for _ in range(6000))
    assert min(seen.values()) > 880
    assert max(seen.values()) < 1120
