"""A typical year is stitched from months of several years: here it gets one year of its own.

The nominal year is 2001, or 2000 if the file has a 29 February. It never happened as a whole; which month comes
from which year is kept in the notes.
"""

from __future__ import annotations

import calendar
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import BrokenLine

NOMINAL_YEAR = 2001
NOMINAL_LEAP_YEAR = 2000

Ints = NDArray[np.int64]


def bad_days(year: Ints, month: Ints, day: Ints, lines: Sequence[int], column: str) -> list[BrokenLine]:
    """Rows whose month or day cannot be."""
    broken = []
    good_month = (month >= 1) & (month <= 12)
    lengths = np.array([31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    longest = lengths[np.clip(month, 1, 12) - 1]
    # The leap day is let through for any year: in a typical year its own year does not matter.
    for i in np.flatnonzero(~(good_month & (day >= 1) & (day <= longest))):
        text = f"{year[i]}-{month[i]}-{day[i]}"
        broken.append(BrokenLine(lines[int(i)], column, text, "not a day of the calendar"))
    return broken


def local_seconds(year: Ints, month: Ints, day: Ints, second: Ints) -> Ints:
    """Seconds since 1970-01-01 00:00 of the same clock; `second` of the day may be 86400.

    All arrays have shape (n,).
    """
    months = (year - 1970) * 12 + (month - 1)
    days = months.astype("datetime64[M]").astype("datetime64[D]") + (day - 1).astype("timedelta64[D]")
    seconds: Ints = days.astype("datetime64[s]").astype(np.int64) + second
    return seconds


def nominal_seconds(month: Ints, day: Ints, second: Ints) -> tuple[Ints, int]:
    """Local seconds in the nominal year, and that year."""
    leap = bool(np.any((month == 2) & (day == 29)))
    year = NOMINAL_LEAP_YEAR if leap else NOMINAL_YEAR
    return local_seconds(np.full_like(month, year), month, day, second), year


def source_years(year: Ints, month: Ints) -> str:
    """ "January 1999, February 1987, ...": each month with the year or years it comes from."""
    parts = []
    for m in range(1, 13):
        years = sorted({int(y) for y in year[month == m]})
        if years:
            parts.append(f"{calendar.month_name[m]} {'/'.join(map(str, years))}")
    return ", ".join(parts)


def rising(local_s: Ints, lines: Sequence[int], name: str) -> Ints:
    """Row order that makes the times rise.

    Returns
    -------
    int64 array, shape (n,)
        Indices.

    Raises
    ------
    WeatherFileError
        If two rows have the same time.
    """
    order = np.argsort(local_s, kind="stable").astype(np.int64)
    same = np.flatnonzero(np.diff(local_s[order]) == 0)
    if same.size:
        i = int(order[same[0] + 1])
        stamp = str(np.datetime64(int(local_s[i]), "s")).replace("T", " ")
        raise WeatherFileError(
            f"Line {lines[i]} of {name} has a time that was there before.",
            line=int(lines[i]),
            column="time",
            given=stamp,
            allowed="each hour once",
            next_step="Take the doubled lines out.",
            field="file",
        )
    return order
