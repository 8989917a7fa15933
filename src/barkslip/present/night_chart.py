"""The chart of a cold night: temperatures hour by hour, the spread of the leaf, and where harm starts.

Words stand on the lines; the table of the same hours stands behind the chart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby, pairwise

from markupsafe import Markup, escape

from barkslip.domain.night import NightSeries, NightVerdict
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import units as u
from barkslip.present.chart import WIDE, Axis
from barkslip.present.labels import Box, Sheet, text_width
from barkslip.present.line_names import SIZE, Line, across, along, name_line
from barkslip.present.night import organ_words
from barkslip.present.night_data import hours
from barkslip.present.night_measures import clock

#: Series -> class of its line and of its words.
_CLASSES = {
    "air": ("night-air", "t-quiet"),
    "leaf_exposed": ("night-leaf", "t-frost t-strong"),
    "leaf_inner": ("night-inner", "t-frost"),
    "twig": ("night-twig", "t-loss"),
    "bark": ("night-bark", "t-wait"),
    "fruit": ("night-fruit", "t-heat"),
    "least_air_inside": ("night-inside", "t-leaf"),
    "least_leaf_exposed": ("night-kept", "t-leaf t-strong"),
}  # fmt: skip
#: Drawn first to last, so that what matters lies on top.
_ORDER = (
    "bark", "fruit", "twig", "leaf_inner", "air", "least_air_inside", "leaf_exposed", "least_leaf_exposed",
)  # fmt: skip


def series_words(name: str, verdict: NightVerdict) -> str:
    """What a line is called."""
    if name == "air":
        return "air"
    if name == "least_air_inside":
        return "air under the cover"
    if name == "least_leaf_exposed":
        return f"{organ_words('leaf_exposed', verdict.tree)}, protected"
    return organ_words(name, verdict.tree)


def night_chart(verdict: NightVerdict, units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """The night of a verdict. Empty if it has fewer than two hours."""
    lines = sorted(
        (s for s in verdict.series if s.name in _CLASSES), key=lambda s: _ORDER.index(s.name) if s.name in _ORDER else 0
    )
    if len(verdict.times) < 2 or not lines:
        return Markup("")
    sheet = Sheet(width, 330.0 if width < 500 else 400.0)
    axis = Axis(_values(lines, verdict), sheet.height - 30, 10, units, ticks=9)
    left, right = 34.0, width - 8.0
    xs = across(len(verdict.times), left, right)
    _ground(sheet, axis, verdict, left, right)
    leaf = next((s for s in lines if s.name == "leaf_exposed"), None)
    if leaf is not None:
        _fan(sheet, axis, leaf, xs)
    _hours(sheet, verdict, xs)
    drawn: dict[str, Line] = {}
    for series in lines:
        drawn[series.name] = _draw(sheet, axis, series, xs)
    _low(sheet, axis, verdict, xs)
    _critical_name(sheet, axis, verdict, left, right)
    for name in reversed(list(drawn)):
        name_line(sheet, series_words(name, verdict), drawn[name], _CLASSES[name][1])
    return _svg(sheet, verdict)


def caption(verdict: NightVerdict) -> str:
    """What stands under the chart."""
    kept = any(s.name == "least_leaf_exposed" for s in verdict.series)
    protected = " Green: under the set of measures above." if kept else ""
    return (
        f"Lines: the middle of {verdict.members} nights drawn. Shaded along the outer leaves: eight nights in ten. "
        f"Blue ground: harm of {organ_words(verdict.worst.organ, verdict.tree)}; its darker band, where it may start."
        f"{protected}"
    )


def table(verdict: NightVerdict, units: UnitChoice = METRIC) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The chart's numbers: heads, and a row for each hour; outer leaves with their spread."""
    lines = sorted((s for s in verdict.series if s.name in _CLASSES), key=lambda s: s.name != "leaf_exposed")
    heads = ("hour", *(series_words(s.name, verdict) for s in lines))

    def cell(series: NightSeries, i: int) -> str:
        if not math.isfinite(series.p50_c[i]):
            return "–"
        middle = u.bare_temperature(series.p50_c[i], units)
        if series.name != "leaf_exposed":
            return middle
        return (
            f"{middle} ({u.bare_temperature(series.p10_c[i], units)} to {u.bare_temperature(series.p90_c[i], units)})"
        )

    rows = tuple((verdict.times[i], *(cell(s, i) for s in lines)) for i in hours(verdict.times))
    return heads, rows


def _svg(sheet: Sheet, verdict: NightVerdict) -> Markup:
    desc = "Lines: the middle of the spread. Shaded: eight in ten nights like this lie within, for the outer leaves."
    return Markup(
        f'<svg class="chart night" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="img"><title>{escape("Temperatures of the night of " + verdict.air.day)}</title>'
        f"<desc>{desc}</desc>{''.join(sheet.parts)}</svg>"
    )


def _values(lines: Sequence[NightSeries], verdict: NightVerdict) -> list[float]:
    values = [v for s in lines for v in s.p50_c]
    values += [v for s in lines if s.name == "leaf_exposed" for v in (*s.p10_c, *s.p90_c)]
    values += [0.0, *(v for v in _critical(verdict) if v is not None)]
    return [v for v in values if math.isfinite(v)]


def _critical(verdict: NightVerdict) -> tuple[float | None, float | None, float | None]:
    """Where harm of the part most at risk starts: best number, low and high of its range [°C]."""
    worst = verdict.worst
    value, low, high = worst.critical.value, worst.critical.low, worst.critical.high
    best = float(value) if isinstance(value, (int, float)) else (low + high) / 2 if None not in (low, high) else None  # type: ignore[operator]
    shift = worst.hardening_k
    return tuple(None if v is None else v - shift for v in (best, low, high))  # type: ignore[return-value]


def _ground(sheet: Sheet, axis: Axis, verdict: NightVerdict, left: float, right: float) -> None:
    """The band in which harm starts or is under way, the grid, the freezing line."""
    best, low, high = _critical(verdict)
    bottom = axis.at(axis.low)

    def band(klass: str, top: float, under: float) -> None:
        y0, y1 = max(axis.at(top), 0.0), min(under, bottom)
        if y1 > y0:
            sheet.add(
                f'<rect class="{klass}" x="{left:.1f}" y="{y0:.1f}" width="{right - left:.1f}" height="{y1 - y0:.1f}"/>'
            )

    if best is not None:
        band("night-harm", best, bottom)
        if low is not None and high is not None:
            band("night-range", high, axis.at(low))
    for value, words in axis.ticks():
        y = axis.at(value)
        sheet.add(f'<line class="grid" x1="{left}" y1="{y:.1f}" x2="{right}" y2="{y:.1f}"/>')
        sheet.write(words, left - 6, y + 4.5, SIZE, anchor="end", klass="t-quiet")
    y = axis.at(0.0)
    sheet.add(f'<line class="night-zero" x1="{left}" y1="{y:.1f}" x2="{right}" y2="{y:.1f}"/>')
    if best is not None:
        y = axis.at(best)
        sheet.add(f'<line class="night-critical" x1="{left}" y1="{y:.1f}" x2="{right}" y2="{y:.1f}"/>')


def _fan(sheet: Sheet, axis: Axis, leaf: NightSeries, xs: list[float]) -> None:
    up = [(x, axis.at(v)) for x, v in zip(xs, leaf.p90_c, strict=True) if math.isfinite(v)]
    down = [(x, axis.at(v)) for x, v in zip(xs, leaf.p10_c, strict=True) if math.isfinite(v)]
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in up + down[::-1])
    sheet.add(f'<polygon class="night-fan" points="{points}"/>')


def _hours(sheet: Sheet, verdict: NightVerdict, xs: list[float]) -> None:
    """Hours under the chart, as many as fit, and the sunrise."""
    edge = -99.0
    room = text_width("00:00", SIZE)
    for i in hours(verdict.times):
        half = room / 2
        x = min(max(xs[i], half + 1), sheet.width - half - 1)
        if x - half < edge + 8:
            continue
        edge = sheet.write(verdict.times[i], x, sheet.height - 6, SIZE, anchor="middle", klass="t-quiet").x1
    sunrise = _place_of(clock(verdict.air, verdict.air.sunrise_s), verdict.times, xs)
    if sunrise is None:
        return
    bottom = sheet.height - 30
    sheet.add(f'<line class="night-sun" x1="{sunrise:.1f}" y1="24" x2="{sunrise:.1f}" y2="{bottom:.1f}"/>')
    words = f"sunrise {clock(verdict.air, verdict.air.sunrise_s)}"
    half = text_width(words, SIZE) / 2
    x = min(max(sunrise, half + 40), sheet.width - half - 2)
    sheet.write(words, x, 16, SIZE, anchor="middle", klass="t-quiet")


def _place_of(at: str, times: tuple[str, ...], xs: list[float]) -> float | None:
    """Where a local time lies between the times of the chart; None if outside."""

    def minutes(text: str) -> int:
        return int(text[:2]) * 60 + int(text[3:5])

    start = minutes(times[0])
    ahead = (minutes(at) - start) % 1440
    marks = [(minutes(t) - start) % 1440 for t in times]
    for (m0, x0), (m1, x1) in pairwise(zip(marks, xs, strict=True)):
        if m0 <= ahead <= m1 and m1 > m0:
            return x0 + (ahead - m0) / (m1 - m0) * (x1 - x0)
    return None


def _draw(sheet: Sheet, axis: Axis, series: NightSeries, xs: list[float]) -> Line:
    """One line, broken where it has no number; its points."""
    pairs = list(zip(xs, series.p50_c, strict=True))
    points: Line = []
    for present, group in groupby(pairs, key=lambda p: math.isfinite(p[1])):
        if not present:
            continue
        run = [(x, axis.at(v)) for x, v in group]
        line = " ".join(f"{x:.1f},{y:.1f}" for x, y in run)
        sheet.add(f'<polyline class="{_CLASSES[series.name][0]}" points="{line}"/>')
        points += run
        sheet.soft += along(run)
    return points


def _low(sheet: Sheet, axis: Axis, verdict: NightVerdict, xs: list[float]) -> None:
    """A dot where the leaf's line is lowest, with its low."""
    leaf = next((s for s in verdict.series if s.name == "leaf_exposed"), None)
    if leaf is None:
        return
    value, x = min((v, x) for v, x in zip(leaf.p50_c, xs, strict=True) if math.isfinite(v))
    y = axis.at(value)
    # the verdict's own number: each night's low, not the low of the middle line, which is a little higher
    value = next((o.low_c.p50 for o in verdict.organs if o.organ == "leaf_exposed"), value)
    sheet.add(f'<circle class="dot cold" cx="{x:.1f}" cy="{y:.1f}" r="5"/>')
    sheet.marks.append(Box(x - 5, y - 5, x + 5, y + 5))
    words = u.bare_temperature(value, axis.units)
    sheet.place(words, (x, y), clear=6, towards=math.pi / 2, size=SIZE, klass="t-frost t-strong")


def _critical_name(sheet: Sheet, axis: Axis, verdict: NightVerdict, left: float, right: float) -> None:
    """The name of the critical line, along it where it hides least."""
    best, _, _ = _critical(verdict)
    if best is None:
        return
    part = organ_words(verdict.worst.organ, verdict.tree)
    temp = u.temperature(best, axis.units)
    for words in (f"{part}: harm starts at {temp}", f"harm starts at {temp}"):
        if text_width(words, SIZE) < (right - left) * 0.8:
            break
    line = [(x, axis.at(best)) for x in across(24, left + 2, right - 2)]
    name_line(sheet, words, line, "t-frost", reaches=(4.0, 10.0, 18.0, 28.0))
