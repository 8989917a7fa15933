"""Does the clock of a logger run on the time it says? Told by the sun, by the air, or by another series.

The air alone shows only gross faults (two hours and more): on clear days it is hottest some two hours after true
noon, more or less. One hour, the usual fault, shows against the sun or against a second series.
Checked by tests/weather/test_clock.py.
"""

from __future__ import annotations

import numpy as np

from barkslip.domain.weather import Flag, Series
from barkslip.weather.sun import Floats, Ints, solar_hour

_RANGE_C = 8.0  # days with less between low and high tell nothing of the hour (assumption)
_SUN_WH = 1000.0  # days with less sun are not used [Wh/m²] (assumption)
_FULL_DAY = 0.9  # share of a day's readings that must be there


def sun_noon_shifts(series: Series) -> Floats:
    """For each sunny day: the middle of its sun minus true noon [h]; positive means that the clock shows too much."""
    info = series.info
    sun = series.columns.get("ghi_w_m2")
    if sun is None or info.lon is None:
        return np.array([])
    middle_s = series.time_s - (info.step_s // 2 if info.stamps == "end of interval" else 0)
    hour, day = solar_hour(middle_s, info.lon), _solar_day(middle_s, info.lon)
    starts, counts = _days(day)
    good = np.isfinite(sun)
    power = np.where(good, sun, 0.0)
    total = np.add.reduceat(power, starts)
    centre = np.add.reduceat(power * hour, starts) / np.where(total > 0.0, total, 1.0)
    full = np.add.reduceat(good, starts) >= _FULL_DAY * 86400.0 / info.step_s
    use = full & (total * info.step_s / 3600.0 > _SUN_WH) & (counts > 0)
    return centre[use] - 12.0


def hottest_hours(series: Series) -> Floats:
    """True solar hour of the hottest reading of each day with a range of 8 K or more [h]."""
    info = series.info
    air = series.columns.get("air_temp_c")
    if air is None or info.lon is None:
        return np.array([])
    hour, day = solar_hour(series.time_s, info.lon), _solar_day(series.time_s, info.lon)
    starts, counts = _days(day)
    good = np.isfinite(air)
    high = np.maximum.reduceat(np.where(good, air, -np.inf), starts)
    low = np.minimum.reduceat(np.where(good, air, np.inf), starts)
    top = good & (air >= np.repeat(high, counts) - 0.05)
    hours = np.add.reduceat(np.where(top, hour, 0.0), starts) / np.maximum(np.add.reduceat(top, starts), 1)
    full = np.add.reduceat(good, starts) >= _FULL_DAY * 86400.0 / info.step_s
    with np.errstate(invalid="ignore"):
        return hours[full & (high - low >= _RANGE_C)]


def clock_flags(series: Series, *, sun_noon_h: float, hottest_h: tuple[float, float], fewest_days: int) -> list[Flag]:
    """Doubts about the clock.

    Parameters
    ----------
    series : Series
        With longitude; else nothing can be told.
    sun_noon_h, hottest_h, fewest_days
        See `quality.QualityLimits`.

    Returns
    -------
    list of Flag
        Code "clock doubt", column "ghi_w_m2" or "air_temp_c".
    """
    flags = []
    start, end = int(series.time_s[0]), int(series.time_s[-1])
    shifts = sun_noon_shifts(series)
    if shifts.size >= fewest_days:
        shift = float(np.median(shifts))
        if abs(shift) > sun_noon_h:
            words = (
                f"The sun's middle is {abs(shift):.1f} h {'after' if shift > 0 else 'before'} true noon (median of "
                f"{shifts.size} days): the clock, the offset from UTC or the place is wrong, or one side is shaded."
            )
            flags.append(Flag("clock doubt", "ghi_w_m2", start, end, int(shifts.size), words))
    hours = hottest_hours(series)
    if hours.size >= fewest_days:
        hour = float(np.median(hours))
        if not hottest_h[0] <= hour <= hottest_h[1]:
            words = (
                f"The air is hottest at {hour:.1f} h true solar time (median of {hours.size} days), usual is "
                f"{hottest_h[0]:g} to {hottest_h[1]:g} h: the clock or the offset from UTC may be wrong, or the "
                "sensor stands in the sun."
            )
            flags.append(Flag("clock doubt", "air_temp_c", start, end, int(hours.size), words))
    return flags


def hours_late(series: Series, reference: Series, *, most_h: int = 13) -> tuple[float, float] | None:
    """How many hours the clock of a series shows too much, against another of the same garden.

    The hourly changes of the two air temperatures are compared at shifts of whole hours; the shift at which they
    go together best is the answer.

    Parameters
    ----------
    series, reference : Series
        With air temperature; at least 10 days in common.
    most_h : int
        Largest shift tried [h].

    Returns
    -------
    (shift_h, correlation) or None
        Positive: the series' clock shows too much. None if there is too little in common.
    """
    first = max(int(series.time_s[0]), int(reference.time_s[0]))
    last = min(int(series.time_s[-1]), int(reference.time_s[-1]))
    grid = np.arange(-(-first // 3600), last // 3600 + 1, dtype=np.int64) * 3600
    if grid.size < 240:
        return None
    own, other = (np.diff(_on_grid(s, grid)) for s in (series, reference))
    best: tuple[float, float] | None = None
    for shift in range(-most_h, most_h + 1):
        a = own[max(shift, 0) : own.size + min(shift, 0)]
        b = other[max(-shift, 0) : other.size + min(-shift, 0)]
        use = np.isfinite(a) & np.isfinite(b)
        if np.count_nonzero(use) < 200 or not (np.ptp(a[use]) and np.ptp(b[use])):
            continue
        together = float(np.corrcoef(a[use], b[use])[0, 1])
        if best is None or together > best[1]:
            best = (float(shift), together)
    return best


def _on_grid(series: Series, grid: Ints) -> Floats:
    """Air temperature at the full hours, NaN in gaps of more than 1.5 h."""
    air = series.columns["air_temp_c"]
    good = np.isfinite(air)
    times, values = series.time_s[good], air[good]
    if times.size < 2:
        return np.full(grid.shape, np.nan)
    out = np.interp(grid, times, values)
    after = np.clip(np.searchsorted(times, grid), 1, times.size - 1)
    out[(times[after] - times[after - 1]) > 5400] = np.nan
    return out


def _solar_day(time_s: Ints, lon: float) -> Ints:
    return np.floor((time_s / 3600.0 + lon / 15.0) / 24.0).astype(np.int64)


def _days(day: Ints) -> tuple[Ints, Ints]:
    """First index and length of each run of one day."""
    starts = np.concatenate(([0], np.flatnonzero(np.diff(day)) + 1)).astype(np.int64)
    return starts, np.diff(np.append(starts, day.size)).astype(np.int64)
