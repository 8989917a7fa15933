"""Readings at even hours: sun at its moment, gaps open or bridged, sun in the night found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.weather import Series, SeriesInfo
from barkslip.weather.even_hours import bridged, by_day, drawn, moments, night_sun, sun_of, whole_stretches
from barkslip.weather.solar import clear_sky, sun_path

LAT, LON = -33.6, 21.0
FIRST = int(np.datetime64("2026-01-09T22:00", "s").astype(np.int64))


def series(time_s: np.ndarray, stamps: str = "instant", step_s: int = 3600, **columns: np.ndarray) -> Series:
    return Series(SeriesInfo("x", "measured", "x", stamps=stamps, step_s=step_s), time_s, columns)


def sky(time_s: np.ndarray, haze: float = 0.2):
    path = sun_path(time_s, LAT, LON)
    return path, clear_sky(path, time_s, haze=haze, water_cm=2.0, pressure=100_000.0)


def test_sun_of_the_hour_before_is_moved_to_its_moment() -> None:
    """Hourly means of a hazy clear day, dated by their end; wanted is the sun of the moment itself."""
    moment = moments(FIRST, 25, LAT, LON)
    fine = FIRST - 86_400 + 60 * np.arange(3 * 1440)
    _, whole = sky(fine)
    ends = fine[59::60] + 60
    columns = {name: getattr(whole, name).reshape(-1, 60).mean(axis=1) for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2")}
    found = sun_of(series(ends, "end of interval", **columns), moment)
    path, wanted = sky(moment.time_s)
    high = path.up_deg > 10.0
    assert found.ghi_w_m2 == pytest.approx(wanted.ghi_w_m2, abs=12.0)
    assert found.ghi_w_m2[high] == pytest.approx(wanted.ghi_w_m2[high], rel=0.03)
    assert found.dni_w_m2[high] == pytest.approx(wanted.dni_w_m2[high], rel=0.06)
    # taken as readings of the moment they would be half an hour late: far more than that
    late = sun_of(series(ends, **columns), moment)
    assert np.abs(late.ghi_w_m2 - wanted.ghi_w_m2).max() > 50.0


def test_readings_of_the_moment_stay_as_they_are() -> None:
    moment = moments(FIRST, 25, LAT, LON)
    path, wanted = sky(moment.time_s)
    cloudy = wanted.ghi_w_m2 * np.linspace(0.3, 0.9, 25)
    found = sun_of(series(moment.time_s, ghi_w_m2=cloudy), moment)
    high = path.up_deg > 5.0
    assert found.ghi_w_m2[high] == pytest.approx(cloudy[high], abs=1e-9)
    assert found.dni_w_m2 * path.on_level + found.dhi_w_m2 == pytest.approx(found.ghi_w_m2)


def test_sun_that_was_not_read_is_not_known_by_day_and_none_by_night() -> None:
    moment = moments(FIRST, 25, LAT, LON)
    _, wanted = sky(moment.time_s)
    holed = wanted.ghi_w_m2.copy()
    holed[10:14] = np.nan
    found = sun_of(series(moment.time_s, ghi_w_m2=holed), moment)
    assert np.flatnonzero(np.isnan(found.ghi_w_m2)).tolist() == [10, 11, 12, 13]
    nothing = sun_of(series(moment.time_s, air_temp_c=holed), moment)
    assert np.isnan(nothing.ghi_w_m2).all()


def test_lines_are_drawn_only_between_near_readings() -> None:
    time_s = np.array([0, 3600, 4 * 3600, 5 * 3600])
    values = np.array([0.0, 1.0, 4.0, np.nan])
    at = 1800 * np.arange(12)
    found = drawn(time_s, values, at, 3600)
    assert found[:3].tolist() == [0.0, 0.5, 1.0]
    assert np.isnan(found[3:8]).all()
    assert found[8:11].tolist() == [4.0, 4.0, 4.0] and np.isnan(found[11])
    assert drawn(time_s, values, at, 3 * 3600)[3:8].tolist() == pytest.approx([1.5, 2.0, 2.5, 3.0, 3.5])
    assert np.isnan(drawn(time_s, np.full(4, np.nan), at, 3600)).all()


def test_gaps_short_long_and_too_long() -> None:
    hour = np.arange(24.0 * 10)
    true = 15.0 + 8.0 * np.sin(hour / 24 * 2 * np.pi)
    values = true.copy()
    values[33:35] = np.nan  # short: straight
    values[50:80] = np.nan  # longer than a day: the same hours of the days around
    values[120:] = np.nan
    values[119] = true[119]
    found, was = bridged(values, straight_h=3.0, days_h=48.0)
    assert found[33:35] == pytest.approx(np.interp([33, 34], [32, 35], true[[32, 35]]))
    assert found[50:80] == pytest.approx(true[50:80], abs=1e-9)
    assert np.flatnonzero(was).tolist() == [33, 34, *range(50, 80)]
    assert np.isnan(found[120:]).all()
    short, _ = bridged(values, straight_h=3.0)
    assert np.isnan(short[50:80]).all()
    assert whole_stretches(short) == [(0, 50), (80, 120)]
    assert whole_stretches(np.full(3, np.nan)) == []


def test_one_number_a_day() -> None:
    day = np.array([3, 3, 4, 4, 4])
    assert by_day(np.array([1.0, 2.0, 5.0, 4.0, 6.0]), day, min).tolist() == [1.0, 1.0, 4.0, 4.0, 4.0]


def test_sun_in_the_night_is_found_with_its_hour() -> None:
    moment = moments(FIRST, 24, LAT, LON)
    _, wanted = sky(moment.time_s)
    good = series(moment.time_s, ghi_w_m2=wanted.ghi_w_m2)
    assert night_sun(good, LAT, LON) is None
    # the same sun read in the other half of the world
    wrong = night_sun(good, LAT, LON - 180.0)
    assert wrong is not None
    assert wrong[1] == "ghi_w_m2" and wrong[2] > 900.0 and wrong[3] < -3.0
    assert night_sun(good.between(0, 1), LAT, LON) is None


def test_a_clock_half_an_hour_late_is_doubted_and_one_of_hours_refused(shasta: Series) -> None:
    """The typical year of Mount Shasta is half an hour late by its own sun (tests/weather/test_clock.py)."""
    lat, lon = shasta.info.lat or 0.0, shasta.info.lon or 0.0
    assert night_sun(shasta, lat, lon) is None
    late = replace(shasta, time_s=shasta.time_s + 3600)
    assert night_sun(late, lat, lon) is not None
