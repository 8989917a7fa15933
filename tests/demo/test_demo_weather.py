"""The demo's weather: planted days hit, normals kept, plots apart on still nights only."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from barkslip.demo.sun import sun_height, sun_parts, sunrise_sunset
from barkslip.domain.garden import Plot
from barkslip.domain.weather import COLUMNS

FIRST = date(2020, 7, 1)
DAYS = 1826

# Lows named by the scenario [°C].
LOWS = {
    ("2020-07-15", "YARD"): -3.1, ("2020-07-15", "LOW"): -5.8, ("2020-07-15", "WALL"): -0.4,
    ("2021-08-24", "YARD"): -2.6,
    ("2022-06-30", "YARD"): -1.9, ("2022-06-30", "LOW"): -4.4, ("2022-06-30", "WALL"): 0.3,
    ("2022-09-12", "YARD"): -1.2, ("2022-09-12", "LOW"): -3.4, ("2022-09-12", "WALL"): 1.0,
    ("2024-06-11", "YARD"): -3.9, ("2024-06-11", "LOW"): -4.0, ("2024-06-11", "WALL"): -3.1,
    ("2024-09-01", "YARD"): -1.9, ("2024-09-01", "LOW"): -4.2, ("2024-09-01", "WALL"): 0.6,
}  # fmt: skip
# Highs named by the scenario, in the yard [°C].
HIGHS = {
    "2021-11-28": 38.9, "2021-11-29": 40.6, "2021-11-30": 41.2, "2021-12-01": 39.8, "2021-12-02": 37.0,
    "2023-12-18": 40.1, "2023-12-19": 42.3, "2023-12-20": 41.0, "2023-12-21": 38.2, "2024-08-27": 30.8,
}  # fmt: skip
# Month -> mean high, mean low [°C], rain [mm]; the scenario's normals.
NORMALS = {
    1: (32.5, 16.6, 18), 2: (32.1, 16.9, 24), 3: (29.6, 14.8, 34), 4: (25.9, 10.9, 38), 5: (22.0, 7.1, 36),
    6: (18.9, 4.0, 34), 7: (18.4, 3.2, 33), 8: (20.1, 4.3, 40), 9: (22.6, 6.6, 31), 10: (25.6, 9.6, 36),
    11: (28.4, 12.3, 34), 12: (31.0, 15.0, 24),
}  # fmt: skip
EVENT_K = 0.3
NORMAL_K = 0.7
HOURS = 1.0


@pytest.fixture(scope="session")
def years(demo, book):
    """Plot code -> series of five years."""
    code = {p.thing: p.code for p in book.all(Plot)}
    return {code[s.plot]: s.series for s in demo.series if s.logger is None and s.series.info.kind == "invented"}


@pytest.fixture(scope="session")
def ahead(demo, book):
    """Plot code -> forecast."""
    code = {p.thing: p.code for p in book.all(Plot)}
    return {code[s.plot]: s.series for s in demo.series if s.series.info.kind == "forecast"}


def _grid(series, column: str = "air_temp_c"):
    return series.columns[column].reshape(-1, 24)


def _at(day: str) -> int:
    return (date.fromisoformat(day) - FIRST).days


def _night(series, day: str):
    """Air from noon before to noon of `day`."""
    end = 24 * _at(day) + 12
    return series.columns["air_temp_c"][end - 24 : end]


def test_hours_from_first_to_last_day(years):
    for series in years.values():
        assert len(series) == 24 * DAYS
        assert series.time_s[0] == 1593554400  # 2020-06-30T22:00Z, midnight at UTC+2
        assert set(np.diff(series.time_s).tolist()) == {3600}
        assert set(series.columns) <= set(COLUMNS)
        assert not any(np.isnan(values).any() for values in series.columns.values())


@pytest.mark.parametrize(("day", "plot"), LOWS)
def test_low_against_scenario(years, day, plot):
    wanted = LOWS[day, plot]
    assert _grid(years[plot])[_at(day)].min() == pytest.approx(wanted, abs=EVENT_K)
    if date.fromisoformat(day) > FIRST:
        assert _night(years[plot], day).min() == pytest.approx(wanted, abs=EVENT_K)


@pytest.mark.parametrize(("plot", "hours"), [("YARD", 4.0), ("LOW", 7.5), ("WALL", 0.0)])
def test_hours_below_minus_two_against_scenario(years, plot, hours):
    assert (_night(years[plot], "2020-07-15") < -2.0).sum() == pytest.approx(hours, abs=HOURS)
    assert (_grid(years[plot])[_at("2020-07-15")] < -2.0).sum() == pytest.approx(hours, abs=HOURS)


@pytest.mark.parametrize("day", HIGHS)
def test_high_against_scenario(years, day):
    assert _grid(years["YARD"])[_at(day)].max() == pytest.approx(HIGHS[day], abs=EVENT_K)


def test_hottest_day_of_g05_is_its_sixth():
    assert date.fromisoformat("2021-11-24") + timedelta(days=6) == date(2021, 11, 30)
    assert max((d for d in HIGHS if d < "2022"), key=HIGHS.get) == "2021-11-30"


@pytest.mark.parametrize(
    ("first", "last", "high", "rh_min", "gust"),
    [("2021-08-19", "2021-08-21", 32.4, 9.0, 17.0), ("2024-08-27", "2024-08-27", 30.8, 11.0, None)],
)
def test_hot_dry_wind_against_scenario(years, first, last, high, rh_min, gust):
    days = slice(_at(first), _at(last) + 1)
    assert _grid(years["YARD"])[days].max() == pytest.approx(high, abs=EVENT_K)
    assert _grid(years["YARD"], "rel_humidity_pct")[days].min() == pytest.approx(rh_min, abs=1.0)
    if gust is not None:
        assert _grid(years["YARD"], "gust_m_s")[days].max() == pytest.approx(gust, abs=0.5)


def test_windy_frost_against_scenario(years):
    yard = years["YARD"]
    day = _at("2024-06-11")
    assert _grid(yard, "wind_m_s")[day, :8].mean() == pytest.approx(4.1, abs=0.3)
    at_low = int(_grid(yard)[day].argmin())
    assert _grid(yard, "dew_point_c")[day, at_low] == pytest.approx(-11.0, abs=0.3)


def test_flood_against_scenario(years):
    rain = years["LOW"].columns["rain_mm"]
    start = 24 * _at("2023-03-04")
    best = max(rain[i : i + 36].sum() for i in range(start, start + 13))
    assert best == pytest.approx(96.0, abs=0.05)
    assert rain[start : start + 48].sum() == pytest.approx(96.0, abs=0.05)


def test_no_rain_while_the_drip_line_was_off(years):
    rain = _grid(years["YARD"], "rain_mm")
    assert rain[_at("2023-01-09") : _at("2023-01-26")].sum() == 0.0


def test_fortnight_after_g02_against_scenario(years):
    """Mean air of the 14 days from 14 September 2021."""
    start = _at("2021-09-14")
    assert _grid(years["YARD"])[start : start + 14].mean() == pytest.approx(13.1, abs=0.1)


def test_wood_in_the_post_was_hot(years):
    assert _grid(years["YARD"])[_at("2021-02-22") : _at("2021-02-26")].max() == pytest.approx(34.0, abs=EVENT_K)


@pytest.mark.parametrize("month", NORMALS)
def test_month_against_normals(years, month):
    inside = np.array([(FIRST + timedelta(days=n)).month == month for n in range(DAYS)])
    air = _grid(years["YARD"])[inside]
    high, low, rain = NORMALS[month]
    assert air.max(axis=1).mean() == pytest.approx(high, abs=NORMAL_K)
    assert air.min(axis=1).mean() == pytest.approx(low, abs=NORMAL_K)
    assert _grid(years["YARD"], "rain_mm")[inside].sum() / 5.0 == pytest.approx(rain, rel=0.1)


def test_no_other_night_is_as_cold_and_no_other_day_as_hot(years):
    low = _grid(years["YARD"]).min(axis=1)
    cold = {(FIRST + timedelta(days=int(n))).isoformat() for n in np.flatnonzero(low < -1.6)}
    assert cold == {"2020-07-15", "2021-08-24", "2022-06-30", "2024-06-11", "2024-09-01"}
    high = _grid(years["YARD"]).max(axis=1)
    hot = {(FIRST + timedelta(days=int(n))).isoformat() for n in np.flatnonzero(high > 36.9)}
    assert hot == {d for d, t in HIGHS.items() if t > 36.9}


def test_air_moves_smoothly(years):
    for series in years.values():
        assert np.abs(np.diff(series.columns["air_temp_c"])).max() <= 5.0


def test_days_are_alike_but_not_the_same(years):
    """Day-to-day anomalies remember: the correlation of one day's high with the next, season taken out."""
    high = _grid(years["YARD"]).max(axis=1)
    year = np.arange(DAYS) % 365
    seasonal = np.array([high[np.abs((year - d + 182) % 365 - 182) <= 15].mean() for d in range(365)])
    anomaly = high - seasonal[year]
    assert 0.35 < np.corrcoef(anomaly[1:], anomaly[:-1])[0, 1] < 0.85
    assert 2.0 < anomaly.std() < 4.0


def test_plots_differ_on_still_nights_only(years):
    yard = years["YARD"]
    wind, cloud = _grid(yard, "wind_m_s")[:, 1:6].mean(axis=1), _grid(yard, "cloud_fraction")[:, 1:6].mean(axis=1)
    low = {code: _grid(series)[:, 4:9].min(axis=1) for code, series in years.items()}
    still = (wind < 0.7) & (cloud < 0.2)
    rough = (wind > 2.0) | (cloud > 0.8)
    rough[_at("2024-06-11")] = False  # the windy frost has its own small differences
    assert still.sum() > 50
    assert rough.sum() > 50
    for code, full in {"LOW": -2.6, "WALL": 2.2, "BENCH": 0.8}.items():
        difference = low[code] - low["YARD"]
        assert difference[still].mean() == pytest.approx(full, abs=0.4)
        assert np.abs(difference[rough]).max() <= 0.6
        assert np.abs(difference[rough]).mean() < 0.05
    graded = np.abs(low["LOW"] - low["YARD"])
    assert ((graded > 0.5) & (graded < 2.0)).sum() > 100


def test_no_difference_at_noon_but_at_the_wall_in_summer(years):
    air = {code: _grid(series) for code, series in years.items()}
    summer = np.array([(FIRST + timedelta(days=n)).month in (12, 1) for n in range(DAYS)])
    winter = np.array([(FIRST + timedelta(days=n)).month in (6, 7) for n in range(DAYS)])
    clear = _grid(years["YARD"], "cloud_fraction")[:, 13:18].mean(axis=1) < 0.1
    hot = (air["WALL"] - air["YARD"])[summer & clear, 15]
    assert hot.mean() == pytest.approx(3.0, abs=0.2)
    assert np.abs((air["WALL"] - air["YARD"])[winter, 15]).max() < 0.05
    for code in ("LOW", "BENCH"):
        assert np.abs((air[code] - air["YARD"])[:, 12:16]).max() == 0.0


def test_sun_is_off_at_night_and_halved_by_the_net(years):
    sun = _grid(years["YARD"], "ghi_w_m2")
    assert sun[:, [21, 22, 23, 0, 1, 2, 3, 4]].max() == 0.0
    assert 900.0 < sun.max() < 1100.0
    assert sun[:, 11:14].min() > 0.0
    shaded = _grid(years["BENCH"], "ghi_w_m2")
    assert np.abs(shaded - 0.5 * sun).max() <= 0.5
    level = years["YARD"].columns["ghi_w_m2"]
    assert (years["YARD"].columns["dhi_w_m2"] <= level + 0.5).all()


def test_ranges_are_physical(years):
    for series in years.values():
        columns = series.columns
        assert (columns["dew_point_c"] < columns["air_temp_c"]).all()
        assert columns["rel_humidity_pct"].min() > 3.0
        assert columns["rel_humidity_pct"].max() < 100.0
        assert columns["wind_m_s"].min() > 0.0
        assert (columns["gust_m_s"] >= columns["wind_m_s"]).all()
        assert columns["cloud_fraction"].min() >= 0.0
        assert columns["cloud_fraction"].max() <= 1.0
        assert columns["rain_mm"].min() >= 0.0


def test_cloud_narrows_the_day_and_wind_rises_by_day(years):
    air, cloud = _grid(years["YARD"]), _grid(years["YARD"], "cloud_fraction").mean(axis=1)
    span = air.max(axis=1) - air.min(axis=1)
    assert span[cloud < 0.2].mean() - span[cloud > 0.7].mean() > 4.0
    wind = _grid(years["YARD"], "wind_m_s").mean(axis=0)
    assert wind[14] > 1.5 * wind[4]


def test_forecast_of_seven_days(ahead, years):
    assert set(ahead) == {"YARD", "LOW", "WALL", "BENCH"}
    for code, series in ahead.items():
        assert len(series) == 7 * 24
        assert series.time_s[0] == years[code].time_s[-1] + 3600
    assert _grid(ahead["LOW"]).min(axis=1)[1] == pytest.approx(-3.7, abs=0.1)
    assert (_grid(ahead["LOW"]).min(axis=1) < 0.0).sum() >= 3
    assert _grid(ahead["YARD"]).min() == pytest.approx(-1.1)


def test_loggers_keep_their_errors(demo, book, years):
    from barkslip.domain.trial import Logger

    logger = {e.thing: e for e in book.all(Logger)}
    seen: dict[str, list[float]] = {}
    for one in (s for s in demo.series if s.logger and logger[s.logger].code in "AB"):
        code = logger[one.logger].code
        plot = years["YARD" if code == "A" else "LOW"]
        truth = plot.between(int(one.series.time_s[0]), int(one.series.time_s[-1]) + 1)
        dark = truth.columns["ghi_w_m2"] == 0.0
        seen.setdefault(code, []).append(
            float((one.series.columns["air_temp_c"] - truth.columns["air_temp_c"])[dark].mean())
        )
    assert seen["A"] == pytest.approx([0.1] * 6, abs=0.02)
    assert seen["B"] == pytest.approx([-0.2] * 6, abs=0.02)


def test_bark_is_hottest_in_the_heat_of_2021(demo, book):
    from barkslip.domain.trial import Logger

    probe = book.one(Logger, code="C").thing
    series = next(s.series for s in demo.series if s.logger == probe)
    top = int(series.columns["surface_temp_c"].argmax())
    local = np.datetime64(int(series.time_s[top]) + 7200, "s")
    assert "2021-11-28" <= str(local)[:10] <= "2021-12-02"
    assert 13 <= int(str(local)[11:13]) <= 18


def test_sun_against_geometry():
    """Noon height is 90° − |latitude − declination|; day length is 12 h at the equinox for every latitude."""
    noon = 12.0 + (30.0 - 21.0) / 15.0
    year_day = np.array([172.0])  # declination +23.45° within 0.01°
    hours = np.linspace(noon - 1.0, noon + 1.0, 241)
    best = max(float(sun_height(year_day, np.array([h]), -33.6, 21.0, 2.0)[0]) for h in hours)
    assert np.degrees(np.arcsin(best)) == pytest.approx(90.0 - 33.6 - 23.45, abs=0.1)
    rise, sunset = sunrise_sunset(np.array([81.0]), -33.6, 21.0, 2.0)  # declination 0 by the same formula
    assert float(sunset[0] - rise[0]) == pytest.approx(12.0, abs=0.01)


def test_sun_parts_add_up():
    height, cloud = np.array([-0.2, 0.3, 0.9]), np.array([0.0, 0.4, 0.1])
    level, beam, sky = sun_parts(height, cloud)
    assert level[0] == beam[0] == sky[0] == 0.0
    assert level[1:] == pytest.approx(beam[1:] * height[1:] + sky[1:])
