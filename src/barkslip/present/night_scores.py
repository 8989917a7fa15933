"""How past answers about cold nights have done, and what plots differ by, in words."""

from __future__ import annotations

from barkslip.domain.night import Offset, OffsetPart
from barkslip.domain.score import ScoreSummary
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts
from barkslip.present import units as u

#: Below this many nights the sums are shown, but called too few to lean on.
FEW = 10


def headline(summary: ScoreSummary) -> str:
    """The answer at the head of the page."""
    if not summary.nights:
        return "No answer can be judged yet."
    if summary.nights < FEW:
        return f"{counts.opening(counts.many(summary.nights, 'night'))} judged: too few to lean on."
    return f"{summary.inside} of {summary.nights} lows lay where they were expected."


def text(summary: ScoreSummary, units: UnitChoice = METRIC) -> str:
    """Errors of our answers, and of the forecasts beside them."""
    if not summary.nights:
        return "Keep an answer in the evening; the low of the morning after is set beside it."
    parts = [
        f"Ours was {_off(summary.bias_k, units)} on average, {_error(summary.error_k, units)} off from night to night; "
        f"{summary.inside} of {counts.many(summary.nights, 'low')} lay within eight in ten, where eight in ten should."
    ]
    if summary.forecast_nights:
        parts.append(
            f"The forecast as it was given: {_off(summary.forecast_bias_k, units)}, "
            f"{_error(summary.forecast_error_k, units)} off, over {counts.many(summary.forecast_nights, 'night')}."
        )
    return " ".join(parts)


def _off(bias_k: float | None, units: UnitChoice) -> str:
    if bias_k is None:
        return "not known"
    if abs(bias_k) < 0.05:
        return "neither too warm nor too cold"
    return f"{_size(bias_k, units)} too {'warm' if bias_k > 0 else 'cold'}"


def _error(error_k: float | None, units: UnitChoice) -> str:
    return "an unknown amount" if error_k is None else _size(error_k, units)


def _size(difference_k: float, units: UnitChoice) -> str:
    return u.difference(abs(difference_k), units).lstrip("+")


def offset_lines(offset: Offset, units: UnitChoice = METRIC) -> list[str]:
    """What was learned of a plot, still and windy nights apart."""
    return [_part(part, offset, units) for part in offset.parts]


def _part(part: OffsetPart, offset: Offset, units: UnitChoice) -> str:
    if part.mean_k is None or not part.nights:
        return f"{counts.opening(part.kind)} nights: not known, no night of both plots has readings."
    size = u.colder_or_warmer(part.mean_k, units)
    words = f"{counts.opening(part.kind)} nights: {size} {'as' if size.startswith('as ') else 'than'} {offset.site}"
    if part.low_k is not None and part.high_k is not None:
        words += f", between {u.difference(part.low_k, units)} and {u.difference(part.high_k, units)}"
    return f"{words}, learned from {counts.many(part.nights, 'night')}."
