"""Our own drawing of the three layers: a growing tip cut lengthwise, and the fruit they build cut across.

Each layer has its own pattern besides its colour: L1 solid, L2 dotted, L3 lined.
"""

from __future__ import annotations

import math

from markupsafe import Markup, escape

#: Size of the drawing [drawing units].
WIDTH, TIP_HEIGHT, FRUIT_HEIGHT = 330, 196, 222
_SEGMENTS = 9
_NOTE = 34  # longest name written beside a layer [characters]


def layers_drawing(kinds: tuple[str, str, str] | None = None) -> Markup:
    """The growing tip over the fruit.

    Parameters
    ----------
    kinds : (str, str, str) or None
        Kind in L1, L2 and L3, written beside them; what they build is written if there are none.
    """
    names = kinds or ("outside", "middle", "core")
    said = "A growing tip and a fruit cut open. " + " ".join(
        f"L{i + 1}: {name}." for i, name in enumerate(names)
    )  # fmt: skip
    height = TIP_HEIGHT + FRUIT_HEIGHT
    body = _patterns() + _tip(names) + f'<g transform="translate(0 {TIP_HEIGHT})">{_fruit()}</g>'
    return Markup(
        f'<svg class="chimera" viewBox="0 0 {WIDTH} {height}" role="img" aria-label="{escape(said)}">{body}</svg>'
    )


def _patterns() -> str:
    return (
        '<defs><pattern id="ch-dots" width="7" height="7" patternUnits="userSpaceOnUse">'
        '<circle class="ch-ink" cx="3.5" cy="3.5" r="1.4"/></pattern>'
        '<pattern id="ch-lines" width="7" height="7" patternUnits="userSpaceOnUse">'
        '<path class="ch-line" d="M0 7L7 0"/></pattern></defs>'
    )


def _tip(names: tuple[str, ...]) -> str:
    """A dome: its core, the middle layer over it, the outer layer over both."""
    parts = [
        f'<path class="ch-l1" d="{_dome(84, 168)}"/>',
        f'<path class="ch-l2" d="{_dome(70, 150)}"/><path class="ch-dots" d="{_dome(70, 150)}"/>',
        f'<path class="ch-l3" d="{_dome(52, 128)}"/><path class="ch-lines" d="{_dome(52, 128)}"/>',
    ]
    for i, (at, name) in enumerate(zip((34, 58, 84), names, strict=True)):
        y = 38 + 46 * i
        tip_x = (96, 99, 96)[i]
        parts.append(f'<path class="leader" d="M{tip_x} {at}L182 {y - 5}"/>')
        parts.append(f'<text class="t-strong" x="186" y="{y}" font-size="15">L{i + 1}</text>')
        for k, line in enumerate(_lines(name)):
            parts.append(f'<text x="210" y="{y + 15 * k}" font-size="13">{escape(line)}</text>')
    return "".join(parts)


def _dome(half: float, tall: float) -> str:
    """A dome standing on the lower edge of the tip, round at its top."""
    base, middle = 188.0, 96.0
    top = base - tall
    return (
        f"M{middle - half:.0f} {base:.0f}C{middle - half:.0f} {top + tall * 0.3:.0f} {middle - half * 0.55:.0f} "
        f"{top:.0f} {middle:.0f} {top:.0f}S{middle + half:.0f} {top + tall * 0.3:.0f} {middle + half:.0f} {base:.0f}Z"
    )


def _lines(name: str) -> list[str]:
    """A name in at most two lines."""
    words, lines = name.split(), [""]
    for word in words:
        if lines[-1] and len(lines[-1]) + len(word) > _NOTE // 2:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines if len(lines) <= 2 else [lines[0], " ".join(lines[1:])[: _NOTE // 2 - 1] + "…"]


def _fruit() -> str:
    """A fruit cut across: skin and juice sacs of L1, rind and walls of L2, the strand in the middle of L3."""
    x, y, rim, rind, pulp = 96.0, 126.0, 88.0, 84.0, 70.0
    parts = [
        f'<circle class="ch-l1" cx="{x}" cy="{y}" r="{rim}"/>',
        f'<circle class="ch-l2" cx="{x}" cy="{y}" r="{rind}"/><circle class="ch-dots" cx="{x}" cy="{y}" r="{rind}"/>',
    ]
    for i in range(_SEGMENTS):
        parts.append(f'<path class="ch-l1" d="{_segment(x, y, pulp, i)}"/>')
    turn = 2 * math.pi / _SEGMENTS
    for i in (1, 4, 7):
        sx, sy = x + 27 * math.cos(turn * i), y + 27 * math.sin(turn * i)
        parts.append(f'<circle class="ch-l2 ch-seed" cx="{sx:.1f}" cy="{sy:.1f}" r="4"/>')
    parts.append(f'<circle class="ch-l3" cx="{x}" cy="{y}" r="8"/><circle class="ch-lines" cx="{x}" cy="{y}" r="8"/>')
    notes = (
        ("skin of the peel: L1", 161, 67, 44),
        ("rind, walls, seed: L2", 164, 89, 86),
        ("juice sacs: L1", 148, 128, 128),
        ("strand, wood: L3", 103, 130, 170),
    )
    for words, px, py, ty in notes:
        parts.append(f'<path class="leader" d="M{px} {py}L194 {ty - 5}"/>')
        parts.append(f'<text x="198" y="{ty}" font-size="13">{escape(words)}</text>')
    return "".join(parts)


def _segment(x: float, y: float, radius: float, place: int) -> str:
    """One segment of the pulp, a little apart from its neighbours."""
    turn = 2 * math.pi / _SEGMENTS
    start, end = turn * place + 0.05, turn * (place + 1) - 0.05
    inner = 14.0
    points = [
        (x + r * math.cos(a), y + r * math.sin(a))
        for r, a in ((inner, start), (radius, start), (radius, end), (inner, end))
    ]
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = points
    return f"M{ax:.1f} {ay:.1f}L{bx:.1f} {by:.1f}A{radius:.0f} {radius:.0f} 0 0 1 {cx:.1f} {cy:.1f}L{dx:.1f} {dy:.1f}Z"


#: Said under the drawing.
CAPTION = (
    "A growing tip cut lengthwise, below it a fruit cut across: plain is L1, dotted L2, lined L3. Segment walls "
    "and strand are our guess; one study found both kinds in juice sacs and walls."
)
