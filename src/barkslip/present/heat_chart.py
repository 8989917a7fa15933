"""The charts of a hot day: the scion hour by hour, and all covers side by side.

Words stand on the lines; tables of the same numbers stand behind the charts.
"""

from __future__ import annotations

import math
from itertools import pairwise

from markupsafe import Markup, escape

from barkslip.domain.heat import CoverDay, HeatSeries, HeatVerdict
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates, heat
from barkslip.present import units as u
from barkslip.present.chart import WIDE, Axis
from barkslip.present.heat import BARK_C
from barkslip.present.heat_steps import clock
from barkslip.present.labels import Box, Sheet, cut, text_width
from barkslip.present.line_names import SIZE, Line, across, along, name_line
from barkslip.present.tree import bearing_words

#: Part that a line plays -> class of its line, of its fan, and of its words.
_CLASSES = {
    "air": ("heat-air", "", "t-quiet"),
    "worst": ("heat-worst", "heat-fan worst", "t-heat"),
    "now": ("heat-now", "heat-fan now", "t-wait"),
    "best": ("heat-best", "heat-fan best", "t-leaf t-strong"),
}
_DEPTH = 30.0


def parts(verdict: HeatVerdict) -> tuple[tuple[str, CoverDay], ...]:
    """Covers that the chart draws, the last on top: worst, there now, put forward; each once."""
    best, there, worst = heat.put_forward(verdict), heat.compared(verdict), verdict.covers[-1]
    out = [("best", best)]
    if there is not best:
        out.insert(0, ("now", there))
    if worst is not best and worst is not there:
        out.insert(0, ("worst", worst))
    return tuple(out)


def scion_series(cover: CoverDay) -> HeatSeries | None:
    """The scion's line under a cover."""
    return next((s for s in cover.series if s.name == "scion"), None)


def heat_chart(verdict: HeatVerdict, units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """The day of a verdict. Empty if it has fewer than two hours or no line."""
    lines = [(part, cover, scion_series(cover)) for part, cover in parts(verdict)]
    drawn = [(part, cover, s) for part, cover, s in lines if s is not None and len(s.p50_c) == len(verdict.times)]
    if len(verdict.times) < 2 or not drawn:
        return Markup("")
    sheet = Sheet(width, 350.0 if width < 500 else 420.0)
    air = air_by_time(verdict)
    values = [v for _, _, s in drawn for v in (*s.p10_c, *s.p90_c) if math.isfinite(v)]
    values += [v for v in air if v is not None]
    axis = Axis([*values, *_lines_within(verdict, max(values))], sheet.height - _DEPTH, 10, units, ticks=9)
    left, right = 34.0, width - 8.0
    xs = across(len(verdict.times), left, right)
    for value, words in axis.ticks():
        y = axis.at(value)
        sheet.add(f'<line class="grid" x1="{left}" y1="{y:.1f}" x2="{right}" y2="{y:.1f}"/>')
        sheet.write(words, left - 6, y + 4.5, SIZE, anchor="end", klass="t-quiet")
    _limits(sheet, axis, verdict, left, right)
    for part, _, series in drawn:
        _fan(sheet, axis, series, xs, _CLASSES[part][1])
    _hours(sheet, verdict, xs)
    placed: list[tuple[str, str, Line]] = []
    points = [(x, axis.at(v)) for x, v in zip(xs, air, strict=True) if v is not None]
    placed.append(("air", "air", _draw(sheet, points, "heat-air")))
    for part, cover, series in drawn:
        run = [(x, axis.at(v)) for x, v in zip(xs, series.p50_c, strict=True) if math.isfinite(v)]
        placed.append((part, heat.cover_words(cover.wrap), _draw(sheet, run, _CLASSES[part][0])))
    _top(sheet, axis, drawn[-1][1], drawn[-1][2], xs)
    for part, words, line in reversed(placed):
        name_line(sheet, words, _apart(line, points, drawn[-1][2], axis), _CLASSES[part][2])
    _limit_names(sheet, axis, verdict, left, right)
    title = f"The scion on {dates.day_text(verdict.air.day)}, hour by hour"
    return _svg(sheet, "heat", title, "Lines: the middle of the spread. Shaded: eight in ten lie within.")


def _apart(line: Line, air: Line, best: HeatSeries, axis: Axis) -> Line:
    """The stretch of a line where the lines lie apart: at night all are one, and a name there would say nothing."""
    hottest = max(v for v in best.p50_c if math.isfinite(v))
    by_x = dict(air)
    gaps = {x: by_x[x] - axis.at(v) for x, v in zip(by_x, best.p50_c, strict=False)} if len(by_x) > 2 else {}
    widest = max(gaps.values(), default=0.0)
    by_day = [p for p in line if gaps.get(p[0], 0.0) > widest / 3] if hottest > axis.low and widest > 0 else []
    return by_day if len(by_day) >= 3 else line


def caption(verdict: HeatVerdict) -> str:
    """What stands under the chart."""
    named = {"best": "green, full", "now": "amber, dashed", "worst": "red, dotted"}
    said = [f"{named[part]}: {heat.cover_words(cover.wrap)}" for part, cover in reversed(parts(verdict))]
    return f"The scion under each cover ({'; '.join(said)}). Shaded: eight in ten lie within. Grey dashes: the air."


def table(verdict: HeatVerdict, units: UnitChoice = METRIC) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The chart's numbers: heads, and a row for each hour."""
    lines = [(heat.cover_words(c.wrap), scion_series(c)) for _, c in reversed(parts(verdict))]
    shown = [(words, s) for words, s in lines if s is not None and len(s.p50_c) == len(verdict.times)]
    air = air_by_time(verdict)
    heads = ("hour", "air", *(words for words, _ in shown))
    rows = []
    for i in hours(verdict.times):
        cells = [u.bare_temperature(air[i], units)]
        for _, s in shown:
            low, high = u.bare_temperature(s.p10_c[i], units), u.bare_temperature(s.p90_c[i], units)
            cells.append(f"{u.bare_temperature(s.p50_c[i], units)} ({low} to {high})")
        rows.append((verdict.times[i], *cells))
    return heads, tuple(rows)


def hours(times: tuple[str, ...]) -> list[int]:
    """Places of the first time within each hour."""
    return [i for i, at in enumerate(times) if i == 0 or at[:2] != times[i - 1][:2]]


def air_by_time(verdict: HeatVerdict) -> tuple[float | None, ...]:
    """Air at the times of the series [°C]; None where no hour of the air fits."""
    air, times = verdict.air, verdict.times
    if len(air.air_c) == len(times):
        return air.air_c
    by_clock = {clock(air, s): v for s, v in zip(air.time_s, air.air_c, strict=True)}
    return tuple(by_clock.get(at[:3] + "00") for at in times)


def _svg(sheet: Sheet, klass: str, title: str, desc: str) -> Markup:
    return Markup(
        f'<svg class="chart {klass}" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} '
        f'{sheet.height:g}" role="img"><title>{escape(title)}</title><desc>{escape(desc)}</desc>'
        f"{''.join(sheet.parts)}</svg>"
    )


def _lines_within(verdict: HeatVerdict, hottest_c: float) -> list[float]:
    """Lines that belong on the axis: those that are passed, and the next one above within reach."""
    lines = sorted(temp for temp, _ in verdict.lines)
    passed = [v for v in lines if v <= hottest_c]
    ahead = next((v for v in lines if v > hottest_c), None)
    return [*passed[-1:], *([ahead] if ahead is not None and ahead - hottest_c < 10.0 else [])]


def _limits(sheet: Sheet, axis: Axis, verdict: HeatVerdict, left: float, right: float) -> None:
    """The lines that matter, and a ground over the highest of them."""
    for temp, _ in verdict.lines:
        if not axis.low <= temp <= axis.high:
            continue
        y = axis.at(temp)
        top = axis.at(axis.high)
        sheet.add(
            f'<rect class="heat-over" x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" '
            f'height="{max(y - top, 0):.1f}"/>'
            f'<line class="heat-line" x1="{left:.1f}" y1="{y:.1f}" x2="{right:.1f}" y2="{y:.1f}"/>'
        )


def _limit_names(sheet: Sheet, axis: Axis, verdict: HeatVerdict, left: float, right: float) -> None:
    """The names of the lines, along them; shorter where a whole name has no room."""
    for temp, _ in verdict.lines:
        if not axis.low <= temp <= axis.high:
            continue
        y = axis.at(temp)
        line = [(x, y) for x in across(24, left + 2, right - 2)]
        before = len(sheet.left_out)
        for words in (heat.line_text(temp, axis.units), heat.line_text(temp, axis.units, short=True)):
            if text_width(words, SIZE) < (right - left) * 0.62:
                del sheet.left_out[before:]
                name_line(sheet, words, line, "t-heat", reaches=(4.0, 8.0, 13.0))
                if len(sheet.left_out) == before:
                    break


def _fan(sheet: Sheet, axis: Axis, series: HeatSeries, xs: list[float], klass: str) -> None:
    up = [(x, axis.at(v)) for x, v in zip(xs, series.p90_c, strict=True) if math.isfinite(v)]
    down = [(x, axis.at(v)) for x, v in zip(xs, series.p10_c, strict=True) if math.isfinite(v)]
    points = " ".join(f"{x:.0f},{y:.0f}" for x, y in up + down[::-1])
    sheet.add(f'<polygon class="{klass}" points="{points}"/>')


def _draw(sheet: Sheet, run: Line, klass: str) -> Line:
    sheet.add(f'<polyline class="{klass}" points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in run)}"/>')
    sheet.soft += along(run)
    return run


def _top(sheet: Sheet, axis: Axis, cover: CoverDay, series: HeatSeries, xs: list[float]) -> None:
    """A dot where the line of what is put forward is highest, with the verdict's own number: each member's hottest."""
    value, x = max((v, x) for v, x in zip(series.p50_c, xs, strict=True) if math.isfinite(v))
    y = axis.at(value)
    sheet.add(f'<circle class="heat-dot" cx="{x:.1f}" cy="{y:.1f}" r="5"/>')
    sheet.marks.append(Box(x - 5, y - 5, x + 5, y + 5))
    words = u.bare_temperature(cover.scion_max_c.p50, axis.units)
    sheet.place(words, (x, y), clear=6, towards=-math.pi / 2, size=SIZE, klass="t-leaf t-strong")


def _hours(sheet: Sheet, verdict: HeatVerdict, xs: list[float]) -> None:
    """Hours under the chart, as many as fit."""
    edge, half = -99.0, text_width("00:00", SIZE) / 2
    for i in hours(verdict.times):
        x = min(max(xs[i], half + 1), sheet.width - half - 1)
        if x - half >= edge + 8 and int(verdict.times[i][:2]) % (3 if sheet.width < 500 else 2) == 0:
            edge = sheet.write(verdict.times[i], x, sheet.height - 6, SIZE, anchor="middle", klass="t-quiet").x1


# -- all covers side by side ----------------------------------------------------------------------------------------


def covers_chart(verdict: HeatVerdict, units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """The scion's hottest under each cover, least harm first: a dot with its soft bar, a tick for the sunny strip."""
    covers = verdict.covers
    wide = width >= 500
    step = 30.0 if wide else 44.0
    top = 42.0
    sheet = Sheet(width, top + step * len(covers) + 26.0)
    left = 10.0
    right = width - 14.0
    if wide:
        left = 18.0 + max(text_width(_name(verdict, c), 14, bold=True) for c in covers)
        right = width - 74.0
    values = [v for c in covers for v in (c.scion_max_c.p10, c.scion_max_c.p90, c.strip_max_c.p50)]
    values = [*values, verdict.air.high_c, *_lines_within(verdict, max(values))]
    axis = Axis(values, left, right, units, ticks=6)
    bottom = top + step * len(covers)
    for value, words in axis.ticks():
        x = axis.at(value)
        sheet.add(f'<line class="grid" x1="{x:.1f}" y1="{top:.1f}" x2="{x:.1f}" y2="{bottom:.1f}"/>')
        sheet.write(words, x, sheet.height - 8, SIZE, anchor="middle", klass="t-quiet")
    _uprights(sheet, axis, verdict, top, bottom)
    drawn: dict[str, str] = {}
    for i, cover in enumerate(covers):
        _cover_bar(sheet, axis, verdict, cover, top + step * i, drawn, wide=wide)
    # bars and dots are thick strokes with round ends, one path for all of a kind: a page for a phone far from the house
    for klass, d in sorted(drawn.items(), key=lambda one: ("bar", "strip", "mid").index(one[0].split(" ")[0][5:])):
        sheet.add(f'<path class="{klass}" d="{d}"/>')
    title = "Hottest scion under each cover, least harm first"
    desc = "Dot: the middle; bar: eight in ten; tick: the strip of bark turned to the sun."
    return _svg(sheet, "heat covers", title, desc)


def _uprights(sheet: Sheet, axis: Axis, verdict: HeatVerdict, top: float, bottom: float) -> None:
    """The air's highest and the lines that matter, named at the top."""
    marks = [(temp, u.temperature(temp, axis.units, 0), "heat-line", "t-heat") for temp, _ in verdict.lines]
    high = verdict.air.high_c
    marks.append((high, f"air {u.bare_temperature(high, axis.units)}", "heat-air", "t-quiet"))
    for temp, words, klass, text in sorted(marks, key=lambda m: m[2] == "heat-air"):
        if not axis.low <= temp <= axis.high:
            continue
        x = axis.at(temp)
        sheet.add(f'<line class="{klass}" x1="{x:.1f}" y1="{top - 4:.1f}" x2="{x:.1f}" y2="{bottom:.1f}"/>')
        half = text_width(words, SIZE) / 2
        shifts = (0.0, -half, half)
        places = tuple(
            (min(max(x + d, half + 2), sheet.width - half - 2), y, "middle") for d in shifts for y in (31.0, 13.0)
        )
        if not sheet.write_free(words, places, SIZE, text):
            sheet.left_out.append(words)


def _name(verdict: HeatVerdict, cover: CoverDay) -> str:
    return heat.cover_words(cover.wrap) + (", on it now" if cover is heat.present_cover(verdict) else "")


def _cover_bar(
    sheet: Sheet, axis: Axis, verdict: HeatVerdict, cover: CoverDay, y: float, drawn: dict[str, str], *, wide: bool
) -> None:
    """Name and verdict of a cover; its marks join `drawn`, by class."""
    best = cover is heat.put_forward(verdict)
    kind = " best" if best else " avoid" if cover.verdict == "avoid" else ""
    row = y + (17.0 if wide else 32.0)
    text = row + 4.5 if wide else y + 16.0
    sheet.write(cut(_name(verdict, cover), 14, sheet.width * 0.72), 0, text, 14, klass="t-strong" if best else "")
    said = heat.VERDICT_WORDS[cover.verdict][1] if cover.verdict in heat.VERDICT_WORDS else ""
    klass = "t-heat" if kind == " avoid" else "t-quiet"
    sheet.write(said, sheet.width - 2, text, SIZE, anchor="end", klass=klass)
    low, middle, high = (axis.at(v) for v in (cover.scion_max_c.p10, cover.scion_max_c.p50, cover.scion_max_c.p90))
    strip = axis.at(cover.strip_max_c.p50)
    for klass, d in (
        ("heat-strip", f"M{middle:.0f} {row:.0f}H{strip:.0f}m0-6v12"),
        (f"heat-bar{kind}", f"M{low:.0f} {row:.0f}H{max(high, low + 1):.0f}"),
        (f"heat-mid{kind}", f"M{middle:.0f} {row:.0f}h0"),
    ):
        drawn[klass] = drawn.get(klass, "") + d


# -- sides of the bark ----------------------------------------------------------------------------------------------

#: Classes of a cell's bar by how many lines its bark passes.
_CELLS = ("", "heat-cell over1", "heat-cell over2", "heat-cell over3")


def faces_chart(verdict: HeatVerdict, units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """Eight sides of the bark by hour: the taller a bar, the more of the lines it passes; the hottest at the end."""
    lines = sorted(temp for temp, _ in verdict.lines)
    faces = [f for f in verdict.faces if len(f.by_hour_c) >= 2]
    if not faces:
        return Markup("")
    step, left, end = 26.0, 34.0, 46.0
    count = max(len(f.by_hour_c) for f in faces)
    sheet = Sheet(width, 8.0 + step * len(faces) + 24.0)
    cell = (width - left - end) / count
    bars: dict[int, list[str]] = {}
    for i, face in enumerate(faces):
        base = 1.0 + step * (i + 1)
        sheet.write(face.face, 2, base - 5.0, SIZE)
        sheet.add(f'<line class="grid" x1="{left}" y1="{base:.0f}" x2="{width - end:.0f}" y2="{base:.0f}"/>')
        for first, last, passed in _stretches(face.by_hour_c, lines):
            tall = (step - 6.0) * passed / len(lines)
            x, wide = left + cell * first + 0.6, cell * (last - first + 1) - 1.2
            bars.setdefault(min(passed, 3), []).append(f"M{x:.1f} {base:.0f}v{-tall:.1f}h{wide:.1f}v{tall:.1f}z")
        hot = face.bark_max_c.p50
        words = u.temperature(hot, units, 0)
        sheet.write(words, width - 1, base - 5.0, SIZE, anchor="end", klass="t-heat" if hot >= BARK_C else "t-quiet")
    for passed in sorted(bars):
        sheet.add(f'<path class="{_CELLS[passed]}" d="{"".join(bars[passed])}"/>')
    _strip_hours(sheet, count, left, cell)
    title = f"Sides of the bark in danger on {dates.day_text(verdict.air.day)}"
    desc = "Rows: sides of the limb, clockwise from north. Taller bars: hotter bark. At the end of a row: its hottest."
    return _svg(sheet, "heat faces", title, desc)


def _stretches(temps: tuple[float, ...], lines: list[float]) -> list[tuple[int, int, int]]:
    """Hours that pass equally many lines, if any: (first, last, lines passed)."""
    out: list[tuple[int, int, int]] = []
    for j, temp in enumerate(temps):
        passed = sum(temp >= line for line in lines)
        if out and out[-1][1] == j - 1 and out[-1][2] == passed:
            out[-1] = (out[-1][0], j, passed)
        elif passed:
            out.append((j, j, passed))
    return out


def _strip_hours(sheet: Sheet, count: int, left: float, cell: float) -> None:
    for hour in range(0, count, 6 if sheet.width < 500 else 3):
        words = f"{hour:02d}:00"
        sheet.write(words, max(left + cell * hour, text_width(words, SIZE) / 2), sheet.height - 6, SIZE,
                    anchor="middle", klass="t-quiet")  # fmt: skip


def faces_caption(verdict: HeatVerdict, units: UnitChoice = METRIC) -> str:
    """What stands under the strip."""
    temps = [u.temperature(temp, units, 0) for temp, _ in sorted(verdict.lines, key=lambda one: one[0])]
    return (
        f"The middle of the spread by hour, bark as it is. The taller a bar, the more lines it passes: "
        f"{counts.listed(temps)}. At the end of each row: the hottest of the day."
    )


def danger_hours(verdict: HeatVerdict, line_c: float = BARK_C) -> tuple[tuple[str, str], ...]:
    """("north-west", "14:00 to 18:00") for each side whose middle passes a line; the strip in words."""
    out = []
    for face in verdict.faces:
        over = [i for i, v in enumerate(face.by_hour_c) if v >= line_c]
        if over:
            spans = _runs(over)
            out.append((bearing_words(face.face), ", ".join(_span(a, b) for a, b in spans)))
    return tuple(out)


def _runs(places: list[int]) -> list[tuple[int, int]]:
    runs = [[places[0], places[0]]]
    for before, now in pairwise(places):
        if now == before + 1:
            runs[-1][1] = now
        else:
            runs.append([now, now])
    return [(a, b) for a, b in runs]


def _span(first: int, last: int) -> str:
    return f"{first:02d}:00" if first == last else f"{first:02d}:00 to {last:02d}:00"
