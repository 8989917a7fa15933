"""The due list's numbers, gathered from the knowledge base."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from barkslip.domain.due import BindingRule, CareRules
from barkslip.domain.sourced import Value

if TYPE_CHECKING:
    from barkslip.knowledge.load import Knowledge


def care_rules(knowledge: Knowledge) -> CareRules:
    """Numbers behind the due list, each with its source."""
    bindings: dict[str, BindingRule] = {}
    for one in knowledge.bindings:
        rule = BindingRule(one.name, one.release_from_days, one.release_by_days, one.yields)
        for name in (one.name, *one.synonyms):
            bindings[name.lower()] = rule

    def days(key: str) -> Value:
        return knowledge.value(f"care.{key}")

    return CareRules(
        first_look=days("first_look_days"),
        look_again=days("look_every_days"),
        false_take=days("false_take_until_days"),
        wrap_check=days("wrap_check_days"),
        cover_max=days("cover_ask_days"),
        rub_weekly=days("rub_off_weekly_until_days"),
        rub_until=days("rub_off_ends_days"),
        rub_every_early=days("rub_off_every_days_first"),
        rub_every_late=days("rub_off_every_days_later"),
        brace_mm=_in_mm(days("brace_ask_cm")),
        bindings=bindings,
    )


def _in_mm(value: Value) -> Value:
    """The same length in mm."""

    def ten(x: float | None) -> float | None:
        return None if x is None else 10.0 * x

    best = value.value * 10.0 if isinstance(value.value, (int, float)) else value.value
    return replace(value, value=best, low=ten(value.low), high=ten(value.high), unit="mm")
