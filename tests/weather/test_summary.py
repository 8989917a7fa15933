"""Months, days and nights against pandas, and by hand where gaps and stamps matter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from barkslip.domain.weather import Series, SeriesInfo
from barkslip.weather.summary import days, months, night_low, night_lows, reading_hours

LINES = {"frost_c": 0.0, "healing_low_c": 18.0, "healing_high_c": 28.0, "heat_c": 35.0}


def series_of(start: str, air: list[float] | np.ndarray, *, offset: float = 0.0, stamps: str = "instant") -> Series:
    values = np.asarray(air, dtype=np.float64)
    time_s = np.datetime64(start, "s").astype(np.int64) + 3600 * np.arange(values.size)
    info = SeriesInfo(name="x", kind="invented", source="made", utc_offset_h=offset, stamps=stamps)
    return Series(info, time_s, {"air_temp_c": values})


@pytest.mark.parametrize("place", ["greensboro", "miami", "shasta", "isd"])
def test_months_against_pandas(place: str, request: pytest.FixtureRequest) -> None:
    import pandas as pd

    series = request.getfixturevalue(place)
    series = series if isinstance(series, Series) else series(2017)
    local = pd.to_datetime(series.time_s + round(series.info.utc_offset_h * 3600), unit="s")
    if series.info.stamps == "end of interval":
        local = local - pd.Timedelta("1h")
    table = pd.DataFrame({"air": series.columns["air_temp_c"], "rain": series.columns.get("rain_mm")}, index=local)
    months_of = table.groupby([table.index.year, table.index.month])
    air = months_of["air"]
    daily = table["air"].groupby(table.index.date).agg(["min", "max", "count"])
    daily = daily[daily["count"] >= 20]
    day_months = pd.to_datetime(daily.index).to_period("M")
    got = months(series, **LINES)
    assert [(m.year, m.month) for m in got] == list(air.groups)
    for summary, (_, group), (_, whole) in zip(got, air, months_of, strict=True):
        values = group.dropna()
        assert summary.low_c == pytest.approx(values.min(), abs=1e-12)
        assert summary.high_c == pytest.approx(values.max(), abs=1e-12)
        period = pd.Period(year=summary.year, month=summary.month, freq="M")
        mine = daily[day_months == period]
        assert summary.mean_low_c == pytest.approx(mine["min"].mean() if len(mine) else None, abs=1e-9)
        assert summary.mean_high_c == pytest.approx(mine["max"].mean() if len(mine) else None, abs=1e-9)
        assert summary.hours == pytest.approx(len(values), abs=1e-9)
        assert summary.mean_c == pytest.approx(values.mean(), abs=1e-9)
        assert summary.frost_hours == pytest.approx(int((values < 0.0).sum()), abs=1e-9)
        assert summary.healing_hours == pytest.approx(int(values.between(18.0, 28.0).sum()), abs=1e-9)
        assert summary.heat_hours == pytest.approx(int((values > 35.0).sum()), abs=1e-9)
        rain = whole["rain"].astype(float)
        assert summary.rain_mm == pytest.approx(rain.sum() if rain.notna().any() else None, abs=1e-9)


def test_a_typical_year_has_twelve_whole_months(greensboro: Series) -> None:
    got = months(greensboro, **LINES)
    assert [(m.year, m.month) for m in got] == [(2001, m) for m in range(1, 13)]
    assert {m.share for m in got} == {1.0}


def test_lines_are_inclusive_as_said() -> None:
    (month,) = months(series_of("2024-07-01T00:00", [0.0, -0.1, 18.0, 28.0, 28.1, 35.0, 35.1]), **LINES)
    assert (month.frost_hours, month.healing_hours, month.heat_hours) == (1.0, 2.0, 1.0)


def test_a_gap_counts_for_nobody() -> None:
    air = np.full(24 * 31, 20.0)
    air[48:72] = np.nan
    (month,) = months(series_of("2024-07-01T00:00", air), **LINES)
    assert (month.hours, month.share) == (720.0, 720.0 / 744.0)
    assert month.healing_hours == 720.0


def test_quarter_hours_count_a_quarter() -> None:
    series = series_of("2024-07-01T00:00", [-1.0] * 8)
    series = replace(series, info=replace(series.info, step_s=900), time_s=series.time_s[0] + 900 * np.arange(8))
    assert reading_hours(series, series.columns["air_temp_c"]).tolist() == [0.25] * 8
    (month,) = months(series, **LINES)
    assert month.frost_hours == 2.0


def test_a_month_without_readings_knows_nothing() -> None:
    air = np.concatenate([np.full(24, np.nan), [5.0]])
    first, second = months(series_of("2024-07-31T00:00", air), **LINES)
    assert (first.low_c, first.mean_c, first.mean_low_c, first.hours, first.rain_mm) == (None, None, None, 0.0, None)
    assert (second.low_c, second.mean_low_c) == (5.0, None)


def test_days_are_local() -> None:
    # 22:00 UTC is midnight of the next day at UTC+2.
    got = days(series_of("2024-06-30T20:00", [9.0, 8.0, 1.0, 2.0], offset=2.0))
    assert [(d.day, d.low_c, d.high_c, d.hours) for d in got] == [
        ("2024-06-30", 8.0, 9.0, 2.0),
        ("2024-07-01", 1.0, 2.0, 2.0),
    ]


def test_midnight_belongs_to_the_day_that_ends_where_stamps_are_ends() -> None:
    air = [9.0, 8.0]
    assert [d.day for d in days(series_of("2024-07-01T00:00", air))] == ["2024-07-01"]
    got = days(series_of("2024-07-01T00:00", air, stamps="end of interval"))
    assert [(d.day, d.low_c) for d in got] == [("2024-06-30", 9.0), ("2024-07-01", 8.0)]


def test_a_day_of_missing_readings_is_named_with_none() -> None:
    air = np.concatenate([np.full(24, 3.0), np.full(24, np.nan)])
    assert [(d.low_c, d.high_c, d.hours) for d in days(series_of("2024-07-01T00:00", air))] == [
        (3.0, 3.0, 24.0),
        (None, None, 0.0),
    ]


class TestNights:
    AIR = np.concatenate([np.full(20, 10.0), [4.0], np.full(8, 6.0), [-2.5], np.full(18, 12.0)])

    def test_noon_to_noon(self) -> None:
        # Lows at 20:00 on the 1st (4 °C) and at 05:00 on the 2nd (−2.5 °C): one night, that of the 1st.
        got = night_lows(series_of("2024-07-01T00:00", self.AIR))
        assert [(n.evening, n.low_c) for n in got] == [("2024-06-30", 10.0), ("2024-07-01", -2.5), ("2024-07-02", 12.0)]
        at = np.datetime64("2024-07-02T05:00", "s").astype(np.int64)
        assert got[1].low_s == int(at)
        assert [n.hours for n in got] == [12.0, 24.0, 12.0]

    def test_one_night(self) -> None:
        series = series_of("2024-07-01T00:00", self.AIR)
        assert night_low(series, date(2024, 7, 1)) == night_lows(series)[1]
        assert night_low(series, date(2024, 7, 9)).low_c is None

    def test_one_night_where_stamps_are_ends(self, greensboro: Series) -> None:
        every = {n.evening: n for n in night_lows(greensboro)}
        for evening in (date(2001, 1, 15), date(2001, 7, 4)):
            assert night_low(greensboro, evening) == every[evening.isoformat()]
            assert every[evening.isoformat()].hours == 24.0

    def test_against_pandas(self, isd: Callable[[int], Series]) -> None:
        import pandas as pd

        series = isd(2015)
        local = pd.to_datetime(series.time_s - 8 * 3600 - 12 * 3600, unit="s")
        expected = pd.Series(series.columns["air_temp_c"], index=local).groupby(local.date).min()
        got = night_lows(series)
        assert [n.evening for n in got] == [str(d) for d in expected.index]
        assert [n.low_c for n in got] == pytest.approx(expected.tolist(), abs=1e-12)


def test_no_air_temperature_sums_rain_only() -> None:
    series = series_of("2024-07-01T00:00", [1.0, 2.0])
    series = replace(series, columns={"rain_mm": np.array([1.5, np.nan])})
    (month,) = months(series, **LINES)
    assert (month.rain_mm, month.hours, month.low_c) == (1.5, 0.0, None)
    assert night_lows(series) == ()
    assert days(series)[0].low_c is None


def test_nothing_gives_nothing() -> None:
    empty = series_of("2024-07-01T00:00", [])
    assert (months(empty, **LINES), days(empty), night_lows(empty)) == ((), (), ())
