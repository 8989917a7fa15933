"""Order dates planned back from a window."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from barkslip.domain.sourced import Value
from barkslip.domain.timing import WeekOfYear
from barkslip.domain.wood_order import OrderDates, OrderStep, WoodOrder

#: A window that has passed or cannot be reached is looked for again in so many years.
_YEARS_AHEAD = 3


@dataclass(frozen=True)
class Lead:
    """What lies between the plan and the graft.

    Parameters
    ----------
    order : Value
        Months from the order to the work.
    plan : Value or None
        Months from the plan to the worked tree; None if no whole tree is worked over.
    post_days : int or None
        Days in the post; None if not known.
    closes : (month, day) or None
        Last day in each year on which the giver takes orders.
    keeps_d : (float, float) or None
        Shortest and longest keeping [d].
    keep_source, keep_status : str
    """

    order: Value
    plan: Value | None = None
    post_days: int | None = None
    closes: tuple[int, int] | None = None
    keeps_d: tuple[float, float] | None = None
    keep_source: str = ""
    keep_status: str = ""


def months_before(day: date, months: float) -> date:
    """The day so many months earlier; the last of the month where that day does not exist."""
    whole = math.floor(months)
    place = day.year * 12 + day.month - 1 - whole
    year, month = divmod(place, 12)
    for last in (day.day, 30, 29, 28):
        try:
            found = date(year, month + 1, last)
        except ValueError:
            continue
        return found - timedelta(days=round((months - whole) * 30.44))
    raise AssertionError("every month has 28 days")


def yearly(first: date, last: date, years: int) -> tuple[date, date]:
    """The same window in another year."""
    return _other_year(first, years), _other_year(last, years)


def _other_year(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


def good_windows(weeks: Sequence[WeekOfYear], share: float, on: date) -> list[tuple[date, date]]:
    """Stretches of good weeks that end on or after a day, in this year and the next ones, in order of time."""
    good = [w.years > 0 and w.worked / w.years >= share for w in weeks]
    count = len(weeks)
    if not any(good):
        return []
    if all(good):
        return [(date(on.year + k, 1, 1), date(on.year + k, 12, 31)) for k in range(_YEARS_AHEAD)]
    out = []
    for start in (i for i in range(count) if good[i] and not good[i - 1]):
        end = start
        while good[(end + 1) % count]:
            end += 1
        for year in range(on.year - 1, on.year + _YEARS_AHEAD):
            first = _week_day(weeks[start], year)
            last = _week_day(weeks[end % count], year + (end >= count)) + timedelta(days=6)
            if last >= on:
                out.append((first, last))
    return sorted(out)


def _week_day(week: WeekOfYear, year: int) -> date:
    month, day = (int(part) for part in week.month_day.split("-"))
    return date(year, month, min(day, 28) if month == 2 else day)


def dates_for(first: date, last: date, lead: Lead, on: date) -> OrderDates:
    """The steps for one window.

    Parameters
    ----------
    first, last : date
        The window.
    lead : Lead
    on : date
        Today.
    """
    months = _number(lead.order)
    order_by = months_before(first, months)
    arrive = first
    leaves = first - timedelta(days=lead.post_days or 0)
    steps = []
    if lead.plan is not None:
        planned = months_before(last, _number(lead.plan))
        steps.append(_step("plan", None, planned, on, lead.plan))
    closes = None
    if lead.closes is not None:
        # the last time the giver's list closes while wood can still be here in time
        closes = next(d for k in range(3) if (d := date(leaves.year - k, *lead.closes)) <= leaves)
        steps.append(OrderStep("closes", "", closes.isoformat(), closes < on))
    steps.append(_step("ask", None, closes or order_by, on, lead.order))
    steps.append(_step("order", None, order_by, on, lead.order))
    keeps_to = ""
    if lead.keeps_d is not None:
        shortest = timedelta(days=math.floor(lead.keeps_d[0]))
        # cut so late that it still keeps to the end of the window, if it can
        earliest = last - shortest
        keeps_to = (leaves + shortest).isoformat()
        cut_first = earliest.isoformat() if earliest <= leaves else ""
        steps.append(OrderStep("cut", cut_first, leaves.isoformat(), leaves < on, lead.keep_source, lead.keep_status))
    steps.append(OrderStep("arrive", "", arrive.isoformat(), arrive < on))
    steps.append(OrderStep("set", first.isoformat(), last.isoformat(), last < on))
    return OrderDates(first.isoformat(), last.isoformat(), tuple(steps), keeps_to)


def _step(code: str, first: date | None, last: date, on: date, value: Value, note: str = "") -> OrderStep:
    return OrderStep(
        code, first.isoformat() if first else "", last.isoformat(), last < on, value.source, value.status,
        note or value.note,
    )  # fmt: skip


def _number(value: Value) -> float:
    found = value.value if isinstance(value.value, (int, float)) else value.low
    if found is None:
        raise ValueError("a time without a number")
    return float(found)


def order(
    windows: Iterable[tuple[date, date]], lead: Lead, on: date, *, window_from: str, years: int = 0,
    unknowns: tuple[str, ...] = (),
) -> WoodOrder | None:  # fmt: skip
    """When to order for the coming window and, if that is too late, for the first one that can be reached.

    Parameters
    ----------
    windows : iterable of (first, last)
        In order of time.
    lead : Lead
    on : date
    window_from : {"typed", "weeks"}
    years : int
        Years of weather behind them.
    unknowns : tuple of str

    Returns
    -------
    WoodOrder or None
        None if no window lies ahead.
    """
    ahead = [dates_for(first, last, lead, on) for first, last in windows if last >= on]
    if not ahead:
        return None
    reach = next((d for d in ahead if not d.late), None)
    return WoodOrder(
        on=on.isoformat(),
        window_from=window_from,
        years=years,
        next=ahead[0],
        in_time=reach if reach is not None and reach is not ahead[0] else None,
        keeps_d=lead.keeps_d,
        unknowns=unknowns,
    )
