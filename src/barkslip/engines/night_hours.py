"""The air of one night from a series: on an even grid, what is missing filled in and named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.weather import Series
from barkslip.engines.low import dew_point_c

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
#: Step of the grid [s], and how long after sunrise it goes on [s].
STEP_S, AFTER_S = 600, 3 * 3600
#: Sun is looked at so long before sunset, up to so long before it [s], where a clear sky gives so much [W/m²].
AFTERNOON_S, LOW_SUN_S, ENOUGH_SUN_W_M2 = 4 * 3600, 1800, 50.0
#: Readings may be so far apart without a word [s].
USUAL_STEP_S = 3600


class SkySun(Protocol):
    """The sun at a place."""

    def clear_w_m2(self, time_s: Ints) -> Floats:
        """Under a clear sky [W/m²]."""

    def through(self, cloud: Floats) -> Floats:
        """Share that cloud lets through."""

    def cloud_of(self, share: float) -> float:
        """Cloud that lets such a share through."""


@dataclass(frozen=True)
class Window:
    """One night at one place.

    Parameters
    ----------
    day : str
        ISO day of the evening.
    sunset_s, sunrise_s : int
        Epoch seconds UTC.
    utc_offset_h : float
        Of the clock that times are told by [h].
    """

    day: str
    sunset_s: int
    sunrise_s: int
    utc_offset_h: float

    @property
    def night_h(self) -> float:
        """From sunset to sunrise [h]."""
        return (self.sunrise_s - self.sunset_s) / 3600.0

    @property
    def time_s(self) -> Ints:
        """The grid: from sunset in even steps to some hours after sunrise [epoch s]."""
        count = -(-(self.sunrise_s + AFTER_S - self.sunset_s) // STEP_S) + 1
        return self.sunset_s + STEP_S * np.arange(count, dtype=np.int64)


@dataclass(frozen=True)
class Fill:
    """What stands in for what is not known; `given` values win over a series' own.

    Parameters
    ----------
    wind_m_s, dew_below_low_k, warming_k_h : float
        Wind [m/s], dew point below the low [K], rise of the air after sunrise [K/h].
    given_wind_m_s, given_cloud, given_dew_c : float or None
        As typed.
    """

    wind_m_s: float
    dew_below_low_k: float
    warming_k_h: float
    given_wind_m_s: float | None = None
    given_cloud: float | None = None
    given_dew_c: float | None = None


@dataclass(frozen=True)
class Hours:
    """Columns on the grid of a window, shape (n,), and the names of those that were filled in."""

    air_c: Floats
    dew_c: Floats
    wind_m_s: Floats
    cloud: Floats
    sun_w_m2: Floats
    guessed: tuple[str, ...]


def longest_gap(series: Series, window: Window) -> tuple[int, int]:
    """First and last second of the longest time without air within a night, its ends included.

    The whole night if there is no reading in it. A gap no longer than a usual step is none: (sunset, sunset).
    """
    air = series.columns.get("air_temp_c")
    night = (window.sunset_s, window.sunrise_s)
    if air is None:
        return night
    time_s = series.time_s[np.isfinite(air)]
    inside = time_s[(time_s > window.sunset_s) & (time_s < window.sunrise_s)]
    before, after = time_s[time_s <= window.sunset_s], time_s[time_s >= window.sunrise_s]
    usual = max(USUAL_STEP_S, int(1.5 * series.info.step_s))
    # a reading just outside bounds the gap; one that is far outside bounds nothing
    first = [int(before[-1])] if before.size and window.sunset_s - before[-1] <= usual else [window.sunset_s]
    last = [int(after[0])] if after.size and after[0] - window.sunrise_s <= usual else [window.sunrise_s]
    if not inside.size:
        return night
    marks = np.array([*first, *inside.tolist(), *last])
    i = int(np.argmax(np.diff(marks)))
    if marks[i + 1] - marks[i] <= usual:
        return window.sunset_s, window.sunset_s
    return max(int(marks[i]), window.sunset_s), min(int(marks[i + 1]), window.sunrise_s)


def joined(parts: Sequence[Series]) -> tuple[Series, tuple[int, ...]]:
    """Several series of one place as one: where the first has no reading near, the second's stand, and so on.

    Parameters
    ----------
    parts : sequence of Series, not empty
        Best first.

    Returns
    -------
    series : Series
        With the story of the first.
    used : tuple of int
        Places of the parts whose readings stand in it.
    """
    whole, used = parts[0], [0]
    for place, part in enumerate(parts[1:], 1):
        air = part.columns.get("air_temp_c")
        if air is None or not len(part):
            continue
        have = whole.time_s[np.isfinite(whole.columns["air_temp_c"])]
        reach = max(USUAL_STEP_S, whole.info.step_s) // 2
        far = np.searchsorted(have, part.time_s - reach) == np.searchsorted(have, part.time_s + reach)
        extra = far & np.isfinite(air)
        if not extra.any():
            continue
        used.append(place)
        kept = ~np.isin(whole.time_s, part.time_s[extra])
        time_s = np.concatenate((whole.time_s[kept], part.time_s[extra]))
        order = np.argsort(time_s)
        columns = {}
        for name in {**whole.columns, **part.columns}:
            mine, theirs = (
                one.columns.get(name, np.full(len(one), np.nan))[mask] for one, mask in ((whole, kept), (part, extra))
            )
            columns[name] = np.concatenate((mine, theirs))[order]
        whole = Series(whole.info, time_s[order], columns)
    return whole, tuple(used)


def hours_of(series: Series, window: Window, fill: Fill, sky: SkySun) -> Hours:
    """The night on its grid, drawn straight between readings.

    Parameters
    ----------
    series : Series
        With readings of air in the night; see `longest_gap`.
    window : Window
    fill : Fill
    sky : SkySun
    """
    grid = window.time_s
    air = _drawn(series, "air_temp_c", window)
    if air is None:
        raise ValueError("a series without air in the night was handed in")
    air = _warmed(series, window, air, fill.warming_k_h)
    guessed: list[str] = []
    cloud = _cloud(series, window, fill, sky, guessed)
    wind = _given(fill.given_wind_m_s, grid)
    if wind is None:
        wind = _drawn(series, "wind_m_s", window)
    if wind is None:
        guessed.append("wind_m_s")
        wind = np.full(grid.shape, fill.wind_m_s)
    dew = _given(fill.given_dew_c, grid)
    if dew is None:
        dew = _drawn(_with_dew(series, window), "dew_point_c", window)
    if dew is None:
        guessed.append("dew_point_c")
        dew = np.full(grid.shape, float(air.min()) - fill.dew_below_low_k)
    sun = _drawn(series, "ghi_w_m2", window)
    if sun is None or not _reaches(series, "ghi_w_m2", int(grid[-1])):
        sun = sky.clear_w_m2(grid) * sky.through(cloud)
    dark = (grid < window.sunrise_s) & (grid > window.sunset_s)
    return Hours(
        air,
        np.minimum(dew, air),
        np.maximum(wind, 0.0),
        np.clip(cloud, 0.0, 1.0),
        np.where(dark, 0.0, np.maximum(sun, 0.0)),
        tuple(guessed),
    )


def _given(value: float | None, grid: Ints) -> Floats | None:
    return None if value is None else np.full(grid.shape, value)


def _times(series: Series, name: str) -> Ints:
    """Times of a column; sun that was summed up to a stamp belongs to the middle of its interval."""
    if series.info.stamps == "end of interval" and name.endswith("_w_m2"):
        return series.time_s - series.info.step_s // 2
    return series.time_s


def _drawn(series: Series, name: str, window: Window) -> Floats | None:
    """A column on the grid, its ends held; None if it has no reading in the night."""
    values = series.columns.get(name)
    if values is None:
        return None
    time_s = _times(series, name)
    good = np.isfinite(values)
    usual = max(USUAL_STEP_S, int(1.5 * series.info.step_s))
    inside = good & (time_s >= window.sunset_s - usual) & (time_s <= window.sunrise_s + usual)
    if not inside.any():
        return None
    return np.asarray(np.interp(window.time_s, time_s[good], values[good]))


def _reaches(series: Series, name: str, end_s: int) -> bool:
    values = series.columns[name]
    good = np.isfinite(values)
    return bool(good.any()) and int(_times(series, name)[good][-1]) + series.info.step_s >= end_s


def _warmed(series: Series, window: Window, air: Floats, warming_k_h: float) -> Floats:
    """After the last reading the air rises from sunrise on."""
    values = series.columns["air_temp_c"]
    last_s = int(series.time_s[np.isfinite(values)][-1])
    from_s = max(last_s, window.sunrise_s)
    beyond = np.maximum(window.time_s - from_s, 0) / 3600.0
    return np.asarray(air + warming_k_h * beyond)


def _with_dew(series: Series, window: Window) -> Series:
    """The series around the night, its dew point worked out from the humidity where there is none."""
    part = series.between(window.sunset_s - 6 * 3600, int(window.time_s[-1]) + 6 * 3600)
    dew, wet = part.columns.get("dew_point_c"), part.columns.get("rel_humidity_pct")
    if (dew is not None and np.isfinite(dew).any()) or wet is None:
        return part
    return Series(part.info, part.time_s, {**part.columns, "dew_point_c": dew_point_c(part.columns["air_temp_c"], wet)})


def _cloud(series: Series, window: Window, fill: Fill, sky: SkySun, guessed: list[str]) -> Floats:
    """Cloud as given, as measured, as the sun of the afternoon tells it, or none: the colder guess."""
    grid = window.time_s
    given = _given(fill.given_cloud, grid)
    if given is None:
        given = _drawn(series, "cloud_fraction", window)
    if given is not None:
        return given
    guessed.append("cloud")
    sun = series.columns.get("ghi_w_m2")
    if sun is not None:
        time_s = _times(series, "ghi_w_m2")
        clear = sky.clear_w_m2(time_s)
        before = window.sunset_s - time_s
        seen = (before >= LOW_SUN_S) & (before <= AFTERNOON_S) & (clear >= ENOUGH_SUN_W_M2) & np.isfinite(sun)
        if seen.any():
            return np.full(grid.shape, sky.cloud_of(float(sun[seen].sum() / clear[seen].sum())))
    return np.zeros(grid.shape)


def with_offset(air_c: Floats, window: Window, offset_k: float, *, full_h: float, gone_h: float) -> Floats:
    """A site's air [°C] with a plot's difference added: growing after sunset, gone after sunrise.

    Parameters
    ----------
    air_c : float64 array, shape (n,)
        On the window's grid.
    offset_k : float
        Full difference [K].
    full_h, gone_h : float
        It is full so long after sunset (sunrise at the latest), and gone so long after sunrise [h]; if the low comes
        up to an hour after sunrise, after that.
    """
    hours = (window.time_s - window.sunset_s) / 3600.0
    grown = np.clip(hours / min(full_h, window.night_h), 0.0, 1.0)
    turn_h = float(np.clip(hours[int(np.argmin(air_c))], window.night_h, window.night_h + 1.0))
    left = np.clip(1.0 - (hours - turn_h) / gone_h, 0.0, 1.0)
    return np.asarray(air_c + offset_k * grown * left)
