"""What a stock does to the fruit, drawn: a bar for the range of eight in ten about a middling stock."""

from __future__ import annotations

from markupsafe import Markup, escape

from barkslip.domain.fruit import FruitVerdict, Quantity
from barkslip.present import counts
from barkslip.present.chart import WIDE
from barkslip.present.fruit import NAMES
from barkslip.present.labels import Sheet, cut

#: Half the width of each scale, in the quantity's own unit; ratios as shares.
_REACH = {"°Brix": 2.0, "1": 0.5, "d": 30.0}
_SIZE = 13.0
_SIDES = {
    "solids": ("less", "more"), "acid": ("less", "more"), "size": ("smaller", "larger"), "yield": ("less", "more"),
    "juice": ("less", "more"), "ripening": ("earlier", "later"),
}  # fmt: skip


def against_chart(v: FruitVerdict, width: float = WIDE) -> Markup:
    """Each quantity as a row; with two stocks two bars a row, the second one hatched by a dotted edge."""
    codes = [c for c in NAMES if any(q.code == c and q.against for q in v.stocks[0].quantities)]
    step = 46.0 + 16.0 * (len(v.stocks) - 1)
    sheet = Sheet(width, step * len(codes) + 6)
    for i, code in enumerate(codes):
        _row(sheet, v, code, step * i, width)
    title = "What the stock does, against a middling stock"
    desc = "Each bar holds eight in ten; the line in the middle is a middling stock."
    return Markup(
        f'<svg class="chart fruit" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="img"><title>{escape(title)}</title><desc>{escape(desc)}</desc>{"".join(sheet.parts)}</svg>'
    )


def _row(sheet: Sheet, v: FruitVerdict, code: str, y: float, width: float) -> None:
    middle, half = width / 2, width / 2 - 8
    less, more = _SIDES[code]
    sheet.write(cut(counts.opening(NAMES[code]), _SIZE, width * 0.5), middle, y + 14, _SIZE, anchor="middle")
    sheet.write(less, 0, y + 14, _SIZE, klass="t-quiet")
    sheet.write(more, width, y + 14, _SIZE, anchor="end", klass="t-quiet")
    high = 16.0 * len(v.stocks)
    sheet.add(
        f'<line class="grid" x1="{middle - half:.1f}" y1="{y + 20 + high / 2:.1f}" x2="{middle + half:.1f}" '
        f'y2="{y + 20 + high / 2:.1f}"/><line class="axis" x1="{middle}" y1="{y + 19:.1f}" x2="{middle}" '
        f'y2="{y + 21 + high:.1f}"/>'
    )
    for place, stock in enumerate(v.stocks):
        q = next(q for q in stock.quantities if q.code == code and q.against)
        _bar(sheet, q, middle, half, y + 21 + 16.0 * place, second=place > 0)


def _bar(sheet: Sheet, q: Quantity, middle: float, half: float, y: float, *, second: bool) -> None:
    base = 1.0 if q.unit == "1" else 0.0

    def at(x: float) -> float:
        share = max(-1.0, min(1.0, (x - base) / _REACH[q.unit]))
        return middle + share * half

    x0, x1 = at(q.range.low), at(q.range.high)
    klass = "fruit-bar second" if second else "fruit-bar"
    if q.basis == "none":
        klass += " unknown"
    sheet.add(
        f'<rect class="{klass}" x="{x0:.1f}" y="{y:.1f}" width="{max(x1 - x0, 2):.1f}" height="12" rx="6"/>'
        f'<circle class="dot" cx="{at(q.range.middle):.1f}" cy="{y + 6:.1f}" r="4.5"/>'
    )


def caption(v: FruitVerdict) -> str:
    """What the bars are."""
    two = (
        f" Upper bar: {_name(v.stocks[0].words)}; lower, with an edge: {_name(v.stocks[1].words)}."
        if len(v.stocks) > 1
        else ""
    )
    return (
        "Bars hold eight in ten, dots are the middle; scales: 2 °Brix, half as much again, 30 days each way. Pale: "
        f"nothing is known of this stock.{two}"
    )


def _name(words: str) -> str:
    return "what it stands on" if words == "?" else words
