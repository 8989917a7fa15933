"""The ways side by side, drawn: a bar of eight in ten, a mark where the middle lies."""

from __future__ import annotations

from markupsafe import Markup, escape

from barkslip.domain.worth import WorthAnswer
from barkslip.present.labels import Sheet
from barkslip.present.worth import WAY_WORDS, headline

_ROW, _SIZE, _WIDTH = 46.0, 14.0, 340.0


def ways_chart(v: WorthAnswer, width: float = _WIDTH) -> Markup:
    """All ways over one axis of years of good fruit."""
    most = max(1.0, *(w.high for w in v.ways), *(w.value for w in v.ways))
    least = min(0.0, *(w.low for w in v.ways))
    left, right = 6.0, width - 44.0
    height = _ROW * len(v.ways) + 40.0
    sheet = Sheet(width, height)

    def x(years: float) -> float:
        return left + (years - least) / (most - least) * (right - left)

    step = next(s for s in (1, 2, 5, 10, 20, 50) if (most - least) / s <= 7)
    for k in range(int(least // step), int(most // step) + 1):
        at = x(k * step)
        if at < left - 0.1:
            continue
        sheet.add(f'<line class="grid" x1="{at:.1f}" y1="4" x2="{at:.1f}" y2="{height - 36:.1f}"/>')
        sheet.write(f"{k * step}", at, height - 22, 12, anchor="middle", klass="t-quiet")
    sheet.write("years of good fruit ahead", left, height - 6, 12, klass="t-quiet")
    for i, way in enumerate(v.ways):
        y = 6.0 + _ROW * i
        kind = "barred" if way.barred else "best" if way.code == v.best else "other"
        strong = "t-strong" if kind == "best" else ""
        name = WAY_WORDS[way.code] + (" (barred)" if way.barred else "")
        sheet.write(name, left, y + 12, _SIZE, klass=strong)
        sheet.add(
            f'<rect class="worth-bar {kind}" x="{x(way.low):.1f}" y="{y + 18:.1f}" '
            f'width="{max(2.0, x(way.high) - x(way.low)):.1f}" height="16" rx="3"/>'
        )
        at = x(way.value)
        sheet.add(f'<path class="worth-mark {kind}" d="M{at:.1f} {y + 14:.1f} l6 12 l-6 12 l-6 -12 Z"/>')
        sheet.write(f"{way.value:.1f}", width - 2, y + 31, _SIZE, anchor="end", klass=strong)
    desc = "; ".join(f"{WAY_WORDS[w.code]} {w.value:.1f}, {w.low:.1f} to {w.high:.1f}" for w in v.ways)
    return Markup(
        f'<svg class="chart worth" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" role="img">'
        f"<title>{escape(headline(v))}</title><desc>{escape(desc)}</desc>{''.join(sheet.parts)}</svg>"
    )


CAPTION = "The mark is the middle of what may be so; eight in ten of it lies under the bar. The figure is the middle."
