"""When to order wood, in words and as plain data."""

from __future__ import annotations

from datetime import date
from typing import Any

from barkslip.domain.wood_order import ORDER_STEPS, OrderDates, OrderStep, WoodOrder
from barkslip.present import counts, dates
from barkslip.present import units as u
from barkslip.present.keeping import span_text

DOUBTS = {
    "lead_time_elsewhere": "Half a year ahead is what one growers' panel in California names for work in May and June. "
    "Schemes and nurseries have dates of their own: ask, and type the last one as the giver's.",
    "keeping_unknown": "No source says how long such wood keeps in such a store.",
    "post_unknown": "Days in the post are not counted: none are typed.",
}


def headline(order: WoodOrder) -> str:
    """The answer in one sentence."""
    step = _decisive(order.next)
    window = window_days(order.next)
    if not order.next.late:
        return f"Order by {dates.day_text(step.last)} to graft {window}."
    ago = dates.ago_text(_day(step.last), _day(order.on))
    text = f"The usual day to order for {window} was {dates.day_text(step.last)}, {ago}: ask at once, or wait."
    if order.in_time is not None:
        then = _decisive(order.in_time)
        text += f" For the next such days order by {dates.day_text(then.last)}."
    return text


def _decisive(found: OrderDates) -> OrderStep:
    """The step that ends the time to order: the giver's own day where it is known."""
    by_code = {s.code: s for s in found.steps}
    return by_code.get("closes") or by_code["order"]


def _day(iso: str) -> date:
    return date.fromisoformat(iso)


def window_text(order: WoodOrder) -> str:
    """Where the window comes from."""
    if order.window_from == "typed":
        return "The window is as typed; for later years the same days are taken."
    return f"The window is the weeks in which it worked in most of {counts.many(order.years, 'year')} of weather here."


def window_days(found: OrderDates) -> str:
    """ "27 Aug – 18 Nov 2025"."""
    return dates.range_text(_day(found.first), _day(found.last))


def step_words(step: OrderStep) -> str:
    """What is done."""
    words = ORDER_STEPS[step.code]
    if step.code == "cut" and not step.first:
        words = "wood is cut no later than"
    return counts.opening(words)


def step_day(step: OrderStep) -> str:
    """The day, or both days."""
    return dates.range_text(_day(step.first), _day(step.last)) if step.first else dates.day_text(step.last)


def step_known(step: OrderStep) -> str:
    """Where the time between comes from."""
    if not step.source:
        return ""
    return f"{step.status} ({step.source})"


def step_rows(found: OrderDates) -> list[tuple[str, str, str, str]]:
    """Day, what, late or not, how known; in order of time."""
    ordered = sorted(found.steps, key=lambda s: (s.last if s.code != "set" else "9", list(ORDER_STEPS).index(s.code)))
    return [(step_day(s), step_words(s), "late" if s.late else "", step_known(s)) for s in ordered]


def keep_text(order: WoodOrder, found: OrderDates) -> str:
    """How long wood keeps against the window."""
    if order.keeps_d is None:
        return ""
    text = f"Such wood keeps {span_text(*order.keeps_d)} by the sources."
    if found.too_long:
        text += (
            f" Cut on the latest day it keeps to {dates.day_text(found.keeps_to)} by the shortest of them: for grafts "
            "after that day order a second lot."
        )
    return text


def order_data(order: WoodOrder) -> dict[str, Any]:
    """The whole answer."""
    return {
        "verdict": headline(order).replace(u.NBSP, " "),
        "on": order.on,
        "window_from": order.window_from,
        "years": order.years,
        "next": _dates(order.next),
        "in_time": _dates(order.in_time) if order.in_time is not None else None,
        "keeps_d": list(order.keeps_d) if order.keeps_d else None,
        "unknowns": [DOUBTS[code] for code in order.unknowns],
        "unknown_codes": list(order.unknowns),
    }


def _dates(found: OrderDates) -> dict[str, Any]:
    return {
        "first": found.first,
        "last": found.last,
        "late": found.late,
        "keeps_to": found.keeps_to,
        "steps": [
            {"step": s.code, "first": s.first, "last": s.last, "late": s.late, "status": s.status, "source": s.source}
            for s in found.steps
        ],
    }
