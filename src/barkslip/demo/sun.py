"""Where the sun stands and how much of it comes through: enough for an invented place, not for engineering."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: Below this cosine of the zenith angle the beam is left out: the sun is on the ridge [1].
LOWEST_COS = 0.05


def sun_height(day_of_year: Floats, hour: Floats, lat: float, lon: float, utc_offset_h: float) -> Floats:
    """Cosine of the sun's zenith angle [1]; negative at night.

    Declination and equation of time after Cooper (1969) and Spencer (1971), both recalled; good to about half a
    degree.

    Parameters
    ----------
    day_of_year, hour : float arrays of one shape
        1..366; local standard time [h].
    lat, lon : float
        [° north, ° east]
    utc_offset_h : float
        [h]
    """
    declination = np.radians(23.45) * np.sin(2.0 * np.pi * (284.0 + day_of_year) / 365.0)
    b = 2.0 * np.pi * (day_of_year - 1.0) / 365.0
    equation_min = 229.18 * (
        0.000075 + 0.001868 * np.cos(b) - 0.032077 * np.sin(b) - 0.014615 * np.cos(2.0 * b) - 0.040849 * np.sin(2.0 * b)
    )
    solar_h = hour + (lon - 15.0 * utc_offset_h) / 15.0 + equation_min / 60.0
    angle = np.radians(15.0 * (solar_h - 12.0))
    phi = np.radians(lat)
    height: Floats = np.sin(phi) * np.sin(declination) + np.cos(phi) * np.cos(declination) * np.cos(angle)
    return height


def sunrise_sunset(day_of_year: Floats, lat: float, lon: float, utc_offset_h: float) -> tuple[Floats, Floats]:
    """Local standard hours at which the sun's middle crosses the level [h]."""
    declination = np.radians(23.45) * np.sin(2.0 * np.pi * (284.0 + day_of_year) / 365.0)
    half = np.degrees(np.arccos(-np.tan(np.radians(lat)) * np.tan(declination))) / 15.0
    noon = 12.0 - (lon - 15.0 * utc_offset_h) / 15.0
    return noon - half, noon + half


def sun_parts(cos_zenith: Floats, cloud: Floats) -> tuple[Floats, Floats, Floats]:
    """Sun on the level, beam on a face turned to it, and sky light [W/m²].

    Clear sky after Haurwitz (1945), cut by cloud after Kasten and Czeplak (1980), both recalled. The share of sky
    light is an assumption: 14 % when clear, all of it when overcast.

    Parameters
    ----------
    cos_zenith, cloud : float arrays of one shape
        [1]; cloud 0..1.

    Returns
    -------
    tuple of arrays
        Level, beam, sky [W/m²]; all zero when the sun is down.
    """
    up = cos_zenith > 0.0
    safe = np.where(up, cos_zenith, 1.0)
    clear = np.where(up, 1098.0 * safe * np.exp(-0.059 / safe), 0.0)
    level = clear * (1.0 - 0.75 * cloud**3.4)
    share = np.where(cos_zenith > LOWEST_COS, 0.14 + 0.86 * cloud**1.3, 1.0)
    sky = level * share
    beam = np.where(cos_zenith > LOWEST_COS, (level - sky) / np.maximum(safe, LOWEST_COS), 0.0)
    return level, beam, sky


def face_share(time_s: NDArray[np.int64], garden: dict[str, float], face_deg: float) -> Floats:
    """Cosine between the sun and an upright face, 0 when it stands behind the face or is down [1].

    Parameters
    ----------
    time_s : array
        Epoch seconds UTC.
    garden : table
        lat, lon [°] and utc_offset_h [h].
    face_deg : float
        Bearing of the face [°], 0 = north, clockwise.
    """
    local = time_s + round(3600 * garden["utc_offset_h"])
    day = local.astype("datetime64[s]").astype("datetime64[D]")
    year_day = (day - day.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.float64) + 1.0
    hour = (local % 86400) / 3600.0
    declination = np.radians(23.45) * np.sin(2.0 * np.pi * (284.0 + year_day) / 365.0)
    angle = np.radians(15.0 * (hour - 12.0 + (garden["lon"] - 15.0 * garden["utc_offset_h"]) / 15.0))
    phi = np.radians(garden["lat"])
    east = -np.cos(declination) * np.sin(angle)
    north = np.cos(phi) * np.sin(declination) - np.sin(phi) * np.cos(declination) * np.cos(angle)
    up = np.sin(phi) * np.sin(declination) + np.cos(phi) * np.cos(declination) * np.cos(angle)
    face = east * np.sin(np.radians(face_deg)) + north * np.cos(np.radians(face_deg))
    return np.where(up > 0.0, np.maximum(face, 0.0), 0.0)
