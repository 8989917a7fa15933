"""Order dates planned back from a window: typed, or the weeks of the year that worked at this place."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.frost import night_door
from barkslip.app.keeping import kind_of, month_days
from barkslip.app.lines import Fields
from barkslip.app.settings import Settings
from barkslip.domain.errors import InputError
from barkslip.domain.keeping import STORES, KeepSource
from barkslip.domain.wood_order import WoodOrder

if TYPE_CHECKING:
    from barkslip.app.door import Door
    from barkslip.domain.timing import WeekOfYear
    from barkslip.engines.wood_order import Lead
    from barkslip.knowledge.load import Knowledge

#: Members of the courses drawn for the weeks of the year: only their middle is used.
_MEMBERS = "60"
#: Where wood is usually kept if nothing is typed.
_USUAL_STORE = "fridge"
_FROM_TO = re.compile(r"^(?:from\s+|between\s+)?(.+?)\s+(?:to|until|and)\s+(.+)$", re.IGNORECASE)
MOST_POST_D = 60
YEARS_SHOWN = 3
#: Years of weeks that are kept at most.
MOST_KEPT = 20


def ask_order(ctx: Context | None, settings: Settings, fields: Fields) -> WoodOrder:
    """When to order wood.

    Parameters
    ----------
    ctx : Context or None
        None if a window is typed and there is no book.
    fields : mapping
        window (days on which it shall be grafted: a day, a month, "from ... to ..."), or tree or plot of the book and
        method: the good weeks of its year; species, store (a key of `STORES`), post (days on the way), closes (the
        giver's last day for orders, taken again each year), whole_tree (yes: a whole tree is worked over).

    Raises
    ------
    InputError
        If there is no window, or none lies ahead.
    NotFoundError, QuestionError
    """
    from barkslip.engines import wood_order

    knowledge = _knowledge(ctx, settings)
    at = night_door(ctx, settings, fields)
    lead, doubts = _lead(ctx, at, fields, knowledge)
    windows, source, years = _windows(ctx, settings, at, fields, knowledge)
    found = wood_order.order(windows, lead, at.today, window_from=source, years=years, unknowns=doubts)
    if found is None:
        raise InputError(
            "That window has passed.",
            given=fields.get("window", ""),
            allowed=f"{at.today.isoformat()} or later",
            next_step="Type the days on which it shall be grafted next.",
            field="window",
        )
    return found


def _knowledge(ctx: Context | None, settings: Settings) -> Knowledge:
    if ctx is not None:
        return ctx.knowledge
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def _windows(
    ctx: Context | None, settings: Settings, at: Door, fields: Fields, knowledge: Knowledge
) -> tuple[list[tuple[date, date]], str, int]:
    """Windows in order of time, what they come from, and the years of weather behind them."""
    from barkslip.engines import wood_order

    typed = at.when({"window": _FROM_TO.sub(r"\1/\2", at.text(fields, "window"))}, "window", future=True)
    if typed is not None:
        return [wood_order.yearly(typed.first, typed.last, k) for k in range(YEARS_SHOWN)], "typed", 0
    named = {name: text for name in ("tree", "plot") if (text := at.text(fields, name))}
    if ctx is None or not named:
        raise InputError(
            "The days on which it shall be grafted are missing.",
            given="(nothing)",
            allowed="2025-09, from 15 Sep 2025 to 20 Oct 2025, or a tree of the book",
            next_step="Type the window, or name a tree: the good weeks of its place are taken then.",
            field="window",
        )
    asked = {**named, "years": "yes", "members": _MEMBERS, "from": at.today.isoformat()}
    for name in ("method", "species"):
        if at.text(fields, name):
            asked[name] = at.text(fields, name)
    year = _year(ctx, settings, asked)
    share = knowledge.value("wood.good_share").value
    found = wood_order.good_windows(year, float(share) if isinstance(share, (int, float)) else 1.0, at.today)
    if not found:
        raise InputError(
            "No week of the year is known in which it worked in most years at this place.",
            given=", ".join(named.values()),
            allowed="a place with years of weather, or a window",
            next_step="Type the window yourself, or bring weather of this place in.",
            field="window",
        )
    return found, "weeks", max(w.years for w in year)


def _year(ctx: Context, settings: Settings, asked: dict[str, str]) -> tuple[WeekOfYear, ...]:
    """The weeks of the year at a place; kept as long as neither the book nor the day changes."""
    from barkslip.app.days import ask_days, forget
    from barkslip.app.past_grafts import state_of

    with ctx.book.read() as reader:
        key = f"order weeks {sorted(asked.items())} {ctx.knowledge.hash} {state_of(ctx, reader)}"
    if key not in ctx.kept:
        forget(ctx, "order weeks ", MOST_KEPT)
        ctx.kept[key] = ask_days(ctx, settings, asked).year
    kept: tuple[WeekOfYear, ...] = ctx.kept[key]
    return kept


def _lead(ctx: Context | None, at: Door, fields: Fields, knowledge: Knowledge) -> tuple[Lead, tuple[str, ...]]:
    from barkslip.engines.wood_order import Lead

    rows = knowledge.rows("timelines")
    order, plan = rows["budwood_order"].value, rows["topwork_plan"].value
    if order is None:
        raise InputError("The months ahead of an order are missing in the knowledge base.", given="budwood_order")
    doubts = ["lead_time_elsewhere"]
    store = at.choice(fields, "store", STORES, _USUAL_STORE)
    kind = _kind(ctx, at, fields, knowledge)
    keeps = _keeps(knowledge, kind, store)
    if not keeps:
        doubts.append("keeping_unknown")
    post = at.count(fields, "post", most=MOST_POST_D)
    if post is None:
        doubts.append("post_unknown")
    closes = at.when(fields, "closes", future=True)
    shown = min(keeps, key=lambda s: s.low_d) if keeps else None
    return (
        Lead(
            order=order,
            plan=plan if at.yes(fields, "whole_tree") else None,
            post_days=post,
            closes=(closes.last.month, min(closes.last.day, 28) if closes.last.month == 2 else closes.last.day)
            if closes is not None
            else None,
            keeps_d=(min(s.low_d for s in keeps), max(s.high_d for s in keeps)) if keeps else None,
            keep_source=shown.source if shown is not None else "",
            keep_status=shown.status if shown is not None else "",
        ),
        tuple(doubts),
    )


def _kind(ctx: Context | None, at: Door, fields: Fields, knowledge: Knowledge) -> str:
    typed = at.text(fields, "species")
    if typed:
        found = kind_of(knowledge, typed)
        if not found:
            raise InputError(
                "It is not known what kind of wood that is.",
                given=typed,
                allowed="citrus, apple, persimmon, plum, mango ...",
                next_step="Type the kind of tree.",
                field="species",
            )
        return found
    if ctx is not None and at.text(fields, "tree"):
        from barkslip.app.trees import find_tree

        with ctx.book.read() as reader:
            return kind_of(knowledge, find_tree(reader, at.text(fields, "tree")).fruit or "citrus")
    return "citrus"


def _keeps(knowledge: Knowledge, kind: str, store: str) -> list[KeepSource]:
    """What says how long such wood keeps in such a store; where nobody does, when half of its buds are dead."""
    from barkslip.engines.keeping import sources_for

    found = sources_for(knowledge.rows("budwood"), kind, store, month_days(knowledge), knowledge.source)
    here = [s for s in found if s.here]
    return [s for s in here if s.says == "keeps"] or [s for s in here if s.says == "half dead"]
