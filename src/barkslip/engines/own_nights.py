"""Nights cut out of a series: low, fall, wind and cloud of each, and nothing of nights with gaps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.weather import Series

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
#: A reading may be missing for so long and the night still counts as whole [s]; hourly readings need no more.
LEAST_STEP_S = 3600


@dataclass(frozen=True)
class OwnNight:
    """One whole night of one series.

    Parameters
    ----------
    day : str
        ISO day of the evening.
    low_c : float
        Lowest air between sunset and sunrise [°C].
    sunset_c, later_c : float
        Air at sunset and two hours later [°C].
    sunset_dew_c, later_dew_c : float or None
        Dew point at the same times [°C].
    wind_m_s, cloud : float or None
        Means of the night [m/s], [0..1]; None if not measured.
    """

    day: str
    low_c: float
    sunset_c: float
    later_c: float
    sunset_dew_c: float | None = None
    later_dew_c: float | None = None
    wind_m_s: float | None = None
    cloud: float | None = None

    @property
    def fall_k(self) -> float:
        """From sunset to the low [K]."""
        return self.sunset_c - self.low_c


def own_nights(
    series: Series, days: tuple[str, ...], sunset_s: Ints, sunrise_s: Ints, *, later_s: int = 7200
) -> tuple[OwnNight, ...]:
    """The whole nights of a series.

    Parameters
    ----------
    series : Series
        With air temperature.
    days : tuple of str, length n
        Evenings.
    sunset_s, sunrise_s : int64 array, shape (n,)
        Sunset of the evening and sunrise of the morning after [epoch s, UTC].
    later_s : int
        After sunset [s], for `later_c`.

    Returns
    -------
    tuple of OwnNight
        In order of time. A night with a gap longer than a usual step (an hour at least), at its ends too, is left out.
    """
    air = series.columns.get("air_temp_c")
    if air is None:
        return ()
    good = np.isfinite(air)
    time_s, air_c = series.time_s[good], air[good]
    if time_s.size < 2:
        return ()
    longest = max(LEAST_STEP_S, int(1.5 * series.info.step_s))
    first = np.searchsorted(time_s, sunset_s)
    last = np.searchsorted(time_s, sunrise_s, side="right")
    # the reading before sunset and the one after sunrise belong to a night
    end = np.minimum(last, time_s.size - 1)
    whole = np.flatnonzero((first > 0) & (last > first) & (time_s[end] >= sunrise_s))
    if not whole.size:
        return ()
    gaps = np.append(np.diff(time_s), 0)
    whole = whole[_over(np.maximum, gaps, first[whole] - 1, end[whole]) <= longest]
    low = _over(np.minimum, np.append(air_c, np.inf), first[whole], last[whole])
    sunset, later = sunset_s[whole], sunset_s[whole] + later_s
    columns = (
        low,
        np.interp(sunset, time_s, air_c),
        np.interp(later, time_s, air_c),
        _near(series, "dew_point_c", sunset, longest),
        _near(series, "dew_point_c", later, longest),
        _night_means(series, "wind_m_s", sunset, sunrise_s[whole]),
        _night_means(series, "cloud_fraction", sunset, sunrise_s[whole]),
    )
    known = [[v if v == v else None for v in column.tolist()] for column in columns]
    return tuple(OwnNight(days[k], *values) for k, *values in zip(whole.tolist(), *known, strict=True))


def _over(how: np.ufunc, values: NDArray[Any], start: Ints, end: Ints) -> NDArray[Any]:
    """`how` over values[start:end] for each pair; the pairs in order, none empty, `end` at most the last index."""
    if not start.size:
        return np.empty(0)
    pairs = np.column_stack((start, end)).ravel()
    return np.asarray(how.reduceat(values, pairs)[::2])


def _night_means(series: Series, name: str, sunset_s: Ints, sunrise_s: Ints) -> Floats:
    """Mean of a column over each night; NaN where it has none."""
    values = series.columns.get(name)
    if values is None:
        return np.full(sunset_s.shape, np.nan)
    good = np.isfinite(values)
    total = np.concatenate(([0.0], np.cumsum(np.where(good, values, 0.0))))
    count = np.concatenate(([0], np.cumsum(good)))
    i, j = np.searchsorted(series.time_s, sunset_s), np.searchsorted(series.time_s, sunrise_s, side="right")
    n = count[j] - count[i]
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray((total[j] - total[i]) / n)


def _near(series: Series, name: str, at_s: Ints, longest_s: int) -> Floats:
    """A column at some times, drawn straight between its neighbours; NaN where one of them is missing or far."""
    values = series.columns.get(name)
    if values is None or not len(series):
        return np.full(at_s.shape, np.nan)
    after = np.clip(np.searchsorted(series.time_s, at_s), 1, max(len(series) - 1, 1))
    before = after - 1
    if len(series) < 2:
        return np.full(at_s.shape, np.nan)
    width = series.time_s[after] - series.time_s[before]
    share = (at_s - series.time_s[before]) / width
    good = (width <= longest_s) & (share >= 0.0) & (share <= 1.0)
    drawn = values[before] + share * (values[after] - values[before])
    return np.asarray(np.where(good, drawn, np.nan))
