"""What was done to a blade, beside the shipped records: expectations are those of the trials named in `tool_cleaning`.

Roistacher 1969 (as carried in the table): 20 % household bleach, one second, worked against the exocortis viroid;
flame, 95 % alcohol, 2 % trisodium phosphate, 3 % formalin, 10 % borax failed.
"""

from __future__ import annotations

import pytest

from barkslip.domain.trace import Odds
from barkslip.engines.tool_cleaning import clean, means_of, read_words, ways
from barkslip.engines.trace_agent import NUMBERS, TOOL_TOPIC, agent, is_viroid, odds
from barkslip.knowledge.load import load

WORKS, PARTLY = Odds(0.95, 0.8, 1.0), Odds(0.4, 0.0, 0.8)


@pytest.fixture(scope="module")
def know():
    return load()


@pytest.fixture(scope="module")
def judge(know):
    rows = know.table("tool_cleaning")
    viroids = {row.key for row in know.table("pathogens") if is_viroid(row)}
    return lambda words, key="exocortis": clean(words, key, key in viroids, rows, WORKS, PARTLY)


@pytest.mark.parametrize(
    ("words", "means", "seconds", "share"),
    [
        ("1 + 5 household bleach, 2 s", ("bleach",), 2.0, 100 / 6),
        ("20 % household bleach, 1 s", ("bleach",), 1.0, 20.0),
        ("Bleach 1:9, half a minute", ("bleach",), None, 10.0),
        ("hypochlorite 0.5%, 2 min", ("bleach",), 120.0, 0.5),
        ("1 part in 5 parts of water, bleach, 2 sec", ("bleach",), 2.0, 100 / 6),
        ("alcohol and flame", ("alcohol", "flame"), None, None),
        ("wiped with a rag", (), None, None),
        ("", (), None, None),
    ],
)
def test_words_are_read(words, means, seconds, share):
    done = read_words(words)
    assert (done.means, done.seconds) == (means, seconds)
    assert done.share == (None if share is None else pytest.approx(share))


@pytest.mark.parametrize(
    "words", ["alcohol", "alcohol, wiped", "70 % alcohol, 30 s", "95 % alcohol, 1 s", "alcohol and flame", "flame",
              "torch 6 s", "2 % trisodium phosphate", "3 % formalin, 1 s", "10 % borax, 1 s", "1 % cresol"],
)  # fmt: skip
def test_what_failed_in_the_trial_clears_nothing(judge, words):
    for key in ("exocortis", "cachexia", "other_viroids"):
        found = judge(words, key)
        assert (found.code, found.clears.high) == ("fails", 0.0)
    # against a virus there is no record: not counted on, but it may work
    virus = judge(words, "psorosis")
    assert (virus.code, virus.clears.best, virus.clears.known) == ("fails", 0.0, False)


def test_what_worked_counts_as_recorded(judge):
    assert (judge("20 % household bleach, 1 s").code, judge("20 % household bleach, 1 s").row.key) == (
        "works",
        "bleach_20",
    )
    assert judge("1 + 5 household bleach, 2 s").row.key == "bleach_1_5"
    assert judge("1 + 5 household bleach, 2 s").clears == WORKS


@pytest.mark.parametrize(
    ("words", "code", "best"),
    [
        ("5 % household bleach, 2 s", "too_weak", 0.0),
        ("1 + 5 household bleach, 1 s", "too_short", 0.0),
        ("bleach", "no_time", 0.475),
        ("5 % trisodium phosphate, 15 s", "other_agent", 0.475),
        ("soap and water", "not_known", 0.0),
        ("vinegar, water and oil", "not_known", 0.0),
    ],
)
def test_what_is_weaker_shorter_or_told_of_others_counts_less(judge, words, code, best):
    key = "cachexia" if code == "too_short" else "exocortis"
    found = judge(words, key)
    assert (found.code, found.clears.low) == (code, 0.0)
    assert found.clears.best == pytest.approx(best)
    assert not found.clears.known


def test_a_recipe_without_a_trial_is_no_trial(judge):
    found = judge("1 + 5 household bleach, 2 s", "psorosis")
    assert (found.code, found.clears) == ("recipe", Odds(0.475, 0.0, 1.0, known=False))


def test_every_record_names_a_means(know):
    assert [row.key for row in know.table("tool_cleaning") if not means_of(row)] == []


def test_ways_offered_are_those_recorded_to_work_on_knives(know, judge):
    offered = ways(know.table("tool_cleaning"))
    assert offered == ("household bleach, 20 %, 1 s", "household bleach, 1 part in 5 parts of water, 2 s")
    assert {judge(words).code for words in offered} == {"works"}


# -- diseases -----------------------------------------------------------------------------------------------------


def numbers(know):
    return {key: know.value(key) for key in NUMBERS}


def test_tool_rates_are_those_of_the_table_and_of_viroids_alone(know):
    """Barbosa 2005 as carried in the table: 4, 10 and 21 % of trees infected by tools."""
    rates = know.table("pathogen_rates")
    assert sorted(row.value.value for row in rates if row.cell("topic") == TOOL_TOPIC) == [4.0, 10.0, 21.0]
    for row in know.table("pathogens"):
        found = agent(row, rates, numbers(know)).blade
        if row.cell("by_tool") == "no":
            assert found.never, row.key
        elif is_viroid(row):
            assert found == Odds(0.1, 0.04, 0.21), row.key
        else:
            assert found == Odds(0.5, 0.0, 1.0, known=False), row.key


def test_what_grafts_do_not_carry_is_not_carried(know):
    rates = know.table("pathogen_rates")
    blight = agent(know.rows("pathogens")["blight"], rates, numbers(know))
    assert blight.wood.never
    assert blight.union.never
    near = agent(know.rows("pathogens")["leprosis"], rates, numbers(know))
    assert 0.0 < near.union.high < 1.0


def test_assumptions_say_so(know):
    for entry in know.entries("trace."):
        assert entry.value.status == "assumption"
        assert entry.value.note


def test_no_chance_beyond_one(know):
    from dataclasses import replace

    value = know.value("trace.wood.carries")
    assert odds(replace(value, value=None, low=None, high=None)) == Odds(0.5, 0.0, 1.0, known=False)
    with pytest.raises(ValueError, match=r"no chance: 0\.5, 1\.5, 1"):
        odds(replace(value, value=1.5))
