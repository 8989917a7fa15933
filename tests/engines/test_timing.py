"""Days to graft: what must hold whatever the numbers are, and made-up weather with a plain answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from barkslip.domain.method import Method
from barkslip.domain.timing import (
    CAUTIONS,
    REASONS,
    UNKNOWNS,
    DateSpread,
    DaysVerdict,
    DayToGraft,
    GraftPlan,
    HealingCurve,
)  # fmt: skip
from barkslip.engines import bark_rule, timing
from barkslip.engines.frost_draws import Array
from barkslip.engines.heal_hours import joined, local_start, own_spans
from barkslip.engines.healing_curve import curve_of
from barkslip.engines.sun_hours import SunHours
from barkslip.kernels.healing import N_ENDS
from barkslip.knowledge.load import load

KNOWN = load()
KINDS = KNOWN.table("healing_kinds")
FIRST = "2021-09-14"
ALL = 89  # days: fourteen to start on, and the time looked at after the last


def curve(words: str = "citrus") -> HealingCurve:
    found = curve_of(words, KINDS, KNOWN.value)
    assert found is not None
    return found


def method(name: str = "bark graft") -> Method:
    found = KNOWN.method(name)
    assert found is not None
    return found


@dataclass(frozen=True, eq=False)
class Plain:
    """A stand-in for the wrap: everything at the air's temperature, as much loss and dose as is said."""

    union_c: Array
    scion_c: Array
    loss_per_h: Array
    dose_per_h: Array


def plain(
    loss_day: float = 0.001, dose: Callable[[Array], Array] = np.zeros_like, scion_k: float = 0.0
) -> Callable[[SunHours, int, int, bool], Plain]:
    def run(hours: SunHours, members: int, seed: int, best: bool) -> Plain:
        air = np.repeat(hours.air_c[np.newaxis], 1 if best else members, axis=0)
        return Plain(air, air + scion_k, np.full(air.shape, loss_day / 24), dose(air))

    return run


def weather(air: Array, first: str = FIRST, cloud: float = 0.3) -> SunHours:
    """Hours with this air from a local midnight on, sun from six to six, dew point 10 °C or the air."""
    n = air.size
    t = np.arange(n)
    up = 55.0 * np.sin(2 * np.pi * (t - 6) / 24)
    ghi = np.clip(900.0 * np.sin(np.radians(up)), 0.0, None)
    start = int(datetime.fromisoformat(first).replace(tzinfo=UTC).timestamp()) - 2 * 3600
    even = np.ones(n)
    return SunHours(
        start + 3600 * t.astype(np.int64), air, np.minimum(air, 10.0), 1.5 * even, cloud * even, ghi, 0.75 * ghi,
        0.25 * ghi, up, 0.0 * even, 2.0,
    )  # fmt: skip


def days_of(low: float, high: float, days: int = ALL) -> Array:
    t = np.arange(24 * days)
    return (low + high) / 2 + (high - low) / 2 * np.sin(2 * np.pi * (t - 9) / 24)


def ask(
    hours: SunHours | None, plan: GraftPlan | None = None, kind: HealingCurve | None = None,
    years: tuple[SunHours, ...] = (), **more: object,
) -> DaysVerdict:  # fmt: skip
    wrapping = more.pop("wrapping", plain())
    return timing.assess(
        plan or GraftPlan("citrus"), kind or curve(), hours, years, KNOWN.value, wrapping=wrapping, **more
    )  # type: ignore[arg-type]


def whole(day: DayToGraft) -> float:
    return day.chance + sum(share for _, share in day.ended_by)


# -- what always holds ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def warm() -> DaysVerdict:
    return ask(weather(days_of(18, 28)))


def test_the_same_seed_gives_the_same_answer_and_another_nearly(warm: DaysVerdict) -> None:
    assert ask(weather(days_of(18, 28))) == warm
    other = ask(weather(days_of(18, 28)), seed=2)
    assert other.days != warm.days
    assert other.days[0].chance == pytest.approx(warm.days[0].chance, abs=0.08)


@pytest.mark.parametrize(("low", "high"), [(2, 14), (8, 20), (18, 28), (24, 42), (30, 44)])
def test_chances_add_to_one_and_codes_are_known(low: float, high: float) -> None:
    found = ask(weather(days_of(low, high)), members=60)
    assert len(found.days) == 14
    for day in found.days:
        assert whole(day) == pytest.approx(1.0)
        assert day.healing_days.p10 <= day.healing_days.p50 <= day.healing_days.p90 <= 1.0
        assert set(day.reasons) <= set(REASONS)
        assert day.air_low_c == pytest.approx(low, abs=0.3)
        assert day.air_high_c == pytest.approx(high, abs=0.3)
    assert set(found.unknowns) <= set(UNKNOWNS)
    assert set(found.cautions) <= set(CAUTIONS)
    assert "take_other_causes" in found.unknowns
    assert len(timing.ENDS) + 1 == N_ENDS


def test_days_follow_each_other_from_the_first() -> None:
    found = ask(weather(days_of(18, 28)), members=20)
    assert [d.date for d in found.days] == [
        (date.fromisoformat(FIRST) + timedelta(days=i)).isoformat() for i in range(14)
    ]


def test_the_take_of_the_method_does_not_enter(warm: DaysVerdict) -> None:
    """The chance is about weather; the bark graft and the cleft share a clock of buds and differ in take."""
    one, other = (
        ask(weather(days_of(18, 28)), GraftPlan("citrus", bark="lifts"), method=method(name))
        for name in ("bark graft", "cleft")
    )
    assert method("bark graft").take_prior != method("cleft").take_prior
    assert [d.chance for d in one.days] == [d.chance for d in other.days]


# -- weather with a plain answer ------------------------------------------------------------------------------


def test_a_warm_spring_is_accepted(warm: DaysVerdict) -> None:
    """18 to 28 °C: the report of the day table puts citrus near 15/0.67 = 22 days to the first water path."""
    assert warm.verdict == "today"
    assert warm.days[0].chance >= 0.7
    assert warm.reasons[-1] == "good"
    assert warm.days[0].link_days is not None
    assert warm.days[0].link_days.p50 == pytest.approx(22, abs=2.5)
    assert warm.set_on == FIRST


def test_a_spring_of_13_degrees_is_refused_as_too_cold() -> None:
    """A mean of 13.1 °C, as in the September in which four grafts came to nothing."""
    found = ask(weather(days_of(6.6, 19.6)))
    assert found.verdict == "not now"
    assert found.reasons[0] == "too_cold"
    assert found.days[0].chance < 0.4
    assert found.best_day == ""


def test_persimmon_at_13_degrees_with_swelling_buds_is_refused() -> None:
    plan = GraftPlan("persimmon", buds="swelling", bark="lifts")
    found = ask(weather(days_of(6.6, 19.6)), plan, curve("persimmon"), method=method())
    assert found.verdict == "not now"
    assert {"buds_before_union", "too_cold"} <= set(found.reasons)
    later = ask(weather(days_of(13, 26)), replace(plan, buds="resting"), curve("persimmon"), method=method())
    assert later.verdict == "today"


def test_waiting_for_warmer_days() -> None:
    """Frost for six days, then warm: the day to wait for is the first warm one."""
    late = ask(weather(np.concatenate((days_of(-4, 4, 6), days_of(20, 29, ALL - 6)))))
    assert late.verdict == "wait"
    assert late.best_day == late.days[6].date
    assert late.set_on == late.best_day
    assert "frost_before_link" in late.days[0].reasons


def test_a_heat_wave_ahead_in_a_brown_bag_and_under_foil() -> None:
    """Two weeks of 26 to 41 °C after a warm week, with the program's own model of the wrap: the bag cooks the scion
    sooner than the sleeve, and no day before the wave is good."""
    air = days_of(18, 29)
    air[7 * 24 : 21 * 24] = days_of(26, 41, 14)
    hours = replace(weather(air, "2021-12-01", cloud=0.0), wind_m_s=np.full(air.size, 0.8))
    bag, foil = (
        ask(hours, GraftPlan("citrus", cover=cover), wrapping=None, members=100)
        for cover in ("brown_bag", "foil_sleeve")
    )
    assert bag.verdict == "not now"
    assert bag.reasons[0] in ("too_hot", "drying")
    assert dict(bag.days[0].ended_by).get("too_hot", 0.0) > 0.5
    assert "heat_wave_ahead" in bag.reasons
    assert foil.days[0].chance > bag.days[0].chance
    assert foil.days[0].heat_dose.p50 < bag.days[0].heat_dose.p50


def test_an_extreme_ahead_makes_no_day_good() -> None:
    """heal.S39: do not graft in the two weeks before one, whatever the model says of the dose."""
    air = days_of(18, 28)
    calm = ask(weather(air))
    air[10 * 24 + 14 : 10 * 24 + 17] = 44.0
    found = ask(weather(air))
    assert calm.days[0].verdict == "good"
    assert found.days[0].verdict == "fair"
    assert found.days[11].verdict == "good"
    assert found.verdict == "wait"
    assert found.best_day == found.days[11].date


def test_a_frost_on_new_growth_after_a_good_start() -> None:
    air = days_of(18, 28)
    air[45 * 24 : 45 * 24 + 6] = -6.0
    found = ask(weather(air))
    assert dict(found.days[0].ended_by)["frost_after"] > 0.6
    assert {"frost_after", "false_spring"} <= set(found.reasons)
    assert found.days[0].frost_hours.p50 == 6
    assert found.verdict == "not now"
    asleep = ask(weather(air), GraftPlan("citrus", path="sleeping"))
    assert asleep.verdict == "today"
    assert asleep.push_date == DateSpread(None, None, None)


def test_a_sleeping_bud_must_link_before_the_cold() -> None:
    air = np.concatenate((days_of(16, 26, 12), days_of(4, 12, ALL - 12)))
    found = ask(weather(air, "2021-04-01"), GraftPlan("citrus", path="sleeping"))
    assert found.verdict == "not now"
    assert found.reasons[:2] == ("too_cold", "late_in_season")


def test_drying_ends_what_is_badly_wrapped() -> None:
    tight, open_ = (ask(weather(days_of(18, 28)), wrapping=plain(loss_day=x)) for x in (0.001, 0.03))
    assert dict(open_.days[0].ended_by)["drying"] > 0.8
    assert open_.reasons[0] == "drying"
    assert open_.days[0].chance < tight.days[0].chance
    assert open_.days[0].water_lost_pct.p50 > 50.0


def test_warm_buds_on_a_cool_stock_push_before_the_union() -> None:
    cool, warm = (
        ask(weather(days_of(10, 20)), GraftPlan("apple"), curve("apple"), wrapping=plain(scion_k=k)) for k in (0.0, 8.0)
    )
    assert dict(warm.days[0].ended_by)["buds_before_union"] > dict(cool.days[0].ended_by)["buds_before_union"] + 0.1


@pytest.mark.parametrize(("early", "later"), [("resting", "swelling"), ("swelling", "pushing")])
def test_buds_further_on_never_help(early: str, later: str) -> None:
    first, second = (
        ask(weather(days_of(12, 22)), GraftPlan("persimmon", buds=b), curve("persimmon")).days[0].chance
        for b in (early, later)
    )
    assert second < first


def test_warmer_below_the_best_links_sooner() -> None:
    found = [ask(weather(days_of(10 + k, 20 + k)), members=100).days[0].link_days for k in (4, 6, 8)]
    middles = [s.p50 for s in found if s is not None]
    assert len(middles) == 3
    assert middles == sorted(middles, reverse=True)


# -- what is not known ----------------------------------------------------------------------------------------


def test_an_unknown_species_gets_no_answer_of_another() -> None:
    found = timing.assess(GraftPlan("cherimoya"), None, weather(days_of(18, 28)), (), KNOWN.value)
    assert (found.verdict, found.reasons, found.days, found.curve) == ("unknown", ("species_unknown",), (), None)
    assert "healing_curve" in found.unknowns


def test_without_hours_nothing_is_said() -> None:
    for none in (None, weather(days_of(18, 28)).part(0, 12)):
        found = ask(none)
        assert (found.verdict, found.reasons, found.days) == ("unknown", ("no_weather",), ())


def test_a_short_forecast_without_own_years_leaves_it_open() -> None:
    found = ask(weather(days_of(18, 28, 10)))
    assert found.verdict == "unknown"
    assert found.reasons[0] == "no_weather"
    assert "no_own_years" in found.unknowns
    assert len(found.days) == 10
    assert all(whole(d) == pytest.approx(1.0) for d in found.days)


def test_weak_evidence_is_said() -> None:
    assert "weak_species" in ask(weather(days_of(12, 24)), GraftPlan("fig"), curve("fig"), members=20).unknowns
    assert "weak_species" not in ask(weather(days_of(18, 28)), members=20).unknowns


def test_a_drought_that_was_told_is_a_reason() -> None:
    assert "drought" in ask(weather(days_of(18, 28)), drought=True, members=20).reasons


# -- own years ------------------------------------------------------------------------------------------------


def three_years(means: tuple[float, ...] = (23.0, 20.0, 12.0)) -> SunHours:
    """Years that differ: one warm, one middling, one cold."""
    air = np.concatenate([days_of(m - 5, m + 5, 365) for m in means])
    return weather(air, "2017-01-01")


def test_after_the_forecast_each_member_lives_through_an_own_year() -> None:
    hours = weather(days_of(18, 28, 7))
    found = ask(hours, years=(three_years(),))
    assert found.years == 3
    assert {"after_forecast", "own_years_few"} <= set(found.unknowns)
    assert [d.source for d in ask(hours, years=(three_years(),), sources=("forecast",) * 7).days[6:8]] == [
        "forecast", "own years",
    ]  # fmt: skip
    warm_only, cold_only = (ask(hours, years=(three_years((m,) * 3),)) for m in (23.0, 12.0))
    assert cold_only.days[0].chance < found.days[0].chance < warm_only.days[0].chance


def test_spans_of_own_years_begin_on_the_same_day_of_the_calendar() -> None:
    stretch = three_years()
    spans = own_spans((stretch,), datetime(2025, 9, 21, tzinfo=UTC), 100 * 24)
    assert [local_start(s).strftime("%Y-%m-%d %H") for s in spans] == [f"{y}-09-21 00" for y in (2017, 2018, 2019)]
    late = own_spans((stretch,), datetime(2025, 12, 20, tzinfo=UTC), 100 * 24)
    assert [local_start(s).year for s in late] == [2017, 2018]
    leap = own_spans((stretch,), datetime(2024, 2, 29, tzinfo=UTC), 24)
    assert [local_start(s).strftime("%m-%d") for s in leap] == ["02-28"] * 3


def test_a_typical_year_goes_round() -> None:
    year = three_years((20.0,))
    (span,) = own_spans((year,), datetime(2025, 12, 20, tzinfo=UTC), 100 * 24)
    assert len(span) == 100 * 24
    at = round((datetime(2017, 12, 20, tzinfo=UTC) - local_start(year)) / timedelta(hours=1))
    np.testing.assert_allclose(span.air_c[:10], year.air_c[at : at + 10])
    np.testing.assert_allclose(span.air_c[-10:], year.air_c[100 * 24 - (len(year) - at) - 10 :][:10])
    assert (np.diff(span.time_s) == 3600).all()


def test_an_error_of_the_forecast_widens_the_healing_of_its_days() -> None:
    hours = weather(days_of(14, 22))
    sure, unsure = (ask(replace(hours, air_sd_k=sd)).days[2].healing_days for sd in (0.0, 3.0))
    assert unsure.p90 - unsure.p10 > sure.p90 - sure.p10 + 0.05


# -- bark -----------------------------------------------------------------------------------------------------


def bark(
    plan: GraftPlan, air: Array | None = None, before: Array | None = None, name: str = "bark graft"
) -> DaysVerdict:
    past = weather(days_of(16, 28, 21) if before is None else before, "2021-08-24")
    return ask(weather(days_of(18, 28) if air is None else air), plan, method=method(name), before=past, members=100)


def test_without_a_test_of_the_bark_it_is_asked_for() -> None:
    found = bark(GraftPlan("citrus"))
    assert found.verdict == "ask bark test"
    assert found.reasons[0] == "ask_bark_test"
    assert (found.bark_from, found.bark_rule) == (FIRST, "rule")
    assert "test_bark" in found.cautions
    assert "bark_rule" in found.unknowns


@pytest.mark.parametrize("test", ["lifts", "sun side only"])
def test_bark_that_lifts_leaves_it_to_the_weather(test: str) -> None:
    found = bark(GraftPlan("citrus", bark=test))
    assert (found.verdict, found.bark_rule) == ("today", "test")


def test_bark_that_tears_is_king_whatever_the_rule_says() -> None:
    found = bark(GraftPlan("citrus", bark="tears", flush=True))
    assert (found.verdict, found.reasons[0], found.best_day) == ("not now", "bark_tears", "")
    assert bark(GraftPlan("citrus", bark="tears"), name="cleft").verdict == "today"


def test_a_method_that_needs_no_lifting_bark_asks_for_no_test() -> None:
    found = bark(GraftPlan("citrus"), name="cleft")
    assert (found.verdict, found.bark_rule) == ("today", "no need")
    assert "test_bark" not in found.cautions


def test_the_rule_by_hand() -> None:
    """21 days at 16 °C: 21 x 3 K = 63 K d, above 60, and the week's mean above 15 °C. At 15.8 °C: 58.8 K d."""
    for mean, lifts in ((16.0, True), (15.8, False), (14.9, False)):
        means = np.full(25, mean)
        assert bark_rule.lifting_days(means, KNOWN.value)[21:].all() == lifts
    cold_week = np.concatenate((np.full(14, 20.0), np.full(7, 14.5), np.full(1, 14.5)))
    assert not bark_rule.lifting_days(cold_week, KNOWN.value)[21]


def test_testing_begins_two_weeks_before_the_rule_holds() -> None:
    cold, warm = days_of(6, 16, 21), days_of(12, 24)
    found = bark(GraftPlan("citrus"), warm, cold)
    means = np.concatenate((np.full(21, 11.0), np.full(60, 18.0)))
    first = int(np.flatnonzero(bark_rule.lifting_days(means, KNOWN.value))[0]) - 21
    expected = max(0, first - 14)
    assert first == 12
    assert found.bark_from == found.days[expected].date


def test_the_rule_is_for_citrus_and_needs_three_weeks() -> None:
    past = weather(days_of(16, 28, 21), "2021-08-24")
    assert not bark_rule.speaks(curve("apple"), past, KNOWN.value)
    assert not bark_rule.speaks(curve(), past.part(0, 20 * 24), KNOWN.value)
    found = ask(weather(days_of(18, 28)), method=method(), members=20)
    assert (found.verdict, found.bark_from) == ("ask bark test", "")


# -- dates ----------------------------------------------------------------------------------------------------


def test_dates_are_in_order_and_the_binding_stays_as_long_as_the_method_asks(warm: DaysVerdict) -> None:
    assert warm.link_date.p10 is not None
    assert warm.link_date.p50 is not None
    assert warm.link_date.p90 is not None
    assert warm.link_date.p10 < warm.link_date.p50 < warm.link_date.p90
    assert warm.release_date.p50 is not None
    assert warm.release_date.p50 > warm.link_date.p50
    held = bark(GraftPlan("citrus", bark="lifts")).release_date.p10
    assert held == (date.fromisoformat(FIRST) + timedelta(days=30)).isoformat()


def test_a_date_that_most_members_never_reach_is_none() -> None:
    found = ask(weather(days_of(6.6, 19.6)))
    assert found.link_date.p90 is None
    assert found.release_date.p90 is None


def test_joined_hours_keep_one_clock() -> None:
    one, other = weather(days_of(10, 20, 2)), weather(days_of(20, 30, 2), "2017-03-01")
    both = joined(one, other)
    assert (np.diff(both.time_s) == 3600).all()
    assert both.air_c[48:].tolist() == other.air_c.tolist()
