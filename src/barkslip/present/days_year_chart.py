"""The year at a place, drawn: years that worked week by week, the chance over them, what ends it, false springs."""

from __future__ import annotations

from datetime import date
from itertools import groupby

from markupsafe import Markup, escape

from barkslip.domain.timing import DaysVerdict, WeekOfYear
from barkslip.present import dates, days_words
from barkslip.present.chart import WIDE
from barkslip.present.days_ribbon import sign_class, sign_path
from barkslip.present.days_year import kind, week_day
from barkslip.present.labels import Sheet, text_width

SIZE = 13.0
_DAYS = 365.0
_BOX = 16.0
#: Weeks of one ending that are worth a word or a sign.
_LEAST_WEEKS = 3


def _day_of(day: date) -> float:
    return (day - date(day.year, 1, 1)).days


class _Plan:
    """Where things lie."""

    def __init__(self, width: float) -> None:
        self.left, self.right = 26.0, width - 4.0
        self.top, self.base = 30.0, 138.0 if width >= 500 else 124.0
        self.false = self.base + 6.0
        self.ends = self.false + 24.0
        self.months = self.ends + 40.0
        self.height = self.months + 26.0

    def x(self, day: float) -> float:
        """Place of a day of the year."""
        return self.left + day / _DAYS * (self.right - self.left)

    def y(self, share: float) -> float:
        """Height of a share."""
        return self.base - share * (self.base - self.top)


def year_chart(verdict: DaysVerdict, on: date | None = None, width: float = WIDE) -> Markup:
    """The weeks of a verdict's year; empty without them.

    Parameters
    ----------
    on : date or None
        Marked as now.
    """
    if not verdict.year:
        return Markup("")
    at, count = _Plan(width), max(w.years for w in verdict.year)
    sheet = Sheet(width, at.height)
    sheet.write(f"Bars: years that worked, of {count}", 2.0, 13.0, SIZE, klass="t-quiet")
    for share in (0.0, 0.5, 1.0):
        klass = "axis" if share == 0.0 else "grid"
        y = at.y(share)
        sheet.add(f'<line class="{klass}" x1="{at.left}" y1="{y:.1f}" x2="{at.right}" y2="{y:.1f}"/>')
    marks = {0.0: "0", 1.0: str(count)} if count < 2 or count % 2 else {0.0: "0", 0.5: str(count // 2), 1.0: str(count)}
    for share, words in marks.items():
        sheet.write(words, at.left - 5.0, at.y(share) + 4.5, SIZE, anchor="end", klass="t-quiet")
    _months(sheet, at)
    _bars(sheet, at, verdict.year)
    _line(sheet, at, verdict.year)
    _false(sheet, at, verdict.year)
    _ends(sheet, at, verdict.year)
    if on is not None:
        _now(sheet, at, on)
    desc = (
        "For each week: in how many of the years a graft set then would have linked more often than not, the chance "
        "over days and years as a line with eight in ten around it, what ends it else, and false springs."
    )
    return Markup(
        f'<svg class="chart year" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="img"><title>The year at this place</title><desc>{escape(desc)}</desc>{"".join(sheet.parts)}</svg>'
    )


def _spans(at: _Plan, year: tuple[WeekOfYear, ...]) -> list[tuple[float, float]]:
    """From where to where each week lies."""
    starts = [_day_of(week_day(w)) for w in year]
    ends = [*starts[1:], _DAYS]
    return [(at.x(a), at.x(b)) for a, b in zip(starts, ends, strict=True)]


def _months(sheet: Sheet, at: _Plan) -> None:
    for month in range(1, 13):
        first = _day_of(date(2023, month, 1))
        after = _day_of(date(2023, month + 1, 1)) if month < 12 else _DAYS
        x0, x1 = at.x(first), at.x(after)
        y = at.months - 16.0
        sheet.add(f'<line class="grid" x1="{x0:.1f}" y1="{at.top:.1f}" x2="{x0:.1f}" y2="{y:.1f}"/>')
        words = dates.MONTHS[month - 1]
        if x1 - x0 < 32.0:
            words = words[0]
        sheet.write(words, (x0 + x1) / 2, at.months, SIZE, anchor="middle", klass="t-quiet")


def _bars(sheet: Sheet, at: _Plan, year: tuple[WeekOfYear, ...]) -> None:
    paths: dict[str, str] = {}
    for week, (x0, x1) in zip(year, _spans(at, year), strict=True):
        if week.years and week.worked:
            high = (week.worked / week.years) * (at.base - at.top)
            wide = x1 - x0 - (2.0 if x1 - x0 > 10 else 1.2)
            part = f"M{x0 + 0.6:.1f} {at.base:.0f}v{-high:.0f}h{wide:.1f}v{high:.0f}z"
            paths[kind(week)] = paths.get(kind(week), "") + part
    for name, path in paths.items():
        sheet.add(f'<path class="dy {name}" d="{path}"/>')


def _line(sheet: Sheet, at: _Plan, year: tuple[WeekOfYear, ...]) -> None:
    """The middle of the chance with its fan."""
    xs = [(a + b) / 2 for a, b in _spans(at, year)]
    low = [f"{x:.0f},{at.y(w.chance.p10):.0f}" for x, w in zip(xs, year, strict=True)]
    high = [f"{x:.0f},{at.y(w.chance.p90):.0f}" for x, w in zip(xs, year, strict=True)]
    middle = " ".join(f"{x:.0f},{at.y(w.chance.p50):.0f}" for x, w in zip(xs, year, strict=True))
    sheet.add(f'<polygon class="dy-fan" points="{" ".join(low + high[::-1])}"/>')
    sheet.add(f'<polyline class="dy-line" points="{middle}"/>')


def _false(sheet: Sheet, at: _Plan, year: tuple[WeekOfYear, ...]) -> None:
    """The sign of frost under weeks that were a false spring in some year, named once."""
    spans = _spans(at, year)
    for has, group in groupby(range(len(year)), key=lambda i: year[i].false_spring > 0):
        places = list(group)
        if not has:
            continue
        every = max(1, int(_BOX // (spans[0][1] - spans[0][0] or _BOX)) + 1) if spans[0][1] - spans[0][0] < _BOX else 1
        for i in places[::every]:
            x = (spans[i][0] + spans[i][1]) / 2 - _BOX / 2
            sheet.add(f'<path class="{sign_class("frost")}" d="{sign_path("frost", x, at.false)}"/>')
        x0, x1 = spans[places[0]][0] - _BOX / 2, spans[places[-1]][1] + _BOX / 2
        y = at.false + 12.0
        ends = ((x1 + 5.0, y, "start"), (x0 - 5.0, y, "end"))
        sheet.write_free("false spring", ends, SIZE, "t-frost")


def _ends(sheet: Sheet, at: _Plan, year: tuple[WeekOfYear, ...]) -> None:
    """What ends it: a bracket under weeks of one ending with its sign, and its word where there is room."""
    spans = _spans(at, year)

    def code(i: int) -> str:
        return year[i].ended_by if kind(year[i]) != "good" else ""

    for name, group in groupby(range(len(year)), key=code):
        places = list(group)
        if not name or len(places) < _LEAST_WEEKS:
            continue
        why = days_words.why(name)
        x0, x1 = spans[places[0]][0] + 1.0, spans[places[-1]][1] - 1.0
        y = at.ends - 3.0
        sheet.add(f'<path class="dy-end" d="M{x0:.1f} {y - 3:.1f}v3H{x1:.1f}v-3"/>')
        room = x1 - x0
        words = why.short if text_width(why.short, SIZE) + _BOX + 6.0 <= room else ""
        whole = _BOX + (4.0 + text_width(words, SIZE) if words else 0.0)
        left = (x0 + x1 - whole) / 2
        if why.sign and room >= _BOX:
            sheet.add(f'<path class="{sign_class(why.sign)}" d="{sign_path(why.sign, left, y + 3.0)}"/>')
        if words:
            sheet.write(words, left + _BOX + 4.0, y + 14.5, SIZE)


def _now(sheet: Sheet, at: _Plan, on: date) -> None:
    """Today's place in the year."""
    day = date(2023, on.month, min(on.day, 28) if on.month == 2 else on.day)
    x = at.x(_day_of(day))
    y = at.months + 5.0
    sheet.add(f'<path class="d-now" d="M{x:.1f} {y:.1f}l-5 8h10z"/>')
    half = text_width("now", SIZE)
    ends = ((x + 9.0, y + 13.0, "start"), (x - 9.0, y + 13.0, "end"))
    sheet.write_free("now", ends if x + half + 12.0 < sheet.width else ends[::-1], SIZE, "t-strong")


def year_signs(verdict: DaysVerdict) -> tuple[tuple[str, str], ...]:
    """Signs that stand in the chart, with their words."""
    found = {"frost"} if any(w.false_spring for w in verdict.year) else set()
    for name, group in groupby(verdict.year, key=lambda w: w.ended_by if kind(w) != "good" else ""):
        if name and len(list(group)) >= _LEAST_WEEKS:
            found.add(days_words.why(name).sign)
    return tuple((name, words) for name, words in days_words.SIGNS.items() if name in found)


def caption(verdict: DaysVerdict) -> str:
    """What stands under the chart."""
    return (
        "Full bars: weeks that worked in most years; half-tone: in some; outlined: in few. Line: the chance over days "
        "and years, shaded: eight in ten. Brackets: what ends it where it does not work."
    )
