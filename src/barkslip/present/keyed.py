"""Numbers as plain data under keys that carry the reader's unit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

from barkslip.domain.night import Spread
from barkslip.domain.units import UnitChoice, c_to_f, k_to_f_difference
from barkslip.present.units import NBSP

_DIGITS = 3


class Keys:
    """Writes numbers under keys that carry the reader's unit."""

    def __init__(self, units: UnitChoice) -> None:
        self.fahrenheit = units.temperature == "°F"

    def temp(self, name: str, value: float | Spread | None) -> dict[str, Any]:
        """A temperature: "low_c" or "low_f"."""
        return {f"{name}_f": each(value, c_to_f)} if self.fahrenheit else {f"{name}_c": each(value)}

    def temps(self, name: str, values: Iterable[float]) -> dict[str, Any]:
        """Temperatures of some hours as a list."""
        turned = [each(v, c_to_f) if self.fahrenheit else each(v) for v in values]
        return {f"{name}_{'f' if self.fahrenheit else 'c'}": turned}

    def difference(self, name: str, value: float | Spread | None) -> dict[str, Any]:
        """A difference: "gain_k" or "gain_f_difference"."""
        if self.fahrenheit:
            return {f"{name}_f_difference": each(value, k_to_f_difference)}
        return {f"{name}_k": each(value)}


def each(value: float | Spread | None, turn: Callable[[float], float] = lambda x: x) -> Any:
    """A number rounded for people, or the three of a spread; None if it is none."""
    if isinstance(value, Spread):
        return {name: each(getattr(value, name), turn) for name in ("p10", "p50", "p90")}
    return None if value is None or not math.isfinite(value) else round(turn(value), _DIGITS)


def said(text: str) -> str:
    """Words with spaces that can be searched for."""
    return text.replace(NBSP, " ")
