"""The year at a place in words: which weeks worked in how many years, what ended it else, and false springs."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

from barkslip.domain.timing import DaysVerdict, WeekOfYear
from barkslip.present import counts, dates, days_words
from barkslip.present import units as u

#: A year with no 29 February, to count the days of a week in.
_PLAIN_YEAR = 2023
#: A week is good from this share of the years on, poor below that one.
GOOD, POOR = 0.7, 0.3
#: Kind of a week -> (sign in a terminal, words).
KINDS = {
    "good": ("█", "worked in most years"),
    "fair": ("▒", "in some"),
    "poor": ("·", "in few or none"),
    "unknown": ("?", "not known"),
}
#: Below this many years it is said that they are few.
_FEW = 10


@dataclass(frozen=True, slots=True)
class WeekRow:
    """Weeks that are alike, or one week, as a row.

    `kind` is a key of `KINDS`; `ended` what ends it most often, `short` the same in a word, `note` a false spring.
    """

    span: str
    kind: str
    worked: str
    chance: str
    ended: str
    short: str
    note: str


def week_day(week: WeekOfYear) -> date:
    """First day of a week in a year without a 29 February."""
    month, day = (int(part) for part in week.month_day.split("-"))
    return date(_PLAIN_YEAR, month, min(day, 28) if month == 2 else day)


def kind(week: WeekOfYear) -> str:
    """ "good" where it worked in most years, "poor" in few or none, "fair" between."""
    if week.years == 0:
        return "unknown"
    share = week.worked / week.years
    return "good" if share >= GOOD else "poor" if share < POOR else "fair"


def week_rows(verdict: DaysVerdict) -> tuple[WeekRow, ...]:
    """Every week of the year."""
    return tuple(_row([w], f"from {dates.day_short(week_day(w))}") for w in verdict.year)


def stretch_rows(verdict: DaysVerdict) -> tuple[WeekRow, ...]:
    """Weeks that follow each other and are of one kind, as one row each."""
    return tuple(_row(weeks, span_text(verdict.year, weeks)) for weeks in stretches(verdict.year))


def stretches(year: tuple[WeekOfYear, ...]) -> list[list[WeekOfYear]]:
    """Weeks of one kind that follow each other, from January on."""
    out: list[list[WeekOfYear]] = []
    for week in year:
        if out and kind(out[-1][-1]) == kind(week):
            out[-1].append(week)
        else:
            out.append([week])
    return out


def span_text(year: tuple[WeekOfYear, ...], weeks: list[WeekOfYear]) -> str:
    """ "3 Sep to 21 Oct": first to last day of some weeks that follow each other."""
    return f"{dates.day_short(week_day(weeks[0]))} to {dates.day_short(_last(year, weeks[-1]))}"


def _last(year: tuple[WeekOfYear, ...], week: WeekOfYear) -> date:
    """Last day of a week: the day before the next one."""
    following = year[(year.index(week) + 1) % len(year)]
    return week_day(following) - timedelta(days=1)


def _row(weeks: list[WeekOfYear], span: str) -> WeekRow:
    counted = sorted({w.worked for w in weeks})
    years = max(w.years for w in weeks)
    worked = f"{counted[0]}" if len(counted) == 1 else f"{counted[0]} to {counted[-1]}"
    false, ends = max(w.false_spring for w in weeks), ended_by(weeks)
    return WeekRow(
        span=span,
        kind=kind(weeks[0]),
        worked=f"{worked} of {years}",
        chance=_chance(weeks),
        ended=days_words.ended(ends) if ends else "",
        short=days_words.why(ends).short if ends else "",
        note=f"false spring in {false} of {years}" if false else "",
    )


def _chance(weeks: list[WeekOfYear]) -> str:
    """ "87 % (85 to 90)": for several weeks the mean of their middles, and the widest of their ranges."""
    middle = sum(w.chance.p50 for w in weeks) / len(weeks)
    low, high = min(w.chance.p10 for w in weeks), max(w.chance.p90 for w in weeks)
    return f"{u.percent(middle)} ({100 * low:.0f} to {100 * high:.0f})"


def ended_by(weeks: list[WeekOfYear]) -> str:
    """Code of what ends it in most of some weeks; "" where nothing does."""
    found = Counter(w.ended_by for w in weeks if w.ended_by)
    return found.most_common(1)[0][0] if 2 * found.total() >= len(weeks) else ""


def year_text(verdict: DaysVerdict) -> str:
    """The stretches of weeks in which it worked in most years, and of how many years."""
    if not verdict.year:
        return "The year here is not known: there is no whole year of weather. Bring a file in to see it."
    good = [kind(w) == "good" for w in verdict.year]
    count = max(w.years for w in verdict.year)
    years = "In the one year known" if count == 1 else f"In most of {counts.many(count, 'year')}"
    if all(good):
        return f"{years} it worked, whatever the week."
    if not any(good):
        return f"{years} it worked in no week."
    return f"{years} it worked if set {counts.listed(good_runs(verdict.year))}."


def good_runs(year: tuple[WeekOfYear, ...]) -> list[str]:
    """ "from 3 Sep to 20 Nov": stretches of good weeks, round the turn of the year."""
    good = [kind(w) == "good" for w in year]
    out = []
    for start in (i for i in range(len(year)) if good[i] and not good[i - 1]):
        end = start
        while good[(end + 1) % len(year)]:
            end += 1
        last = _last(year, year[end % len(year)])
        out.append(f"from {dates.day_short(week_day(year[start]))} to {dates.day_short(last)}")
    return out


def years_text(verdict: DaysVerdict) -> str:
    """How much those years weigh, and what is counted; "" without a year."""
    if not verdict.year:
        return ""
    count = max(w.years for w in verdict.year)
    few = ""
    if count == 1:
        few = " One year has not every extreme of a place."
    elif count < _FEW:
        few = f" {count} years are few: another one can move these weeks."
    false = [w for w in verdict.year if w.false_spring]
    mark = ""
    if false:
        mark = " A false spring: the week was good, and frost came after the push."
    return f"A year counts if grafts of that week link more often than not.{few}{mark}"


def strip(verdict: DaysVerdict) -> tuple[str, str]:
    """The year in a terminal: months, and a sign for each week under them."""
    months, signs = [" "] * (len(verdict.year) + 2), []
    for i, week in enumerate(verdict.year):
        day = week_day(week)
        if day.day <= 7:
            months[i : i + 3] = dates.MONTHS[day.month - 1]
        signs.append(KINDS[kind(week)][0])
    return "".join(months).rstrip(), "".join(signs)
