"""A series summed up by month, by day and by night, in local standard time, honest about gaps.

A reading stands for half the way to each neighbour, but never for more than half a usual step on either side: hours
in a gap count for nobody. Checked by tests/weather/test_summary.py against a separate table library.
"""

from __future__ import annotations

import calendar
from datetime import date

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.weather import DayExtremes, MonthSummary, NightLow, Series

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: Hours of readings that a day needs to count in the mean of daily lows and highs.
FULL_DAY_H = 20.0


def months(
    series: Series, *, frost_c: float, healing_low_c: float, healing_high_c: float, heat_c: float
) -> tuple[MonthSummary, ...]:
    """Each month that has a reading.

    Parameters
    ----------
    series : Series
        With air temperature; without it only rain is summed.
    frost_c : float
        Hours below it count as frost [°C].
    healing_low_c, healing_high_c : float
        Hours from the one to the other, both included, count as healing [°C].
    heat_c : float
        Hours above it count as heat [°C].

    Returns
    -------
    tuple of MonthSummary
        In order of time.
    """
    air = series.columns.get("air_temp_c", np.full(len(series), np.nan))
    rain = series.columns.get("rain_mm")
    if not len(series):
        return ()
    local_s = _local_seconds(series)
    month = local_s.astype("datetime64[s]").astype("datetime64[M]").astype(np.int64)
    starts = _starts(month)
    hours = reading_hours(series, air)
    good = np.isfinite(air)
    weight = np.where(good, hours, 0.0)
    value = np.where(good, air, 0.0)
    with np.errstate(invalid="ignore"):
        sums = {
            "hours": weight,
            "warm": weight * value,
            "frost": np.where(air < frost_c, weight, 0.0),
            "healing": np.where((air >= healing_low_c) & (air <= healing_high_c), weight, 0.0),
            "heat": np.where(air > heat_c, weight, 0.0),
        }
    total = {name: np.add.reduceat(array, starts) for name, array in sums.items()}
    low = np.minimum.reduceat(np.where(good, air, np.inf), starts)
    high = np.maximum.reduceat(np.where(good, air, -np.inf), starts)
    daily = _daily_means(series, month[starts])
    out = []
    for i, start in enumerate(starts):
        year, number = divmod(int(month[start]), 12)
        year, number = year + 1970, number + 1
        length = calendar.monthrange(year, number)[1] * 24.0
        seen = float(total["hours"][i])
        stop = starts[i + 1] if i + 1 < starts.size else len(series)
        wet = None if rain is None else rain[start:stop][np.isfinite(rain[start:stop])]
        out.append(
            MonthSummary(
                year=year,
                month=number,
                hours=seen,
                share=min(1.0, seen / length),
                low_c=_known(low[i]),
                high_c=_known(high[i]),
                mean_c=float(total["warm"][i]) / seen if seen else None,
                mean_low_c=_known(daily[0][i]),
                mean_high_c=_known(daily[1][i]),
                frost_hours=float(total["frost"][i]),
                healing_hours=float(total["healing"][i]),
                heat_hours=float(total["heat"][i]),
                rain_mm=float(wet.sum()) if wet is not None and wet.size else None,
            )
        )
    return tuple(out)


def days(series: Series) -> tuple[DayExtremes, ...]:
    """Low and high of air temperature of each local day that has a line in the series.

    Returns
    -------
    tuple of DayExtremes
        In order of time. Days without any line are not in it.
    """
    if not len(series):
        return ()
    day, low, high, hours = _extremes(series)
    names = np.datetime_as_string(day.astype("datetime64[D]"))
    lows, highs = _list(low), _list(high)
    return tuple(
        DayExtremes(str(name), a, b, h) for name, a, b, h in zip(names, lows, highs, hours.tolist(), strict=True)
    )


def night_lows(series: Series) -> tuple[NightLow, ...]:
    """Low of each night, from local noon to noon.

    Returns
    -------
    tuple of NightLow
        In order of time.
    """
    air = series.columns.get("air_temp_c")
    if air is None or not len(series):
        return ()
    evening = (_local_seconds(series) - 43200) // 86400
    starts = _starts(evening)
    good = np.isfinite(air)
    filled = np.where(good, air, np.inf)
    low = np.minimum.reduceat(filled, starts)
    hours = np.add.reduceat(np.where(good, reading_hours(series, air), 0.0), starts)
    names = np.datetime_as_string(evening[starts].astype("datetime64[D]"))
    ends = np.append(starts[1:], len(series))
    out = []
    for i, name in enumerate(names):
        if not np.isfinite(low[i]):
            out.append(NightLow(str(name), None, None, 0.0))
            continue
        at = int(starts[i]) + int(np.argmin(filled[starts[i] : ends[i]]))
        out.append(NightLow(str(name), float(low[i]), int(series.time_s[at]), float(hours[i])))
    return tuple(out)


def night_low(series: Series, evening: date) -> NightLow:
    """Low of the night that begins on `evening`; `low_c` is None if there is no reading in it."""
    noon_s = int(np.datetime64(evening, "s").astype(np.int64)) + 43200 - round(series.info.utc_offset_h * 3600)
    # A reading stamped with the end of its interval belongs to the time before the stamp.
    shift = 1 if series.info.stamps == "end of interval" else 0
    found = night_lows(series.between(noon_s + shift, noon_s + 86400 + shift))
    return found[0] if found else NightLow(evening.isoformat(), None, None, 0.0)


def reading_hours(series: Series, values: Floats) -> Floats:
    """Hours that each reading stands for; 0 where there is none.

    Parameters
    ----------
    series : Series
    values : float64 array, shape (n,)
        Its column.

    Returns
    -------
    float64 array, shape (n,)
        [h]
    """
    hours = np.zeros(values.shape)
    at = np.flatnonzero(np.isfinite(values))
    step = float(series.info.step_s)
    between = np.minimum(np.diff(series.time_s[at]).astype(np.float64), step)
    if at.size:
        before, after = np.append(step, between), np.append(between, step)
        hours[at] = (before + after) / 7200.0
    return hours


def _local_seconds(series: Series) -> Ints:
    """Local standard time of each reading; one second earlier if the stamp is the end of its interval."""
    shift = round(series.info.utc_offset_h * 3600) - (1 if series.info.stamps == "end of interval" else 0)
    return series.time_s + shift


def _starts(group: Ints) -> Ints:
    return np.concatenate(([0], np.flatnonzero(np.diff(group)) + 1)).astype(np.int64)


def _extremes(series: Series) -> tuple[Ints, Floats, Floats, Floats]:
    air = series.columns.get("air_temp_c", np.full(len(series), np.nan))
    day = _local_seconds(series) // 86400
    starts = _starts(day)
    good = np.isfinite(air)
    low = np.minimum.reduceat(np.where(good, air, np.inf), starts)
    high = np.maximum.reduceat(np.where(good, air, -np.inf), starts)
    hours = np.add.reduceat(reading_hours(series, air), starts)
    return day[starts], low, high, hours


def _daily_means(series: Series, wanted: Ints) -> tuple[Floats, Floats]:
    """Mean of daily lows and highs of each wanted month (months since 1970), NaN without a full day."""
    day, low, high, hours = _extremes(series)
    full = hours >= FULL_DAY_H
    month = day[full].astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)
    index = np.searchsorted(wanted, month)
    count = np.bincount(index, minlength=wanted.size).astype(np.float64)
    with np.errstate(invalid="ignore"):
        return (
            np.bincount(index, low[full], minlength=wanted.size) / count,
            np.bincount(index, high[full], minlength=wanted.size) / count,
        )


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _list(values: Floats) -> list[float | None]:
    return [v if ok else None for v, ok in zip(values.tolist(), np.isfinite(values).tolist(), strict=True)]
