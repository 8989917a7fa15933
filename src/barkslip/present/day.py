"""The Today page and the walk-round in words."""

from __future__ import annotations

from barkslip.domain.cards import Hit, Today, Walk
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates, weather
from barkslip.present import units as u


def headline(today: Today) -> str:
    """ "5 things to do, 2 of them late."; the answer at the head of the page."""
    if not today.due:
        waiting = f" {counts.many(today.waiting, 'graft waits', 'grafts wait')} for a verdict." if today.waiting else ""
        return f"Nothing is due today.{waiting}"
    things = counts.many(today.due, "thing to do", "things to do")
    if not today.overdue:
        return f"{things}."
    late = (
        "it is late"
        if today.due == 1
        else "all late"
        if today.overdue == today.due
        else f"{today.overdue} of them late"
    )
    return f"{things}, {late}."


def coldest_ahead(today: Today, units: UnitChoice = METRIC) -> str:
    """The coldest night in the forecasts, with its plot; empty without a forecast."""
    nights = [(weather.coldest(p.coming), p.plot.name) for p in today.plots]
    known = [(d.night_low_c, d.day, name) for d, name in nights if d is not None and d.night_low_c is not None]
    if not known:
        return ""
    low, day, name = min(known)
    return (
        f"Coldest night ahead: {name}, {u.temperature(low, units)} on {dates.day_short(day)} (forecast, not a promise)."
    )


def walk_place(walk: Walk) -> str:
    """ "Stop 3 of 12"; places count from 0 inside, from 1 for people."""
    return f"Stop {walk.place + 1} of {walk.stops}"


#: Kind of hit -> what it is called in a list.
HIT_WORDS = {
    "graft": "graft", "tree": "tree", "limb": "limb", "lot": "wood lot", "plot": "plot", "event": "event",
    "look": "look", "act": "act", "series": "weather",
}  # fmt: skip


def hit_href(hit: Hit) -> str:
    """Address of a search result in the app."""
    places = {"graft": f"/grafts/{hit.code}", "tree": f"/trees/{hit.code}", "lot": f"/wood/{hit.code}"}
    if hit.kind == "series":
        return f"/weather/{hit.thing}"
    if hit.kind == "limb" and hit.code:
        return f"/trees/{hit.code.split(' ')[0].split(':')[0]}"
    return places.get(hit.kind, "/")
