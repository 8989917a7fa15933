"""A trace drawn as a descent: each thing under the one it was first reached from, other ways as dashed lines."""

from __future__ import annotations

from dataclasses import dataclass, field
from urllib.parse import quote

from markupsafe import Markup, escape

from barkslip.domain.trace import Node, Odds, Reached, Trace
from barkslip.present import dates
from barkslip.present import trace as words
from barkslip.present.labels import Sheet, cut

#: Width on a phone of 360 px with the page's margins.
WIDE = 328.0
_ROW, _IN, _MARK = 44.0, 13.0, 7.5
_DEEPEST = 8
#: Dashed lines beside the rows: how many, and how far apart.
_LANES, _LANE = 4, 7.0
#: A drawing narrower than this has no room for them.
_WITH_LANES = 480.0


@dataclass
class _Row:
    """One line of the drawing: one thing, or equal grafts of one setting."""

    places: list[int]
    depth: int
    label: str
    under: str
    odds: Odds | None
    parent: int
    y: float = 0.0
    children: list[int] = field(default_factory=list)


def graph(trace: Trace, width: float = WIDE) -> Markup:
    """The drawing; empty if nothing was reached."""
    if not trace.reached:
        return Markup("")
    rows = _rows(trace)
    sheet = Sheet(width, 18.0 + _ROW * len(rows))
    for i, row in enumerate(rows):
        row.y = 26.0 + _ROW * i
    for row in rows[1:]:
        _elbow(sheet, rows[row.parent], row)
    more = _dashed(sheet, trace, rows)
    for row in rows:
        _line(sheet, trace, row)
    title = escape(words.headline(trace))
    desc = "Each thing stands under the one it was first reached from; dashed lines are other ways."
    if more:
        desc += f" {more} more ways are left out; the table has all."
    return Markup(
        f'<svg class="chart trace" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="group"><title>{title}</title><desc>{desc}</desc>{"".join(sheet.parts)}</svg>'
    )


def _rows(trace: Trace) -> list[_Row]:
    """Rows from the suspect down, children under their parents."""
    parents: dict[int, int] = {}
    for one in trace.reached:
        contact = words.first_way(trace, one.node)
        if contact is not None:
            parents[one.node] = contact.target if trace.backward else contact.source
    children: dict[int, list[int]] = {}
    wanted = _wanted(trace, parents)
    for one in (r for r in trace.reached if r.node in wanted):
        children.setdefault(parents.get(one.node, trace.origin), []).append(one.node)
    by_node = {r.node: r for r in trace.reached}
    origin = trace.nodes[trace.origin]
    rows = [_Row([trace.origin], 0, origin.id, f"suspect, {words.KIND_WORDS[origin.kind]}", None, -1)]
    stack = [(trace.origin, 0)]
    while stack:
        node, at = stack.pop()
        if node != trace.origin:
            at = _add(trace, rows, node, at, by_node, children)
            if at < 0:
                continue
        for child in reversed(children.get(node, [])):
            stack.append((child, at))
    return rows


def _wanted(trace: Trace, parents: dict[int, int]) -> set[int]:
    """What is drawn: all that is more than hardly reached, and the way there."""
    out: set[int] = set()
    for one in trace.reached:
        node = one.node
        while not words.hardly(one) and node != trace.origin and node not in out:
            out.add(node)
            node = parents.get(node, trace.origin)
    return out


def _add(
    trace: Trace, rows: list[_Row], node: int, parent: int, by_node: dict[int, Reached], children: dict[int, list[int]]
) -> int:
    """Add a row, or join the row of an equal graft; its place, or -1 if it joined another."""
    thing, one = trace.nodes[node], by_node[node]
    contact = words.first_way(trace, node)
    way = words.way_words(trace, contact, node) if contact is not None else ""
    day = one.latest if trace.backward else one.earliest
    when = f"{'until ' if trace.backward else ''}{dates.day_text(day)}" if day else ""
    under = "; ".join(part for part in (words.short_odds(one.odds), when, way) if part)
    last = rows[-1]
    stem = thing.id.rpartition("-")[0]
    alike = thing.kind == "graft" and node not in children and last.parent == parent
    alike = alike and last.under.partition("; ")[2] == under.partition("; ")[2]
    if alike and stem and trace.nodes[last.places[0]].id.rpartition("-")[0] == stem and not last.children:
        last.places.append(node)
        last.label = words.codes([trace.nodes[p] for p in last.places])
        return -1
    if node in children:
        rows[parent].children.append(node)
    rows.append(_Row([node], min(rows[parent].depth + 1, _DEEPEST), thing.id, under, one.odds, parent))
    rows[-1].children = list(children.get(node, []))
    return len(rows) - 1


def _x(row: _Row) -> float:
    return _MARK + 2.0 + _IN * row.depth


def _elbow(sheet: Sheet, parent: _Row, row: _Row) -> None:
    x0, x1 = _x(parent), _x(row)
    sheet.add(f'<path class="trace-way" d="M{x0:.1f} {parent.y + _MARK:.1f} V{row.y:.1f} H{max(x1 - _MARK, x0):.1f}"/>')


def _dashed(sheet: Sheet, trace: Trace, rows: list[_Row]) -> int:
    """Other ways between rows, in the lanes at the right edge; how many found no room."""
    at = {place: i for i, row in enumerate(rows) for place in row.places}
    pairs = {
        tuple(sorted((at[c.source], at[c.target])))
        for c in trace.contacts
        if not c.first and c.source in at and c.target in at and at[c.source] != at[c.target]
    }
    pairs -= {tuple(sorted((row.parent, i))) for i, row in enumerate(rows)}
    ends = [-1] * _LANES
    left = 0
    if sheet.width < _WITH_LANES:
        return len(pairs)
    for first, last in sorted(pairs, key=lambda p: (p[1] - p[0], p)):
        lane = next((i for i, end in enumerate(ends) if end < first), None)
        if lane is None:
            left += 1
            continue
        ends[lane] = last
        x = sheet.width - 3.0 - _LANE * lane
        y0, y1 = rows[first].y + 8.0, rows[last].y - 8.0
        edge = _edge(sheet) + 2.0
        sheet.add(f'<path class="trace-other" d="M{edge:.1f} {y0:.1f} H{x:.1f} V{y1:.1f} H{edge:.1f}"/>')
    return left


def _edge(sheet: Sheet) -> float:
    """Where the words end."""
    return sheet.width - (_LANE * _LANES + 6.0 if sheet.width >= _WITH_LANES else 0.0)


def _line(sheet: Sheet, trace: Trace, row: _Row) -> None:
    node, x = trace.nodes[row.places[0]], _x(row)
    sheet.add(_mark(node, x, row.y, row.odds))
    left, right = x + _MARK + 7.0, _edge(sheet)
    name = f"{row.label} {node.name}" if node.kind in ("tree", "lot") and node.name else row.label
    label = cut(name, 14, (right - left) / 1.08)
    part = f'<text class="t-strong" x="{left:.1f}" y="{row.y - 1:.1f}" font-size="14">{escape(label)}</text>'
    href = address(node)
    sheet.add(f'<a href="{escape(href)}">{part}</a>' if href else part)
    under = cut(row.under, 13, right - left)
    sheet.add(f'<text class="t-quiet" x="{left:.1f}" y="{row.y + 15:.1f}" font-size="13">{escape(under)}</text>')


def _mark(node: Node, x: float, y: float, odds: Odds | None) -> str:
    """A shape for each kind; filled if certain or the suspect, dashed where no chance is known."""
    full = odds is None or odds.certain
    klass = "trace-full" if full else "trace-open" if odds is None or odds.known else "trace-maybe"
    r = _MARK - 1.0
    shapes = {
        "lot": f'<rect x="{x - r:.1f}" y="{y - r:.1f}" width="{2 * r:g}" height="{2 * r:g}"',
        "graft": f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:g}"',
        "tree": f'<path d="M{x:.1f} {y - r - 1:.1f} L{x + r + 1:.1f} {y + r:.1f} H{x - r - 1:.1f} Z"',
        "tool": f'<path d="M{x:.1f} {y - r - 1:.1f} L{x + r + 1:.1f} {y:.1f} L{x:.1f} {y + r + 1:.1f} '
        f'L{x - r - 1:.1f} {y:.1f} Z"',
        "receiver": f'<path d="M{x - r:.1f} {y - r:.1f} H{x + 1:.1f} L{x + r + 1:.1f} {y:.1f} L{x + 1:.1f} {y + r:.1f} '
        f'H{x - r:.1f} Z"',
    }
    return f'{shapes[node.kind]} class="trace-mark {klass}"/>'


def key() -> tuple[tuple[str, Markup], ...]:
    """Shapes and their words, to stand under the drawing."""
    out = []
    for kind, word in words.KIND_WORDS.items():
        shape = _mark(Node(kind, ""), 11, 11, Odds(0.5, 0.4, 0.6))
        out.append((word, _small(shape)))
    out.append(("for certain", _small(_mark(Node("graft", ""), 11, 11, None))))
    out.append(("chance not known", _small(_mark(Node("graft", ""), 11, 11, Odds(0.5, 0.0, 1.0, known=False)))))
    return tuple(out)


def _small(shape: str) -> Markup:
    return Markup(f'<svg class="trace-key" viewBox="0 0 22 22" width="22" height="22" aria-hidden="true">{shape}</svg>')


def address(node: Node) -> str:
    """Where in the app a thing is seen; "" if it has no page."""
    folder = {"lot": "wood", "graft": "grafts", "tree": "trees"}.get(node.kind)
    return f"/{folder}/{quote(node.id)}" if folder else ""
