"""The simple clear sky against pvlib's own Haurwitz and its sun (pvlib.clearsky, pvlib.solarposition)."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pvlib
import pytest

from barkslip.knowledge.load import load
from barkslip.weather.clear_sun import ClearSun, clear_sun


@pytest.fixture(scope="module")
def sun() -> ClearSun:
    known = load()
    return clear_sun(-33.6, 21.0, lambda key: float(known.value(key).value or 0.0))


def test_clear_sky_over_a_winter_day(sun: ClearSun) -> None:
    times = pd.date_range("2025-06-21 00:00", "2025-06-22 00:00", freq="15min", tz="UTC")
    place = pvlib.solarposition.get_solarposition(times, -33.6, 21.0)
    wanted = pvlib.clearsky.haurwitz(place["zenith"])["ghi"].to_numpy()
    got = sun.clear_w_m2((times.asi8 // 10**9).astype(np.int64))
    assert got.max() > 450.0
    assert np.abs(got - wanted).max() < 8.0  # half a degree of sun height and refraction
    assert not got[wanted == 0.0].max() > 5.0


def test_cloud_takes_and_is_told_from_what_it_took(sun: ClearSun) -> None:
    cloud = np.array([0.0, 0.3, 0.7, 1.0])
    share = sun.through(cloud)
    assert share[0] == 1.0 and share[-1] == pytest.approx(0.25) and np.all(np.diff(share) < 0)
    assert [sun.cloud_of(s) for s in share] == pytest.approx(list(cloud))
    assert sun.cloud_of(1.2) == 0.0 and sun.cloud_of(0.0) == 1.0
