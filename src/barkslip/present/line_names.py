"""Names on the lines of a chart: each stands near its own line, hides little, and lies on no other word."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from itertools import pairwise

from barkslip.present.labels import Box, Sheet, text_width

SIZE = 13.0
_COLUMN = 4.0
#: How far from its line a name may stand, nearest first.
REACHES = (4.0, 9.0, 15.0, 23.0, 34.0, 48.0, 66.0)
#: Points of a line, on the drawing.
Line = list[tuple[float, float]]


def across(count: int, left: float, right: float) -> list[float]:
    """Places of evenly spaced times."""
    return [left + i / (count - 1) * (right - left) for i in range(count)]


def along(line: Line) -> Line:
    """Points along a line, near enough for a word to notice it."""
    out = list(line)
    for (x0, y0), (x1, y1) in pairwise(line):
        steps = int(max(abs(x1 - x0), abs(y1 - y0)) / 5)
        out += [(x0 + (x1 - x0) * k / steps, y0 + (y1 - y0) * k / steps) for k in range(1, steps)]
    return out


def name_line(
    sheet: Sheet,
    text: str,
    line: Line,
    klass: str,
    reaches: tuple[float, ...] = REACHES,
) -> None:
    """A name above or below its line, where it hides least and lies clear of all other words."""
    width = text_width(text, SIZE, bold="t-strong" in klass)
    points = _thinned(line)
    # at sunset all lines are one: a name there would say nothing
    best = _best_place(sheet, points[len(points) // 6 :], width, reaches) or _best_place(sheet, points, width, reaches)
    if best is None:
        sheet.left_out.append(text)
        return
    left, base, point = best
    leader = _leader(Box(left, base - 11.0, left + width, base + 4.0), point)
    if leader is not None:
        sheet.marks.append(leader)
        x, (y0, y1) = leader.x0 + 1.0, (leader.y0, leader.y1)
        sheet.add(f'<line class="leader" x1="{x:.1f}" y1="{y0:.1f}" x2="{x:.1f}" y2="{y1:.1f}"/>')
    sheet.write(text, left, base, SIZE, klass=klass)


def _leader(box: Box, point: tuple[float, float]) -> Box | None:
    """Room of the thin upright line from a name to its line; None if it stands close enough without."""
    x, y = min(max(point[0], box.x0 + 4.0), box.x1 - 4.0), point[1]
    top, bottom = (box.y1, y) if box.y1 < y else (y, box.y0)
    return Box(x - 1.0, top, x + 1.0, bottom) if bottom - top > 13.0 else None


def _best_place(
    sheet: Sheet, points: Line, width: float, reaches: tuple[float, ...]
) -> tuple[float, float, tuple[float, float]] | None:
    """Left end and base of a name as wide as `width`, and the point it belongs to."""
    best: tuple[float, float, float, tuple[float, float]] | None = None
    lines = _columns(sheet.soft)
    for i, (x, y) in enumerate(points):
        from_middle = abs(i / max(len(points) - 1, 1) - 0.5)
        left = min(max(x - width / 2, 36.0), sheet.width - width - 3.0)
        for reach in reaches:
            for base in (y - reach, y + reach + 10.0):
                box = Box(left, base - 11.5, left + width, base + 4.0)
                cost = reach + 12.0 * from_middle
                if (best is not None and cost >= best[0]) or base > sheet.height - 36 or not sheet.free(box):
                    continue
                leader = _leader(box, (x, y))
                if leader is not None and any(leader.meets(other) for _, other in sheet.labels):
                    continue
                cost += 5.0 * _hidden(lines, box)
                if best is None or cost < best[0]:
                    best = (cost, left, base, (x, y))
    return best[1:] if best is not None else None


def _columns(points: Line) -> dict[int, list[float]]:
    """Heights of points by column of the drawing, in order: looking through all of them for each place would take most
    of the page's time."""
    out: dict[int, list[float]] = defaultdict(list)
    for x, y in points:
        out[int(x // _COLUMN)].append(y)
    return {column: sorted(heights) for column, heights in out.items()}


def _hidden(columns: dict[int, list[float]], box: Box) -> int:
    """How many of those points a box would hide."""
    count = 0
    for column in range(int(box.x0 // _COLUMN), int(box.x1 // _COLUMN) + 1):
        heights = columns.get(column)
        if heights:
            count += bisect_right(heights, box.y1) - bisect_left(heights, box.y0)
    return count


def _thinned(line: Line) -> Line:
    """Points every few units of width along a line."""
    out: Line = []
    for (x0, y0), (x1, y1) in pairwise(line):
        steps = max(int((x1 - x0) / 8), 1)
        out += [(x0 + (x1 - x0) * k / steps, y0 + (y1 - y0) * k / steps) for k in range(steps)]
    return out or line
