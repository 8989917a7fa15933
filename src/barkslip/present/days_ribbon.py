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
#: Signs as they are drawn in a box of 16: a path from the box's corner, and whether it is filled.
_SIGNS = {
    "frost": ("m8 1.5v13m-5.6-9.7 11.2 6.4m0-6.4-11.2 6.4", False),
    "cold": ("m8 2v11m-4.5-4.5 4.5 4.8 4.5-4.8", False),
    "heat": ("m2.6 8a5.4 5.4 0 1 0 10.8 0a5.4 5.4 0 1 0-10.8 0", False),
    "dry": ("m8 1.8c-3.4 4.4-4.6 6.2-4.6 8.4a4.6 4.4 0 0 0 9.2 0c0-2.2-1.2-4-4.6-8.4m-5.5 12.7 11-12", False),
    "buds": ("m8 1.5c4.5 4.5 4.5 8.5 0 13c-4.5-4.5-4.5-8.5 0-13", True),
    "open": ("m5 5.6c0-4 6-4 6-.2c0 2.6-3 2.2-3 5m0 3v.6", False),
}
#: Verdict -> class of its bar.
_BARS = {"good": "db good", "fair": "db fair", "poor": "db poor", "unknown": "db open"}
#: Source -> class of its line.
_LINES = {"measured": "dl-read", "typed": "dl-read", "forecast": "dl-forecast"}
_BOX = 16.0


def drawn() -> Markup:
    """The signs themselves, to stand once on a page that shows any."""
    inside = "".join(
        f'<symbol id="ds-{name}" viewBox="0 0 16 16"><path class="{_ink(name)}" d="M0 0{path}"/></symbol>'
        for name, (path, _) in _SIGNS.items()
    )
    bars = "".join(
        f'<symbol id="dm-{name}" viewBox="0 0 16 16">{_mark(name)}</symbol>'
        for name in ("good", "fair", "poor", "open")
    )
    return Markup(f'<svg class="unseen" xmlns="http://www.w3.org/2000/svg" aria-hidden="true">{inside}{bars}</svg>')


def _mark(name: str) -> str:
    box = f'<rect class="db {name}" x="3" y="1.5" width="10" height="13" rx="1.5"/>'
    return box + ('<rect class="db half" x="3" y="8" width="10" height="6.5" rx="1.5"/>' if name == "fair" else "")


def _ink(name: str) -> str:
    return "ds-full" if _SIGNS[name][1] else "ds-line"


def sign_path(name: str, x: float, y: float) -> str:
    """A sign as part of a path, its corner at a place."""
    return f"M{x:.0f} {y:.0f}{_SIGNS[name][0]}"


def sign_class(name: str) -> str:
    """Class of a path of such signs."""
    return f"{_ink(name)} ds-{name}"


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


class _Paths:
    """Parts of a drawing that share a class, gathered into one path each: a page is to be small."""

    def __init__(self) -> None:
        self.by_class: dict[str, str] = {}

    def add(self, klass: str, part: str) -> None:
        """One more part."""
        self.by_class[klass] = self.by_class.get(klass, "") + part

    def onto(self, sheet: Sheet) -> None:
        """Draw them."""
        for klass, path in self.by_class.items():
            sheet.add(f'<path class="{klass}" d="{path}"/>')


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
    drawn_signs = _Paths()
    for i, day in enumerate(verdict.days):
        for row, name in enumerate(signs(day)[:2]):
            drawn_signs.add(sign_class(name), sign_path(name, at.x(i) - _BOX / 2, at.signs + 19.0 * row))
    drawn_signs.onto(sheet)
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
    bars = _Paths()
    for i, day in enumerate(verdict.days):
        high = max(tall * day.chance, 1.5)
        x = at.x(i) - at.bar / 2
        bars.add(_BARS.get(day.verdict, _BARS["unknown"]), _bar(x, base, at.bar, high))
        if day.verdict == "fair":
            bars.add("db half", _bar(x, base, at.bar, high / 2))
        if at.room:
            strong = "t-strong" if day.date == verdict.set_on and put_word(verdict, day) else ""
            words = tenths(day.chance)
            sheet.write(words, at.x(i), base - high - 4.0, SIZE, anchor="middle", klass=strong)
    bars.onto(sheet)
    for good, group in groupby(enumerate(verdict.days), key=lambda pair: pair[1].verdict == "good"):
        places = [i for i, _ in group]
        if good:
            x0, x1 = at.x(places[0]) - at.bar / 2, at.x(places[-1]) + at.bar / 2
            sheet.add(f'<line class="d-window" x1="{x0:.1f}" y1="{base + 4:.1f}" x2="{x1:.1f}" y2="{base + 4:.1f}"/>')
    _flag(sheet, at, verdict)


def _bar(x: float, base: float, wide: float, high: float) -> str:
    return f"M{x:.1f} {base:.0f}v{-high:.1f}h{wide:.1f}v{high:.1f}z"


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
    parts = _Paths()
    for i, day in enumerate(verdict.days):
        h = day.healing_days
        x = at.x(i)
        parts.add("d-heal", _bar(x - at.bar / 2, base, at.bar, max(tall * h.p50, 1.0)))
        parts.add("d-range", f"M{x:.1f} {base - tall * h.p10:.1f}V{base - tall * h.p90:.1f}")
        if at.numbers:
            sheet.write(u.number(h.p50, 2), x, base + 14.0, SIZE, anchor="middle", klass="t-quiet")
    parts.onto(sheet)


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
    parts = _Paths()
    for i, low, high in both:
        klass = "d-air cold" if low < 0.0 else "d-air"
        parts.add(klass, f"M{at.x(i):.1f} {axis.at(high):.1f}V{axis.at(low):.1f}")
    parts.onto(sheet)
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
