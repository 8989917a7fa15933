"""The hours of a night from a series: on a grid, gaps measured, what is missing filled in and named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.weather import Series, SeriesInfo
from barkslip.engines.night_hours import Fill, Window, hours_of, joined, longest_gap, with_offset

H = 3600
#: Sunset at 18:00, sunrise at 06:00 of a clock in UTC.
WINDOW = Window("1970-01-01", 18 * H, 30 * H, 0.0)
FILL = Fill(wind_m_s=1.0, dew_below_low_k=1.0, warming_k_h=2.0)


class Sun:
    """A sun that gives 600 W/m² from 06:00 to 18:00; cloud takes its share straight."""

    def clear_w_m2(self, time_s: np.ndarray) -> np.ndarray:
        hour = (time_s // H) % 24
        return np.where((hour >= 6) & (hour < 18), 600.0, 0.0)

    def through(self, cloud: np.ndarray) -> np.ndarray:
        return 1.0 - cloud

    def cloud_of(self, share: float) -> float:
        return 1.0 - share


def series(first_h: int = 12, last_h: int = 36, **columns: object) -> Series:
    hours = np.arange(first_h, last_h + 1)
    made = {"air_temp_c": 12.0 - 0.5 * np.abs(hours - 12.0) + 0.0 * hours} | {
        name: np.full(hours.size, float(value)) if isinstance(value, (int, float)) else np.asarray(value, dtype=float)
        for name, value in columns.items()
    }
    return Series(SeriesInfo("x", "measured", "x"), hours * H, made)


def test_the_grid_runs_from_sunset_to_three_hours_after_sunrise() -> None:
    grid = WINDOW.time_s
    assert (grid[0], grid[-1], set(np.diff(grid).tolist())) == (18 * H, 33 * H, {600})
    uneven = replace(WINDOW, sunset_s=18 * H + 7)
    assert uneven.time_s[-1] >= 33 * H > uneven.time_s[-2]


def test_straight_between_readings() -> None:
    found = hours_of(series(wind_m_s=0.5, cloud_fraction=0.2, dew_point_c=-3.0, ghi_w_m2=0.0), WINDOW, FILL, Sun())
    assert found.guessed == ()
    assert found.air_c[0] == 9.0 and found.air_c[3] == pytest.approx(8.75) and found.air_c[72] == pytest.approx(3.0)
    assert set(found.wind_m_s) == {0.5} and set(found.cloud) == {0.2} and set(found.dew_c) == {-3.0}
    assert not found.sun_w_m2.any()


def test_what_is_missing_is_guessed_towards_the_cold_and_named() -> None:
    found = hours_of(series(), WINDOW, FILL, Sun())
    assert found.guessed == ("cloud", "wind_m_s", "dew_point_c")
    assert set(found.wind_m_s) == {1.0} and not found.cloud.any()
    assert found.dew_c[0] == pytest.approx(found.air_c.min() - 1.0)
    assert found.sun_w_m2[-1] == 600.0 and not found.sun_w_m2[1:72].any()


def test_what_was_typed_wins() -> None:
    fill = replace(FILL, given_wind_m_s=3.0, given_cloud=0.5, given_dew_c=4.0)
    found = hours_of(series(wind_m_s=0.5, cloud_fraction=0.2, dew_point_c=-3.0), WINDOW, fill, Sun())
    assert set(found.wind_m_s) == {3.0} and set(found.cloud) == {0.5}
    assert found.dew_c[0] == 4.0 and np.all(found.dew_c <= found.air_c)
    assert found.sun_w_m2[-1] == 300.0


def test_dew_point_from_humidity() -> None:
    found = hours_of(series(rel_humidity_pct=100.0), WINDOW, FILL, Sun())
    assert "dew_point_c" not in found.guessed
    assert found.dew_c == pytest.approx(found.air_c, abs=0.05)


def test_cloud_from_the_sun_of_the_afternoon() -> None:
    sun = np.where(np.arange(12, 37) < 18, 450.0, np.nan)
    found = hours_of(series(ghi_w_m2=sun), WINDOW, FILL, Sun())
    assert found.guessed[0] == "cloud" and set(found.cloud) == {0.25}
    # the sun that was not measured after sunrise comes through that cloud
    assert found.sun_w_m2[-1] == pytest.approx(450.0)


def test_after_the_last_reading_it_warms() -> None:
    found = hours_of(series(last_h=31), WINDOW, FILL, Sun())
    at_last = found.air_c[78]
    assert at_last == pytest.approx(2.5) and found.air_c[-1] == pytest.approx(2.5 + 2.0 * 2)
    assert hours_of(series(), WINDOW, FILL, Sun()).air_c[-1] == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("first", "last", "missing", "gap"),
    [
        (12, 36, (), None), (18, 30, (), None), (20, 36, (), (18, 20)), (12, 27, (), (27, 30)),
        (12, 36, (22, 23), (21, 24)), (12, 36, (18,), None), (40, 50, (), (18, 30)), (17, 31, (30,), None),
    ],
)  # fmt: skip
def test_the_longest_gap(first: int, last: int, missing: tuple[int, ...], gap: tuple[int, int] | None) -> None:
    one = series(first, last)
    air = one.columns["air_temp_c"].copy()
    air[[h - first for h in missing]] = np.nan
    found = longest_gap(replace(one, columns={"air_temp_c": air}), WINDOW)
    if missing in ((18,), (30,)):  # the reading at sunset, at sunrise: two hours without one
        assert found[1] - found[0] == H
    else:
        assert found == ((18 * H, 18 * H) if gap is None else (gap[0] * H, gap[1] * H))


def test_a_series_of_bark_has_no_air() -> None:
    bark = Series(SeriesInfo("x", "measured", "x"), np.arange(9) * H, {"surface_temp_c": np.zeros(9)})
    assert longest_gap(bark, WINDOW) == (WINDOW.sunset_s, WINDOW.sunrise_s)


def test_a_forecast_goes_on_where_readings_end() -> None:
    until, ahead = series(12, 23, wind_m_s=0.5), series(20, 36)
    ahead = replace(ahead, columns={"air_temp_c": ahead.columns["air_temp_c"] + 100.0, "ghi_w_m2": np.zeros(17)})
    whole, used = joined([until, ahead])
    assert used == (0, 1) and (whole.time_s // H).tolist() == list(range(12, 37))
    assert np.all(whole.columns["air_temp_c"][:12] < 50.0) and np.all(whole.columns["air_temp_c"][12:] > 50.0)
    assert np.isnan(whole.columns["wind_m_s"][12:]).all() and np.isnan(whole.columns["ghi_w_m2"][:12]).all()
    assert joined([series(), ahead])[1] == (0,)


def test_a_plots_difference_grows_after_sunset_and_goes_after_sunrise() -> None:
    air = np.zeros(WINDOW.time_s.size)
    found = with_offset(air, WINDOW, -2.6, full_h=4.0, gone_h=2.0)
    assert (found[0], found[12], found[24], found[72]) == pytest.approx((0.0, -1.3, -2.6, -2.6))
    assert (found[78], found[84], found[-1]) == pytest.approx((-1.3, 0.0, 0.0))
    late = np.abs(WINDOW.time_s - 30.5 * H) / H
    assert with_offset(late, WINDOW, -2.6, full_h=4.0, gone_h=2.0)[75] == pytest.approx(-2.6)
    short = replace(WINDOW, sunrise_s=20 * H)
    assert with_offset(np.zeros(short.time_s.size), short, -2.6, full_h=4.0, gone_h=2.0)[12] == pytest.approx(-2.6)
