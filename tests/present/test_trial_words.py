"""Trials and tastings in words: verdicts never say more than was shown; units; charts that keep their words inside."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from barkslip.domain.power import StopRule
from barkslip.domain.taste import Identity, TastingVerdict
from barkslip.domain.tasting import Tasting
from barkslip.domain.trial_result import ArmResult, Comparison, Correction, LaterState, Tied, TrialResult
from barkslip.domain.units import METRIC, unit_choice
from barkslip.domain.when import on
from barkslip.present import power, taste, trial
from barkslip.present.trial_chart import arms_chart

US = unit_choice("us")


def pair(verdict: str, arm: str = "A", against: str = "B", better: float | None = 0.9) -> Comparison:
    return Comparison(arm, against, -1.0, -2.4, 0.4, 0.18, better, verdict)


def result(*pairs: Comparison, of: str = "excess_k") -> TrialResult:
    names = list(dict.fromkeys(n for p in pairs for n in (p.arm, p.against))) or ["A"]
    arms = tuple(ArmResult(n, 4, 64, 1.8 + i, 0.8 + i, 2.7 + i) for i, n in enumerate(names))
    return TrialResult("measured", of, "unit", arms=arms, pairs=pairs)


@pytest.mark.parametrize(
    ("verdict", "words"),
    [
        ("shown", "Shown: A did better than B."),
        ("leaning", "Leaning to A, not proved."),
        ("not shown", "Not shown: A and B cannot be told apart."),
        ("alike", "Shown to be alike: they differ by less than is worth knowing."),
    ],
)
def test_one_pair(verdict: str, words: str) -> None:
    assert trial.result_headline(result(pair(verdict))) == words


def test_several_pairs_say_each_what_it_is() -> None:
    r = result(pair("shown"), pair("leaning", against="C"), pair("not shown", "B", "C"))
    assert trial.result_headline(r) == "A came out best: shown against B; leaning, not proved, against C."
    nothing = result(pair("not shown"), pair("leaning", against="C"), pair("not shown", "B", "C"))
    assert trial.result_headline(nothing) == "A came out best, but leaning, not proved, against C; not shown against B."


def test_nothing_read_and_read_once() -> None:
    assert trial.result_headline(TrialResult("none")) == "Nothing has been read yet."
    once = replace(result(pair("shown")), pairs=())
    assert trial.result_headline(once) == "Each way was read once: that decides nothing."


def test_a_difference_of_temperatures_gets_no_32() -> None:
    r = result(pair("leaning"))
    assert trial.difference_words(r, r.pairs[0], METRIC) == "1.0\u00a0K (−0.4 to 2.4)"
    assert trial.difference_words(r, r.pairs[0], US) == "1.8\u00a0°F (−0.7 to 4.3)"


def test_chances_are_never_certain() -> None:
    assert trial.chance_words(0.9999) == "more than 99 in 100"
    assert trial.p_words(0.00002) == "below 0.001"
    assert trial.in_ten(0.02) == "in fewer than 1 of 10 such trials"
    assert trial.in_ten(0.99) == "in more than 9 of 10 such trials"


def test_not_yet_known_is_no_failure() -> None:
    states = (LaterState("A", 0, 0, 8, date(2025, 10, 6)), LaterState("B", 0, 0, 8, date(2025, 10, 6)))
    assert trial.later_text(states) == "After a year: not yet known. It can be known from 6\u00a0Oct 2025 on."
    assert trial.later_text((LaterState("A", 3, 5, 8),)) == "After a year alive: A 3 of 5 (3 not known)."


def test_what_goes_with_a_way() -> None:
    assert trial.tied_texts((Tied("side", "A", "N"), Tied("side", "B", "S"))) == (
        "All of A on side N; all of B on side S: the way and the side cannot be told apart.",
    )
    never = Correction("D", None, 3, ("A",), date(2024, 1, 1), date(2024, 1, 2))
    assert trial.correction_text(never, "excess_k").endswith(
        "was never checked in ice water: its error is in the readings."
    )


def test_a_rule_for_stopping_can_be_written_into_a_plan() -> None:
    assert power.stop_text(StopRule((5, 10), 0.97, 0.049, 0.5)) == (
        "Look after every 5 in each arm, at most 10. Stop as soon as the chance that one way is better reaches 97.0 in "
        "100. Over all 2 looks that stops on equal ways 4.9 times in 100 at most (exact count)."
    )


@pytest.mark.parametrize("units", [METRIC, US])
@pytest.mark.parametrize("width", [328.0, 620.0])
def test_words_of_the_drawing_stay_inside(units: object, width: float) -> None:
    long = result(pair("shown", "fleece to the ground and a warm lamp of 25 W", "bare"))
    svg = str(arms_chart(long, units, width))  # type: ignore[arg-type]
    size = re.search(r'viewBox="0 0 (\d+) (\d+)"', svg)
    assert size is not None
    for x in re.findall(r'<text[^>]* x="([\d.]+)"', svg):
        assert 0.0 <= float(x) <= float(size[1])
    for x in re.findall(r'cx="([\d.]+)"', svg):
        assert 0.0 <= float(x) <= float(size[1])
    assert svg.count('class="trial-dot"') == 2
    assert arms_chart(TrialResult("none")) == ""


def tasted(verdict: str, *early: str, found: str = "") -> TastingVerdict:
    t = Tasting(
        id="x", thing="x", made_utc="", on=on(date(2025, 6, 1)), tree="t", variety="Navel", fruit_n=3, score9=2.0
    )
    return TastingVerdict(t, "Well", "T02", 1, True, verdict, early, (), Identity("Navel", found=found), None)


@pytest.mark.parametrize("verdict", ["early", "name", "poor once", "poor here", "middling", "good", "no score"])
def test_a_variety_is_never_called_bad(verdict: str) -> None:
    v = tasted(verdict, *(("first_crop", "few_fruit") if verdict == "early" else ()), found="Anna")
    said = f"{taste.verdict_headline(v)} {' '.join(taste.verdict_notes(v))}".lower()
    assert "bad variety" not in said
    assert "remove" not in said
    assert "feed" not in said
    if verdict == "early":
        assert said.startswith("too early to judge navel: first crop and 3 fruits only.")
        assert "a variety is not bad because its first fruit is" in said
    if verdict == "poor once":
        assert "one crop does not condemn it" in said
