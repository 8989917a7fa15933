"""Readings brought to even hours: drawn straight between them, sun kept to its moment, gaps left open or bridged.

Sun summed up to a stamp belongs to the time before it. It is moved as a share of the clear sky's sun, so that it
begins and ends with the day and is as high at noon as it was. Checked by tests/weather/test_even_hours.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.weather import Series
from barkslip.weather.quality import QualityLimits
from barkslip.weather.solar import SunPath, Sunshine, clear_sky, sun_path, sunshine_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
HOUR_S = 3600
#: Columns of sun.
SUN = ("ghi_w_m2", "dni_w_m2", "dhi_w_m2")
#: A share of the clear sky is told from readings where a clear sky gives more [W/m²]; it is never taken as more than.
BRIGHT_W_M2, MOST_SHARE = 20.0, 1.5
#: Haze and water of the sky against which readings are held while they are moved; both fall out again [1], [cm].
MOVING_HAZE, MOVING_WATER_CM, MOVING_PA = 0.1, 1.5, 101_325.0


@dataclass(frozen=True, eq=False)
class Moment:
    """Even hours at a place, with the sun over them.

    Parameters
    ----------
    time_s : int64 array, shape (n,)
        Epoch seconds UTC, an hour apart.
    lat, lon : float
        [° north, ° east]
    path : SunPath
        At these times.
    """

    time_s: Ints
    lat: float
    lon: float
    path: SunPath


def moments(first_s: int, count: int, lat: float, lon: float) -> Moment:
    """`count` hours from `first_s` on."""
    time_s = first_s + HOUR_S * np.arange(count, dtype=np.int64)
    return Moment(time_s, lat, lon, sun_path(time_s, lat, lon))


def usual_gap_s(series: Series) -> int:
    """Readings may be so far apart without a word [s]."""
    return max(HOUR_S, int(1.5 * series.info.step_s))


def drawn(time_s: Ints, values: Floats, at_s: Ints, reach_s: int) -> Floats:
    """Values drawn straight between readings no more than `reach_s` apart [s]; NaN elsewhere.

    Before the first and after the last reading it holds for `reach_s`.
    """
    good = np.isfinite(values)
    time_s, values = time_s[good], values[good]
    if not time_s.size:
        return np.full(at_s.shape, np.nan)
    after = np.searchsorted(time_s, at_s)
    right = time_s[np.minimum(after, time_s.size - 1)]
    left = time_s[np.maximum(np.where(right == at_s, after, after - 1), 0)]
    apart = np.where((at_s > right) | (at_s < left), np.abs(at_s - np.where(at_s > right, right, left)), right - left)
    return np.where(apart <= reach_s, np.interp(at_s, time_s, values), np.nan)


def column_at(series: Series, name: str, at_s: Ints) -> Floats:
    """A column of a series at some times; NaN where no reading is near."""
    values = series.columns.get(name)
    if values is None:
        return np.full(at_s.shape, np.nan)
    return drawn(series.time_s, values, at_s, usual_gap_s(series))


def middle_s(series: Series) -> Ints:
    """Times to which readings of sun belong."""
    return series.time_s - (series.info.step_s // 2 if series.info.stamps == "end of interval" else 0)


def sun_of(series: Series, moment: Moment) -> Sunshine:
    """Sun of a series at even hours; NaN where it has none.

    Parameters
    ----------
    series : Series
        Direct sun and sky are taken as given; of the level alone they are parted.
    moment : Moment
    """
    if not any(name in series.columns for name in SUN):
        none = np.full(moment.time_s.shape, np.nan)
        return Sunshine(none, none, none)
    at = middle_s(series)
    same = at.shape == moment.time_s.shape and bool(np.all(at == moment.time_s))
    clear = _moving(moment.path, moment.time_s)
    here = clear if same else _moving(sun_path(at, moment.lat, moment.lon), at)
    down = moment.path.up_deg <= 0.0
    found = []
    for name in SUN:
        values = series.columns.get(name)
        if values is None:
            found.append(None)
            continue
        # the light of the sky grows under cloud: it is held against the clear sun on the level
        of = "dni_w_m2" if name == "dni_w_m2" else "ghi_w_m2"
        near = np.isfinite(drawn(at, values, moment.time_s, usual_gap_s(series)))
        top = getattr(here, of)
        bright = np.isfinite(values) & (top > BRIGHT_W_M2)
        if bright.any():
            share = np.clip(values[bright] / top[bright], 0.0, MOST_SHARE)
            moved = np.interp(moment.time_s, at[bright], share) * getattr(clear, of)
        else:
            moved = np.zeros(moment.time_s.shape)
        found.append(np.where(near | down, np.where(near, moved, 0.0), np.nan))
    return sunshine_of(*found, moment.path, moment.time_s)


def _moving(path: SunPath, time_s: Ints) -> Sunshine:
    return clear_sky(path, time_s, haze=MOVING_HAZE, water_cm=MOVING_WATER_CM, pressure=MOVING_PA)


#: Sun is refused where it stands lower than this [°]: a clock half an hour out, as that of a published typical year of
#: Mount Shasta, moves it by up to 7.5°, is flagged by `weather.quality`, and does little to an hourly answer.
DEEP_NIGHT_DEG = -8.0


def night_sun(series: Series, lat: float, lon: float) -> tuple[int, str, float, float] | None:
    """The brightest reading of sun while the sun is down: time [epoch s], column, value [W/m²], its height [°].

    None if there is none. What is sun is said by `weather.quality`; the line is `DEEP_NIGHT_DEG`.
    """
    limits = QualityLimits()
    step = series.info.step_s
    ends = (0, -step) if series.info.stamps == "end of interval" else (0,)
    worst: tuple[int, str, float, float] | None = None
    names = [name for name in SUN if name in series.columns]
    if not names or not len(series):
        return None
    up = np.max([sun_path(series.time_s + shift, lat, lon).up_deg for shift in ends], axis=0)
    for name in names:
        values = np.where(up < DEEP_NIGHT_DEG, np.nan_to_num(series.columns[name]), 0.0)
        i = int(np.argmax(values))
        if values[i] > limits.night_sun_w_m2 and (worst is None or values[i] > worst[2]):
            worst = int(series.time_s[i]), name, float(values[i]), float(up[i])
    return worst


def bridged(values: Floats, *, straight_h: float, days_h: float = 0.0) -> tuple[Floats, Mask]:
    """Even hours with their gaps bridged, and which hours were.

    Parameters
    ----------
    values : float64 array, shape (n,)
        NaN in gaps. Gaps at the ends stay.
    straight_h : float
        Gaps up to so many hours are drawn straight across.
    days_h : float
        Longer ones up to so many hours take the same hours of the day before and after, the nearer the more.
    """
    out = values.copy()
    for first, last in _gaps(values):
        if last - first <= straight_h:
            out[first:last] = np.interp(np.arange(first, last), [first - 1, last], [values[first - 1], values[last]])
    for first, last in _gaps(out):
        if last - first > days_h:
            continue
        back = -(-(last - first) // 24) * 24
        at = np.arange(first, last)
        before, after = (out[np.clip(at + by, 0, out.size - 1)] for by in (-back, back))
        before = np.where(at - back >= 0, before, np.nan)
        after = np.where(at + back < out.size, after, np.nan)
        weight = (at - first + 1.0) / (last - first + 1.0)
        both = (1.0 - weight) * before + weight * after
        out[first:last] = np.where(np.isfinite(both), both, np.where(np.isfinite(before), before, after))
    return out, np.isnan(values) & np.isfinite(out)


def _gaps(values: Floats) -> list[tuple[int, int]]:
    """Runs without a reading, first hour and the hour after the last; none at the ends."""
    missing = np.isnan(values).astype(np.int8)
    turns = np.diff(missing)
    starts, stops = np.flatnonzero(turns == 1) + 1, np.flatnonzero(turns == -1) + 1
    if missing.size and missing[0]:
        stops = stops[1:]
    return list(zip(starts.tolist(), stops.tolist(), strict=False))


def whole_stretches(values: Floats) -> list[tuple[int, int]]:
    """Runs with a reading in every hour, first and the one after the last, in order."""
    good = np.concatenate(([0], np.isfinite(values).astype(np.int8), [0]))
    turns = np.diff(good)
    return list(zip(np.flatnonzero(turns == 1).tolist(), np.flatnonzero(turns == -1).tolist(), strict=True))


def by_day(values: Floats, day: Ints, fold: Callable[[Floats], float]) -> Floats:
    """One number a day, given to each of its hours; `day` rises, shape (n,)."""
    starts = np.concatenate(([0], np.flatnonzero(np.diff(day)) + 1, [day.size]))
    out = np.empty(values.shape)
    for first, last in zip(starts[:-1].tolist(), starts[1:].tolist(), strict=True):
        out[first:last] = fold(values[first:last])
    return out
