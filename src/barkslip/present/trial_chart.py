"""Trials drawn: each way as a dot with its range, each under its own name."""

from __future__ import annotations

from collections.abc import Callable

from markupsafe import Markup, escape

from barkslip.domain.trial_result import ArmResult, TrialResult
from barkslip.domain.units import METRIC, UnitChoice, k_to_f_difference
from barkslip.present import trial
from barkslip.present import units as u
from barkslip.present.chart import WIDE
from barkslip.present.labels import Sheet, cut, text_width
from barkslip.present.line_names import SIZE

_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)
_ROW = 46.0


def arms_chart(r: TrialResult, units: UnitChoice = METRIC, width: float = WIDE) -> Markup:
    """A row for each way, best first: dot and soft bar; a lone dot has no range. Empty without readings."""
    if not r.arms:
        return Markup("")
    values = [_turned(r, v, units) for a in r.arms for v in (a.low, a.value, a.high) if v is not None]
    if r.of == "took":
        low, high = 0.0, 100.0
    else:
        low, high = min([0.0, *values]), max([0.0, *values])
        spare = max((high - low) * 0.06, 0.1)
        low, high = low - (spare if low < 0.0 else 0.0), high + spare
    sheet = Sheet(width, 14.0 + _ROW * len(r.arms) + 26.0)
    left, right, bottom = 8.0, width - 14.0, sheet.height - 26.0

    def at(value: float) -> float:
        return left + (_turned(r, value, units) - low) / (high - low) * (right - left)

    _axis(sheet, (low, high), (left, right), bottom)
    for i, arm in enumerate(r.arms):
        _row(sheet, r, arm, (at(arm.value), _maybe(at, arm.low), _maybe(at, arm.high)), 14.0 + _ROW * i, units)
    what = f"{trial.what_words(r.of)} [{trial.unit_words(r.of, units)}]".replace(" []", "")
    return Markup(
        f'<svg class="chart trial-arms" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} '
        f'{sheet.height:g}" role="img"><title>{escape(what)}</title><desc>Dot: what was found; bar: 19 times in 20; '
        f"best on top.</desc>{''.join(sheet.parts)}</svg>"
    )


def _turned(r: TrialResult, value: float, units: UnitChoice) -> float:
    if r.of == "took":
        return 100.0 * value
    kelvin = trial.unit_words(r.of, METRIC) == "K"
    return k_to_f_difference(value) if kelvin and units.temperature == "°F" else value


def _maybe(at: Callable[[float], float], value: float | None) -> float | None:
    return None if value is None else at(value)


def _row(
    sheet: Sheet,
    r: TrialResult,
    arm: ArmResult,
    places: tuple[float, float | None, float | None],
    top: float,
    units: UnitChoice,
) -> None:
    dot, low, high = places
    y = top + 30.0
    count = f"{arm.took} of {arm.n}" if arm.took is not None else trial.value_words(r.of, arm.value, units)
    room = sheet.width - 8.0 - text_width(count, SIZE) - 20.0
    sheet.write(cut(arm.arm, SIZE, room), 8.0, top + 14.0, SIZE, klass="t-strong")
    sheet.write(count, sheet.width - 8.0, top + 14.0, SIZE, anchor="end")
    if low is not None and high is not None:
        sheet.add(f'<path class="trial-bar" d="M{low:.1f} {y:.1f}H{max(high, low + 1.0):.1f}"/>')
    sheet.add(f'<circle class="trial-dot{"" if low is not None else " lone"}" cx="{dot:.1f}" cy="{y:.1f}" r="6"/>')


def _axis(sheet: Sheet, span: tuple[float, float], across: tuple[float, float], bottom: float) -> None:
    low, high = span
    left, right = across
    step = next((s for s in _STEPS if (high - low) / s <= 6.0), _STEPS[-1])
    value = step * round(low / step - 0.499999) if low < 0.0 else 0.0
    edge = -99.0
    while value <= high + 1e-9:
        if value >= low - 1e-9:
            x = left + (value - low) / (high - low) * (right - left)
            klass = "axis" if abs(value) < step / 10.0 else "grid"
            sheet.add(f'<line class="{klass}" x1="{x:.1f}" y1="8" x2="{x:.1f}" y2="{bottom:.1f}"/>')
            words = u.number(value, 1 if step < 1.0 else 0)
            anchor = "start" if x < 16.0 else "end" if x > sheet.width - 16.0 else "middle"
            if x - text_width(words, SIZE) / 2.0 > edge + 6.0:
                edge = sheet.write(words, x, sheet.height - 8.0, SIZE, anchor=anchor, klass="t-quiet").x1
        value += step
