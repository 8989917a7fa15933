"""The Today page and the walk-round in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from barkslip.domain.cards import Hit, PlotToday, Today, Walk
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


@dataclass(frozen=True, slots=True)
class Step:
    """One step of beginning a book: `done`, its address, what to do, and a line about it."""

    done: bool
    href: str
    words: str
    help: str


def beginning(things: Mapping[str, int], tree: str = "") -> list[Step]:
    """What to do in a new book, in order; empty once a graft is set.

    Parameters
    ----------
    things : mapping
        Noun -> things that stand in the book.
    tree : str
        Code of the one tree there is; empty if there are none or several.
    """
    if things.get("graft"):
        return []
    return [
        Step(
            bool(things.get("tree")),
            "/trees/new",
            "Add a tree",
            "Any tree. What it stands on may stay unknown.",
        ),
        Step(
            bool(things.get("limb")),
            f"/trees/{quote(tree)}/limbs/new" if tree else "/trees",
            "Add a limb to it",
            "Where it points, how high it sits.",
        ),
        Step(bool(things.get("wood_lot")), "/wood/new", "Add a wood lot", "Where the wood came from and when."),
        Step(False, "/grafts/new", "Set grafts", "One, or twelve alike in one go."),
        Step(bool(things.get("record")), "/weather/days/new", "Type last night's low", "Or bring in a logger's file."),
    ]


#: Kind of hit, as the book's index says it -> (what it is called in a list, its address with the code put in).
_HITS = {
    "graft": ("graft", "/grafts/{code}"),
    "tree": ("tree", "/trees/{code}"),
    "limb": ("limb", "/trees/{code}#limb-{thing}"),
    "chain_link": ("what it stands on", "/trees/{code}"),
    "wood_lot": ("wood lot", "/wood/{code}"),
    "lot_find": ("found to be", "/wood/{code}"),
    "plot": ("plot", "/plots/{code}/edit"),
    "event": ("what happened", "/events#event-{thing}"),
    "record": ("weather", "/weather/{thing}"),
}


#: Kind of hit -> its word in the table of a terminal, where the noun itself is short enough.
HIT_WORDS = {kind: kind.replace("_", " ") for kind in _HITS}


def hit_words(hit: Hit) -> str:
    """What a search result is."""
    return _HITS[hit.kind][0] if hit.kind in _HITS else hit.kind.replace("_", " ")


def hit_href(hit: Hit) -> str:
    """Address of a search result in the app."""
    _, place = _HITS.get(hit.kind, ("", "/"))
    return place.format(code=quote(hit.code), thing=hit.thing)


def hit_title(hit: Hit) -> str:
    """Its name; an event goes by its kind and its day."""
    if hit.kind == "event":
        return f"{counts.opening(hit.title)}, {_when(hit.code)}"
    return hit.title or hit.code


def _when(text: str) -> str:
    try:
        return dates.range_text(*(date.fromisoformat(part) for part in (text.split("/") * 2)[:2]))
    except ValueError:
        return text


def highs_text(plot: PlotToday, units: UnitChoice = METRIC) -> str:
    """ "hottest day ahead 19.1 °C, 4 Jul (forecast); last 3 days 16.0 to 18.0 °C"; "" without readings."""
    parts = []
    ahead = [d for d in plot.coming if d.high_c is not None]
    if ahead:
        top = max(ahead, key=lambda d: d.high_c if d.high_c is not None else -99.0)
        how = " (forecast)" if top.forecast else ""
        parts.append(f"hottest day ahead {u.temperature(top.high_c, units)}, {dates.day_short(top.day)}{how}")
    last = [d.high_c for d in plot.last if d.high_c is not None]
    if last:
        low, high = u.bare_temperature(min(last), units), u.temperature(max(last), units)
        span = high if min(last) == max(last) else f"{low} to {high}"
        parts.append(f"last {counts.many(len(last), 'day')} {span}")
    return "; ".join(parts)
