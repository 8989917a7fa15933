"""Typed daily lows and highs made hourly; serves for past days and for a typed forecast alike."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from barkslip.domain.errors import InputError
from barkslip.domain.weather import Series, SeriesInfo
from barkslip.weather.assemble import assemble
from barkslip.weather.diurnal import SHORTEST_H, curve_named, hours_of_days
from barkslip.weather.options import checked_kind
from barkslip.weather.sun import sun_times

#: Of the curves that reach the typed low, the one nearest to the hourly Greensboro year (docs/weather.md).
DEFAULT_CURVE = "linvill"


def hourly_from_daily(
    days: Sequence[date],
    lows: Sequence[float | None],
    highs: Sequence[float | None],
    lat: float,
    lon: float,
    utc_offset_h: float,
    curve: str = DEFAULT_CURVE,
    *,
    kind: str = "typed",
    name: str = "Typed lows and highs",
    source: str = "Typed daily lows and highs.",
    exposure: str = "not known",
    elevation_m: float | None = None,
    keep_ends: bool = False,
) -> Series:
    """Hours 0 to 23 of each typed day.

    Parameters
    ----------
    days : sequence of date, length n
        In any order, each once.
    lows, highs : sequence of float or None, length n
        Low of the morning and high of the afternoon of that day [°C]. A day with a None is left out.
    lat, lon : float
        [° north, ° east]
    utc_offset_h : float
        Local standard time minus UTC [h]; no summer time.
    curve : str
        Key of `diurnal.CURVES`.
    kind : str
        "typed", or "forecast" for days to come.
    name, source, exposure, elevation_m
        For the series' story.
    keep_ends : bool
        Let the hours nearest to low and high take them as typed; the published curve itself turns between hours.

    Returns
    -------
    Series
        Air temperature on the full hours of local standard time; days left out are gaps.

    Raises
    ------
    InputError
        If the lists differ in length, a day stands twice, or a low is above its high.
    """
    chosen = curve_named(curve)
    if not len(days) == len(lows) == len(highs):
        raise InputError(
            "Each day needs a low and a high.",
            given=f"{len(days)} days, {len(lows)} lows, {len(highs)} highs",
            allowed="as many lows and highs as days",
            next_step="Fill in the missing ones, or leave them empty.",
            field="days",
        )
    rows = sorted(
        (day, float(low), float(high))
        for day, low, high in zip(days, lows, highs, strict=True)
        if low is not None and high is not None and np.isfinite(low) and np.isfinite(high)
    )
    _check(rows)
    first = np.array([np.datetime64(day, "D").astype(np.int64) for day, _, _ in rows], dtype=np.int64)
    low_c, high_c = np.array([r[1] for r in rows]), np.array([r[2] for r in rows])
    joined = np.concatenate(([False], np.diff(first) == 1))
    sun = sun_times(first * 86400, lat, lon, utc_offset_h)
    index = np.repeat(np.arange(first.size), 24)
    hour = np.tile(np.arange(24.0), first.size)
    air = hours_of_days(hour, index, low_c, high_c, joined, sun, chosen)
    # the curve turns between two full hours: the hours nearest to its ends take what was typed, so that a low of
    # record is still one when the month is summed up
    if keep_ends and first.size:
        by_day = air.reshape(first.size, 24)
        by_day[np.arange(first.size), by_day.argmin(axis=1)] = low_c
        by_day[np.arange(first.size), by_day.argmax(axis=1)] = high_c
        air = by_day.ravel()
    notes = [f"Hours are drawn between low and high by the curve “{chosen.name}”; they were not measured."]
    if float(sun.length_h.min()) < SHORTEST_H or float(sun.length_h.max()) > 24.0 - SHORTEST_H:
        notes.append("Some days or nights are shorter than 2 h: the curve was not made for them.")
    info = SeriesInfo(
        name=name,
        kind=checked_kind(kind),
        source=source,
        lat=lat,
        lon=lon,
        elevation_m=elevation_m,
        utc_offset_h=float(utc_offset_h),
        exposure=exposure,
        stamps="instant",
        notes=tuple(notes),
    )
    time_s = first[index] * 86400 + (hour * 3600).astype(np.int64) - round(utc_offset_h * 3600)
    return assemble(info, time_s, {"air_temp_c": air})


def _check(rows: list[tuple[date, float, float]]) -> None:
    if not rows:
        raise InputError(
            "No day has both a low and a high.",
            allowed="at least one day with both",
            next_step="Type a low and a high.",
            field="days",
        )
    for (day, low, high), (other, _, _) in zip(rows, [*rows[1:], (None, 0.0, 0.0)], strict=True):
        if day == other:
            raise InputError(
                "A day stands twice.",
                given=day.isoformat(),
                allowed="each day once",
                next_step="Take one of the two out.",
                field="days",
            )
        if low > high:
            raise InputError(
                "The low is above the high.",
                given=f"{day.isoformat()}: low {low:g} °C, high {high:g} °C",
                allowed="low not above high",
                next_step="Swap the two, or correct one.",
                field="lows",
            )
