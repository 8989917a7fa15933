"""What a plot's nights differ by, learned from its own nights."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from barkslip.demo.garden import build
from barkslip.domain.night import Offset, OffsetPart
from barkslip.domain.weather import Series, SeriesInfo
from barkslip.engines.offset import (
    STUDENT_95,
    Limits,
    PairedNight,
    learned,
    middle_interval,
    offset_for,
    paired,
    still_share,
)
from barkslip.engines.own_nights import OwnNight, own_nights
from barkslip.weather.sun import sun_times

LIMITS = Limits()
DAYS = 1825
Nights = tuple[OwnNight, ...]


@cache
def demo_nights() -> dict[str, Nights]:
    """Nights of the four plots (screen), and of loggers A and B joined."""
    garden = build()
    first = np.datetime64("2020-07-01", "D").astype(np.int64)
    midnight = (first + np.arange(DAYS + 1)) * 86400
    sun = sun_times(midnight, -33.6, 21.0, 2.0)
    days = tuple(str(np.datetime64(int(first + i), "D")) for i in range(DAYS))
    sunset = midnight[:-1] + np.round((sun.set_h[:-1] - 2.0) * 3600).astype(np.int64)
    sunrise = midnight[1:] + np.round((sun.rise_h[1:] - 2.0) * 3600).astype(np.int64)
    out: dict[str, Nights] = {}
    for one in garden.series:
        name = one.series.info.name
        key = next((k for k in ("(YARD)", "(WALL)", "(BENCH)", "(LOW)", "Logger A", "Logger B") if k in name), "")
        if key and one.series.info.kind == "invented":
            out[key.strip("()")] = (*out.get(key.strip("()"), ()), *own_nights(one.series, days, sunset, sunrise))
    return out


def parts_of(plot: str, site: str = "YARD") -> tuple[OffsetPart, OffsetPart]:
    nights = demo_nights()
    return learned(paired(nights[site], nights[plot], nights["YARD"], LIMITS), LIMITS)


@pytest.mark.parametrize(("plot", "truth"), [("LOW", -2.6), ("WALL", 2.2), ("BENCH", 0.8)])
def test_the_planted_differences_of_the_demo_are_found(plot: str, truth: float) -> None:
    still, windy = parts_of(plot)
    assert still.nights > 200 and windy.nights > 200
    assert still.low_k is not None and still.high_k is not None and windy.mean_k is not None
    assert still.low_k <= truth <= still.high_k
    assert still.high_k - still.low_k < 0.6
    assert windy.mean_k == pytest.approx(0.0, abs=0.15)
    assert still.sd_k is not None and 0.0 < still.sd_k < 0.4


def test_the_errors_of_two_loggers_come_through_unless_they_are_taken_out() -> None:
    """A reads 0.1 K high, B 0.2 K low (ice bath): as read, the paddock seems 0.3 K colder than it is."""
    still, _ = parts_of("Logger B", "Logger A")
    assert still.mean_k == pytest.approx(-2.6 - 0.3, abs=0.1)
    assert still.nights > 100


def test_a_mean_over_all_nights_would_be_wrong_on_each() -> None:
    nights = demo_nights()
    every = [p.difference_k for p in paired(nights["YARD"], nights["LOW"], (), LIMITS)]
    assert -1.6 < float(np.mean(every)) < -1.0


def test_a_fifth_of_the_nights_foretold_from_the_others() -> None:
    """Between still and windy too; better than no difference and better than the still one on every night."""
    nights = demo_nights()
    kept = [n for i, n in enumerate(nights["YARD"]) if i % 5]
    offset = Offset("LOW", "YARD", learned(paired(kept, nights["LOW"], (), LIMITS), LIMITS))
    low = {n.day: n.low_c for n in nights["LOW"]}
    errors, none, always = [], [], []
    for night in nights["YARD"][::5]:
        difference = low[night.day] - night.low_c
        errors.append(offset_for(offset, night.wind_m_s, night.cloud, LIMITS).offset.used_k - difference)
        none.append(difference)
        always.append(-2.6 - difference)
    rms = [float(np.sqrt(np.mean(np.square(e)))) for e in (errors, none, always)]
    assert rms[0] < 0.5 and rms[0] < 0.35 * rms[1] and rms[0] < 0.35 * rms[2]


def test_without_wind_and_cloud_the_fall_stands_in_and_the_sign_is_right() -> None:
    nights = demo_nights()
    bare = [OwnNight(n.day, n.low_c, n.sunset_c, n.later_c) for n in nights["YARD"]]
    still, windy = learned(paired(bare, nights["LOW"], (), LIMITS), LIMITS)
    assert still.mean_k is not None and windy.mean_k is not None
    assert still.mean_k < -1.5 and still.nights > 100
    assert windy.mean_k == pytest.approx(0.0, abs=0.15) and windy.nights > 20


def test_how_still_a_night_is() -> None:
    assert still_share(0.5, 0.1, LIMITS) == 1.0
    assert still_share(2.5, 0.1, LIMITS) == 0.0
    assert still_share(0.5, 0.9, LIMITS) == 0.0
    assert still_share(1.5, 0.0, LIMITS) == pytest.approx(0.5)
    assert still_share(1.5, 0.425, LIMITS) == pytest.approx(0.25)
    assert still_share(None, None, LIMITS) is None
    assert still_share(None, None, LIMITS, fall_k=12.0) == 1.0
    assert still_share(None, None, LIMITS, fall_k=7.5) == pytest.approx(0.5)
    assert still_share(1.5, None, LIMITS, fall_k=7.5) == pytest.approx(0.25)
    assert still_share(0.5, 0.1, LIMITS, fall_k=1.0) == 1.0  # what was measured wins


@given(st.floats(0, 30), st.floats(0, 30), st.floats(0, 1), st.floats(0, 1))
def test_more_wind_or_cloud_is_never_stiller(wind: float, more: float, cloud: float, cover: float) -> None:
    here = still_share(wind, cloud, LIMITS)
    there = still_share(max(wind, more), max(cloud, cover), LIMITS)
    assert here is not None and there is not None and there <= here


def test_students_t_is_scipys() -> None:
    assert {df: round(float(stats.t.ppf(0.975, df)), 6) for df in STUDENT_95} == STUDENT_95


@pytest.mark.parametrize("n", [3, 4, 5, 6, 10, 25, 60])
def test_the_interval_holds_the_middle_in_95_of_100_gardens(n: int) -> None:
    """Skewed nights as well as normal ones, from six on; t for fewer is for normal ones."""
    rng = np.random.default_rng(7)
    draws = [rng.standard_normal((2000, n))]
    if n >= 6:
        draws.append(rng.exponential(1.0, (2000, n)) - np.log(2.0))
    for values in draws:
        held = [low <= 0.0 <= high for low, high in (middle_interval(list(row)) for row in values)]
        assert 0.94 <= float(np.mean(held)) <= 0.999


def pairs(still: list[float], windy: list[float]) -> list[PairedNight]:
    return [PairedNight("s", d, 1.0) for d in still] + [PairedNight("w", d, 0.0) for d in windy]


def test_few_nights_have_no_interval_and_none_no_mean() -> None:
    assert learned(pairs([-2.0, -3.0], []), LIMITS) == (
        OffsetPart("still", -2.5, None, None, None, 2),
        OffsetPart("windy", None, None, None, None, 0),
    )


def test_an_interval_is_never_narrower_than_the_thermometers() -> None:
    still, _ = learned(pairs([-2.6] * 50, []), LIMITS)
    assert (still.mean_k, still.low_k, still.high_k) == pytest.approx((-2.6, -2.7, -2.5))


def offset(still: list[float], windy: list[float]) -> Offset:
    return Offset("LOW", "YARD", learned(pairs(still, windy), LIMITS))


def test_a_belief_is_weighed_with_few_nights_and_leaves_with_enough() -> None:
    none = offset_for(offset([], []), 0.5, 0.0, LIMITS, belief_k=-4.0)
    assert (none.offset.used, none.offset.used_k, none.sd_k, none.few) == ("typed", -4.0, None, True)
    two = offset_for(offset([-2.0, -3.0], []), 0.5, 0.0, LIMITS, belief_k=-4.0)
    assert two.offset.used == "typed" and two.few
    assert two.offset.used_k == pytest.approx((3 * -4.0 + 2 * -2.5) / 5)
    three = offset_for(offset([-2.0, -2.5, -3.0], []), 0.5, 0.0, LIMITS, belief_k=-4.0)
    assert (three.offset.used, three.offset.used_k, three.few) == ("still", -2.5, False)
    assert three.sd_k is not None and three.sd_k > 0.5


def test_nothing_known_adds_nothing() -> None:
    used = offset_for(offset([], []), 0.5, 0.0, LIMITS)
    assert (used.offset.used, used.offset.used_k, used.few) == ("", 0.0, True)


def test_on_a_windy_night_the_windy_part_is_used() -> None:
    used = offset_for(offset([-2.5] * 9, [-0.1, 0.0, 0.1, 0.2]), 5.0, 0.0, LIMITS, belief_k=-4.0)
    assert used.offset.used == "windy" and used.offset.used_k == pytest.approx(0.05)
    few = offset_for(offset([], [1.0]), 5.0, 0.0, LIMITS, belief_k=-4.0)
    assert few.offset.used_k == pytest.approx(0.25) and few.few


def hours(values: list[float], step_s: int = 3600) -> Series:
    info = SeriesInfo("x", "measured", "x", step_s=step_s)
    return Series(info, np.arange(len(values), dtype=np.int64) * step_s, {"air_temp_c": np.array(values)})


def test_nights_with_gaps_are_left_out() -> None:
    air = [10.0, 9.0, 7.0, 5.0, 4.0, 3.0, 2.5, 2.0, 6.0, 9.0]
    sunset, sunrise = np.array([1800]), np.array([7 * 3600 + 60])
    (night,) = own_nights(hours(air), ("a",), sunset, sunrise)
    assert (night.low_c, night.sunset_c, night.later_c) == (2.0, 9.5, 6.0)
    assert night.fall_k == 7.5
    for missing in (0, 4, 7, 8):
        gap = list(air)
        gap[missing] = np.nan
        assert own_nights(hours(gap), ("a",), sunset, sunrise) == ()
    assert own_nights(hours(air[:8]), ("a",), sunset, sunrise) == ()
