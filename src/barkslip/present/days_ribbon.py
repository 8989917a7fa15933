"""The ribbon of coming days, drawn: chance, signs of what speaks against a day, healing, air, and the source of each.

Shapes carry what colours say: a full bar is a good day, a half-filled one fair, an empty one poor, a dashed one not
known. The same days stand in a table under it.
"""

from __future__ import annotations

from datetime import date
from itertools import groupby

from markupsafe import Markup, escape

from barkslip.domain.timing import DaysVerdict
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import dates, days_words
from barkslip.present import units as u
from barkslip.present.chart import WIDE, Axis
from barkslip.present.days_rows import put_word, signs
from barkslip.present.labels import Sheet, text_width

SIZE = 13.0
#: Signs as they are drawn, in a box of 16.
_SIGNS = {
    "frost": '<path class="ds-line" d="M8 1.5V14.5M2.4 4.75 13.6 11.25M13.6 4.75 2.4 11.25"/>',
    "cold": '<path class="ds-line" d="M8 2V13M3.5 8.5 8 13.3 12.5 8.5"/>',
    "heat": '<circle class="ds-line" cx="8" cy="8" r="5.4"/>',
    "dry": '<path class="ds-line" d="M8 1.8C4.6 6.2 3.4 8 3.4 10.2a4.6 4.4 0 0 0 9.2 0C12.6 8 11.4 6.2 8 1.8Z'
    'M2.5 14.5 13.5 2.5"/>',
    "buds": '<path class="ds-full" d="M8 1.5C12.5 6 12.5 10 8 14.5 3.5 10 3.5 6 8 1.5Z"/>',
    "open": '<path class="ds-line" d="M5 5.6C5 1.6 11 1.6 11 5.4 11 8 8 7.6 8 10.4M8 13.4V14"/>',
}  # fmt: skip
#: Verdict -> class of its bar.
_BARS = {"good": "db good", "fair": "db fair", "poor": "db poor", "unknown": "db open"}
#: Source -> class of its line.
_LINES = {"measured": "dl-read", "typed": "dl-read", "forecast": "dl-forecast"}
_BOX = 16.0


def drawn() -> Markup:
    """The signs themselves, to stand once on a page that shows any."""
    inside = "".join(f'<symbol id="ds-{name}" viewBox="0 0 16 16">{part}</symbol>' for name, part in _SIGNS.items())
    bars = "".join(
        f'<symbol id="dm-{name}" viewBox="0 0 16 16">{_mark(name)}</symbol>'
        for name in ("good", "fair", "poor", "open")
    )
    return Markup(f'<svg class="unseen" xmlns="http://www.w3.org/2000/svg" aria-hidden="true">{inside}{bars}</svg>')


def _mark(name: str) -> str:
    box = f'<rect class="db {name}" x="3" y="1.5" width="10" height="13" rx="1.5"/>'
    return box + ('<rect class="db good" x="3" y="8" width="10" height="6.5" rx="1.5"/>' if name == "fair" else "")


def sign(name: str) -> Markup:
    """A sign beside its word; silent itself."""
    if name not in _SIGNS:
        return Markup("")
    return Markup(f'<svg class="ds ds-{name}" aria-hidden="true"><use href="#ds-{name}"/></svg>')


def mark(verdict: str) -> Markup:
    """The mark of a day's verdict beside its word; silent itself."""
    name = {"unknown": "open"}.get(verdict, verdict)
    return Markup(f'<svg class="ds dm-{name}" aria-hidden="true"><use href="#dm-{name}"/></svg>')


def shown_signs(verdict: DaysVerdict) -> tuple[tuple[str, str], ...]:
    """Signs that stand in the ribbon, with their words."""
    found = {s for day in verdict.days for s in signs(day)[:2]}
    return tuple((name, words) for name, words in days_words.SIGNS.items() if name in found)


def shown_verdicts(verdict: DaysVerdict) -> tuple[tuple[str, str], ...]:
    """Verdicts that stand in the ribbon, with their words."""
    found = {day.verdict for day in verdict.days}
    return tuple((name, word) for name, (_, word) in days_words.DAY_WORDS.items() if name in found)


class _Lanes:
    """Where columns and lanes lie."""

    def __init__(self, count: int, width: float, rows: int) -> None:
        self.wide = width >= 500
        self.left, self.right = 2.0, width - 2.0
        self.step = (self.right - self.left) / count
        self.bar = min(self.step * 0.72, 34.0)
        self.room = self.step >= 20.0
        self.numbers = self.step >= 40.0
        self.chance = (34.0, 140.0 if self.wide else 126.0)
        self.signs = self.chance[1] + 9.0
        self.healing = (self.signs + 24.0 + 19.0 * rows, self.signs + 66.0 + 19.0 * rows)
        first = self.healing[1] + (56.0 if self.numbers else 42.0)
        self.air = (first, first + 70.0)
        self.days = self.air[1] + 32.0
        self.height = self.days + 46.0

    def x(self, i: int) -> float:
        """Middle of a column."""
        return self.left + self.step * (i + 0.5)


def ribbon(verdict: DaysVerdict, units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """The days of a verdict; empty if there are none."""
    if not verdict.days:
        return Markup("")
    at = _Lanes(len(verdict.days), width, max(len(signs(d)[:2]) for d in verdict.days))
    sheet = Sheet(width, at.height)
    _chances(sheet, at, verdict)
    for i, day in enumerate(verdict.days):
        for row, name in enumerate(signs(day)[:2]):
            x, y = at.x(i) - _BOX / 2, at.signs + 19.0 * row
            sheet.add(
                f'<use class="ds-{name}" href="#ds-{name}" x="{x:.1f}" y="{y:.1f}" width="{_BOX:g}" height="{_BOX:g}"/>'
            )
    _healing(sheet, at, verdict)
    _air(sheet, at, verdict, units)
    _dates(sheet, at, verdict)
    _sources(sheet, at, verdict)
    first, last = (date.fromisoformat(verdict.days[i].date) for i in (0, -1))
    title = f"Days to graft, {dates.range_text(first, last)}"
    desc = (
        "For each day: chance that a union set then links in time, signs of what speaks against it, how much of a best "
        "day it heals, lowest and highest air, and where its hours come from. The table under it has the numbers."
    )
    return Markup(
        f'<svg class="chart ribbon" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="img"><title>{escape(title)}</title><desc>{escape(desc)}</desc>{"".join(sheet.parts)}</svg>'
    )


def _chances(sheet: Sheet, at: _Lanes, verdict: DaysVerdict) -> None:
    """Bars as tall as the chance, its tenths on top; a line under the good days, a flag on the one put forward."""
    top, base = at.chance
    sheet.write("Links in time, of 10", at.left, 13.0, SIZE, klass="t-quiet")
    tall = base - top - 16.0
    sheet.add(f'<line class="axis" x1="{at.left}" y1="{base:.1f}" x2="{at.right}" y2="{base:.1f}"/>')
    for i, day in enumerate(verdict.days):
        high = max(tall * day.chance, 1.5)
        x = at.x(i) - at.bar / 2
        kind = _BARS.get(day.verdict, _BARS["unknown"])
        sheet.add(
            f'<rect class="{kind}" x="{x:.1f}" y="{base - high:.1f}" width="{at.bar:.1f}" height="{high:.1f}" rx="2"/>'
        )
        if day.verdict == "fair":
            sheet.add(
                f'<rect class="db good" x="{x:.1f}" y="{base - high / 2:.1f}" width="{at.bar:.1f}" '
                f'height="{high / 2:.1f}" rx="2"/>'
            )
        if at.room:
            strong = "t-strong" if day.date == verdict.set_on and put_word(verdict, day) else ""
            words = tenths(day.chance)
            sheet.write(words, at.x(i), base - high - 4.0, SIZE, anchor="middle", klass=strong)
    for good, group in groupby(enumerate(verdict.days), key=lambda pair: pair[1].verdict == "good"):
        places = [i for i, _ in group]
        if good:
            x0, x1 = at.x(places[0]) - at.bar / 2, at.x(places[-1]) + at.bar / 2
            sheet.add(f'<line class="d-window" x1="{x0:.1f}" y1="{base + 4:.1f}" x2="{x1:.1f}" y2="{base + 4:.1f}"/>')
    _flag(sheet, at, verdict)


def tenths(chance: float) -> str:
    """ "8" of ten; less than half of one is "<1", more than nine and a half ">9"."""
    return "<1" if chance < 0.05 else ">9" if chance >= 0.95 else f"{int(chance * 10 + 0.5)}"


def _flag(sheet: Sheet, at: _Lanes, verdict: DaysVerdict) -> None:
    """A word over the day that is put forward, with a line down to its bar."""
    place = next((i for i, d in enumerate(verdict.days) if put_word(verdict, d)), None)
    if place is None:
        return
    words = put_word(verdict, verdict.days[place])
    half = text_width(words, SIZE, bold=True) / 2
    x = min(max(at.x(place), half + 2.0), sheet.width - half - 2.0)
    sheet.write(words, x, 31.0, SIZE, anchor="middle", klass="t-leaf t-strong")
    high = max((at.chance[1] - at.chance[0] - 16.0) * verdict.days[place].chance, 1.5)
    end = at.chance[1] - high - (18.0 if at.room else 3.0)
    if end > 40.0:
        sheet.add(f'<path class="d-flag" d="M{at.x(place):.1f} 35V{end:.1f}"/>')


def _healing(sheet: Sheet, at: _Lanes, verdict: DaysVerdict) -> None:
    """How much of a best day each day heals, with one in ten either side."""
    top, base = at.healing
    sheet.write("Heals, of a best day", at.left, top - 8.0, SIZE, klass="t-quiet")
    sheet.write("1", at.right, top - 2.0, SIZE, anchor="end", klass="t-quiet")
    for y, klass in ((top, "grid"), (base, "axis")):
        sheet.add(f'<line class="{klass}" x1="{at.left}" y1="{y:.1f}" x2="{at.right}" y2="{y:.1f}"/>')
    tall = base - top
    for i, day in enumerate(verdict.days):
        h = day.healing_days
        x, y = at.x(i), base - tall * h.p50
        sheet.add(
            f'<rect class="d-heal" x="{x - at.bar / 2:.1f}" y="{y:.1f}" width="{at.bar:.1f}" '
            f'height="{max(tall * h.p50, 1.0):.1f}"/>'
            f'<line class="d-range" x1="{x:.1f}" y1="{base - tall * h.p10:.1f}" x2="{x:.1f}" '
            f'y2="{base - tall * h.p90:.1f}"/>'
        )
        if at.numbers:
            sheet.write(u.number(h.p50, 2), x, base + 14.0, SIZE, anchor="middle", klass="t-quiet")


def _air(sheet: Sheet, at: _Lanes, verdict: DaysVerdict, units: UnitChoice) -> None:
    """Lowest to highest air of each day; nights below freezing carry the sign of frost."""
    known = [(i, d.air_low_c, d.air_high_c) for i, d in enumerate(verdict.days)]
    both = [(i, low, high) for i, low, high in known if low is not None and high is not None]
    if not both:
        return
    top, base = at.air
    sheet.write(f"Air, {units.temperature}, low to high", at.left, top - 18.0, SIZE, klass="t-quiet")
    values = [v for _, low, high in both for v in (low, high)]
    cold = min(values) < 4.0
    axis = Axis([*values, *([0.0] if cold else [])], base, top, units)
    if axis.low <= 0.0 <= axis.high:
        y = axis.at(0.0)
        sheet.add(f'<line class="zero" x1="{at.left}" y1="{y:.1f}" x2="{at.right}" y2="{y:.1f}"/>')
    for i, low, high in both:
        x, y0, y1 = at.x(i), axis.at(high), axis.at(low)
        freezing = " cold" if low < 0.0 else ""
        sheet.add(f'<line class="d-air{freezing}" x1="{x:.1f}" y1="{y0:.1f}" x2="{x:.1f}" y2="{y1:.1f}"/>')
    ends = (min(both, key=lambda one: one[1]), max(both, key=lambda one: one[2]))
    for (i, low, high), lowest in zip(ends, (True, False), strict=True):
        words = u.bare_temperature(low if lowest else high, units, 0)
        x, y = at.x(i), axis.at(low) + 13.0 if lowest else axis.at(high) - 4.0
        half = text_width(words, SIZE) / 2
        klass = "t-frost t-strong" if lowest and low < 0.0 else "t-quiet"
        sheet.write(words, min(max(x, half + 1), sheet.width - half - 1), y, SIZE, anchor="middle", klass=klass)


def _dates(sheet: Sheet, at: _Lanes, verdict: DaysVerdict) -> None:
    """Days of the month under their columns, with the month where it begins."""
    every = 1 if at.room else 5
    edge = -9.0
    for i, day in enumerate(verdict.days):
        stamp = date.fromisoformat(day.date)
        if i % every and stamp.day != 1:
            continue
        strong = "t-strong" if day.date == verdict.set_on and put_word(verdict, day) else ""
        half = text_width(str(stamp.day), SIZE, bold=bool(strong)) / 2
        x = min(max(at.x(i), half), sheet.width - half)
        box = sheet.write(str(stamp.day), x, at.days, SIZE, anchor="middle", klass=strong)
        if (i == 0 or stamp.day == 1) and box.x0 > edge:
            words = dates.MONTHS[stamp.month - 1]
            left = min(max(box.x0, 1.0), sheet.width - text_width(words, SIZE) - 1.0)
            if left > edge + 6.0:
                edge = sheet.write(words, left, at.days + 16.0, SIZE, klass="t-quiet").x1


def _sources(sheet: Sheet, at: _Lanes, verdict: DaysVerdict) -> None:
    """A line under the days of one source: full for what was read, dashed for a forecast, dotted for years."""
    y = at.days + 23.0
    edge = -9.0
    for source, group in groupby(enumerate(verdict.days), key=lambda pair: pair[1].source):
        places = [i for i, _ in group]
        x0, x1 = at.x(places[0]) - at.bar / 2, at.x(places[-1]) + at.bar / 2
        klass = _LINES.get(source, "dl-years")
        sheet.add(f'<line class="{klass}" x1="{x0:.1f}" y1="{y:.1f}" x2="{x1:.1f}" y2="{y:.1f}"/>')
        words = {"own years": "own years", "typical year": "typical year"}.get(source, days_words.source_words(source))
        half = text_width(words, SIZE) / 2
        x = min(max((x0 + x1) / 2, half + 1.0, edge + half + 8.0), sheet.width - half - 1.0)
        if x - half < edge + 4.0:
            sheet.left_out.append(words)
            continue
        edge = sheet.write(words, x, y + 16.0, SIZE, anchor="middle", klass="t-quiet").x1


def caption(verdict: DaysVerdict) -> str:
    """What stands under the ribbon, after its signs."""
    good = any(d.verdict == "good" for d in verdict.days)
    line = " The green line marks good days." if good else ""
    freezing = any(d.air_low_c is not None and d.air_low_c < 0 for d in verdict.days)
    cold = " Dashed: freezing." if freezing or any((d.air_low_c or 9.0) < 4.0 for d in verdict.days) else ""
    return (
        f"Bars on top: of ten grafts set that day, how many link in time.{line} Thin strokes on the healing: one in "
        f"ten either side.{cold} The last line: full where hours were read, dashed for a forecast, dotted for years."
    )
