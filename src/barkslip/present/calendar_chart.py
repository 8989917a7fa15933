"""The year of fruit, drawn: a row a kind, a bar where it is ripe, a strip for the months with nothing to pick."""

from __future__ import annotations

from markupsafe import Markup, escape

from barkslip.domain.calendar import HALVES, Ripe, RipeYear
from barkslip.present import dates
from barkslip.present.calendar import window_text, windows_text
from barkslip.present.chart import WIDE
from barkslip.present.labels import Sheet, cut

_ROW, _TOP, _SIZE = 40.0, 26.0, 13.0
_WIDE_ROW = 26.0


def year_chart(y: RipeYear, width: float = WIDE) -> Markup:
    """All kinds over the year. On a narrow chart the name stands over its bar, on a wide one before it."""
    narrow = width < 500
    rows = [r for r in y.ripe if r.windows]
    step = _ROW if narrow else _WIDE_ROW
    left = 4.0 if narrow else 190.0
    right = width - 4.0
    sheet = Sheet(width, _TOP + step * len(rows) + 34.0)
    bottom = _TOP + step * len(rows) + 2
    for month in range(12):
        x = left + month / 12 * (right - left)
        sheet.add(f'<line class="grid" x1="{x:.1f}" y1="{_TOP - 4:.1f}" x2="{x:.1f}" y2="{bottom:.1f}"/>')
        name = dates.MONTHS[month][0] if narrow else dates.MONTHS[month]
        sheet.write(name, x + (right - left) / 24, 14, _SIZE, anchor="middle", klass="t-quiet")
    for i, one in enumerate(rows):
        _row(sheet, one, _TOP + step * i, left, right, narrow=narrow)
    _bare(sheet, y, bottom + 6, left, right)
    title = "The year of fruit in this garden"
    desc = (
        "A bar where a kind is ripe; open bars are kinds for the kitchen; the strip below marks months without fruit."
    )
    return Markup(
        f'<svg class="chart year" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'role="img"><title>{escape(title)}</title><desc>{escape(desc)}</desc>{"".join(sheet.parts)}</svg>'
    )


def _row(sheet: Sheet, one: Ripe, y: float, left: float, right: float, *, narrow: bool) -> None:
    name = one.kind.name
    if narrow:
        sheet.write(cut(name, _SIZE, right - left), left, y + 12, _SIZE)
        y += 17
    else:
        sheet.write(cut(name, _SIZE, left - 12), 0, y + 15, _SIZE)
        y += 4
    kind = "kitchen" if one.kitchen else "fresh"
    for first, last in one.windows:
        for a, b in _parts(first, last):
            x0, x1 = left + a / HALVES * (right - left), left + (b + 1) / HALVES * (right - left)
            sheet.add(
                f'<rect class="ripe {kind}{" rough" if one.open_words else ""}" x="{x0 + 1:.1f}" y="{y:.1f}" '
                f'width="{x1 - x0 - 2:.1f}" height="14" rx="3"/>'
            )


def _bare(sheet: Sheet, y: RipeYear, top: float, left: float, right: float) -> None:
    """Months with nothing for the hand."""
    if not y.gaps:
        sheet.write("something for the hand all year", left, top + 14, _SIZE, klass="t-quiet")
        return
    for gap in y.gaps:
        for a, b in _parts(gap.first, gap.last):
            x0, x1 = left + a / HALVES * (right - left), left + (b + 1) / HALVES * (right - left)
            sheet.add(f'<rect class="bare" x="{x0:.1f}" y="{top:.1f}" width="{x1 - x0:.1f}" height="8"/>')
    sheet.write("nothing for the hand", left, top + 22, _SIZE, klass="t-heat")


def _parts(first: int, last: int) -> list[tuple[int, int]]:
    """A window cut at the turn of the year."""
    if last < HALVES:
        return [(first, last)]
    return [(first, HALVES - 1), (0, last - HALVES)] if last - first < HALVES - 1 else [(0, HALVES - 1)]


def table(y: RipeYear) -> tuple[tuple[str, str, str, str], ...]:
    """(kind, months, where it grows, words they were read from)."""
    from barkslip.present.calendar import places_text

    return tuple(
        (r.kind.name, windows_text(r), places_text(r), str(r.season.value) if r.season else "not known") for r in y.ripe
    )


def caption(y: RipeYear) -> str:
    """What the bars are."""
    months = ", ".join(window_text((g.first, g.last)) for g in y.gaps)
    return "Full bars are for the hand, open ones for the kitchen; a broken edge is a rough word of the source." + (
        f" Nothing for the hand: {months}." if months else ""
    )
