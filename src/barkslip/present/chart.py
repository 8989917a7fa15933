"""Small charts, drawn on the server. Words stand on the lines; every chart has a table on its page.

All are as wide as asked for and shrink with the page; words in them are 13 units or more.
"""

from __future__ import annotations

from datetime import date
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from barkslip.domain.cards import PlotDay, PlotToday, WeatherSince
from barkslip.domain.units import METRIC, UnitChoice, c_to_f
from barkslip.present import dates
from barkslip.present import units as u
from barkslip.present.labels import Box, Sheet, cut, text_width

if TYPE_CHECKING:  # weather needs numpy, drawing must not
    from barkslip.domain.weather import MonthSummary

#: Width on a phone of 360 px with the page's margins: one unit is one pixel there.
WIDE = 328.0
_STEPS_C = (1.0, 2.0, 5.0, 10.0, 20.0)
_STEPS_F = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)


class Axis:
    """A temperature axis: [°C] -> place, with round ticks in the reader's unit."""

    def __init__(self, values: list[float], start: float, end: float, units: UnitChoice, ticks: int = 6) -> None:
        low, high = min(values), max(values)
        spare = max((high - low) * 0.06, 0.6)
        self.low, self.high = low - spare, high + spare
        self.start, self.end, self.units = start, end, units
        self.most = ticks

    def at(self, temp_c: float) -> float:
        """Place of a temperature [°C]."""
        return self.start + (temp_c - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self) -> list[tuple[float, str]]:
        """(temperature [°C], words) of the round numbers within."""
        fahrenheit = self.units.temperature == "°F"
        low, high = (c_to_f(self.low), c_to_f(self.high)) if fahrenheit else (self.low, self.high)
        steps = _STEPS_F if fahrenheit else _STEPS_C
        step = next((s for s in steps if (high - low) / s <= self.most), steps[-1])
        first = -int(-low // step) if low % step else int(low // step)
        out = []
        value = first * step
        while value <= high:
            out.append(((value - 32) / 1.8 if fahrenheit else value, u.number(value)))
            value += step
        return out


def _svg(sheet: Sheet, title: str, desc: str, klass: str) -> Markup:
    return Markup(
        f'<svg class="chart {klass}" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="img"><title>{escape(title)}</title><desc>{escape(desc)}</desc>{"".join(sheet.parts)}</svg>'
    )


def _lows(days: tuple[PlotDay, ...]) -> list[float]:
    return [d.night_low_c for d in days if d.night_low_c is not None]


def nights(plots: tuple[PlotToday, ...], units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """Night lows plot by plot: last nights as a soft bar with a dot on the newest, coming nights with a ring.

    Empty if no plot has a reading.
    """
    rows = [p for p in plots if _lows(p.last) or _lows(p.coming)]
    if not rows:
        return Markup("")
    values = [0.0] + [v for p in rows for v in _lows(p.last) + _lows(p.coming)]
    sheet = Sheet(width, 28.0 + 72.0 * len(rows) + 20)
    axis = Axis(values, 10.0, width - 76, units)
    bottom = sheet.height - 26
    for value, words in axis.ticks():
        x = axis.at(value)
        klass = "zero" if value == 0 else "grid"
        sheet.add(f'<line class="{klass}" x1="{x:.1f}" y1="18" x2="{x:.1f}" y2="{bottom:.1f}"/>')
        sheet.write(words, x, sheet.height - 8, 13, anchor="middle", klass="t-quiet")
    x0 = axis.at(0.0)
    if units.temperature == "°F":
        sheet.add(f'<line class="zero" x1="{x0:.1f}" y1="16" x2="{x0:.1f}" y2="{bottom:.1f}"/>')
    freezing = f"freezing, {u.temperature(0.0, units, 0)}"
    half = text_width(freezing, 13) / 2
    sheet.write(freezing, min(max(x0, half + 2), width - half - 2), 12, 13, anchor="middle", klass="t-frost")
    for i, plot in enumerate(rows):
        _night_row(sheet, plot, axis, 36.0 + 72.0 * i)
    return _svg(sheet, "Night lows by plot", "Bar: last nights; dot: last night; ring: coldest night ahead.", "nights")


def _night_row(sheet: Sheet, plot: PlotToday, axis: Axis, y: float) -> None:
    """One plot: its name, last nights on the upper line, coming nights on the lower; each line's number at its end."""
    last, coming = _lows(plot.last), _lows(plot.coming)
    sheet.write(cut(plot.plot.name, 14, sheet.width), 0, y, 14)
    y += 16
    below = y + 22
    if last:
        x0, x1 = axis.at(min(last)), axis.at(max(last))
        sheet.add(
            f'<rect class="spread{_cold(min(last))}" x="{x0 - 6:.1f}" y="{y - 6:.1f}" '
            f'width="{x1 - x0 + 12:.1f}" height="12" rx="6"/>'
            f'<circle class="dot{_cold(last[-1])}" cx="{axis.at(last[-1]):.1f}" cy="{y:.1f}" r="6.5"/>'
        )
        _at_end(sheet, f"{u.bare_temperature(last[-1], axis.units)} last", x0 - 8, x1 + 8, y)
    if coming:
        x0, x1 = axis.at(min(coming)), axis.at(max(coming))
        sheet.add(
            f'<line class="whisker" x1="{x0:.1f}" y1="{below:.1f}" x2="{x1:.1f}" y2="{below:.1f}"/>'
            f'<circle class="dot coming{_cold(min(coming))}" cx="{x0:.1f}" cy="{below:.1f}" r="5.5"/>'
        )
        _at_end(sheet, f"{u.bare_temperature(min(coming), axis.units)} ahead", x0 - 8, x1 + 6, below)


def _cold(temp_c: float) -> str:
    return " cold" if temp_c < 0 else ""


def _at_end(sheet: Sheet, text: str, left: float, right: float, y: float) -> None:
    """The number beyond the right end of its line, or before the left end if there is no room."""
    width = text_width(text, 13)
    if right + width + 6 <= sheet.width:
        sheet.write(text, right + 5, y + 4.5, 13)
    else:
        sheet.write(text, max(left - 5, width), y + 4.5, 13, anchor="end")


def days(weather: WeatherSince, units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """Lows and highs day by day, with gaps left open and the lines that matter named in place.

    Empty if no day has a reading.
    """
    known = [(day, low, high) for day, low, high in weather.days if low is not None and high is not None]
    if not known:
        return Markup("")
    values = [v for _, low, high in known for v in (low, high) if v is not None] + [weather.frost_c]
    if max(values) > weather.healing_low_c - 4:
        values.append(weather.healing_high_c)
    if max(values) > weather.heat_c - 4:
        values.append(weather.heat_c)
    sheet = Sheet(width, 230.0 if width < 500 else 300.0)
    axis = Axis(values, sheet.height - 28, 12, units)
    left, right = 34.0, width - 10.0
    _bands(sheet, axis, weather, left, right)
    for value, words in axis.ticks():
        sheet.add(f'<line class="grid" x1="{left}" y1="{axis.at(value):.1f}" x2="{right}" y2="{axis.at(value):.1f}"/>')
        sheet.write(words, left - 6, axis.at(value) + 4.5, 13, anchor="end", klass="t-quiet")
    _limits(sheet, axis, weather, left, right)
    _day_lines(sheet, axis, weather, left, right)
    _day_axis(sheet, weather, left, right)
    _line_names(sheet, axis, weather, left, right)
    title = f"Daily lows and highs, {weather.series}"
    return _svg(sheet, title, "Breaks in the lines are days without readings.", "days")


def _bands(sheet: Sheet, axis: Axis, weather: WeatherSince, left: float, right: float) -> None:
    if axis.high > weather.healing_low_c:
        y1 = axis.at(max(weather.healing_low_c, axis.low))
        y0 = axis.at(min(weather.healing_high_c, axis.high))
        sheet.add(
            f'<rect class="heal" x="{left}" y="{y0:.1f}" width="{right - left:.1f}" height="{max(y1 - y0, 0):.1f}"/>'
        )


def _limits(sheet: Sheet, axis: Axis, weather: WeatherSince, left: float, right: float) -> None:
    """The frost and heat lines, over the grid."""
    for klass, value in (("zero", weather.frost_c), ("hot", weather.heat_c)):
        if axis.low <= value <= axis.high:
            y = axis.at(value)
            sheet.add(f'<line class="{klass}" x1="{left}" y1="{y:.1f}" x2="{right}" y2="{y:.1f}"/>')


def _across(index: int, count: int, left: float, right: float) -> float:
    return (left + right) / 2 if count == 1 else left + 4 + index / (count - 1) * (right - left - 8)


def _day_lines(sheet: Sheet, axis: Axis, weather: WeatherSince, left: float, right: float) -> None:
    count = len(weather.days)
    rows = [(i, low, high) for i, (_, low, high) in enumerate(weather.days)]
    for present, group in groupby(rows, key=lambda r: r[1] is not None and r[2] is not None):
        run = list(group)
        if not present:
            x0, x1 = _across(run[0][0], count, left, right), _across(run[-1][0], count, left, right)
            if len(run) > 2 and x1 - x0 > text_width("no readings", 13) + 6:
                y = sheet.height - 40
                sheet.write("no readings", (x0 + x1) / 2, y, 13, anchor="middle", klass="t-quiet")
            continue
        lows = [(_across(i, count, left, right), axis.at(low)) for i, low, _ in run if low is not None]
        highs = [(_across(i, count, left, right), axis.at(high)) for i, _, high in run if high is not None]
        if len(run) == 1:
            (x, y0), (_, y1) = lows[0], highs[0]
            sheet.add(f'<line class="lone" x1="{x:.1f}" y1="{y0:.1f}" x2="{x:.1f}" y2="{y1:.1f}"/>')
            continue
        area = " ".join(f"{x:.1f},{y:.1f}" for x, y in lows + highs[::-1])
        sheet.add(f'<polygon class="days-fill" points="{area}"/>')
        for klass, line in (("low-line", lows), ("high-line", highs)):
            sheet.add(f'<polyline class="{klass}" points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in line)}"/>')
        sheet.soft += _along(lows) + _along(highs)


def _along(line: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Points along a line, near enough for a word to notice it."""
    out = list(line)
    for (x0, y0), (x1, y1) in pairwise(line):
        steps = int(max(abs(x1 - x0), abs(y1 - y0)) / 6)
        out += [(x0 + (x1 - x0) * k / steps, y0 + (y1 - y0) * k / steps) for k in range(1, steps)]
    return out


def _day_axis(sheet: Sheet, weather: WeatherSince, left: float, right: float) -> None:
    """Day names under the chart, as many as fit: days of a short stretch, months of a long one."""
    count = len(weather.days)
    stamps = [date.fromisoformat(day) for day, _, _ in weather.days]
    if count <= 62:
        every = max(1, round(count / ((right - left) / 70)))
        named = [(i, dates.day_short(d)) for i, d in enumerate(stamps) if i % every == 0]
    else:
        named = [
            (i, dates.MONTHS[d.month - 1] if d.month > 1 else str(d.year)) for i, d in enumerate(stamps) if d.day == 1
        ]
    edge = -99.0
    for i, words in named:
        x = _across(i, count, left, right)
        half = text_width(words, 13) / 2
        x = min(max(x, half), sheet.width - half)
        if x - half < edge + 8:
            continue
        sheet.write(words, x, sheet.height - 6, 13, anchor="middle", klass="t-quiet")
        edge = x + half


def _line_names(sheet: Sheet, axis: Axis, weather: WeatherSince, left: float, right: float) -> None:
    """Names of the lines, each near its own, clear of each other."""
    units = axis.units
    inside = right - 4
    if axis.low <= weather.heat_c <= axis.high:
        text = f"wrapped scions in danger over {u.temperature(weather.heat_c, units, 0)}"
        _name(sheet, text, inside, axis.at(weather.heat_c), "t-heat")
    if axis.high > weather.healing_low_c:
        y = axis.at(min(weather.healing_high_c, axis.high))
        span = u.temperature_range(weather.healing_low_c, weather.healing_high_c, units, 0)
        _name(sheet, f"citrus heals, {span}", inside, y, "t-leaf")
    if axis.low <= weather.frost_c <= axis.high:
        _name(sheet, f"frost, {u.temperature(weather.frost_c, units, 0)}", inside, axis.at(weather.frost_c), "t-frost")
    count = len(weather.days)
    i, low, high = _middle_of_longest(weather)
    x = _across(i, count, left, right)
    sheet.place("high", (x, axis.at(high)), clear=4, towards=-1.57, size=13)
    sheet.place("low", (x, axis.at(low)), clear=4, towards=1.57, size=13, klass="t-frost t-strong")


def _middle_of_longest(weather: WeatherSince) -> tuple[int, float, float]:
    """Index, low and high of the day in the middle of the longest stretch without a gap."""
    rows = [(i, low, high) for i, (_, low, high) in enumerate(weather.days)]
    runs = [list(group) for present, group in groupby(rows, key=lambda r: None not in r[1:]) if present]
    longest = max(runs, key=len)
    i, low, high = longest[len(longest) // 2]
    return i, low or 0.0, high or 0.0


def _name(sheet: Sheet, text: str, right: float, y: float, klass: str) -> None:
    """The name over its line at the right end, or where it covers least of the readings."""
    width = text_width(text, 13)
    best: tuple[float, float, float] | None = None
    for rank, (end, base) in enumerate((e, b) for e in (right, right * 0.75, width + 40) for b in (y - 5, y + 15)):
        box = Box(end - width, base - 11, end, base + 4)
        cost = rank + 3.0 * sum(box.holds(*point) for point in sheet.soft)
        if (best is None or cost < best[0]) and sheet.free(box):
            best = (cost, end, base)
    if best is None:
        sheet.left_out.append(text)
        return
    sheet.write(text, best[1], best[2], 13, anchor="end", klass=klass)


def months(rows: tuple[MonthSummary, ...], units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """Months as bars from the mean low to the mean high, with thin lines to the extremes.

    At most the last 12 months are drawn on a narrow chart, 24 on a wide one; the table has them all. Empty if no
    month has a reading. Months read for less than half of their hours are drawn thin.
    """
    shown = [m for m in rows if m.low_c is not None and m.high_c is not None][-(12 if width < 500 else 24) :]
    if not shown:
        return Markup("")
    values = [0.0] + [v for m in shown for v in (m.low_c, m.high_c) if v is not None]
    sheet = Sheet(width, 230.0 if width < 500 else 290.0)
    axis = Axis(values, sheet.height - 46, 14, units)
    left, right = 34.0, width - 6.0
    for value, words in axis.ticks():
        klass = "zero" if value == 0 else "grid"
        sheet.add(
            f'<line class="{klass}" x1="{left}" y1="{axis.at(value):.1f}" x2="{right}" y2="{axis.at(value):.1f}"/>'
        )
        sheet.write(words, left - 6, axis.at(value) + 4.5, 13, anchor="end", klass="t-quiet")
    step = (right - left) / max(len(shown), 4)
    for i, month in enumerate(shown):
        _month_bar(sheet, axis, month, left + (i + 0.5) * step, min(step * 0.55, 26))
        words = dates.MONTHS[month.month - 1]
        if text_width(words, 13) + 2 > step:
            words = words[0]
        sheet.write(words, left + (i + 0.5) * step, sheet.height - 26, 13, anchor="middle", klass="t-quiet")
    _years(sheet, shown, left, step)
    return _svg(
        sheet, "Months", "Bar: mean daily low to mean daily high; thin line: lowest and highest reading.", "months"
    )


def _month_bar(sheet: Sheet, axis: Axis, month: MonthSummary, x: float, wide: float) -> None:
    if month.low_c is None or month.high_c is None:
        return
    sheet.add(
        f'<line class="whisker" x1="{x:.1f}" y1="{axis.at(month.low_c):.1f}" '
        f'x2="{x:.1f}" y2="{axis.at(month.high_c):.1f}"/>'
    )
    if month.mean_low_c is None or month.mean_high_c is None:
        return
    y0, y1 = axis.at(month.mean_high_c), axis.at(month.mean_low_c)
    thin = " thin" if month.share < 0.5 else ""
    sheet.add(
        f'<rect class="bar{thin}" x="{x - wide / 2:.1f}" y="{y0:.1f}" width="{wide:.1f}" '
        f'height="{max(y1 - y0, 2):.1f}" rx="3"/>'
    )


def _years(sheet: Sheet, shown: list[MonthSummary], left: float, step: float) -> None:
    edge = -99.0
    for i, month in enumerate(shown):
        if i and month.year == shown[i - 1].year:
            continue
        x = max(left + i * step, edge + 10)
        edge = sheet.write(str(month.year), x, sheet.height - 7, 13, klass="t-quiet").x1


def belief_bar(belief: float | None, *, known: bool = True) -> Markup:
    """A bar as long as the belief; open and dashed for what is not known."""
    share = 1.0 if belief is None else max(min(belief, 1.0), 0.0)
    klass = "belief-bar" if known else "belief-open"
    return Markup(
        '<svg class="beliefs" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 8" preserveAspectRatio="none" '
        'aria-hidden="true"><rect class="belief-back" x="0" y="3.4" width="200" height="1.2"/>'
        f'<rect class="{klass}" x="0.5" y="0.5" width="{max(share * 199, 1):.1f}" height="7"/></svg>'
    )
