"""When a tasting may judge: never from a first crop, few fruits, frozen fruit, or a wrong name."""

from __future__ import annotations

from itertools import combinations

import pytest

from barkslip.domain.taste import EARLY
from barkslip.engines import tasting as engine
from barkslip.engines.tasting import TasteRules
from barkslip.knowledge.load import load

RULES = TasteRules()


def test_the_rules_are_those_of_the_knowledge_base() -> None:
    assert engine.rules_from(load().value) == RULES


@pytest.mark.parametrize("score", [1.0, 3.8, 5.0, 8.0, None])
def test_no_reason_to_wait_ever_ends_in_a_bad_variety(score: float | None) -> None:
    for n in range(1, len(EARLY) + 1):
        for early in combinations(EARLY, n):
            for poor in (0, 3):
                assert engine.verdict(score, early, name_open=False, poor_before=poor, rules=RULES) == "early"
    assert engine.verdict(score, (), name_open=True, poor_before=5, rules=RULES) == "name"


def test_poor_needs_two_ripe_crops() -> None:
    assert engine.verdict(3.0, (), name_open=False, poor_before=0, rules=RULES) == "poor once"
    assert engine.verdict(3.0, (), name_open=False, poor_before=1, rules=RULES) == "poor here"
    assert engine.verdict(6.5, (), name_open=False, poor_before=1, rules=RULES) == "good"
    assert engine.verdict(5.0, (), name_open=False, poor_before=1, rules=RULES) == "middling"
    assert engine.verdict(None, (), name_open=False, poor_before=1, rules=RULES) == "no score"


def test_reasons() -> None:
    def reasons(crop: int, fruit: int | None, **more: bool) -> tuple[str, ...]:
        given = {"frozen": False, "before": False} | more
        return engine.early_reasons(crop, fruit, fits="its months", rules=RULES, **given)

    assert reasons(1, 3) == ("first_crop", "few_fruit")
    assert reasons(2, 5) == ()
    assert reasons(2, None) == ()
    assert reasons(4, 20, frozen=True) == ("frozen",)
    assert engine.early_reasons(3, 9, frozen=False, fits="not its months", before=True, rules=RULES) == ("not_ripe",)
    assert engine.early_reasons(3, 9, frozen=False, fits="not its months", before=False, rules=RULES) == ("over_ripe",)


@pytest.mark.parametrize(
    ("half", "word"),
    [(8, "its months"), (13, "its months"), (14, "beside its months"), (7, "beside its months"), (16, "not its months"),
     (5, "not its months"), (0, "not its months")],
)  # fmt: skip
def test_months_with_half_months_to_spare(half: int, word: str) -> None:
    assert engine.in_months(half, ((8, 13),), RULES.outside_halves) == word


def test_months_over_the_turn_of_the_year() -> None:
    assert engine.in_months(1, ((20, 27),), 2) == "its months"  # late October to early February
    assert engine.in_months(23, ((20, 27),), 2) == "its months"
    assert engine.in_months(10, ((20, 27),), 2) == "not its months"
    assert engine.in_months(3, (), 2) == "not known"


def test_before_or_after() -> None:
    assert engine.before_months(4, ((8, 13),))
    assert not engine.before_months(17, ((8, 13),))


def test_seeds() -> None:
    assert engine.seeds_told(1.1, "seedless alone, seedy near pollinizer", RULES) == "as told"
    assert engine.seeds_told(8.6, "seedless alone, seedy near pollinizer", RULES) == "pollen"
    assert engine.seeds_told(8.6, "seedless", RULES) == "more than told"
    assert engine.seeds_told(8.6, "seedy", RULES) == "as told"
    assert engine.seeds_told(None, "seedless", RULES) == "not counted"
    assert engine.seeds_told(3.0, "", RULES) == "not known"


def test_half_months() -> None:
    assert [engine.half_of(1, 15), engine.half_of(1, 16), engine.half_of(12, 31)] == [0, 1, 23]
