"""The small sun against pvlib's solar position algorithm (SPA), north and south, over leap years."""

from __future__ import annotations

import numpy as np
import pytest

from barkslip.weather.sun import elevation_deg, solar_hour, sun_times

PLACES = [(36.1, -79.95, -5.0), (-33.6, 21.0, 2.0), (0.0, 100.0, 7.0), (60.0, 25.0, 2.0)]


@pytest.mark.parametrize(("lat", "lon", "offset"), PLACES)
def test_elevation_against_spa(lat: float, lon: float, offset: float) -> None:
    import pandas as pd
    from pvlib.solarposition import spa_python

    times = pd.date_range("2019-01-01", "2022-12-31", freq="7h", tz="UTC")
    expected = spa_python(times, lat, lon)["elevation"].to_numpy()
    seconds = times.tz_localize(None).to_numpy().astype("datetime64[s]").astype(np.int64)
    # Spencer's series and its year of 365 days: half a degree over a leap cycle.
    assert np.abs(elevation_deg(seconds, lat, lon) - expected).max() < 0.5


@pytest.mark.parametrize(("lat", "lon", "offset"), PLACES)
def test_rise_and_set_against_spa(lat: float, lon: float, offset: float) -> None:
    import pandas as pd
    from pvlib.solarposition import sun_rise_set_transit_spa

    days = pd.date_range("2019-01-01", "2020-12-31", freq="5D", tz="UTC")
    table = sun_rise_set_transit_spa(days, lat, lon)
    midnight = days.tz_localize(None).to_numpy().astype("datetime64[s]").astype(np.int64)
    sun = sun_times(midnight, lat, lon, offset)
    assert sun.length_h == pytest.approx(sun.set_h - sun.rise_h)
    for ours, theirs in ((sun.rise_h, "sunrise"), (sun.set_h, "sunset")):
        utc = (
            table[theirs].dt.tz_convert("UTC").dt.tz_localize(None).to_numpy().astype("datetime64[s]").astype(np.int64)
        )
        local_h = (utc - midnight) / 3600.0 + offset
        away = np.mod(ours - local_h + 12.0, 24.0) - 12.0
        assert np.abs(away).max() < 5.0 / 60.0


def test_polar_day_and_night_have_24_and_0_hours() -> None:
    solstices = np.array(["2024-06-21", "2024-12-21"], dtype="datetime64[s]").astype(np.int64)
    assert sun_times(solstices, 75.0, 20.0, 1.0).length_h.tolist() == [24.0, 0.0]
    assert sun_times(solstices, -75.0, 20.0, 1.0).length_h.tolist() == [0.0, 24.0]


def test_the_sun_is_highest_at_true_noon() -> None:
    # 21 E on a clock of UTC+2: mean noon at 12:36, less 16 minutes in early November (equation of time).
    minutes = np.datetime64("2024-11-03T08:00", "s").astype(np.int64) + 60 * np.arange(360)
    top = minutes[np.argmax(elevation_deg(minutes, -33.6, 21.0))]
    assert abs(float(solar_hour(np.array([top]), 21.0)[0]) - 12.0) < 0.05
    local = (int(top) % 86400) / 3600.0 + 2.0
    assert local == pytest.approx(12.6 - 16.4 / 60.0, abs=0.05)
