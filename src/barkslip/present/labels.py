"""Room for words in a drawing: how wide a text is, and where it can stand without lying over anything.

Widths are advance widths of our own letters (Atkinson Hyperlegible, OFL, `static/fonts`), read from the font's own
table and rounded up, so that a box is never smaller than its text.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from markupsafe import escape

#: Advance width of a letter by class [share of the size].
_WIDTHS = {
    " .,·'’‘:;!|ijl": 0.29,
    "-/frtIJ1°()": 0.45,
    "csxyzvkaeghnopqbdu?": 0.57,
    "0123456789×–−+=": 0.66,
    "ABCDEFGHKLNOPQRSTUVXYZ%&": 0.72,
    "mwMW…@": 0.87,
}
_WIDTH = {letter: width for letters, width in _WIDTHS.items() for letter in letters}
_OTHER = 0.75
_BOLD = 1.08
_LINE = 1.15  # height of a line [share of the size]
_BASE = 0.86  # where in it the letters stand [share of the size]
_PAD = 2.0
_ANGLES = (0, 20, -20, 40, -40, 65, -65, 90, -90, 120, -120, 150, -150, 180)
_REACHES = (3.0, 8.0, 16.0, 26.0, 38.0, 52.0, 68.0, 86.0)


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a text, at least what it takes [same unit as `size`]."""
    width = size * sum(_WIDTH.get(letter, _OTHER) for letter in text)
    return width * _BOLD if bold else width


def cut(text: str, size: float, room: float) -> str:
    """The text, shortened with an ellipsis if it is wider than `room`."""
    if text_width(text, size) <= room:
        return text
    while text and text_width(text + "…", size) > room:
        text = text[:-1]
    return text.rstrip() + "…"


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the drawing: left, top, right, bottom."""

    x0: float
    y0: float
    x1: float
    y1: float

    def meets(self, other: Box, pad: float = 0.0) -> bool:
        """True if the two overlap or come closer than `pad`."""
        return (
            self.x0 < other.x1 + pad
            and other.x0 < self.x1 + pad
            and self.y0 < other.y1 + pad
            and other.y0 < self.y1 + pad
        )

    def holds(self, x: float, y: float) -> bool:
        """True if the point lies in it."""
        return self.x0 <= x <= self.x1 and self.y0 <= y <= self.y1

    def inside(self, width: float, height: float) -> bool:
        """True if it lies wholly on a drawing of that size."""
        return self.x0 >= 1 and self.y0 >= 1 and self.x1 <= width - 1 and self.y1 <= height - 1


def disc(x: float, y: float, radius: float) -> Box:
    """The box around a mark."""
    return Box(x - radius, y - radius, x + radius, y + radius)


@dataclass
class Sheet:
    """A drawing in the making: its parts, and what its words must keep clear of.

    Parameters
    ----------
    width, height : float
        Size in drawing units.
    """

    width: float
    height: float
    parts: list[str] = field(default_factory=list)
    marks: list[Box] = field(default_factory=list)
    labels: list[tuple[str, Box]] = field(default_factory=list)
    soft: list[tuple[float, float]] = field(default_factory=list)  # points better left uncovered
    left_out: list[str] = field(default_factory=list)

    def add(self, part: str) -> None:
        """Draw something that words may cross."""
        self.parts.append(part)

    def free(self, box: Box) -> bool:
        """True if a label may stand there."""
        return (
            box.inside(self.width, self.height)
            and not any(box.meets(mark, _PAD) for mark in self.marks)
            and not any(box.meets(other, _PAD) for _, other in self.labels)
        )

    def write(self, text: str, x: float, y: float, size: float, *, anchor: str = "start", klass: str = "") -> Box:
        """Write at a fixed place (left, middle or right end of the base line) and keep others off it."""
        width = text_width(text, size, bold="t-strong" in klass)
        left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
        box = Box(left, y - _BASE * size, left + width, y + (_LINE - _BASE) * size)
        self.labels.append((text, box))
        self.parts.append(_text(text, x, y, size, anchor, klass))
        return box

    def write_free(self, text: str, ends: tuple[tuple[float, float, str], ...], size: float, klass: str = "") -> bool:
        """Write at the first of some places (x, y, anchor) that is free; nowhere if none is."""
        width = text_width(text, size, bold="t-strong" in klass)
        for x, y, anchor in ends:
            left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
            if self.free(Box(left, y - _BASE * size, left + width, y + (_LINE - _BASE) * size)):
                self.write(text, x, y, size, anchor=anchor, klass=klass)
                return True
        return False

    def place(
        self,
        text: str,
        at: tuple[float, float],
        *,
        clear: float,
        towards: float,
        size: float = 14.0,
        klass: str = "",
        href: str = "",
    ) -> bool:
        """Find room for a text near a point; False (and it is noted as left out) if there is none.

        Parameters
        ----------
        at : (x, y)
            The point it belongs to.
        clear : float
            Distance from the point that is taken already (radius of its mark).
        towards : float
            Direction tried first [rad], 0 = right, clockwise on the page.
        """
        best: tuple[float, Box] | None = None
        for reach in _REACHES:
            for turn in _ANGLES:
                box = self._box(text, at, clear + reach, towards + math.radians(turn), size, klass)
                cost = reach + abs(turn) * 0.16
                if (best is not None and cost >= best[0]) or not self.free(box):
                    continue
                cost += 4.0 * sum(box.holds(*point) for point in self.soft)
                if best is None or cost < best[0]:
                    best = (cost, box)
        if best is None:
            self.left_out.append(text)
            return False
        box = best[1]
        self.labels.append((text, box))
        words = _text(text, (box.x0 + box.x1) / 2, box.y0 + _BASE * size, size, "middle", klass)
        line = self._leader(at, clear, box)
        self.parts.append(line + (f'<a href="{escape(href)}">{words}</a>' if href else words))
        return True

    def _box(self, text: str, at: tuple[float, float], reach: float, angle: float, size: float, klass: str) -> Box:
        width, height = text_width(text, size, bold="t-strong" in klass), _LINE * size
        ux, uy = math.cos(angle), math.sin(angle)
        away = reach + abs(ux) * width / 2 + abs(uy) * height / 2
        x, y = at[0] + ux * away, at[1] + uy * away
        return Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)

    def _leader(self, at: tuple[float, float], clear: float, box: Box) -> str:
        """A thin line from the mark to a label that stands off."""
        x, y = min(max(at[0], box.x0), box.x1), min(max(at[1], box.y0), box.y1)
        away = math.hypot(x - at[0], y - at[1])
        if away < clear + 14:
            return ""
        k = (clear + 1) / away
        x0, y0 = at[0] + (x - at[0]) * k, at[1] + (y - at[1]) * k
        return f'<line class="leader" x1="{x0:.1f}" y1="{y0:.1f}" x2="{x:.1f}" y2="{y:.1f}"/>'


def _text(text: str, x: float, y: float, size: float, anchor: str, klass: str) -> str:
    kind = f' class="{klass}"' if klass else ""
    at = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}"{at}{kind}>{escape(text)}</text>'
