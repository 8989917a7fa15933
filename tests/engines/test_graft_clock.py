"""The clock of a graft that was set, past grafts beside it, and what takes say about it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from barkslip.domain.method import Binding, Method
from barkslip.domain.timing import UNKNOWNS, GraftClock, GraftPlan, HealingCurve
from barkslip.engines.clock_learn import PastGraft, learn, takes_of, weighed
from barkslip.engines.frost_draws import Array
from barkslip.engines.graft_clock import back_cast, clock, latest_release
from barkslip.engines.healing_curve import curve_of
from barkslip.engines.sun_hours import SunHours
from barkslip.knowledge.load import load

KNOWN = load()
SET_ON = "2024-10-01"


def curve(words: str = "citrus") -> HealingCurve:
    found = curve_of(words, KNOWN.table("healing_kinds"), KNOWN.value)
    assert found is not None
    return found


def method(name: str) -> Method:
    found = KNOWN.method(name)
    assert found is not None
    return found


def binding(name: str) -> Binding:
    found = KNOWN.binding(name)
    assert found is not None
    return found


@dataclass(frozen=True, eq=False)
class Plain:
    """A stand-in for the wrap: everything at the air's temperature."""

    union_c: Array
    scion_c: Array
    loss_per_h: Array
    dose_per_h: Array


def plain(hours: SunHours, members: int, seed: int, best: bool) -> Plain:
    air = np.repeat(hours.air_c[np.newaxis], 1 if best else members, axis=0)
    return Plain(air, air, np.full(air.shape, 0.001 / 24), np.zeros(air.shape))


def steady(temp_c: float, days: int, first: str = SET_ON) -> SunHours:
    """Hours at one temperature from a local midnight on."""
    n = 24 * days
    even = np.ones(n)
    start = int(datetime.fromisoformat(first).replace(tzinfo=UTC).timestamp())
    return SunHours(
        start + 3600 * np.arange(n, dtype=np.int64), temp_c * even, 5.0 * even, even, 0.5 * even, 0 * even, 0 * even,
        0 * even, -even, 0 * even,
    )  # fmt: skip


def ask(hours: SunHours | None, as_of: str, kind: HealingCurve | None = None, **more: object) -> GraftClock:
    said: dict[str, object] = {"code": "G1", "set_on": SET_ON, "as_of": as_of, "wrapping": plain, "years": (), **more}
    years = said.pop("years")
    return clock(GraftPlan("citrus"), kind or curve(), hours, years, KNOWN.value, **said)  # type: ignore[arg-type]


def after(days: float) -> str:
    return (date.fromisoformat(SET_ON) + timedelta(days=days)).isoformat()


def test_ten_days_at_28_degrees_are_about_ten_thermal_days() -> None:
    """Set at ten in the morning; up to the midnight ten days later: 9.6 days, times a rate near 1."""
    found = ask(steady(28.0, 120), after(10))
    assert found.so_far is not None
    assert found.so_far.p90 == pytest.approx(9.58, abs=0.1)
    assert 8.8 < found.so_far.p50 <= 9.59
    assert found.bridge is not None
    assert found.bridge.p50 == after(5)
    assert found.link is not None
    assert found.link.p50 is not None
    assert after(14) <= found.link.p50 <= after(17)
    assert found.chance_bridge is not None
    assert found.chance_link is not None
    assert found.chance_bridge > 0.95
    assert found.chance_link < 0.15


def test_chances_rise_with_the_days() -> None:
    found = [ask(steady(28.0, 120), after(d)) for d in (0, 6, 14, 30)]
    for name in ("chance_bridge", "chance_link"):
        chances = [getattr(c, name) for c in found]
        assert chances == sorted(chances)
        assert chances[0] == 0.0
        assert chances[-1] > 0.98
    assert found[0].so_far is not None
    assert found[0].so_far.p90 == 0.0


def test_hours_to_come_are_from_the_forecast_then_own_years() -> None:
    own = steady(28.0, 3 * 365 + 1, "2019-01-01")
    short = ask(steady(28.0, 5), after(5))
    assert (short.ahead, short.link) != ("own years", None)
    assert short.link is not None
    assert short.link.p50 is None
    assert "no_own_years" in short.words
    with_years = ask(steady(28.0, 5), after(5), years=(own,))
    assert with_years.ahead == "own years"
    assert with_years.link is not None
    assert with_years.link.p50 is not None
    assert ask(steady(28.0, 9), after(5), years=(own,)).ahead == "forecast and own years"


def test_the_latest_release_is_that_of_the_binding() -> None:
    """binding_values: vinyl tape by day 90, stretch film none."""
    assert latest_release(SET_ON, binding("pvc_tape")) == after(90)
    assert latest_release(SET_ON, binding("stretch_film")) == ""
    assert latest_release(SET_ON, None) == ""
    assert ask(steady(28.0, 120), after(3), binding=binding("pvc_tape")).latest_release == after(90)


def test_an_unknown_species_has_no_clock() -> None:
    found = clock(
        GraftPlan("cherimoya"), None, steady(28.0, 120), (), KNOWN.value, code="G1", set_on=SET_ON, as_of=after(9),
        binding=binding("pvc_tape"),
    )  # fmt: skip
    assert (found.species, found.so_far, found.link, found.chance_link) == ("", None, None, None)
    assert found.words == ("healing_curve",)
    assert found.latest_release == after(90)


def test_no_weather_no_clock_and_all_words_are_known_codes() -> None:
    found = ask(None, after(9))
    assert (found.species, found.so_far) == ("citrus", None)
    assert set(found.words) <= set(UNKNOWNS)
    assert set(ask(steady(28.0, 9), after(5)).words) <= set(UNKNOWNS)


def test_an_old_graft_is_answered_from_its_first_months() -> None:
    found = ask(steady(28.0, 300), after(2000))
    assert (found.chance_bridge, found.chance_link) == (1.0, 1.0)


# -- back-cast ------------------------------------------------------------------------------------------------


def test_a_past_graft_beside_the_clock() -> None:
    warm, cold, short = (
        back_cast(GraftPlan("citrus"), curve(), hours, KNOWN.value, code="G", set_on=SET_ON, outcome="took",
                  wrapping=plain)
        for hours in (steady(26.0, 90), steady(13.5, 90), steady(26.0, 30))
    )  # fmt: skip
    assert warm.chance is not None
    assert cold.chance is not None
    assert warm.chance > 0.8
    assert cold.chance < 0.1
    assert warm.healing_45 is not None
    assert cold.healing_45 is not None
    assert warm.healing_45.p50 > 35.0
    assert cold.healing_45.p50 < 8.0
    assert short.healing_21 is not None
    assert short.healing_45 is None
    assert back_cast(
        GraftPlan("citrus"), curve(), None, KNOWN.value, code="G", set_on=SET_ON, outcome="took"
    ).chance is None  # fmt: skip


# -- learning -------------------------------------------------------------------------------------------------


def past(outcome: str, temp_c: float, code: str = "G", name: str = "bark graft") -> PastGraft:
    plan = GraftPlan("citrus", method="bark_graft", path="sleeping")
    return PastGraft(code, SET_ON, plan, outcome, steady(temp_c, 90), method(name))


def test_takes_in_cold_weather_lower_the_lowest_temperature() -> None:
    """At a steady 16.5 °C only members with a low t_min or few days link within the wait."""
    found = learn(curve(), [past("took", 16.5, f"G{i}") for i in range(4)], KNOWN.value, wrapping=plain)
    assert (found.grafts, found.took) == (4, 4)
    assert found.after["t_min_c"].p50 < found.before["t_min_c"].p50 - 0.3
    assert found.after["d_xylem_d"].p50 < found.before["d_xylem_d"].p50
    assert found.weight_left < 0.8


def test_failures_in_warm_weather_say_less_than_takes_in_cold() -> None:
    """A failure may have had any other cause; the take of a method leaves room for it."""
    failed = learn(curve(), [past("did not take", 27.0)], KNOWN.value, wrapping=plain)
    took = learn(curve(), [past("took", 16.5)], KNOWN.value, wrapping=plain)
    moved = [abs(x.after["t_min_c"].p50 - x.before["t_min_c"].p50) for x in (failed, took)]
    assert moved[0] < 0.1 < moved[1]
    assert failed.weight_left > took.weight_left


def test_what_has_no_verdict_or_no_weather_says_nothing() -> None:
    blind = replace(past("took", 20.0), hours=None)
    short = replace(past("did not take", 20.0), hours=steady(20.0, 10))
    found = learn(curve(), [past("waiting", 20.0), blind, short], KNOWN.value, wrapping=plain)
    assert (found.grafts, found.took) == (0, 0)
    assert found.before == found.after
    assert found.weight_left == pytest.approx(1.0)
    assert [r.chance is None for r in found.rows] == [False, True, True]
    assert learn(curve(), [], KNOWN.value).rows == ()


def test_the_truth_of_made_up_takes_is_approached() -> None:
    """Takes drawn from a garden whose citrus heals from 15.5 °C: at 17.5 °C nothing takes, at 21 °C nearly all."""
    rows = [past("did not take", 17.5, f"C{i}", "side veneer") for i in range(12)]
    rows += [past("took", 21.0, f"W{i}", "side veneer") for i in range(12)]
    found = learn(curve(), rows, KNOWN.value, wrapping=plain)
    assert found.after["t_min_c"].p50 > found.before["t_min_c"].p50 + 0.3
    assert found.after["t_min_c"].p10 < 15.5


def test_the_take_is_drawn_as_broadly_as_it_is_known() -> None:
    known, unknown = takes_of(method("bark graft")), takes_of(None)
    assert known.mean() == pytest.approx(0.8, abs=0.01)  # prior 0.8, worth 5 grafts
    assert known.std() == pytest.approx(np.sqrt(0.8 * 0.2 / 6), abs=0.02)
    assert unknown.mean() == pytest.approx(0.5, abs=0.01)


def test_even_weights_give_the_plain_spread() -> None:
    values = np.random.default_rng(1).normal(0, 1, 1001)
    found = weighed(values, np.full(1001, 1 / 1001))
    assert (found.p10, found.p50, found.p90) == pytest.approx(tuple(np.percentile(values, [10, 50, 90])), abs=0.01)
    one = weighed(np.array([1.0, 2.0, 3.0]), np.array([0.0, 1.0, 0.0]))
    assert one.p50 == 2.0
