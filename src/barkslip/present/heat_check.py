"""The grower's own logger beside the model of the same days, before and after learning from it."""

from __future__ import annotations

from markupsafe import Markup, escape

from barkslip.domain.heat import CoverCheck
from barkslip.domain.night import Spread
from barkslip.domain.units import METRIC, UnitChoice, k_to_f_difference
from barkslip.present import counts, dates, heat
from barkslip.present import units as u
from barkslip.present.chart import WIDE
from barkslip.present.labels import Sheet, text_width
from barkslip.present.line_names import SIZE

#: Below this many days what was learned is shown, but called too little to lean on.
FEW = 5
_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


def headline(check: CoverCheck, units: UnitChoice = METRIC) -> str:
    """The answer at the head of the page."""
    name = heat.cover_words(check.wrap)
    if not check.days:
        return f"No day of this logger can be compared for {name}."
    if check.astray:
        return f"The logger and the model do not agree on {name}: nothing was learned."
    days = counts.many(len(check.days), "day")
    if len(check.days) < FEW:
        return f"{counts.opening(name)}: learned from {days}, too few to lean on."
    return f"{counts.opening(name)}: {over_air(check.after_k, units)}, learned from {days} of your own logger."


def over_air(spread: Spread, units: UnitChoice = METRIC) -> str:
    """ "2.3 °C (1.9 to 2.7) over the air"; below the air it says so."""
    side = "over" if spread.p50 >= 0 else "under"
    sign = 1.0 if spread.p50 >= 0 else -1.0
    ends = sorted(_turned(sign * v, units) for v in (spread.p10, spread.p90))
    middle = heat.size_text(spread.p50, units)
    return f"{middle} ({u.number(ends[0], 1)} to {u.number(ends[1], 1)}) {side} the air"


def _turned(difference_k: float, units: UnitChoice) -> float:
    return difference_k if units.temperature == "°C" else k_to_f_difference(difference_k)


def lines(check: CoverCheck, units: UnitChoice = METRIC) -> tuple[tuple[str, str], ...]:
    """("measured", "2.3 °C (1.9 to 2.7) over the air"), the model before and after."""
    out = [("your logger", over_air(check.measured_k, units)), ("model alone", over_air(check.before_k, units))]
    if not check.astray:
        out.append(("model after learning", over_air(check.after_k, units)))
    return tuple(out)


def text(check: CoverCheck) -> str:
    """What was compared, and what was left out."""
    words = (
        f"Scion minus shielded air on {counts.many(len(check.days), 'clear day')}, mean from {_clock(check.from_h)} to "
        f"{_clock(check.to_h)}; logger {check.logger}."
    )
    if check.left_out:
        words += f" {counts.opening(counts.many(check.left_out, 'day'))} left out: too little sun or too few readings."
    return words


def _clock(hour: float) -> str:
    minutes = round(hour * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def learned_text(check: CoverCheck) -> str:
    """What the answers make of it."""
    if not check.days:
        return "Bring in a logger that lay against the scion under the cover, with shielded air beside it."
    if check.astray:
        return (
            "The measured days lie outside what the model can give, so it stays as it was. Look at the logger first: "
            "does its bead touch the scion, was it in a bath, is its clock right, is the cover the one that is named?"
        )
    few = " It is few: more days make it firmer." if len(check.days) < FEW else ""
    return (
        f"Of the model's members {u.percent(check.weight_left)} still speak for this cover. Answers about it in this "
        f"garden lean on these days.{few}"
    )


def rows(check: CoverCheck, units: UnitChoice = METRIC) -> tuple[tuple[str, str, str, str], ...]:
    """Day, measured, model alone, measured less model: what stands behind the chart."""
    return tuple(
        (
            dates.day_text(d.day),
            _signed(d.measured_k, units),
            heat.difference_text(d.model_k, units),
            _signed(d.measured_k - d.model_k.p50, units),
        )
        for d in check.days
    )


def _signed(difference_k: float, units: UnitChoice) -> str:
    return u.difference(difference_k, units).split(u.NBSP)[0]


def check_chart(check: CoverCheck, units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """A row for each day: the model's range as a soft bar, the reading as a dot. Empty without days."""
    if not check.days:
        return Markup("")
    step, top, left, right = 26.0, 34.0, 62.0, width - 12.0
    sheet = Sheet(width, top + step * (len(check.days) + 1) + 26.0)
    spreads = [d.model_k for d in check.days] + [check.before_k, check.after_k]
    values = [0.0, *(d.measured_k for d in check.days), *(v for s in spreads for v in (s.p10, s.p90))]
    turned = [_turned(v, units) for v in values]
    low, high = min(turned), max(turned)
    spare = max((high - low) * 0.05, 0.2)
    low, high = low - spare, high + spare

    def at(difference_k: float) -> float:
        return left + (_turned(difference_k, units) - low) / (high - low) * (right - left)

    bottom = top + step * (len(check.days) + 1)
    _axis(sheet, low, high, (left, right), (top, bottom))
    sheet.write("scion over the air", (left + right) / 2, 14, SIZE, anchor="middle", klass="t-quiet")
    for i, one in enumerate(check.days):
        y = top + step * (i + 0.5)
        sheet.write(dates.day_short(one.day), 0, y + 4.5, SIZE)
        _mark(sheet, (at(one.model_k.p10), at(one.measured_k), at(one.model_k.p90)), y)
    if not check.astray:
        y = top + step * (len(check.days) + 0.5)
        sheet.write("learned", 0, y + 4.5, SIZE, klass="t-leaf")
        _mark(sheet, (at(check.after_k.p10), at(check.after_k.p50), at(check.after_k.p90)), y, " best")
    title = f"{counts.opening(heat.cover_words(check.wrap))}: days of {check.logger} beside the model"
    return Markup(
        f'<svg class="chart heat check" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} '
        f'{sheet.height:g}" role="img"><title>{escape(title)}</title><desc>Bar: the model alone, eight in ten; dot: '
        f"the reading.</desc>{''.join(sheet.parts)}</svg>"
    )


def _mark(sheet: Sheet, places: tuple[float, float, float], y: float, kind: str = "") -> None:
    """A soft bar with a dot, both as thick strokes with round ends."""
    low, dot, high = places
    sheet.add(
        f'<path class="heat-bar{kind}" d="M{low:.1f} {y:.1f}H{max(high, low + 1):.1f}"/>'
        f'<path class="heat-mid{kind}" d="M{dot:.1f} {y:.1f}h0"/>'
    )


def _axis(sheet: Sheet, low: float, high: float, across: tuple[float, float], down: tuple[float, float]) -> None:
    """Round numbers with their upright lines."""
    left, right = across
    top, bottom = down
    step = next((s for s in _STEPS if (high - low) / s <= 6), _STEPS[-1])
    value = -int(-low // step) * step if low % step else low
    edge = -99.0
    while value <= high:
        x = left + (value - low) / (high - low) * (right - left)
        klass = "axis" if abs(value) < step / 10 else "grid"
        sheet.add(f'<line class="{klass}" x1="{x:.1f}" y1="{top:.1f}" x2="{x:.1f}" y2="{bottom:.1f}"/>')
        words = u.number(value, 1 if step < 1 else 0, sign=True)
        if x - text_width(words, SIZE) / 2 > edge + 6:
            edge = sheet.write(words, x, sheet.height - 8, SIZE, anchor="middle", klass="t-quiet").x1
        value += step
