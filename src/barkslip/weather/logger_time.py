"""Times as loggers write them: any order of day, month and year, 12 or 24 hours, apart or together, epoch seconds.

Whether 03/04/2024 is in March or April is never guessed: either the dates of the file decide (a day above 12, or only
one order lets the dates run one way), or a question is asked.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterable, Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.errors import QuestionError
from barkslip.domain.weather import BrokenLine

_DATE = (
    r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}"
    r"|\d{1,2}[-/.]\d{1,2}[-/.](?:\d{4}|\d{2})"
    r"|\d{1,2}[-/ .]?[A-Za-z]{3,9}\.?[-/ ,.]{0,2}(?:\d{4}|\d{2})"
    r"|[A-Za-z]{3,9}\.? \d{1,2},? \d{4}"
    r"|\d{8}"
)
_CLOCK = r"\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?(?:\s?[AaPp]\.?\s?[Mm]\.?)?"
_STAMP_RE = re.compile(rf"^({_DATE})(?:T|,?\s+)({_CLOCK})\s?(Z|UTC|GMT|[+-]\d{{2}}:?\d{{2}}|[+-]\d{{2}})?$")
_DATE_RE = re.compile(rf"^(?:{_DATE})$")
_CLOCK_RE = re.compile(rf"^{_CLOCK}$")
_CLOCK_PARTS = re.compile(r"^(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?(?:\s?([AaPp])\.?\s?[Mm]\.?)?$")
_NUMERIC_DATE = re.compile(r"^(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})$")
_COMPACT = re.compile(r"^(\d{8})(\d{2})(\d{2})?(\d{2})?$")
_HEADING_ZONE = re.compile(r"\b(?:GMT|UTC)\b\s*(?:([+\-−]\s?\d{1,2})(?::?(\d{2}))?)?")
_MONTHS = {name.lower(): i for i, name in enumerate(calendar.month_name) if name}
_MONTHS |= {name.lower(): i for i, name in enumerate(calendar.month_abbr) if name} | {"sept": 9}
_ORDERS = {"dmy": (2, 1, 0), "mdy": (2, 0, 1), "ymd": (0, 1, 2)}
_WORDS = {"dmy": "day first", "mdy": "month first", "ymd": "year first"}
# Seconds since 1970 that can be weather: 1980 to 2030. Later ones would look like YYYYMMDDHH.
_EPOCH = (315_532_800, 1_900_000_000)


def stamp_class(token: str) -> str:
    """ "stamp", "date", "clock", "epoch" or "" for anything else."""
    if not token or not token[0].isalnum():
        return ""
    if token.isdigit():
        return _digits_class(token)
    if _STAMP_RE.match(token):
        return "stamp"
    if _CLOCK_RE.match(token):
        return "clock"
    return "date" if _DATE_RE.match(token) and (token[0].isdigit() or token[:3].lower() in _MONTHS) else ""


def _digits_class(token: str) -> str:
    if len(token) in (9, 10, 13) and _EPOCH[0] <= int(token[:10] if len(token) == 13 else token) < _EPOCH[1]:
        return "epoch"
    if len(token) in (10, 12, 14) and _day(token[:8], "") is not None:
        return "stamp"
    return "date" if len(token) == 8 and _day(token, "") is not None else ""


def heading_offset(heading: str) -> float | None:
    """Offset from UTC [h] named in a heading, such as "Date Time, GMT-05:00"; None if there is none."""
    match = _HEADING_ZONE.search(heading.upper())
    if not match:
        return None
    if not match[1]:
        return 0.0
    hours = match[1].replace(" ", "").replace("−", "-")
    return (abs(int(hours)) + int(match[2] or 0) / 60.0) * (-1 if hours.startswith("-") else 1)


def read_times(
    tokens: Sequence[tuple[str, str]], lines: Sequence[int], heading: str, date_order: str
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[BrokenLine], str]:
    """Times of many rows.

    Parameters
    ----------
    tokens : sequence of (text, text), length n
        Date and time together and "", or date and time of day.
    lines : sequence of int
        For the broken ones.
    heading : str
        For the broken ones and the question.
    date_order : {"", "dmy", "mdy", "ymd"}

    Returns
    -------
    clock_s : float64 array, shape (n,)
        Seconds since 1970-01-01 00:00 of the clock the file uses; NaN where broken.
    offset_s : float64 array, shape (n,)
        Offset from UTC that the time itself carries [s]; NaN if it carries none.
    broken : list of BrokenLine
    order : str
        The order of numeric dates that was used; empty if there were none.

    Raises
    ------
    QuestionError
        Code "date-order".
    """
    parts = [_split(first, second) for first, second in tokens]
    dates = list(dict.fromkeys(p[0] for p in parts if p and p[0]))
    order = decide_order([d for d in dates if _NUMERIC_DATE.match(d)], date_order, heading)
    days = {d: _day(d, order) for d in dates}
    clocks: dict[str, int | None] = {}
    zones: dict[str, float] = {"": np.nan}
    clock_s, offset_s = np.full(len(parts), np.nan), np.full(len(parts), np.nan)
    broken = []
    for i, part in enumerate(parts):
        seconds = None
        if part and not part[0]:
            clock_s[i], offset_s[i] = float(part[1]), 0.0
            continue
        if part:
            clock = part[1]
            if clock not in clocks:
                clocks[clock] = _seconds_of_day(clock)
            seconds, day = clocks[clock], days[part[0]]
        if part is None or seconds is None or day is None:
            text = " ".join(t for t in tokens[i] if t)
            broken.append(BrokenLine(lines[i], heading, text, "not a time"))
            continue
        if part[2] not in zones:
            zones[part[2]] = _zone_seconds(part[2])
        clock_s[i], offset_s[i] = day * 86400.0 + seconds, zones[part[2]]
    return clock_s, offset_s, broken, order


def decide_order(dates: Sequence[str], date_order: str, heading: str) -> str:
    """How to read numeric dates, from the dates themselves if they leave no doubt.

    Parameters
    ----------
    dates : sequence of str
        Different dates such as "03/04/2024", in the order in which they appear.
    date_order : str
        What the person said; wins.

    Returns
    -------
    str
        "dmy", "mdy", "ymd", or "" if there are no such dates.

    Raises
    ------
    QuestionError
        Code "date-order", if more than one order is possible.
    """
    if not dates or date_order:
        return date_order if dates else ""
    short = any(len(_NUMERIC_DATE.match(d)[3]) == 2 for d in dates)  # type: ignore[index]
    readings = {order: [_day(d, order) for d in dates] for order in (_ORDERS if short else ("dmy", "mdy"))}
    good = {order: sum(r is not None for r in days) for order, days in readings.items()}
    best = max(good.values())
    possible = [order for order, count in good.items() if count == best]
    if len(possible) > 1:
        one_way = [order for order in possible if _runs_one_way(readings[order])]
        same = len({tuple(readings[order]) for order in possible}) == 1
        if len(one_way) == 1 or same:
            possible = one_way[:1] or possible[:1]
    if len(possible) == 1:
        return possible[0]
    first = dates[0]
    answers = []
    for order in possible:
        days = [r for r in readings[order] if r is not None]
        seen = [date.fromordinal(int(r) + 719163) for r in (days[0], days[-1])]
        span = " to ".join(f"{d.day} {calendar.month_name[d.month]} {d.year}" for d in dict.fromkeys(seen))
        answers.append((order, f"{_WORDS[order]}: {span}"))
    raise QuestionError(
        "Day first or month first?" if not short else "In which order are day, month and year?",
        code="date-order",
        answers=tuple(answers),
        given=f"{heading}: {first}",
        allowed=", ".join(order for order, _ in answers),
        next_step="Say how the dates of this file are to be read.",
        field="date_order",
    )


def _runs_one_way(days: Iterable[int | None]) -> bool:
    known = np.array([d for d in days if d is not None])
    steps = np.diff(known)
    return bool(np.all(steps > 0) or np.all(steps < 0))


def _split(first: str, second: str) -> tuple[str, str, str] | None:
    """(date, time of day, zone); date "" and epoch seconds as second for epoch times."""
    if second:
        return (first, second, "") if _DATE_RE.match(first) else None
    match = _STAMP_RE.match(first)
    if match:
        return match[1], match[2], match[3] or ""
    if first.isdigit():
        if _digits_class(first) == "epoch":
            return "", first[:10], ""
        compact = _COMPACT.match(first)
        if compact:
            return compact[1], f"{compact[2]}:{compact[3] or '00'}:{compact[4] or '00'}", ""
    return None


def _day(text: str, order: str) -> int | None:
    """Days since 1970-01-01, or None if there is no such day."""
    numeric = _NUMERIC_DATE.match(text)
    try:
        if numeric:
            if not order or (order == "ymd" and len(numeric[3]) == 4):
                return None
            year, month, day = (int(numeric[i + 1]) for i in _ORDERS[order])
            year += 0 if year > 99 else 2000 if year < 70 else 1900
        elif text.isdigit():
            year, month, day = int(text[:4]), int(text[4:6]), int(text[6:])
        elif text[:4].isdigit():
            year, month, day = (int(part) for part in re.split(r"[-/.]", text))
        else:
            words = re.findall(r"[A-Za-z]+|\d+", text)
            name = next(word for word in words if word.isalpha())
            numbers = [int(word) for word in words if word.isdigit()]
            year, month, day = numbers[1], _MONTHS[name.lower()], numbers[0]
            year += 0 if year > 99 else 2000 if year < 70 else 1900
        if not 1800 <= year <= 2200:
            return None
        return date(year, month, day).toordinal() - 719163
    except (ValueError, KeyError, IndexError):
        return None


def _seconds_of_day(text: str) -> int | None:
    match = _CLOCK_PARTS.match(text)
    if not match:
        return None
    hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
    if match[4]:
        if not 0 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match[4] in "Pp" else 0)
    total = hour * 3600 + minute * 60 + second
    return total if minute < 60 and second < 60 and total <= 86400 else None


def _zone_seconds(text: str) -> float:
    if text in ("Z", "UTC", "GMT"):
        return 0.0
    digits = text[1:].replace(":", "")
    return (int(digits[:2]) * 3600 + int(digits[2:] or 0) * 60) * (-1.0 if text[0] == "-" else 1.0)
