"""Sticks to ask for: binomials and beta-binomials against sums by hand and with whole numbers."""

from __future__ import annotations

from fractions import Fraction
from math import comb

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barkslip.domain.errors import InputError
from barkslip.domain.sticks import Take
from barkslip.engines import sticks


def exactly(n: int, k: int, p: Fraction) -> Fraction:
    """P(X >= k) of a binomial, in whole numbers."""
    return sum((comb(n, j) * p**j * (1 - p) ** (n - j) for j in range(k, n + 1)), Fraction(0))


def sure(mean: float) -> Take:
    return Take(mean, None, mean, mean)


@pytest.mark.parametrize(
    ("grafts", "wanted", "take", "by_hand"),
    [
        (2, 1, 0.8, 1 - 0.2**2),  # 0.96
        (5, 1, 0.5, 1 - 0.5**5),  # 31/32
        (3, 2, 0.5, 4 / 8),  # three ways with two, one with three, of eight
        (4, 2, 0.25, 1 - 0.75**4 - 4 * 0.25 * 0.75**3),  # 67/256
        (3, 3, 0.6, 0.216),
        (2, 3, 0.9, 0.0),
        (7, 0, 0.1, 1.0),
        (4, 4, 1.0, 1.0),
    ],
)
def test_chances_by_hand(grafts: int, wanted: int, take: float, by_hand: float) -> None:
    assert sticks.chance_of(grafts, wanted, take) == pytest.approx(by_hand, abs=1e-12)


def test_the_trade_s_two_sums() -> None:
    """Of takes of 80 and 50 %, two and five grafts make one living one 95 % sure."""
    assert sticks.least_grafts(1, 0.95, 0.8) == 2
    assert sticks.least_grafts(1, 0.95, 0.5) == 5


def test_six_grafts_of_sixty_per_cent() -> None:
    """14 grafts give 0.9417, 15 give 0.9662: fifteen buds, four to a stick, four sticks."""
    p = Fraction(3, 5)
    assert float(exactly(14, 6, p)) == pytest.approx(0.9417, abs=5e-5)
    assert float(exactly(15, 6, p)) == pytest.approx(0.9662, abs=5e-5)
    found = sticks.plan(6, 0.95, sure(0.6), buds_per_stick=4)
    assert (found.grafts, found.buds, found.sticks) == (15, 15, 4)
    assert found.chance == pytest.approx(float(exactly(15, 6, p)), abs=1e-12)
    chosen = next(s for s in found.steps if s.sticks == 4)
    assert chosen.grafts == 16
    assert chosen.chance == pytest.approx(float(exactly(16, 6, p)), abs=1e-12)
    assert next(s for s in found.steps if s.sticks == 3).chance < 0.95 <= chosen.chance


@settings(max_examples=60, deadline=None)
@given(
    st.integers(1, 12), st.integers(1, 40), st.integers(1, 19).map(lambda n: Fraction(n, 20)),
)  # fmt: skip
def test_binomials_agree_with_whole_numbers(wanted: int, grafts: int, take: Fraction) -> None:
    assert sticks.chance_of(grafts, wanted, float(take)) == pytest.approx(
        float(exactly(grafts, wanted, take)), abs=1e-11
    )


@pytest.mark.parametrize(("grafts", "wanted"), [(1, 1), (5, 2), (9, 9), (20, 7)])
def test_a_take_of_which_nothing_is_known(grafts: int, wanted: int) -> None:
    """With an even Beta (one for, one against) every count is as likely: (n - k + 1) / (n + 1)."""
    assert sticks.chance_of(grafts, wanted, 0.5, 2.0) == pytest.approx((grafts - wanted + 1) / (grafts + 1), abs=1e-12)


def test_a_doubtful_take_by_hand() -> None:
    """Beta(3, 2): both of two live with 3/5 x 4/6 = 0.4; at least one of two 1 - 2/5 x 3/6 = 0.8."""
    assert sticks.chance_of(2, 2, 0.6, 5.0) == pytest.approx(0.4, abs=1e-12)
    assert sticks.chance_of(2, 1, 0.6, 5.0) == pytest.approx(0.8, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 8), st.floats(0.2, 0.95), st.floats(2.0, 200.0), st.integers(1, 60))
def test_more_grafts_never_lessen_the_chance(wanted: int, take: float, weight: float, grafts: int) -> None:
    for worth in (None, weight):
        fewer = sticks.chance_of(grafts, wanted, take, worth)
        more = sticks.chance_of(grafts + 1, wanted, take, worth)
        assert 0.0 <= fewer <= more + 1e-12 <= 1.0 + 1e-12


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 6), st.floats(0.5, 0.95), st.floats(5.0, 50.0), st.sampled_from([0.8, 0.9, 0.95]))
def test_the_fewest_is_the_fewest(wanted: int, take: float, weight: float, chance: float) -> None:
    for worth in (None, weight):
        found = sticks.least_grafts(wanted, chance, take, worth)
        assert sticks.chance_of(found, wanted, take, worth) >= chance
        assert found == wanted or sticks.chance_of(found - 1, wanted, take, worth) < chance


def test_doubt_asks_for_more_and_stands_beside_a_sure_take() -> None:
    found = sticks.plan(6, 0.95, sure(0.6), buds_per_stick=4, doubt_weight=5.0)
    assert found.doubt is not None
    assert (found.doubt.grafts, found.doubt.sticks) == (26, 7)
    assert found.doubt.take.low < 0.6 < found.doubt.take.high
    assert found.doubt.doubt is None


def test_own_grafts_move_the_take() -> None:
    """Prior 0.55 worth five, then 3 of 4: (2.75 + 3) / 9."""
    prior = Take(0.55, 5.0, 0.0, 1.0, status="assumption")
    after = sticks.with_own(prior, 3, 1)
    assert (after.weight, after.took, after.lost) == (9.0, 3, 1)
    assert after.mean == pytest.approx(5.75 / 9)
    assert after.low < after.mean < after.high


def test_the_even_beta_s_range() -> None:
    """One in ten of an even Beta lies below 0.1, one above 0.9."""
    assert sticks.beta_range(0.5, 2.0) == pytest.approx((0.1, 0.9))


def test_scions_of_several_buds() -> None:
    """Three of seven buds a scion: two scions a stick, so two living ones of 0.9 (3 set: 0.972) are two sticks."""
    found = sticks.plan(2, 0.95, sure(0.9), buds_per_stick=7, buds_per_graft=3)
    assert (found.grafts, found.buds, found.sticks) == (3, 9, 2)
    assert found.chance == pytest.approx(0.972)


def test_a_graft_bigger_than_a_stick() -> None:
    with pytest.raises(InputError) as caught:
        sticks.plan(1, 0.9, sure(0.9), buds_per_stick=2, buds_per_graft=3)
    assert caught.value.message == (
        "One graft would take more buds than a stick has.\nGiven: 3 buds a graft, 2 a stick\n"
        "Allowed: 1 to 2 buds a graft\nNext: Correct one of the two."
    )


def test_what_no_number_of_sticks_gives() -> None:
    with pytest.raises(InputError) as caught:
        sticks.plan(50, 0.999, Take(0.01, None, 0.01, 0.01), buds_per_stick=4)
    assert caught.value.message == (
        "No number of sticks gives such a chance with such a take.\nGiven: 50 alive, 99.9 % sure, take 1 %\n"
        "Allowed: what 5000 grafts can give\n"
        "Next: Ask for fewer living grafts or a smaller chance, or better the take first."
    )
