"""Words on seasons as half months, the other half of the world, gaps, pollen and seeds."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barkslip.domain.calendar import HALVES, Partner, Place, Ripe
from barkslip.domain.fits import Kind
from barkslip.domain.sourced import Value
from barkslip.engines.pollen import PollenRules, bloom_before, could_flower, explain, need_of, partners
from barkslip.engines.ripening import gaps, season_of, turned
from barkslip.knowledge.load import load

JAN, FEB, MAR, APR, MAY, JUN, JUL, AUG, SEP, OCT, NOV, DEC = range(12)


@pytest.mark.parametrize(
    ("words", "windows", "wide"),
    [
        ("Dec-Mar", [(2 * DEC, 24 + 2 * MAR + 1)], False),
        ("late Oct-Dec", [(2 * OCT + 1, 2 * DEC + 1)], False),
        ("Oct-mid Feb", [(2 * OCT, 24 + 2 * FEB)], False),
        ("mid Dec-Feb", [(2 * DEC + 1, 24 + 2 * FEB + 1)], False),
        ("Jan", [(0, 1)], False),
        ("Feb-Jun, 4-6 weeks after Washington", [(2 * FEB, 2 * JUN + 1)], False),
        ("Nov-Jan (about a month after Okitsu)", [(2 * NOV, 24 + 1)], False),
        ("Mar-summer", [(2 * MAR, 2 * AUG + 1)], True),
        ("winter-spring peak", [(2 * DEC - 2 + 2, 24 + 2 * MAY + 1)], True),
        ("all year", [(0, 23)], True),
        ("all year, spring-summer peak", [(2 * MAR, 2 * AUG + 1)], True),
        ("Nov-Mar; home Jan-Apr", [(2 * NOV, 24 + 2 * MAR + 1), (0, 2 * APR + 1)], True),
        ("late autumn-winter", [(2 * NOV - 2 + 2, 24 + 2 * FEB + 1)], True),
        ("when it likes", [], False),
    ],
)
def test_words_as_half_months(words: str, windows: list[tuple[int, int]], wide: bool) -> None:
    found = season_of(words)
    assert (list(found.windows), found.wide) == (windows, wide)


def test_every_season_of_the_knowledge_base_is_read() -> None:
    for variety in load().varieties:
        season = variety.value("season")
        if season is not None:
            read = season_of(str(season.value))
            assert read.windows, variety.key
            assert all(0 <= a < HALVES and a <= b < 2 * HALVES for a, b in read.windows), variety.key


def test_the_south_is_half_a_year_on() -> None:
    """Imperial is ripe in May and June in Australia (Nov-Dec turned over in the table)."""
    assert turned(((2 * NOV, 2 * DEC + 1),), south=True) == ((2 * MAY - 0, 2 * JUN + 1),)
    assert turned(((2 * DEC, 24 + 2 * MAR + 1),), south=True) == ((2 * JUN, 2 * SEP + 1),)
    assert turned(((2 * JUN, 2 * AUG + 1),), south=True) == ((2 * DEC, 24 + 2 * FEB + 1),)
    assert turned(((2 * NOV, 2 * DEC + 1),), south=False) == ((2 * NOV, 2 * DEC + 1),)


@given(st.integers(0, 23), st.integers(0, 23))
def test_turning_twice_is_where_one_began(first: int, width: int) -> None:
    window = ((first, first + width),)
    assert turned(turned(window, south=True), south=True) == window


def kind(key: str, group: str = "mandarin") -> Kind:
    return Kind(key, "varieties", key, group)


def ripe(key: str, *windows: tuple[int, int], kitchen: bool = False, where: tuple[Place, ...] = ()) -> Ripe:
    return Ripe(kind(key), kitchen, tuple(windows), None, where)


def test_gaps_over_the_turn_of_the_year_are_one() -> None:
    found = gaps([ripe("a", (4, 19))], [ripe("b", (20, 27)), ripe("c", (20, 23)), ripe("d", (6, 9))])
    assert [(g.first, g.last) for g in found] == [(20, 27)]
    assert [(f.kind.key, share) for f, share in found[0].fills] == [("b", 1.0), ("c", 0.5)]


def test_kitchen_fruit_fills_no_gap() -> None:
    lemon = ripe("lemon", (0, 23), kitchen=True)
    found = gaps([lemon], [lemon, ripe("a", (0, 5))])
    assert [(g.first, g.last) for g in found] == [(0, 23)]
    assert [f.kind.key for f, _ in found[0].fills] == ["a"]


def test_no_gap_where_something_is_always_ripe() -> None:
    assert gaps([ripe("a", (0, 23))], []) == ()


# -- pollen ----------------------------------------------------------------------------------------------------

WORD = Value("hardly any that is good", "", "chain.M", "recalled")
SOUTH = PollenRules({"satsuma": WORD}, {"clementine": "clementine", "minneola": "orlando"}, (16, 19), 5, 6, 2)


def at(tree: str, since: str = "", plot: str = "YARD") -> Place:
    return Place(tree, tree, plot, "graft", since)


@pytest.mark.parametrize(
    ("pollination", "seeds", "expected"),
    [
        ("self-incompatible", "seedless alone, seedy near pollinizer", ("alone", True)),
        ("self-incompatible", "seedy when cross-pollinated", ("needs", True)),
        ("needs pollinizer for crop", "few", ("needs", False)),
        ("cross improves set", "few", ("helps", False)),
        ("none needed", "seedless", ("none", False)),
        ("self-fruitful", "seedy", ("none", False)),
        ("", "", ("not known", False)),
    ],
)
def test_need_of_pollen(pollination: str, seeds: str, expected: tuple[str, bool]) -> None:
    assert need_of(pollination, seeds) == expected


def test_partners_nearest_first_and_those_with_hardly_any_pollen_last() -> None:
    one = Ripe(kind("nules", "clementine"), False, (), None, (at("T1"),))
    others = [
        Ripe(kind("owari", "satsuma"), False, (), None, (at("T1"),)),
        Ripe(kind("fina", "clementine"), False, (), None, (at("T1"),)),
        Ripe(kind("valencia", "common_orange"), False, (), None, (at("T9", plot="LOW"),)),
        Ripe(kind("minneola", "tangelo"), False, (), None, (at("T1"), at("T2"))),
    ]
    found = partners(one, others, SOUTH)
    assert [(p.kind.key, p.near, p.gives) for p in found] == [
        ("minneola", "same tree", "yes"), ("valencia", "same garden", "yes"), ("owari", "same tree", "hardly"),
    ]  # fmt: skip
    assert [p.tree for p in found[0].places] == ["T1"]


def test_the_bloom_a_fruit_came_from() -> None:
    """Sep-Oct in the south: fruit of May comes from the last one, fruit of December from the one of a year before."""
    assert bloom_before(date(2025, 5, 24), SOUTH) == date(2024, 9, 1)
    assert bloom_before(date(2024, 12, 10), SOUTH) == date(2023, 9, 1)
    north = PollenRules({}, {}, (4, 7), 5, 6, 2)
    assert bloom_before(date(2025, 1, 10), north) == date(2024, 3, 1)


def test_a_graft_of_last_month_does_not_bloom() -> None:
    assert not could_flower(at("T1", "2024-08-01"), date(2024, 9, 1), SOUTH)
    assert could_flower(at("T1", "2023-10-11"), date(2024, 9, 1), SOUTH)
    assert could_flower(at("T1"), date(2024, 9, 1), SOUTH)


def partner(since: str, gives: str = "yes", more: tuple[Place, ...] = ()) -> Partner:
    return Partner(kind("minneola", "tangelo"), "same tree", (at("T1", since), *more), None, gives)


COUNTS = [(date(2024, 5, 25), 1.1), (date(2025, 5, 24), 8.6)]


def test_seeds_are_explained_by_what_began_to_bloom() -> None:
    found = explain("T1", "Well", COUNTS, [partner("2023-10-11")], SOUTH)
    assert found.rose
    assert found.explains is not None
    assert (found.explains.kind.key, found.bloom) == ("minneola", "2024-09")


@pytest.mark.parametrize(
    "found",
    [
        [partner("2020-01-01")],  # bloomed for both
        [partner("2024-10-01")],  # for neither
        [partner("2023-10-11", "hardly")],
        [partner("2023-10-11", more=(at("T1"),))],  # an old one stands there too
        [],
    ],
)
def test_seeds_are_not_explained_by_anything_else(found: list[Partner]) -> None:
    seeds = explain("T1", "Well", COUNTS, found, SOUTH)
    assert seeds.rose
    assert seeds.explains is None


def test_a_count_that_did_not_rise_asks_for_nothing() -> None:
    for counts in ([(date(2024, 5, 25), 4.0), (date(2025, 5, 24), 4.9)], [(date(2025, 5, 24), 9.0)]):
        found = explain("T1", "Well", counts, [partner("2023-10-11")], SOUTH)
        assert (found.rose, found.explains) == (False, None)
