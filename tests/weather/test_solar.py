"""Sun on trees: against the published example of SPA, FAO-56, other clear skies, and plain sense."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from barkslip.weather.solar import (
    FINE_TIMES,
    SOLAR_CONSTANT_W_M2,
    clear_sky,
    clouded,
    outside_w_m2,
    pressure_pa,
    split,
    sun_path,
    sunshine_of,
    water_above_cm,
)


def seconds(text: str, count: int = 1, step_s: int = 3600) -> np.ndarray:
    first = np.datetime64(text, "s").astype(np.int64)
    return np.asarray(first + step_s * np.arange(count, dtype=np.int64))


def sky(time_s: np.ndarray, lat: float = -33.6, lon: float = 21.0):
    path = sun_path(time_s, lat, lon)
    return path, clear_sky(path, time_s, haze=0.1, water_cm=1.5, pressure=101_325.0)


def test_the_published_example_of_spa() -> None:
    """Reda and Andreas (2003), table A5.1: zenith 50.11162°, azimuth 194.34024°."""
    path = sun_path(
        seconds("2003-10-17T19:30:30"), 39.742476, -105.1786, elevation_m=1830.14, pressure_pa=82_000.0, air_c=11.0
    )
    assert 90.0 - path.up_deg[0] == pytest.approx(50.11162, abs=1e-5)
    assert path.from_deg[0] == pytest.approx(194.34024, abs=1e-5)


@pytest.mark.parametrize(("lat", "lon"), [(-33.6, 21.0), (36.1, -79.95), (60.0, 25.0)])
def test_very_many_hours_are_as_good_as_few(lat: float, lon: float) -> None:
    time_s = seconds("1986-01-01", FINE_TIMES + 4000, 7 * 3600)
    many = sun_path(time_s, lat, lon)
    few = sun_path(time_s[-4000:], lat, lon)
    up = few.up_deg > 0.0
    assert np.abs(many.up_deg[-4000:] - few.up_deg)[up].max() < 0.02
    turned = np.mod(many.from_deg[-4000:] - few.from_deg + 180.0, 360.0) - 180.0
    assert np.abs(turned * np.cos(np.radians(few.up_deg)))[up].max() < 0.02


@pytest.mark.parametrize(
    ("day", "lat", "wanted"),
    [
        # Allen and others (1998), FAO-56: example 8, 3 September at 20° S; example 10, 15 May at 22.9° S
        ("2015-09-03", -20.0, 32.2),
        ("2015-05-15", -22.9, 25.1),
    ],
)
def test_sun_outside_the_air_in_a_day(day: str, lat: float, wanted: float) -> None:
    """Summed up by the minute, within 1.2 %: FAO-56 takes 1367 W/m² for the sun, 0.4 % more than ours, and its short
    formula for the declination is up to 0.6° from the sun's own (in early September it is)."""
    time_s = seconds(day, 1440, 60)
    path = sun_path(time_s, lat, 0.0)
    whole = float((outside_w_m2(time_s) * path.on_level).sum()) * 60 / 1e6
    assert whole * 1367.0 / SOLAR_CONSTANT_W_M2 == pytest.approx(wanted, rel=0.012)


def test_the_noon_sun_is_in_the_north_in_the_south_and_in_the_south_in_the_north() -> None:
    time_s = seconds("2026-01-10", 24)
    south, north = sun_path(time_s, -33.6, 0.0), sun_path(time_s, 33.6, 0.0)
    at = int(np.argmax(south.up_deg))
    assert min(south.from_deg[at], 360.0 - south.from_deg[at]) < 45.0
    assert abs(north.from_deg[int(np.argmax(north.up_deg))] - 180.0) < 10.0
    # morning in the east, afternoon in the west, both north of the line
    assert 45.0 < south.from_deg[at - 4] < 135.0
    assert 225.0 < south.from_deg[at + 4] < 315.0


def test_clear_sky_against_another_one() -> None:
    """pvlib's Haurwitz: a tenth at most while the sun is over 10°."""
    import pandas as pd
    from pvlib.clearsky import haurwitz

    time_s = seconds("2025-12-21", 96, 900)
    path, clear = sky(time_s)
    wanted = haurwitz(pd.Series(90.0 - path.up_deg))["ghi"].to_numpy()
    high = path.up_deg > 10.0
    assert np.abs(clear.ghi_w_m2 / np.where(high, wanted, 1.0) - 1.0)[high].max() < 0.1
    assert clear.ghi_w_m2.max() > 1000.0


def test_what_falls_on_the_level_is_direct_and_sky_and_nothing_by_night() -> None:
    time_s = seconds("2026-01-10", 24 * 30)
    path, clear = sky(time_s)
    through = np.linspace(0.25, 1.0, time_s.size)
    level = np.where(path.up_deg > 0.0, 300.0, 40.0)
    for sun in (clear, clouded(clear, through, path, time_s), split(level, path, time_s)):
        assert np.abs(sun.dni_w_m2 * path.on_level + sun.dhi_w_m2 - sun.ghi_w_m2).max() < 1e-9
        down = path.up_deg <= 0.0
        assert sun.ghi_w_m2[down].max() == sun.dni_w_m2[down].max() == sun.dhi_w_m2[down].max() == 0.0
        assert sun.dni_w_m2.min() >= 0.0 and sun.dhi_w_m2.min() >= 0.0
        assert sun.dni_w_m2.max() <= SOLAR_CONSTANT_W_M2


def test_no_cloud_is_the_clear_sky_and_full_cloud_is_nearly_all_sky() -> None:
    time_s = seconds("2026-01-10", 24)
    path, clear = sky(time_s)
    none = clouded(clear, np.ones(24), path, time_s)
    assert none.dni_w_m2 == pytest.approx(clear.dni_w_m2, abs=1e-6)
    full = clouded(clear, np.full(24, 0.25), path, time_s)
    assert full.dhi_w_m2.sum() > 0.9 * full.ghi_w_m2.sum()
    steps = [clouded(clear, np.full(24, s), path, time_s).dni_w_m2.sum() for s in (1.0, 0.9, 0.7, 0.5, 0.3)]
    assert steps == sorted(steps, reverse=True)


def test_direct_sun_and_sky_are_taken_as_given() -> None:
    time_s = seconds("2026-01-10T08:00", 5)
    path, clear = sky(time_s)
    nan = np.full(5, np.nan)
    given = sunshine_of(clear.ghi_w_m2, clear.dni_w_m2, clear.dhi_w_m2, path, time_s)
    by_sky = sunshine_of(clear.ghi_w_m2, None, clear.dhi_w_m2, path, time_s)
    by_direct = sunshine_of(clear.ghi_w_m2, clear.dni_w_m2, nan, path, time_s)
    for sun in (given, by_sky, by_direct):
        assert sun.dni_w_m2 == pytest.approx(clear.dni_w_m2)
        assert sun.dhi_w_m2 == pytest.approx(clear.dhi_w_m2)
    parted = sunshine_of(clear.ghi_w_m2, None, None, path, time_s)
    assert parted.dni_w_m2 == pytest.approx(clear.dni_w_m2, rel=0.12)
    assert np.isnan(sunshine_of(nan, None, None, path, time_s).dni_w_m2).all()


def test_the_split_of_a_real_year_against_its_own_direct_sun() -> None:
    """Greensboro, TMY3: our direct sun from the level alone against the file's own, over the year."""
    from barkslip.weather.even_hours import middle_s
    from barkslip.weather.read import read_weather

    spec = find_spec("pvlib")
    assert spec is not None and spec.origin is not None
    year = read_weather(Path(spec.origin).parent / "data" / "723170TYA.CSV")
    time_s = middle_s(year)
    path = sun_path(time_s, year.info.lat or 0.0, year.info.lon or 0.0)
    ours = split(year.columns["ghi_w_m2"], path, time_s)
    high = path.up_deg > 10.0
    assert ours.dni_w_m2[high].mean() == pytest.approx(year.columns["dni_w_m2"][high].mean(), rel=0.1)
    assert np.corrcoef(ours.dni_w_m2[high], year.columns["dni_w_m2"][high])[0, 1] > 0.9


def test_pressure_and_water_of_the_air() -> None:
    """U.S. standard atmosphere: 101,325 Pa at the sea, 89,875 Pa at 1000 m; dry air holds less water above."""
    assert pressure_pa(0.0) == pytest.approx(101_325.0, rel=1e-3)
    assert pressure_pa(1000.0) == pytest.approx(89_875.0, rel=1e-3)
    dry, damp = water_above_cm(np.array([38.0, 38.0]), np.array([5.0, 24.0]))
    assert 0.3 < dry < damp < 6.0
