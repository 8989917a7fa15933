"""Dates as growers know them: a day, a month, a year, "about", "before", or from ... to ...

A `When` is the range of days that the words allow. Sorting uses the first day; arithmetic keeps both ends.
Missing parts are written with hyphens in the multi-crop passport style (YYYYMMDD, 197506--, 1975----; MCPD V.2.1).
"""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta

from barkslip.domain.errors import InputError, QuestionError

FIRST_YEAR = 1800
#: A date is never longer than this, whatever words stand around it [characters].
_LONGEST = 80
_MONTHS = {name.lower(): i for i, name in enumerate(calendar.month_name) if name}
_MONTHS |= {name.lower(): i for i, name in enumerate(calendar.month_abbr) if name}
_MONTHS["sept"] = 9
_PART_OF_MONTH = {"early": (1, 10), "mid": (11, 20), "late": (21, 31)}


@dataclass(frozen=True, order=True)
class When:
    """A day, known exactly or as a range.

    Parameters
    ----------
    first, last : date
        The earliest and the latest day it can have been; equal when the day is known.
    text : str
        The words as typed, kept because "about 1998" says more than its range.
    """

    first: date
    last: date
    text: str = ""

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise InputError(
                "The range of days runs backwards.",
                given=f"{self.first.isoformat()} to {self.last.isoformat()}",
                allowed="first day before last day",
                next_step="Swap the two dates.",
            )

    @property
    def exact(self) -> bool:
        """True when the day is known."""
        return self.first == self.last

    def iso(self) -> str:
        """ISO 8601: one day, or an interval of two."""
        return self.first.isoformat() if self.exact else f"{self.first.isoformat()}/{self.last.isoformat()}"

    def mcpd(self) -> str:
        """Passport style YYYYMMDD with hyphens for what is not known."""
        if self.exact:
            return self.first.strftime("%Y%m%d")
        if (self.first.year, self.first.month) == (self.last.year, self.last.month):
            return self.first.strftime("%Y%m--")
        if self.first.year == self.last.year:
            return self.first.strftime("%Y----")
        return "--------"

    def days_to(self, day: date) -> tuple[int, int]:
        """Fewest and most days from this date to `day`."""
        return (day - self.last).days, (day - self.first).days

    def plus(self, days: int) -> When:
        """The same spread, `days` later."""
        return When(self.first + timedelta(days=days), self.last + timedelta(days=days))


def on(day: date) -> When:
    """A known day."""
    return When(day, day)


def _month_range(year: int, month: int) -> tuple[date, date]:
    return date(year, month, 1), date(year, month, calendar.monthrange(year, month)[1])


def _fail(text: str, field: str, why: str = "Not a date that can be.") -> InputError:
    return InputError(
        why,
        given=text or "(nothing)",
        allowed="2024-09-01, 2024-09, 2024, 2024-08-19/21, about 1998, before 1990, mid-October 2020, 1 Sep 2024",
        next_step="Type the day as year-month-day, or as much of it as you know.",
        field=field,
    )


def _iso(text: str, raw: str, field: str) -> tuple[date, date] | None:
    match = re.fullmatch(r"(\d{4})(?:-(\d{1,2})(?:-(\d{1,2}))?)?", text)
    if not match:
        return None
    year, month, day = int(match[1]), int(match[2] or 0), int(match[3] or 0)
    try:
        if day:
            return date(year, month, day), date(year, month, day)
        if match[2]:
            return _month_range(year, month)
        return date(year, 1, 1), date(year, 12, 31)
    except (ValueError, calendar.IllegalMonthError):
        raise _fail(raw, field) from None


def _words(text: str, raw: str, field: str) -> tuple[date, date] | None:
    match = re.fullmatch(r"(?:(early|mid|late)[\s-]+)?(?:(\d{1,2})\s+)?([a-z]+)\.?\s+(\d{4})", text)
    if not match or match[3] not in _MONTHS:
        return None
    year, month = int(match[4]), _MONTHS[match[3]]
    try:
        if match[2]:
            day = date(year, month, int(match[2]))
            return day, day
    except ValueError:
        raise _fail(raw, field) from None
    try:
        first, last = _month_range(year, month)
    except ValueError:
        raise _fail(raw, field) from None
    if match[1]:
        low, high = _PART_OF_MONTH[match[1]]
        return first.replace(day=low), first.replace(day=min(high, last.day))
    return first, last


def parse_when(text: str, *, today: date, field: str = "date", order: str = "") -> When:
    """Read a date as a grower writes it.

    Parameters
    ----------
    text : str
        See `allowed` in the error for the forms.
    today : date
        For "today" and "yesterday", and to refuse what has not happened yet (the caller decides on that).
    order : {"", "dmy", "mdy"}
        How to read 3/4/2024. If empty and both readings are dates, a question is asked.

    Raises
    ------
    InputError, QuestionError
    """
    raw = " ".join(text.strip().split())
    low = raw.lower()
    if len(raw) > _LONGEST:
        raise _fail(f"{raw[:_LONGEST]}...", field)
    if low in ("today", "now"):
        return on(today)
    if low == "yesterday":
        return on(today - timedelta(days=1))
    slash = re.fullmatch(r"(\d{1,2})[./](\d{1,2})[./](\d{4})", low)
    if slash:
        return _numeric(raw, slash, order, field)
    short = re.fullmatch(r"(\d{4}-\d{1,2})-(\d{1,2})/(\d{1,2})", low)
    if short:
        low = f"{short[1]}-{short[2]}/{short[1]}-{short[3]}"
    parts = re.split(r"\s*/\s*|\s+to\s+|\s*\.\.\s*", low)
    if len(parts) == 2:
        (first, _), (_, last) = _single(parts[0], raw, field), _single(parts[1], raw, field)
        if last < first:
            raise _fail(raw, field, "The range of days runs backwards.")
        return When(first, last, raw)
    if len(parts) > 2:
        raise _fail(raw, field)
    first, last = _single(low, raw, field)
    return When(first, last, "" if first == last else raw)


def _numeric(raw: str, match: re.Match[str], order: str, field: str) -> When:
    a, b, year = int(match[1]), int(match[2]), int(match[3])
    readings = {}
    for name, (day, month) in {"dmy": (a, b), "mdy": (b, a)}.items():
        try:
            readings[name] = date(year, month, day)
        except ValueError:
            continue
    if order in readings:
        return on(readings[order])
    if not readings:
        raise _fail(raw, field)
    days = set(readings.values())
    if len(days) == 1:
        return on(days.pop())
    raise QuestionError(
        "Day first or month first?",
        code="date-order",
        answers=tuple((d.isoformat(), f"{d.day} {calendar.month_name[d.month]} {d.year}") for d in readings.values()),
        given=raw,
        allowed="2024-09-01",
        next_step="Type the date as year-month-day.",
        field=field,
    )


def _single(low: str, raw: str, field: str) -> tuple[date, date]:
    before = re.fullmatch(r"before\s+(.+)", low)
    if before:
        first, _ = _single(before[1], raw, field)
        if first <= date(FIRST_YEAR, 1, 1):
            raise _fail(raw, field, f"That is before {FIRST_YEAR}.")
        return date(FIRST_YEAR, 1, 1), first - timedelta(days=1)
    about = re.fullmatch(r"(?:about|around|circa|c\.|sown|planted)\s+(.+)", low)
    if about:
        first, last = _single(about[1], raw, field)
        if low.startswith(("sown", "planted")):
            return first, last
        spread = 365 if (last - first).days > 300 else 15 if last > first else 3
        try:
            return first - timedelta(days=spread), last + timedelta(days=spread)
        except OverflowError:
            raise _fail(raw, field) from None
    found = _iso(low, raw, field) or _words(low, raw, field)
    if not found:
        raise _fail(raw, field)
    if found[0].year < FIRST_YEAR:
        raise _fail(raw, field, f"That is before {FIRST_YEAR}.")
    return found
