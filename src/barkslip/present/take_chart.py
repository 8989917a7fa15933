"""Takes drawn: ranges beside counts, and curves of time to push and of loss. Each has a table on its page."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup, escape

from barkslip.domain.take import Curve, TakeGroup, TakeVerdict
from barkslip.present import take
from barkslip.present import units as u
from barkslip.present.labels import Sheet, cut, text_width

#: Width on a phone of 360 px with the page's margins: one unit is one pixel there.
WIDE = 328.0
_ROW = 58.0
_HEAD = 34.0
_TICKS = (0, 25, 50, 75, 100)


def ranges(v: TakeVerdict, width: float = WIDE) -> Markup:
    """Groups as lines: the range of 9 in 10 with its middle, and beside it what was counted.

    Dashed where there are too few grafts to compare. Empty without groups.
    """
    rows = [*v.groups, v.whole] if len(v.groups) > 1 else list(v.groups)
    if not rows:
        return Markup("")
    sheet = Sheet(width, _HEAD + _ROW * len(rows) + 26.0)
    left, right = 10.0, width - 14.0

    def at(share: float) -> float:
        return left + share * (right - left)

    bottom = sheet.height - 24.0
    for tick in _TICKS:
        x = at(tick / 100.0)
        sheet.add(f'<line class="grid" x1="{x:.1f}" y1="{_HEAD - 8:.1f}" x2="{x:.1f}" y2="{bottom:.1f}"/>')
        half = text_width(f"{tick} %", 13) / 2
        sheet.write(
            f"{tick} %", min(max(x, half), width - half), sheet.height - 7, 13, anchor="middle", klass="t-quiet"
        )
    _key(sheet)
    for i, group in enumerate(rows):
        _range_row(sheet, group, at, _HEAD + _ROW * i, whole=group is v.whole and len(v.groups) > 1)
    return _svg(
        sheet,
        f"Share that takes, by {take.by_words(v)}",
        "Line: 9 times in 10; dot: its middle; ring: counted of those with a verdict; dashed: too few to compare.",
        "takes",
    )


def _key(sheet: Sheet) -> None:
    """What the signs mean, on the drawing itself."""
    y = 11.0
    sheet.add(
        f'<line class="take-line" x1="2" y1="{y}" x2="30" y2="{y}"/><circle class="take-dot" cx="16" cy="{y}" r="5"/>'
    )
    box = sheet.write("9 times in 10, its middle", 36, y + 4.5, 13)
    x = box.x1 + 16
    sheet.add(f'<circle class="take-ring" cx="{x:.1f}" cy="{y}" r="6"/>')
    sheet.write("counted", x + 11, y + 4.5, 13)


def _range_row(sheet: Sheet, g: TakeGroup, at: object, y: float, *, whole: bool) -> None:
    assert callable(at)
    name = "all together" if whole else take.group_name(g.group) or "all"
    count = f"{g.took} of {g.decided}" if g.decided else "none yet"
    room = text_width(count, 13) + 8
    sheet.write(cut(name, 14, sheet.width - room), 0, y + 15, 14, klass="t-strong")
    sheet.write(count, sheet.width - 2, y + 15, 13, anchor="end", klass="t-quiet")
    line = y + 34
    r = g.take_26w
    thin = "" if g.ranked or whole else " few"
    sheet.add(
        f'<line class="take-line{thin}" x1="{at(r.p05):.1f}" y1="{line:.1f}" x2="{at(r.p95):.1f}" y2="{line:.1f}"/>'
        f'<circle class="take-dot{thin}" cx="{at(r.p50):.1f}" cy="{line:.1f}" r="5"/>'
    )
    if g.decided:
        sheet.add(f'<circle class="take-ring" cx="{at(g.took / g.decided):.1f}" cy="{line:.1f}" r="7.5"/>')


def curves(curve: Curve | None, title: str, width: float = WIDE) -> Markup:
    """Share standing with its range, had pushed, dried or black, lost to other causes, week by week.

    Empty without a curve.
    """
    if curve is None or curve.weeks[-1] <= 0.0:
        return Markup("")
    sheet = Sheet(width, 236.0)
    left, right, top, bottom = 46.0, width - 8.0, 10.0, 200.0
    last = curve.weeks[-1]

    def x(week: float) -> float:
        return left + week / last * (right - left)

    def y(share: float) -> float:
        return bottom - share * (bottom - top)

    for tick in _TICKS:
        sheet.add(f'<line class="grid" x1="{left}" y1="{y(tick / 100):.1f}" x2="{right}" y2="{y(tick / 100):.1f}"/>')
        sheet.write(f"{tick} %", left - 5, y(tick / 100) + 4.5, 13, anchor="end", klass="t-quiet")
    step = next(s for s in (1, 2, 4, 8, 13) if last / s <= 6.5)
    week = 0
    while week <= last:
        words = f"{week}" if week else "week 0"
        half = text_width(words, 13) / 2
        sheet.write(words, min(max(x(week), half), width - half), 218, 13, anchor="middle", klass="t-quiet")
        week += step
    low, high = _steps(curve.weeks, curve.low, x, y), _steps(curve.weeks, curve.high, x, y)
    area = " ".join(f"{a:.1f},{b:.1f}" for a, b in [*low, *high[::-1]])
    sheet.add(f'<polygon class="curve-band" points="{area}"/>')
    named = []
    for klass, name, values in (
        ("stand", "standing", curve.standing),
        ("push", "had pushed", curve.pushed),
        ("fail", "dried or black", curve.failed),
        ("other", "broken, eaten, choked", curve.other),
    ):
        if max(values) <= 0.0:
            continue
        line = _steps(curve.weeks, values, x, y)
        sheet.add(f'<polyline class="curve {klass}" points="{" ".join(f"{a:.1f},{b:.1f}" for a, b in line)}"/>')
        sheet.soft += line
        named.append((klass, name, values))
    for klass, name, values in named:
        k = _named_at(curve.weeks, last * {"stand": 0.3, "push": 0.62, "fail": 0.42, "other": 0.72}[klass])
        sheet.place(name, (x(last * 0.5) if k is None else x(curve.weeks[k]), y(values[k or 0])), clear=4,
                    towards=-1.57, size=13, klass=f"t-{klass}")  # fmt: skip
    return _svg(
        sheet, title, "Steps between looks; the band is the range of the share standing, 9 times in 10.", "curves"
    )


def _named_at(weeks: Sequence[float], wanted: float) -> int:
    return min(range(len(weeks)), key=lambda i: abs(weeks[i] - wanted))


def _steps(weeks: Sequence[float], values: Sequence[float], x: object, y: object) -> list[tuple[float, float]]:
    """Corners of a step function."""
    assert callable(x) and callable(y)
    out = [(x(weeks[0]), y(values[0]))]
    for i in range(1, len(weeks)):
        out += [(x(weeks[i]), y(values[i - 1])), (x(weeks[i]), y(values[i]))]
    return out


def curve_rows(curve: Curve, weeks: Sequence[int] = (2, 4, 8, 16, 26, 52)) -> tuple[tuple[str, ...], ...]:
    """The curves at some weeks: week, followed, standing, its range, had pushed, dried or black, other causes."""
    out = []
    for week in weeks:
        if week > curve.weeks[-1] + 1e-9:
            break
        i = max(k for k, w in enumerate(curve.weeks) if w <= week + 1e-9)
        after = next((k for k, w in enumerate(curve.weeks) if w >= week - 1e-9), len(curve.weeks) - 1)
        out.append(
            (
                f"{week}", f"{curve.at_risk[after]}", u.percent(curve.standing[i]),
                f"{100 * curve.low[i]:.0f}–{100 * curve.high[i]:.0f} %", u.percent(curve.pushed[i]),
                u.percent(curve.failed[i]), u.percent(curve.other[i]),
            )
        )  # fmt: skip
    return tuple(out)


def _svg(sheet: Sheet, title: str, desc: str, klass: str) -> Markup:
    return Markup(
        f'<svg class="chart {klass}" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="img"><title>{escape(title)}</title><desc>{escape(desc)}</desc>{"".join(sheet.parts)}</svg>'
    )
