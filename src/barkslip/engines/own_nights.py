"""Nights cut out of a series: low, fall, wind and cloud of each, and nothing of nights with gaps."""

from __future__ import annotations

from dataclasses import dataclass

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
    later_dew_c : float or None
        Dew point two hours after sunset [°C].
    wind_m_s, cloud : float or None
        Means of the night [m/s], [0..1]; None if not measured.
    """

    day: str
    low_c: float
    sunset_c: float
    later_c: float
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
    at_sunset, at_later = np.interp(sunset_s, time_s, air_c), np.interp(sunset_s + later_s, time_s, air_c)
    dew = series.columns.get("dew_point_c")
    wind, cloud = (_night_means(series, name, sunset_s, sunrise_s) for name in ("wind_m_s", "cloud_fraction"))
    out = []
    for k, day in enumerate(days):
        i, j = int(first[k]), int(last[k])
        if i == 0 or j == i:
            continue
        # the reading before sunset and the one after sunrise belong to it
        around = time_s[i - 1 : j + 1]
        if around[-1] < sunrise_s[k] or int(np.diff(around).max()) > longest:
            continue
        out.append(
            OwnNight(
                day=day,
                low_c=float(air_c[i:j].min()),
                sunset_c=float(at_sunset[k]),
                later_c=float(at_later[k]),
                later_dew_c=None if dew is None else _near(series.time_s, dew, int(sunset_s[k]) + later_s, longest),
                wind_m_s=_known(wind[k]),
                cloud=_known(cloud[k]),
            )
        )
    return tuple(out)


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


def _near(time_s: Ints, values: Floats, at_s: int, longest_s: int) -> float | None:
    """The value at a time, drawn straight between its neighbours; None if one of them is missing or far."""
    i = int(np.searchsorted(time_s, at_s))
    if i == 0 or i >= time_s.size or time_s[i] - time_s[i - 1] > longest_s:
        return None
    share = (at_s - time_s[i - 1]) / (time_s[i] - time_s[i - 1])
    return _known(float(values[i - 1] + share * (values[i] - values[i - 1])))


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
