"""A plot's difference over many nights, against the form used for one night."""

from __future__ import annotations

import numpy as np
import pytest

from barkslip.engines.night_hours import Window, with_offset
from barkslip.engines.offset_hours import offset_hours

SUNSET, SUNRISE = 18 * 3600, 30 * 3600
NIGHTS = (np.array([SUNSET, SUNSET + 86_400]), np.array([SUNRISE, SUNRISE + 86_400]))


def test_each_night_has_its_own_difference_and_the_day_none() -> None:
    time_s = 3600 * np.arange(72)
    wind = np.where(time_s < 36 * 3600, 0.5, 4.0)
    seen: list[tuple[float | None, float | None]] = []

    def used(wind_m_s: float | None, cloud: float | None) -> float:
        seen.append((wind_m_s, cloud))
        return -3.0 if wind_m_s is not None and wind_m_s < 1.0 else -0.5

    found = offset_hours(time_s, *NIGHTS, used, wind, np.full(72, np.nan), full_h=4.0, gone_h=2.0)
    assert seen == [(0.5, None), (4.0, None)]
    assert found[[18, 20, 22, 29, 30, 31, 32, 40]].tolist() == [0.0, -1.5, -3.0, -3.0, -3.0, -1.5, 0.0, 0.0]
    assert found[[46, 54, 56]].tolist() == [-0.5, -0.5, 0.0]


def test_it_is_that_of_one_night() -> None:
    window = Window("2026-01-01", SUNSET, SUNRISE, 0.0)
    air = 10.0 - 6.0 * np.clip((window.time_s - SUNSET) / (SUNRISE - SUNSET), 0.0, 1.0)
    wanted = with_offset(air, window, -2.0, full_h=4.0, gone_h=2.0) - air
    found = offset_hours(
        window.time_s, *NIGHTS, lambda w, c: -2.0, np.zeros(air.shape), np.zeros(air.shape), full_h=4.0, gone_h=2.0
    )
    assert found == pytest.approx(wanted, abs=1e-9)


def test_a_night_without_dark_gives_nothing() -> None:
    time_s = 3600 * np.arange(48)
    none = np.array([SUNRISE]), np.array([SUNSET])
    assert not offset_hours(time_s, *none, lambda w, c: -2.0, np.zeros(48), np.zeros(48), full_h=4.0, gone_h=2.0).any()
