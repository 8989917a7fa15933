"""Trials of the demo come out as they must, traps included; plans, lots and readings are written once and rightly."""

from __future__ import annotations

import pytest

from barkslip.app import trial_plans as plans
from barkslip.app.context import Context
from barkslip.app.trial_power import ask_power
from barkslip.app.trials import all_trials, trial_story
from barkslip.domain.errors import ConflictError, InputError, NotFoundError
from barkslip.domain.power import MeasuredPower, TakePower
from barkslip.domain.trial import Logger, Trial, TrialPlan
from barkslip.domain.trial_result import Comparison, TrialResult


def pair(result: TrialResult, one: str, other: str, *, as_read: bool = False) -> Comparison:
    rows = result.as_read if as_read else result.pairs
    return next(p for p in rows if {p.arm, p.against} == {one, other})


def test_12_against_12_cannot_decide(shown_demo: Context) -> None:
    r = trial_story(shown_demo, "E3").result
    p = pair(r, "T-bud", "chip bud")
    assert (p.verdict, p.p_value) == ("not shown", pytest.approx(0.3707, abs=5e-5))
    assert p.difference == pytest.approx(0.25)
    assert {a.arm: (a.took, a.n) for a in r.arms} == {"T-bud": (10, 12), "chip bud": (7, 12)}
    (size,) = r.sizes
    # 60 % against 80 %: 81.2 by the usual approximation, 90 counted exactly; 12 see it about one time in eleven
    assert (size.usual, size.other, size.needed) == (0.6, 0.8, 90)
    assert size.power == pytest.approx(0.092, abs=0.001)


def test_whole_against_union_within_trees_and_a_year_not_yet_known(shown_demo: Context) -> None:
    r = trial_story(shown_demo, "E4").result
    p = pair(r, "whole", "union only")
    assert (p.verdict, p.arm) == ("leaning", "whole")
    assert p.p_value == pytest.approx(0.0769, abs=5e-5)
    assert p.in_blocks_p == pytest.approx(1 / 12)
    losses = {b.block: b.counts["union only"][1] - b.counts["union only"][0] for b in r.blocks}
    assert sorted(losses.values()) == [0, 1, 1, 2]
    assert all(s.known == 0 and s.due is not None for s in r.later)
    assert {t.what for t in r.tied} == {"side"}  # whole hung on north and south, union only on east and west


def test_foil_and_pouch_before_and_after_the_bath(shown_demo: Context) -> None:
    r = trial_story(shown_demo, "E1").result
    assert pair(r, "foil sleeve", "foil-lined pouch", as_read=True).verdict == "not shown"
    assert r.arms[0].arm == "foil sleeve"
    assert [a.arm for a in r.arms][-1] == "brown paper bag"
    assert pair(r, "foil sleeve", "film alone").verdict == "shown"
    assert pair(r, "film alone", "brown paper bag").verdict == "shown"
    assert pair(r, "foil sleeve", "foil-lined pouch").verdict == "leaning"
    (c,) = r.corrections
    assert (c.logger, c.error_k, c.readings, c.arms) == ("D", 1.7, 28, ("foil sleeve",))
    assert [(t.what, t.value, t.arm) for t in r.tied] == [("logger", "D", "foil sleeve")]
    assert [a.n for a in r.arms] == [4, 4, 4, 4]
    assert [a.readings for a in r.arms] == [64, 64, 64, 64]


def test_still_nights_and_the_windy_one_are_kept_apart(shown_demo: Context) -> None:
    still, windy = trial_story(shown_demo, "E2"), trial_story(shown_demo, "E5")
    r = still.result
    assert (r.nights, r.replicate, r.n_blocks, r.apart) == ("still", "night", 9, ())
    values = {a.arm: round(a.value, 1) for a in r.arms}
    truth = {"fleece single": 1.4, "fleece double": 2.3, "fleece to ground + 25 W lamp": 4.6,
             "20 L water under fleece": 1.9}  # fmt: skip
    assert values == pytest.approx(truth, abs=0.25)
    assert [(b.code, b.nights, b.n, b.value) for b in still.beside] == [("E5", "windy", 1, 0.6)]
    (arm,) = windy.result.arms
    assert (windy.result.nights, arm.n, arm.value, arm.low) == ("windy", 1, 0.6, None)
    assert windy.result.pairs == ()


def test_a_windy_night_among_still_ones_is_taken_out(demo: Context) -> None:
    for unit, arm, value in (("T03", "fleece single", "0.2"), ("T10", "fleece double", "0.6")):
        plans.save_reading(
            demo, "E2", {"unit": unit, "arm": arm, "value": value, "of": "gain_k", "on": "2024-06-11"}
        )  # fmt: skip
    r = trial_story(demo, "E2").result
    assert [p.nights for p in r.apart] == ["windy"]
    assert {a.arm: a.n for a in r.arms}["fleece single"] == 9
    assert [a.n for a in r.apart[0].arms] == [1, 1]


def test_a_logger_never_checked_is_said(demo: Context) -> None:
    fields = {"unit": "S1", "arm": "foil sleeve", "value": "2", "of": "excess_k", "on": "2025-01-05", "logger": "D"}
    with demo.book.write() as writer:
        old = writer.by_code(Logger, "D")
        from dataclasses import replace

        writer.append(replace(old, id=demo.new_id(), corrects=old.id, made_utc=demo.stamp(), ice_bath_error_k=None))
    trial = plans.save_plan(demo, {"question": "Foil or film?", "arms": "film; foil sleeve", "unit": "placement"})
    plans.save_reading(demo, trial.code, fields)
    plans.save_reading(demo, trial.code, {**fields, "unit": "S2", "arm": "film", "logger": ""})
    r = trial_story(demo, trial.code).result
    assert [(c.logger, c.error_k) for c in r.corrections] == [("D", None)]
    assert r.pairs == ()


def test_trees_that_keep_their_cover_count_once(demo: Context) -> None:
    trial = plans.save_plan(demo, {"question": "Fleece or tarp?", "arms": "fleece; tarp", "unit": "night"})
    for day in range(10, 20):
        for unit, arm, value in (("T03", "fleece", 1.0), ("T10", "tarp", 2.0)):
            plans.save_reading(
                demo, trial.code,
                {"unit": unit, "arm": arm, "value": str(value + day / 50), "of": "gain_k", "on": f"2024-07-{day}"},
            )  # fmt: skip
    story = trial_story(demo, trial.code).result
    for part in (story, *story.apart):
        assert part.replicate == "unit"
        assert [a.n for a in part.arms] == [1, 1]
        assert part.pairs == ()


def test_plan_lot_and_readings(demo: Context) -> None:
    trial = plans.save_plan(
        demo,
        {"question": "Vinyl or rubber?", "arms": "vinyl\nrubber", "min_difference": "20 %", "seed": "7",
         "blocks": "T01 N x4\nT02 N x4"},
    )  # fmt: skip
    story = trial_story(demo, trial.code)
    assert story.plan is not None
    assert story.planned_each == 4
    assert [round(row.needed or 0) for row in story.sizes] == [102, 90, 69, 90]
    assert trial.season == "2024/25"
    for unit, (_, arm) in story.plan.draw.items():
        plans.save_reading(demo, trial.code, {"unit": unit, "value": "yes" if arm == "rubber" else "no"})
    r = trial_story(demo, trial.code).result
    assert {a.arm: (a.took, a.n) for a in r.arms} == {"rubber": (4, 4), "vinyl": (0, 4)}
    # two trees with 2 of 2 against 0 of 2 each: (1/6)^2 one way, twice that both ways
    assert r.pairs[0].in_blocks_p == pytest.approx(1 / 18)
    assert "no_plan" not in r.notes
    with pytest.raises(ConflictError) as caught:
        plans.draw_lot(demo, trial.code, {"each": "4"})
    assert str(caught.value) == (
        "The lot of this trial has been drawn already.\n"
        f"Given: {trial.code}\n"
        "Allowed: one draw a trial\n"
        "Next: A lot that is drawn until it pleases is none. If the trial changes, plan a new one."
    )


def test_sent_twice_is_one(demo: Context) -> None:
    given = {"question": "Once?", "arms": "a; b", "id": demo.new_id(), "each": "3"}
    first = plans.save_plan(demo, given)
    assert plans.save_plan(demo, given) == first
    with demo.book.read() as reader:
        assert len(reader.every(TrialPlan, "trial = :t", t=first.thing)) == 1


def test_a_correction_keeps_what_was_not_typed(demo: Context) -> None:
    trial = plans.save_plan(demo, {"question": "Old?", "arms": "a; b", "stop": "in May", "each": "3"})
    plans.save_plan(demo, {"question": "New?"}, code=trial.code)
    story = trial_story(demo, trial.code)
    assert story.plan is not None
    assert (story.trial.question, story.plan.stop, len(story.plan.draw)) == ("New?", "in May", 6)
    with pytest.raises(ConflictError):
        plans.save_plan(demo, {"arms": "a; c"}, code=trial.code)


def test_counts_of_an_arm_go_into_the_trial(demo: Context) -> None:
    trial = plans.save_plan(demo, {"question": "Cleft or bark?", "arms": "cleft; bark graft"})
    plans.save_reading(demo, trial.code, {"arm": "cleft", "value": "3", "tried": "9"})
    plans.save_reading(demo, trial.code, {"arm": "bark graft", "value": "8", "tried": "9"})
    with demo.book.read() as reader:
        assert reader.by_code(Trial, trial.code).result == {"cleft": [3.0, 9.0], "bark graft": [8.0, 9.0]}
    r = trial_story(demo, trial.code).result
    assert r.arms[0].arm == "bark graft"


def test_nights_change_over_between_trees(demo: Context) -> None:
    trial = plans.save_plan(
        demo, {"question": "Nights?", "arms": "bare; fleece", "unit": "night", "blocks": "T03; T10", "nights": "6",
               "seed": "1"}
    )  # fmt: skip
    plan = trial_story(demo, trial.code).plan
    assert plan is not None
    assert len(plan.draw) == 12
    for tree in ("T03", "T10"):
        assert (
            sorted(arm for unit, (_, arm) in plan.draw.items() if unit.startswith(tree))
            == ["bare"] * 3 + ["fleece"] * 3
        )


def test_all_trials_have_a_result_or_say_that_they_have_none(shown_demo: Context) -> None:
    assert {s.trial.code: s.result.kind for s in all_trials(shown_demo)} == {
        "E1": "measured", "E2": "measured", "E3": "share", "E4": "share", "E5": "measured",
    }  # fmt: skip


def test_power_asked(shown_demo: Context) -> None:
    found = ask_power(None, shown_demo.settings, {"a": "0.6", "b": "90 %", "power": "0.8", "n": "12"})
    assert isinstance(found, TakePower)
    assert found.fisher == 36
    assert found.own_power == pytest.approx(0.23, abs=0.005)
    days = ask_power(shown_demo, shown_demo.settings, {"difference": "1", "sd": "1"})
    assert isinstance(days, MeasuredPower)
    assert days.needed == 10


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"a": "0.6", "b": "0.6"},
            "Those two takes are the same: no number of grafts can tell them apart.\n"
            "Given: 0.6 and 0.6\n"
            "Allowed: two takes that differ by 1 point or more\n"
            "Next: Type the take of the usual way, and the least that the other must reach to be worth it.",
        ),
        (
            {"a": "1.4", "b": "0.6"},
            "That is no share.\nGiven: 1.4\nAllowed: 0 to 1, or 0 to 100 %\nNext: Type 80 % or 0.8.",
        ),
        (
            {"b": "0.6"},
            "A share is missing.\n"
            "Given: (nothing)\n"
            "Allowed: 0 to 1, or 0 to 100 %\n"
            "Next: Type what share of the grafts you expect to take.",
        ),
        (
            {"a": "0.6", "b": "0.9", "power": "1"},
            "Nobody plans a trial for that chance.\n"
            "Given: 1\n"
            "Allowed: 0.5 to 0.99; 0.8 is usual\n"
            "Next: A chance of 1 would need endless grafts, one below a half is a coin.",
        ),
        (
            {"difference": "1"},
            "A difference and its spread are both needed, and both over 0.\n"
            "Given: (nothing)\n"
            "Allowed: a number over 0 for each, in the same unit\n"
            "Next: The spread is that of the differences within a night or tree, such as 1 K.",
        ),
    ],
)
def test_power_refused_in_plain_words(shown_demo: Context, fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        ask_power(None, shown_demo.settings, fields)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("fields", "field", "problem"),
    [
        ({"question": "x", "arms": "only one"}, "arms", "A trial compares at least two ways."),
        ({"question": "x", "arms": ";".join("abcdefghi")}, "arms", "Those are too many ways for one trial."),
        ({"question": "", "arms": "a;b"}, "question", "The question of the trial is missing."),
        ({"question": "x", "arms": "a;b", "blocks": "T01 x2; T01 x2"}, "blocks", "A block is named twice."),
        ({"question": "x", "arms": "a;b", "blocks": "T01 x0"}, "blocks", "A block without places holds nothing."),
        ({"question": "x", "arms": "a;b", "each": "900"}, "each", "Those are more than a garden holds."),
        ({"question": "x", "arms": "a;b", "unit": "bag"}, "unit", "Not one of the choices."),
        ({"question": "x", "arms": "a;b", "unit": "night", "blocks": "T01"}, "blocks",
         "Nights that change over need trees and a number of nights."),
    ],
)  # fmt: skip
def test_plans_refused_in_plain_words(demo: Context, fields: dict[str, str], field: str, problem: str) -> None:
    with pytest.raises(InputError) as caught:
        plans.save_plan(demo, fields)
    assert (caught.value.field, caught.value.problem) == (field, problem)
    with demo.book.read() as reader:
        assert len(reader.every(Trial)) == 5  # nothing was written


def test_readings_refused_in_plain_words(demo: Context) -> None:
    trial = plans.save_plan(demo, {"question": "x?", "arms": "a; b", "each": "2", "seed": "3"})
    plan = trial_story(demo, trial.code).plan
    assert plan is not None
    unit, (_, arm) = next(iter(plan.draw.items()))
    other = "b" if arm == "a" else "a"
    with pytest.raises(InputError) as caught:
        plans.save_reading(demo, trial.code, {"unit": unit, "arm": other, "value": "yes"})
    assert caught.value.problem == "That unit was drawn for another arm."
    with pytest.raises(InputError) as caught:
        plans.save_reading(demo, trial.code, {"unit": unit, "value": "3"})
    assert caught.value.problem == "That number cannot be."
    with pytest.raises(InputError) as caught:
        plans.save_reading(demo, trial.code, {"arm": "a", "value": "10", "tried": "9"})
    assert caught.value.problem == "More cannot take than were set."
    with pytest.raises(InputError) as caught:
        plans.draw_lot(demo, "E3", {"each": "3"})
    assert caught.value.problem == "This trial has no plan to draw from."
    with pytest.raises(NotFoundError):
        trial_story(demo, "E99")
