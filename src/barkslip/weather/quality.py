"""Readings that do not look right, said in flags. Nothing is deleted and nothing is mended.

Checked by tests/weather/test_quality.py, with made faults and with real years that must stay nearly clean.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.weather import COLUMNS, Flag, Series
from barkslip.weather.assemble import find_gaps
from barkslip.weather.clock import clock_flags
from barkslip.weather.sun import elevation_deg

__all__ = ["CODES", "QualityLimits", "find_gaps", "flag", "suspect"]

Mask = NDArray[np.bool_]
#: Codes given here. Flags with other codes, and those about the column "time", come from the file reader.
CODES = ("outside limits", "stuck", "jump", "dew above air", "sun at night", "clock doubt")
# Zahumenský, I. (2004), Guidelines on quality control procedures for data from automatic weather stations, WMO
# CBS/OPAG-IOS/ET AWS-3/Doc. 4(1): plausible values, quoted elsewhere; gusts and cloud are not taken from there.
_RANGES: dict[str, tuple[float, float]] = {
    "air_temp_c": (-80.0, 60.0),
    "dew_point_c": (-80.0, 35.0),
    "surface_temp_c": (-80.0, 80.0),
    "rel_humidity_pct": (0.0, 100.0),
    "pressure_pa": (50_000.0, 110_000.0),
    "wind_m_s": (0.0, 75.0),
    "gust_m_s": (0.0, 150.0),
    "wind_from_deg": (0.0, 360.0),
    "ghi_w_m2": (0.0, 1600.0),
    "dni_w_m2": (0.0, 1600.0),
    "dhi_w_m2": (0.0, 1600.0),
    "cloud_fraction": (0.0, 1.0),
    "rain_mm": (0.0, 400.0),
}


@dataclass(frozen=True)
class QualityLimits:
    """What is still taken as a reading that can be.

    Parameters
    ----------
    ranges : mapping of str to (low, high)
        Inclusive, in our units. Published (Zahumenský 2004, WMO, quoted elsewhere) but for gust, cloud and rain
        (assumption; WMO names 40 mm for one minute).
    jump_c_per_h : float
        Change of air, dew point or surface temperature between two readings at most 1.5 h apart [K per hour, and
        not less than a third of it for shorter steps]. Assumption: in seven station years at hand 0 or 1 change of air
        a year is larger. The 4 K in one hour of WMO (1993, quoted elsewhere) would flag 6 to 365 hours a year there.
    stuck_h : float
        Longest time without any change of a temperature, or of the wind while it blows [h]. Assumption: the longest
        in those years is 24 readings, on a cloudy island.
    dew_above_air_c : float
        Dew point above air temperature by more than this [K]; rounding (assumption).
    night_sun_w_m2, night_sun_deg : float
        Sun of more than this [W/m²] while it is lower than this [°] during the whole interval (assumption).
    sun_noon_h : float
        Middle of the day's sun away from true noon, median of the days [h] (assumption; 0.0 h in three typical years).
    hottest_h : (float, float)
        True solar hour of the hottest reading, median of days with a range of 8 K or more [h] (assumption; 13.8 to
        14.7 h in six station years).
    fewest_days : int
        Days needed to say anything about the clock (assumption).
    """

    ranges: Mapping[str, tuple[float, float]] = field(default_factory=lambda: dict(_RANGES))
    jump_c_per_h: float = 10.0
    stuck_h: float = 24.0
    dew_above_air_c: float = 0.3
    night_sun_w_m2: float = 10.0
    night_sun_deg: float = -3.0
    sun_noon_h: float = 0.4
    hottest_h: tuple[float, float] = (12.5, 16.0)
    fewest_days: int = 10


def suspect(series: Series, limits: QualityLimits | None = None) -> dict[tuple[str, str], Mask]:
    """Readings that do not look right.

    Parameters
    ----------
    series : Series
    limits : QualityLimits or None

    Returns
    -------
    dict of (code, column) to bool array, shape (n,)
        Only checks that found something.
    """
    limits = limits or QualityLimits()
    found: dict[tuple[str, str], Mask] = {}
    for name, values in series.columns.items():
        low, high = limits.ranges.get(name, (-np.inf, np.inf))
        found["outside limits", name] = (values < low) | (values > high)
        if name.endswith("_c"):
            found["jump", name] = _jumps(series, values, limits)
            found["stuck", name] = _stuck(series, values, limits)
        if name == "wind_m_s":
            found["stuck", name] = _stuck(series, np.where(values > 0.0, values, np.nan), limits)
    air, dew = series.columns.get("air_temp_c"), series.columns.get("dew_point_c")
    if air is not None and dew is not None:
        found["dew above air", "dew_point_c"] = dew > air + limits.dew_above_air_c
    if series.info.lat is not None and series.info.lon is not None:
        night = _night(series, series.info.lat, series.info.lon, limits)
        for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2"):
            if name in series.columns:
                found["sun at night", name] = night & (series.columns[name] > limits.night_sun_w_m2)
    return {key: mask for key, mask in found.items() if bool(mask.any())}


def flag(series: Series, limits: QualityLimits | None = None) -> Series:
    """The same series with flags for what does not look right.

    Parameters
    ----------
    series : Series
        Flags that it already has from here are made anew, others are kept.
    limits : QualityLimits or None

    Returns
    -------
    Series
        One flag for each code and column: first and last reading concerned, how many, and the worst in words.
    """
    limits = limits or QualityLimits()
    flags = [f for f in series.info.flags if f.code not in CODES or f.column == "time"]
    for (code, name), mask in suspect(series, limits).items():
        at = np.flatnonzero(mask)
        words = _words(code, name, series.columns[name], mask, limits)
        flags.append(Flag(code, name, int(series.time_s[at[0]]), int(series.time_s[at[-1]]), int(at.size), words))
    flags += clock_flags(
        series, sun_noon_h=limits.sun_noon_h, hottest_h=limits.hottest_h, fewest_days=limits.fewest_days
    )
    return replace(series, info=replace(series.info, flags=tuple(flags)))


def _jumps(series: Series, values: NDArray[np.float64], limits: QualityLimits) -> Mask:
    mask = np.zeros(values.shape, dtype=bool)
    at = np.flatnonzero(np.isfinite(values))
    if at.size < 2:
        return mask
    hours = np.diff(series.time_s[at]) / 3600.0
    allowed = limits.jump_c_per_h * np.clip(hours, 1.0 / 3.0, None)
    wide = (np.abs(np.diff(values[at])) > allowed) & (hours <= 1.5)
    mask[at[1:][wide]] = True
    return mask


def _stuck(series: Series, values: NDArray[np.float64], limits: QualityLimits) -> Mask:
    mask = np.zeros(values.shape, dtype=bool)
    if values.size < 2:
        return mask
    # A run ends where the value changes, is missing, or time jumps.
    change = (np.diff(values) != 0.0) | (np.diff(series.time_s) > 1.5 * series.info.step_s)
    starts = np.concatenate(([0], np.flatnonzero(change) + 1))
    ends = np.append(starts[1:], values.size) - 1
    hours = (series.time_s[ends] - series.time_s[starts]) / 3600.0
    for i in np.flatnonzero(hours >= limits.stuck_h):
        mask[starts[i] : ends[i] + 1] = True
    return mask


def _night(series: Series, lat: float, lon: float, limits: QualityLimits) -> Mask:
    """True where the sun is down during the whole interval."""
    step = series.info.step_s
    ends = (0, -step) if series.info.stamps == "end of interval" else (0,)
    highest = np.max([elevation_deg(series.time_s + shift, lat, lon) for shift in ends], axis=0)
    return np.asarray(highest < limits.night_sun_deg)


def _words(code: str, name: str, values: NDArray[np.float64], mask: Mask, limits: QualityLimits) -> str:
    unit, what, _ = COLUMNS[name]
    hit = values[mask]
    seen = f"{hit.min():g} to {hit.max():g} {unit}" if hit.size > 1 else f"{hit[0]:g} {unit}"
    if code == "outside limits":
        low, high = limits.ranges[name]
        return f"{what}: {hit.size} readings of {seen} are outside {low:g} to {high:g} {unit}."
    if code == "jump":
        return f"{what}: {hit.size} changes of more than {limits.jump_c_per_h:g} K in an hour, to {seen}."
    if code == "stuck":
        return f"{what}: {hit.size} readings in runs of {limits.stuck_h:g} h or more without any change."
    if code == "dew above air":
        return f"The dew point is above the air temperature in {hit.size} readings: one of the two is wrong."
    return f"{what}: {hit.size} readings of up to {hit.max():g} {unit} while the sun is down: clock or place is wrong."
