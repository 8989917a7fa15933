"""The year at a place in words: which weeks worked how often."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from barkslip.domain.timing import DaysVerdict, WeekOfYear
from barkslip.present import dates
from barkslip.present import days_words as words
from barkslip.present import units as u

#: A year with no 29 February, to count the days of a week in.
_PLAIN_YEAR = 2023


@dataclass(frozen=True)
class WeekRow:
    """One week in words."""

    week: str
    kind: str
    worked: str
    chance: str
    ended: str
    note: str


def week_day(week: WeekOfYear) -> date:
    """First day of a week in a year without a 29 February."""
    month, day = (int(part) for part in week.month_day.split("-"))
    return date(_PLAIN_YEAR, month, min(day, 28) if month == 2 else day)


def kind(week: WeekOfYear) -> str:
    """ "good" where it worked in most years, "poor" in few, "fair" between."""
    if week.years == 0:
        return "unknown"
    share = week.worked / week.years
    return "good" if share >= 0.7 else "poor" if share < 0.3 else "fair"


def week_rows(verdict: DaysVerdict) -> tuple[WeekRow, ...]:
    """Every week of the year."""
    return tuple(
        WeekRow(
            f"from {dates.day_short(week_day(w))}",
            kind(w),
            f"{w.worked} of {w.years}",
            f"{u.percent(w.chance.p50)} ({u.percent(w.chance.p10)} to {u.percent(w.chance.p90)})",
            words.ended(w.ended_by) if w.ended_by else "",
            f"false spring in {w.false_spring} of {w.years}" if w.false_spring else "",
        )
        for w in verdict.year
    )


def year_text(verdict: DaysVerdict) -> str:
    """The stretches of weeks in which it worked in most years, and of how many years."""
    if not verdict.year:
        return "No year of weather at this place is known; bring a weather file in to see the year."
    good = [kind(w) == "good" for w in verdict.year]
    count = max(w.years for w in verdict.year)
    years = "In the one year known" if count == 1 else f"In most of {count} years"
    if all(good):
        return f"{years} it worked, whatever the week."
    if not any(good):
        return f"{years} it worked in no week."
    runs = _runs(verdict.year, good)
    return f"{years} it worked if set {' or '.join(runs)}."


def _runs(year: tuple[WeekOfYear, ...], good: list[bool]) -> list[str]:
    """ "from 3 Sep to 20 Nov": stretches of good weeks, round the turn of the year."""
    count = len(year)
    starts = [i for i in range(count) if good[i] and not good[i - 1]]
    out = []
    for start in starts:
        end = start
        while good[(end + 1) % count]:
            end += 1
        after = week_day(year[(end + 1) % count])
        out.append(f"from {dates.day_short(week_day(year[start]))} to {dates.day_short(after)}")
    return out
