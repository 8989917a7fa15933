"""Days, months and stretches of time in words. Months are named; the four quarters of a year never are."""

from __future__ import annotations

import calendar
from datetime import date, datetime, timedelta

from barkslip.domain.when import FIRST_YEAR, When

NBSP = "\u00a0"
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
#: From these ages on, days are counted in months and in years [d].
MONTHS_FROM, YEARS_FROM = 120, 730
_DAYS_A_YEAR = 365.2425


def day_text(day: date | str) -> str:
    """ "13 Sep 2024"."""
    day = _date(day)
    return f"{day.day}{NBSP}{MONTHS[day.month - 1]} {day.year}"


def day_short(day: date | str) -> str:
    """ "13 Sep": a day whose year is plain from its place."""
    day = _date(day)
    return f"{day.day}{NBSP}{MONTHS[day.month - 1]}"


def day_near(day: date | str, on: date | None) -> str:
    """The day without its year if it is near `on`: within half a year."""
    day = _date(day)
    return day_short(day) if on and abs((day - on).days) <= 183 else day_text(day)


def month_text(year: int, month: int) -> str:
    """ "Sep 2024"."""
    return f"{MONTHS[month - 1]} {year}"


def range_text(first: date, last: date) -> str:
    """Two days as shortly as they can be said: "19–21 Aug 2024", "Sep 2024", "2024", "28 Aug – 2 Sep 2024"."""
    if first == last:
        return day_text(first)
    if first.day == 1 and last == _month_end(last):
        if (first.month, last.month) == (1, 12):
            return str(first.year) if first.year == last.year else f"{first.year}–{last.year}"
        if (first.year, first.month) == (last.year, last.month):
            return month_text(first.year, first.month)
    if first.year != last.year:
        return f"{day_text(first)} – {day_text(last)}"
    if first.month != last.month:
        return f"{day_short(first)} – {day_text(last)}"
    return f"{first.day}–{day_text(last)}"


def when_text(when: When | None) -> str:
    """A date as the grower typed it if it was typed in words ("about 1998"), else written out."""
    if when is None:
        return "not known"
    if any(letter.isalpha() for letter in when.text):
        return when.text
    if when.first.year <= FIRST_YEAR:
        return f"before {day_text(when.last + timedelta(days=1))}"
    return range_text(when.first, when.last)


def days_since(days: tuple[int, int]) -> str:
    """How long a graft has stood: "day 16", "day 14 to 16", "month 9", "year 3"; fewest and most days given."""
    fewest, most = max(days[0], 0), max(days[1], 0)
    if most < 1:
        return "set today"
    if most < MONTHS_FROM:
        return f"day{NBSP}{most}" if fewest == most else f"day{NBSP}{fewest} to {most}"
    if most < YEARS_FROM:
        return _spread("month", fewest / (_DAYS_A_YEAR / 12), most / (_DAYS_A_YEAR / 12))
    return _spread("year", fewest / _DAYS_A_YEAR, most / _DAYS_A_YEAR)


def days_text(days: float) -> str:
    """A count of days: "1 day", "16 days"."""
    return f"{days:.0f}{NBSP}{'day' if round(days) == 1 else 'days'}"


def ago_text(day: date, on: date) -> str:
    """ "today", "yesterday", "16 days ago", "in 3 days"."""
    days = (on - day).days
    if days in (0, 1, -1):
        return {0: "today", 1: "yesterday", -1: "tomorrow"}[days]
    return f"{days_text(days)} ago" if days > 0 else f"in {days_text(-days)}"


def local_text(stamp: str) -> str:
    """A local time as written by the weather side, "2024-09-13T05:40" -> "13 Sep 2024, 05:40"."""
    if not stamp:
        return ""
    moment = datetime.fromisoformat(stamp.replace("Z", ""))
    return f"{day_text(moment.date())}, {moment:%H:%M}" if len(stamp) > len("2024-09-13") else day_text(moment.date())


def stamp_text(made_utc: str, utc_offset_h: float = 0.0) -> str:
    """When a line was written down, in local standard time.

    Parameters
    ----------
    made_utc : str
        ISO 8601 with Z.
    utc_offset_h : float
        Local standard time minus UTC [h].
    """
    moment = datetime.fromisoformat(made_utc.replace("Z", "+00:00")) + timedelta(hours=utc_offset_h)
    return f"{day_text(moment.date())}, {moment:%H:%M}"


def _date(day: date | str) -> date:
    return date.fromisoformat(day) if isinstance(day, str) else day


def _month_end(day: date) -> date:
    return day.replace(day=calendar.monthrange(day.year, day.month)[1])


def _spread(word: str, fewest: float, most: float) -> str:
    low, high = int(fewest), int(most)
    return f"{word}{NBSP}{high}" if low == high else f"{word}{NBSP}{low} to {high}"
