"""Clocks: set wrong on purpose, found again; and what real files say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.weather import Flag, Series
from barkslip.weather.clock import hottest_hours, hours_late, sun_noon_shifts
from barkslip.weather.quality import flag


def shifted(series: Series, hours: float) -> Series:
    """The same readings with a clock that shows `hours` too much."""
    return replace(series, time_s=series.time_s + round(hours * 3600))


def doubts(series: Series) -> list[Flag]:
    return [f for f in flag(series).info.flags if f.code == "clock doubt"]


@pytest.mark.parametrize("place", ["greensboro", "miami"])
def test_the_sun_of_a_right_clock_has_its_middle_at_true_noon(place: str, request: pytest.FixtureRequest) -> None:
    shifts = sun_noon_shifts(request.getfixturevalue(place))
    assert shifts.size > 300
    assert abs(float(np.median(shifts))) < 0.06
    assert doubts(request.getfixturevalue(place)) == []


@pytest.mark.parametrize("hours", [-1.0, 1.0])
@pytest.mark.parametrize("place", ["greensboro", "miami"])
def test_one_hour_shows_against_the_sun(place: str, hours: float, request: pytest.FixtureRequest) -> None:
    flags = doubts(shifted(request.getfixturevalue(place), hours))
    assert [f.column for f in flags] == ["ghi_w_m2"]
    side = "after" if hours > 0 else "before"
    assert flags[0].words.startswith(f"The sun's middle is 1.0 h {side} true noon (median of ")


def test_the_mount_shasta_epw_is_half_an_hour_late(shasta: Series) -> None:
    # Not a fault of the reader: pvlib's reader gives the same numbers in the same rows (test_epw.py).
    assert float(np.median(sun_noon_shifts(shasta))) == pytest.approx(0.5, abs=0.05)
    assert [f.column for f in doubts(shasta)] == ["ghi_w_m2"]


@pytest.mark.parametrize("year", [2015, 2016, 2017])
def test_air_alone_shows_gross_faults_only(year: int, isd: Callable[[int], Series]) -> None:
    series = isd(year)
    assert 13.5 < float(np.median(hottest_hours(series))) < 14.5
    assert doubts(series) == []
    assert doubts(shifted(series, 1.0)) == []  # one hour cannot be told by the air alone
    assert [f.column for f in doubts(shifted(series, 3.0))] == ["air_temp_c"]
    assert [f.column for f in doubts(shifted(series, -2.0))] == ["air_temp_c"]


def test_without_a_longitude_nothing_is_said(isd: Callable[[int], Series]) -> None:
    series = shifted(isd(2015), 5.0)
    assert doubts(replace(series, info=replace(series.info, lon=None))) == []


@pytest.mark.parametrize("hours", [-2, -1, 0, 1, 8])
def test_a_second_series_shows_one_hour(hours: int, isd: Callable[[int], Series]) -> None:
    reference = isd(2016)
    rng = np.random.default_rng(20240701)
    air = reference.columns["air_temp_c"]
    # Another plot: warmer, damped, with noise and holes of its own.
    other = 2.0 + 0.8 * air + rng.normal(0.0, 0.7, air.size)
    other[rng.random(air.size) < 0.05] = np.nan
    plot = shifted(replace(reference, columns={"air_temp_c": other}), hours)
    found = hours_late(plot, reference)
    assert found is not None
    assert found[0] == hours
    assert found[1] > 0.5


def test_too_little_in_common_says_nothing(isd: Callable[[int], Series]) -> None:
    assert hours_late(isd(2015), isd(2017)) is None
