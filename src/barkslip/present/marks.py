"""The six marks of a graft: a shape and a word, with colour only as a help.

Shapes are drawn on a field of 24 by 24 around (12, 12). Colours come from the style sheet by class.
"""

from __future__ import annotations

from markupsafe import Markup, escape

from barkslip.domain.graft import MARKS

#: Mark -> the word beside it.
MARK_WORDS = {
    "took": "took",
    "pushing": "pushing",
    "waiting": "waiting",
    "stalled": "stalled",
    "lost": "lost",
    "unknown": "not known",
}

_DISC = '<circle class="mk-disc" cx="12" cy="12" r="10.5"/>'
_RING = '<circle class="mk-ring" cx="12" cy="12" r="9.5" fill="none" stroke-width="2.2"/>'
_STROKE = 'fill="none" stroke-linecap="round" stroke-linejoin="round"'
_SHAPES = {
    "took": _DISC + f'<path class="mk-cut" d="M7.2 12.4 L10.7 15.8 L17 8.8" {_STROKE} stroke-width="2.6"/>',
    "pushing": _DISC + f'<path class="mk-cut" d="M12 17.6 V7 M7.8 11 L12 6.8 L16.2 11" {_STROKE} stroke-width="2.4"/>',
    "waiting": _RING + '<circle class="mk-dot" cx="12" cy="12" r="3.9"/>',
    "stalled": _RING + f'<path class="mk-bar" d="M7.4 12 H16.6" {_STROKE} stroke-width="2.8"/>',
    "lost": _RING + f'<path class="mk-bar" d="M8.3 8.3 L15.7 15.7 M15.7 8.3 L8.3 15.7" {_STROKE} stroke-width="2.4"/>',
    "unknown": '<circle class="mk-ring" cx="12" cy="12" r="9.5" fill="none" stroke-width="2.2" '
    'stroke-dasharray="3.6 2.37" stroke-linecap="butt"/>',
}


def mark_word(mark: str) -> str:
    """The word that stands beside a mark."""
    return MARK_WORDS[mark]


def mark_shape(mark: str, x: float, y: float, radius: float) -> str:
    """A mark as an SVG group centred at (x, y), for use inside a drawing.

    Parameters
    ----------
    mark : str
        One of `domain.graft.MARKS`.
    x, y, radius : float
        Centre and radius in the drawing's units.
    """
    scale = radius / 12.0
    back = '<circle class="mk-back" cx="12" cy="12" r="11.6"/>'
    return (
        f'<g class="mk mk-{mark}" transform="translate({x - radius:.1f} {y - radius:.1f}) scale({scale:.3f})">'
        f"{back}{_SHAPES[mark]}</g>"
    )


def mark_svg(mark: str, size: int = 28, title: str = "") -> Markup:
    """A mark as a small picture of its own, with its word as the title.

    Parameters
    ----------
    mark : str
        One of `domain.graft.MARKS`.
    size : int
        Width and height [px].
    title : str
        Words for the picture; the mark's own word if empty.
    """
    if mark not in MARKS:
        raise ValueError(f"no such mark: {mark}")
    words = escape(title or MARK_WORDS[mark])
    return Markup(
        f'<svg class="mk mk-{mark}" xmlns="http://www.w3.org/2000/svg" width="{size}" height="{size}" '
        f'viewBox="0 0 24 24" role="img"><title>{words}</title>{_SHAPES[mark]}</svg>'
    )
