"""Where the sun stands: enough for the length of the day and for "sun at night".

Spencer, J.W. (1971), Fourier series representation of the position of the sun, Search 2(5), 172 (coefficients quoted
elsewhere). Good to about half a degree over the years. Checked by tests/weather/test_sun.py against an independent
solar position algorithm. Not for irradiance on trees: that has a finer sun.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: The upper rim of the sun is seen on the horizon when its middle is this much below it [°] (common practice:
#: 34' of refraction and 16' of radius).
RIM_BELOW_DEG = 0.833


def _year_angle(time_s: Ints) -> Floats:
    """Angle of the day in its year [rad], 0 at the start of 1 January UTC."""
    days = time_s.astype("datetime64[s]")
    start = days.astype("datetime64[Y]").astype("datetime64[s]")
    angle: Floats = 2.0 * np.pi * (days - start).astype(np.float64) / (86400.0 * 365.0)
    return angle


def declination_rad(time_s: Ints) -> Floats:
    """Declination of the sun [rad] at epoch seconds UTC, shape (n,); Spencer (1971)."""
    b = _year_angle(time_s)
    return (
        0.006918 - 0.399912 * np.cos(b) + 0.070257 * np.sin(b) - 0.006758 * np.cos(2 * b)
        + 0.000907 * np.sin(2 * b) - 0.002697 * np.cos(3 * b) + 0.00148 * np.sin(3 * b)
    )  # fmt: skip


def equation_of_time_min(time_s: Ints) -> Floats:
    """Sun time minus mean time [min] at epoch seconds UTC, shape (n,); Spencer (1971)."""
    b = _year_angle(time_s)
    return 229.18 * (
        0.000075 + 0.001868 * np.cos(b) - 0.032077 * np.sin(b) - 0.014615 * np.cos(2 * b) - 0.040849 * np.sin(2 * b)
    )


def solar_hour(time_s: Ints, lon: float) -> Floats:
    """Hour of the true solar day [h], 12 when the sun is highest; shape (n,)."""
    return np.mod(time_s / 3600.0 + lon / 15.0 + equation_of_time_min(time_s) / 60.0, 24.0)


def elevation_deg(time_s: Ints, lat: float, lon: float) -> Floats:
    """Height of the sun's middle above the horizon, without refraction [°].

    Parameters
    ----------
    time_s : int64 array, shape (n,)
        Epoch seconds UTC.
    lat, lon : float
        [° north, ° east]
    """
    hour_angle = np.radians(15.0 * (solar_hour(time_s, lon) - 12.0))
    dec, phi = declination_rad(time_s), np.radians(lat)
    sine = np.sin(phi) * np.sin(dec) + np.cos(phi) * np.cos(dec) * np.cos(hour_angle)
    elevation: Floats = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
    return elevation


@dataclass(frozen=True)
class SunTimes:
    """Sun of some days, arrays of shape (n,), hours of the local standard clock.

    Parameters
    ----------
    rise_h, set_h : float64 array
        Sunrise and sunset [h from local midnight]; may lie outside 0..24 where clock and sun differ much.
    length_h : float64 array
        [h], 0 to 24.
    """

    rise_h: Floats
    set_h: Floats
    length_h: Floats


def sun_times(midnight_s: Ints, lat: float, lon: float, utc_offset_h: float) -> SunTimes:
    """Sunrise, sunset and length of the days.

    Parameters
    ----------
    midnight_s : int64 array, shape (n,)
        Local midnights as the local clock counts them [s since 1970-01-01 00:00 local standard time].
    lat, lon : float
        [° north, ° east]
    utc_offset_h : float
        Local standard time minus UTC [h].
    """
    noon_utc_s = midnight_s + 43200 - round(utc_offset_h * 3600)
    dec, phi = declination_rad(noon_utc_s), np.radians(lat)
    rim = np.sin(np.radians(-RIM_BELOW_DEG))
    cosine = (rim - np.sin(phi) * np.sin(dec)) / (np.cos(phi) * np.cos(dec))
    half_h = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))) / 15.0
    noon_h = 12.0 + utc_offset_h - lon / 15.0 - equation_of_time_min(noon_utc_s) / 60.0
    return SunTimes(noon_h - half_h, noon_h + half_h, 2.0 * half_h)
