"""What is due: windows from looks, acts and the numbers of the knowledge base."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from barkslip.app.care import care_rules
from barkslip.domain.act import Act
from barkslip.domain.due import CareRules
from barkslip.domain.graft import Graft, Look, standing
from barkslip.domain.sourced import Value
from barkslip.domain.when import on
from barkslip.engines.care import cover_on, graft_due, on_walk, shade_due, tree_due
from barkslip.knowledge.load import load

SET = date(2024, 10, 6)
KEYS = {"made_utc": "2024-10-06T08:00:00Z"}


@pytest.fixture(scope="module")
def rules() -> CareRules:
    return care_rules(load())


def graft(**given: object) -> Graft:
    values = {"id": "g", "thing": "g", "code": "G1-1", "tree": "t", "method": "bark graft", "set_on": on(SET)}
    return Graft(**KEYS, **(values | given))  # type: ignore[arg-type]


def look(state: str, after: int, shoot: float | None = None) -> Look:
    day = SET + timedelta(days=after)
    return Look(**KEYS, id=f"k{after}", thing=f"k{after}", graft="g", state=state, on=on(day), shoot_mm=shoot)


def act(kind: str, after: int, detail: str = "", graft: str | None = "g") -> Act:
    day = SET + timedelta(days=after)
    return Act(
        **KEYS, id=f"a{after}{kind}", thing=f"a{after}{kind}", kind=kind, on=on(day), graft=graft,
        tree=None if graft else "t", detail=detail,
    )  # fmt: skip


def due(rules: CareRules, looks: list[Look], acts: list[Act] = [], **given: object) -> dict[str, tuple]:  # noqa: B006
    one = graft(**given)
    stand = standing(looks, one.set_on, false_take_days=60)
    return {d.kind: (d.opens, d.closes) for d in graft_due(one, stand, looks, acts, rules)}


def test_a_first_look_then_looks_until_there_is_a_verdict(rules: CareRules) -> None:

    assert due(rules, []) == {"first look": (day(7), day(10))}
    assert due(rules, [look("green and still", 8)]) == {"look": (day(15), None)}
    assert due(rules, [look("pushing", 30)]) == {"look": (day(37), None)}
    assert due(rules, [look("pushing", 70)]) == {}
    assert due(rules, [look("black", 20)]) == {}


def day(days: int) -> date:
    return SET + timedelta(days=days)


def test_vinyl_has_a_last_day_and_film_that_splits_has_none(rules: CareRules) -> None:
    assert due(rules, [look("pushing", 70)], binding="vinyl tape")["release"] == (day(14), day(90))
    assert "release" not in due(rules, [look("pushing", 70)], binding="stretch grafting film")
    assert "release" not in due(rules, [look("pushing", 70)], [act("release", 75)], binding="vinyl tape")
    assert "release" not in due(rules, [look("pushing", 70)], binding="spider silk")


def test_a_cover_is_looked_under_and_asked_about(rules: CareRules) -> None:
    found = due(rules, [look("pushing", 70)], cover="brown paper bag")
    assert found["wrap check"] == (day(7), day(10))
    assert found["cover"] == (day(60), None)
    checked = due(rules, [look("pushing", 70)], [act("wrap check", 20)], cover="brown paper bag")
    assert checked["wrap check"] == (day(27), day(30))
    assert due(rules, [look("pushing", 70)], [act("cover off", 30)], cover="brown paper bag") == {}
    again = [act("cover off", 30), act("cover on", 40, "foil sleeve")]
    assert cover_on(graft(cover="brown paper bag"), again) == ("foil sleeve", day(40))


def test_a_long_shoot_asks_for_a_brace_once(rules: CareRules) -> None:
    long = [look("pushing", 70, 400.0)]
    assert due(rules, long)["brace"] == (day(70), None)
    assert "brace" not in due(rules, [look("pushing", 70, 120.0)])
    assert "brace" not in due(rules, long, [act("brace", 71)])


def test_stock_shoots_weekly_then_every_two_weeks_then_no_more(rules: CareRules) -> None:
    one = graft()
    alive = [(one, standing([look("pushing", 70)], one.set_on, false_take_days=60))]
    first = tree_due(alive, [], rules)[0]
    assert (first.kind, first.opens, first.ends) == ("rub", day(7), day(365))
    assert tree_due(alive, [act("rub", 30, graft=None)], rules)[0].opens == day(37)
    assert tree_due(alive, [act("rub", 80, graft=None)], rules)[0].opens == day(94)
    assert tree_due(alive, [act("rub", 360, graft=None)], rules) == ()
    dead = [(one, standing([look("black", 20)], one.set_on, false_take_days=60))]
    assert tree_due(dead, [], rules) == ()


def test_fleece_on_a_tree_without_grafts_is_not_forgotten(rules: CareRules) -> None:
    found = tree_due([], [act("cover on", 10, "fleece", graft=None)], rules)
    assert [(d.kind, d.opens, d.detail) for d in found] == [("cover", day(70), "fleece")]
    off = [act("cover on", 10, "fleece", graft=None), act("cover off", 20, graft=None)]
    assert tree_due([], off, rules) == ()


def test_the_walk_has_what_waits_or_has_something_open(rules: CareRules) -> None:
    one = graft(cover="foil sleeve")
    took = standing([look("pushing", 70)], one.set_on, false_take_days=60)
    assert on_walk(one, took, [], ())
    assert not on_walk(one, took, [act("cover off", 80)], ())
    lost = standing([look("black", 20)], one.set_on, false_take_days=60)
    assert not on_walk(one, lost, [], ())


def test_shade_is_due_the_day_before_the_first_hot_one() -> None:
    line = Value(38.0, "°C", "heal.S1", "published")
    days = [(date(2023, 12, 17), 35.0), (date(2023, 12, 18), 40.1), (date(2023, 12, 19), 42.3)]
    found = shade_due(days, line)
    assert found is not None
    assert (found.kind, found.opens, found.closes) == ("shade", date(2023, 12, 17), date(2023, 12, 18))
    assert shade_due(days[:1], line) is None


def test_every_window_says_its_number_with_source_and_status(rules: CareRules) -> None:
    one = graft(binding="vinyl tape", cover="bag")
    looks = [look("pushing", 30, 500.0)]
    stand = standing(looks, one.set_on, false_take_days=60)
    for found in graft_due(one, stand, looks, [], rules):
        assert found.value is not None
        assert found.value.source
        assert found.value.status


def test_a_lost_graft_is_due_for_nothing_whatever_is_still_on_it(rules: CareRules) -> None:
    lost = [look("pushing", 30, 500.0), look("black", 40)]
    assert due(rules, lost, binding="vinyl tape", cover="brown paper bag") == {}
