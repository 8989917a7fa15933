"""Small drawings of what to look for: leaves, stalks, thorns, unions, bark. Shapes tell them apart, not colour."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup


def _leaf(x: float, top: float, bottom: float, half: float, turn: float = 0.0) -> str:
    """A leaf blade standing on its base, with its midrib; turned about the base [°]."""
    a, e = x - half * 1.35, x + half * 1.35
    b, c = top + (bottom - top) * 0.3, top + (bottom - top) * 0.75
    return (
        f'<g transform="rotate({turn:g} {x:g} {bottom:g})"><path class="rd-leaf" d="M{x:g} {top:g} C{e:g} {b:g} {e:g} '
        f'{c:g} {x:g} {bottom:g} C{a:g} {c:g} {a:g} {b:g} {x:g} {top:g} Z"/>'
        f'<path class="rd-thin" d="M{x:g} {top + 4:g} V{bottom:g}"/></g>'
    )


def _line(d: str, klass: str = "rd-line") -> str:
    return f'<path class="{klass}" d="{d}"/>'


def _wing(half: float) -> str:
    """A single leaf on a stalk with a wing so wide on each side."""
    wing = (
        f'<path class="rd-wing" d="M32 41 C{32 + half * 1.5:g} 42 {32 + half * 1.2:g} 52 32 58 C{32 - half * 1.2:g} 52 '
        f'{32 - half * 1.5:g} 42 32 41 Z"/>'
        if half
        else ""
    )
    return _leaf(32, 4, 40, 14) + wing + _line("M32 40 V62")


def _twig(thorns: Sequence[float], length: float) -> str:
    """A shoot with thorns at some heights, left and right by turns."""
    out = _line("M32 62 C31 44 33 24 32 3", "rd-twig")
    for i, y in enumerate(thorns):
        side = 1 if i % 2 else -1
        out += f'<path class="rd-solid" d="M32 {y - 2:g} L{32 + side * length:g} {y - 8:g} L32 {y + 3:g} Z"/>'
    return out


def _trunk(left: str) -> str:
    """A trunk mirrored about the middle, from its left edge down to the soil, with the union as a dashed line."""
    return (
        f'<path class="rd-wood" d="{left}"/><path class="rd-wood" d="{left}" transform="matrix(-1 0 0 1 64 0)"/>'
        + _line("M2 58 H62", "rd-soil")
    )


_UNION = _line("M14 34 H50", "rd-dash")
#: A spot at each of these places.
_HOLES = ((26, 39), (31, 43), (37, 39), (28, 48), (34, 49), (39, 46), (24, 44), (32, 53), (38, 53), (26, 53))
_PICTURES = {
    "leaflets=3": _leaf(32, 4, 42, 9) + _leaf(32, 18, 42, 7, -62) + _leaf(32, 18, 42, 7, 62) + _line("M32 42 V62"),
    "leaflets=1": _leaf(32, 4, 46, 14) + _line("M32 46 V62"),
    "wing=broad": _wing(9),
    "wing=narrow": _wing(3.5),
    "wing=none": _wing(0),
    "thorns=many": _twig((14, 22, 30, 38, 46, 54), 16),
    "thorns=few": _twig((24, 44), 11),
    "thorns=none": _twig((), 0),
    "leaf_fall=drops": _twig((), 0) + _leaf(10, 36, 54, 6, 75) + _leaf(54, 36, 54, 6, -70) + _leaf(32, 6, 22, 6, 50),
    "leaf_fall=stays": _twig((), 0) + _leaf(32, 2, 22, 6, 55) + _leaf(32, 12, 34, 6, -55) + _leaf(32, 28, 50, 6, 55),
    "union=bench": _trunk("M32 4 H24 V33 H15 C12 34 12 40 12 58 H32 Z") + _UNION,
    "union=smooth": _trunk("M32 4 H22 V58 H32 Z") + _UNION,
    "union=bulge_above": _trunk("M32 4 H22 C22 20 12 24 14 31 L22 35 V58 H32 Z") + _UNION,
    "union=none": _trunk("M32 4 H23 C23 30 22 46 18 58 H32 Z"),
    "scaling=yes": _trunk("M32 4 H22 V58 H32 Z") + _UNION
    + _line("M23 40 l6 2 l-1 6 M36 38 l5 3 l-2 6 M26 52 l6 -1 l1 5 M37 50 l4 2"),
    "scaling=no": _trunk("M32 4 H22 V58 H32 Z") + _UNION,
    "pinholes=yes": _trunk("M32 4 H22 V58 H32 Z") + _UNION
    + "".join(f'<circle class="rd-dot" cx="{x}" cy="{y}" r="1.5"/>' for x, y in _HOLES),
    "pinholes=no": _trunk("M32 4 H22 V58 H32 Z") + _UNION + _line("M24 37 H40 V55 H24 Z", "rd-thin"),
    "lime=yellow": '<g class="rd-pale">' + _leaf(32, 4, 50, 16) + "</g>"
    + _line("M32 14 l-9 -5 M32 24 l-11 -5 M32 34 l-10 -5 M32 14 l9 -5 M32 24 l11 -5 M32 34 l10 -5 M32 50 V62"),
    "lime=green": _leaf(32, 4, 50, 16) + _line("M32 50 V62"),
    "salt=burnt": _leaf(32, 4, 50, 16) + '<path class="rd-solid" d="M32 4 L40 14 L36 19 L32 15 L28 19 L24 14 Z"/>'
    + _line("M32 50 V62"),
    "salt=well": _leaf(32, 4, 50, 16) + _line("M32 50 V62"),
}  # fmt: skip


def drawing(look: str, size: int = 72) -> Markup:
    """The drawing of a look ("leaflets=3"); empty where there is none. Words stand beside it."""
    if look not in _PICTURES:
        return Markup("")
    return Markup(
        f'<svg class="rd" xmlns="http://www.w3.org/2000/svg" width="{size}" height="{size}" viewBox="0 0 64 64" '
        f'aria-hidden="true">{_PICTURES[look]}</svg>'
    )


def has_drawings(looks: Sequence[str]) -> bool:
    """True if every one of these looks has its drawing."""
    return all(look in _PICTURES for look in looks)


def belief_bar(p: float, low: float, high: float) -> Markup:
    """A bar as long as the belief, with a whisker over its range."""
    width = max((high - low) * 200, 0.8)
    return Markup(
        '<svg class="beliefs" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 10" preserveAspectRatio="none" '
        'aria-hidden="true"><rect class="belief-back" x="0" y="4.4" width="200" height="1.2"/>'
        f'<rect class="belief-bar" x="0" y="1" width="{max(p * 200, 0.8):.1f}" height="8"/>'
        f'<rect class="belief-range" x="{low * 200:.1f}" y="3.6" width="{width:.1f}" height="2.8"/>'
        "</svg>"
    )
