"""A suspicion followed through the garden: who can have been reached, how early, how likely; what to hold and test."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.trace import (
    CERTAIN,
    Agent,
    Cleaning,
    Contact,
    Given,
    Node,
    Odds,
    Problem,
    Reached,
    Trace,
)
from barkslip.engines import trace_worlds as worlds
from barkslip.engines.trace_contacts import CLEAN, Contacts, Garden, contacts, folded
from barkslip.kernels import trace as kernel

#: Things named to be tested.
TESTS = 5


@dataclass(frozen=True)
class Asked:
    """What is asked.

    Parameters
    ----------
    origin : (str, str)
        Kind, and thing id or a tool's name folded.
    backward : bool
    since : date or None
    today : date
    seed, worlds : int
    """

    origin: tuple[str, str]
    backward: bool
    since: date | None
    today: date
    seed: int = 1
    worlds: int = worlds.WORLDS


def infection(asked: Asked, garden: Garden, agent: Agent, cleanings: Mapping[str, Cleaning]) -> Trace:
    """Follow an infection.

    Parameters
    ----------
    cleanings : mapping
        Words of the book on a cleaning -> what it counts for against this agent.

    Raises
    ------
    InputError
        If wood descends from itself.
    """
    book = contacts(garden, agent, cleanings, asked.today)
    kind, key = asked.origin
    origin = book.node(asked.origin, Node(kind, key))
    start = _start(book, origin, asked)
    found = worlds.ways(book.events, len(book.nodes), origin, start, backward=asked.backward)
    first, reached_by = worlds.earliest(found, book.coins)
    by = np.where(reached_by >= 0, found.events[reached_by], -1)
    found = worlds.reachable(found, first)
    _living(book, first, by, asked)
    odds, now, exact = _odds(found, book.coins, asked)
    reached = _reached(book, found, first, by, odds, now, origin, asked)
    drawn = _drawn(book, found, first, by, asked)
    seen = {origin, *(r.node for r in reached)}
    met = {u.cleaned: cleanings[u.cleaned] for u in garden.uses if u.cleaned in cleanings and _met(book, u.tool, seen)}
    nodes = tuple(book.nodes)
    return Trace(
        origin, "infection", asked.backward, asked.since, asked.today, nodes, drawn, reached,
        given=_given(book, garden, reached, origin) if not asked.backward else (),
        hold=hold(nodes, origin, reached, _trees_of(book, garden)),
        test=_tests(nodes, reached, _kin(book, garden), backward=asked.backward),
        cleanings=tuple(met.values()), agent=agent, problems=_problems(book, seen),
        unknowns=_unknowns(agent, garden, odds, reached), exact=exact, worlds=0 if exact else asked.worlds,
        seed=asked.seed,
    )  # fmt: skip


def _start(book: Contacts, origin: int, asked: Asked) -> int:
    """Day on which the suspicion begins; backward, the day up to which it is looked at."""
    if asked.backward:
        return asked.today.toordinal()
    if asked.since is not None:
        return asked.since.toordinal()
    if book.nodes[origin].kind != "tree" and origin in book.since:
        return book.since[origin]
    first = min((e.day for e in book.events), default=asked.today.toordinal())
    return min(first, book.since.get(origin, first))


def _living(book: Contacts, first: NDArray[np.int64], by: NDArray[np.int64], asked: Asked) -> None:
    """A graft has what its tree has from the same day on, not from the day on which it is next looked at.

    Days of grafts are put forward in `first`, with the contact over the union in `by`.
    """
    until = {e.target: e.day for e in book.events if e.way == "union" and book.nodes[e.target].kind == "graft"}
    for place, event in enumerate(book.events):
        if event.way != "union":
            continue
        graft, tree = event.target, event.source
        if book.nodes[graft].kind != "graft":
            graft, tree = tree, graft
        if asked.backward == (graft == event.target) or first[tree] == kernel.NEVER:
            continue
        last = until.get(graft, asked.today.toordinal())
        if asked.backward:
            day = max(int(first[tree]), -last)
            fits = -day >= book.since[graft]
        else:
            day = max(int(first[tree]), book.since[graft])
            fits = day <= last
        if fits and day < first[graft]:
            first[graft], by[graft] = day, place


def _odds(found: worlds.Ways, coins: Sequence[Odds], asked: Asked) -> tuple[list[Odds], list[Odds], bool]:
    """Chance of each node, ever and at the end, at the best values and at both ends of all ranges.

    The more a contact passes and the less a cleaning clears, the more is reached: so the ends are bounds.
    """
    cleans = np.zeros(len(coins), np.bool_)
    cleans[found.coin[found.source == CLEAN]] = True
    best = np.array([c.best for c in coins])
    low = np.array([c.high if cleans[i] else c.low for i, c in enumerate(coins)])
    high = np.array([c.low if cleans[i] else c.high for i, c in enumerate(coins)])
    runs = [worlds.chances(found, p, seed=asked.seed, worlds=asked.worlds) for p in (best, low, high)]
    known = _by_known(found, coins)
    ever = [_one([float(r.ever[i]) for r in runs], bool(known[i])) for i in range(found.nodes)]
    now = [_one([float(r.after[i]) for r in runs], bool(known[i])) for i in range(found.nodes)]
    return ever, now, all(r.exact for r in runs)


def _one(runs: Sequence[float], known: bool) -> Odds:
    """One chance with its range: rounding never turns a range inside out."""
    best, low, high = (min(max(p, 0.0), 1.0) for p in runs)
    return Odds(best, min(low, best), max(high, best), known)


def _by_known(found: worlds.Ways, coins: Sequence[Odds]) -> NDArray[np.bool_]:
    """True for what can be reached by contacts alone whose chance is known."""
    known = [c if c.known else Odds(0.0, 0.0, 0.0) for c in coins]
    first, _ = worlds.earliest(found, known)
    out: NDArray[np.bool_] = first < kernel.NEVER
    return out


def _reached(
    book: Contacts, found: worlds.Ways, first: NDArray[np.int64], by: NDArray[np.int64], odds: Sequence[Odds],
    now: Sequence[Odds], origin: int, asked: Asked,
) -> tuple[Reached, ...]:  # fmt: skip
    steps = _steps(book, by, origin, backward=asked.backward)
    out = []
    for i in np.flatnonzero(first < kernel.NEVER).tolist():
        if i == origin or odds[i].never:
            continue
        begins = book.since.get(i)
        day = date.fromordinal(abs(int(first[i])))
        out.append(
            Reached(
                i,
                (date.fromordinal(begins) if begins else None) if asked.backward else day,
                day if asked.backward else None,
                odds[i],
                steps[i],
                now[i] if book.nodes[i].kind == "tool" and not asked.backward else None,
            )
        )
    out.sort(key=lambda r: (r.latest or r.earliest or date.min, r.steps, book.nodes[r.node].order))
    return tuple(reversed(out)) if asked.backward else tuple(out)


def _steps(book: Contacts, by: NDArray[np.int64], origin: int, *, backward: bool) -> dict[int, int]:
    """Contacts on the earliest way to each node."""
    out: dict[int, int] = {}
    for node in range(len(book.nodes)):
        at, count = node, 0
        while at != origin and by[at] >= 0:
            event = book.events[int(by[at])]
            at, count = (event.target if backward else event.source), count + 1
        out[node] = count
    return out


def _drawn(
    book: Contacts, found: worlds.Ways, first: NDArray[np.int64], by: NDArray[np.int64], asked: Asked
) -> tuple[Contact, ...]:
    """Each way between two things once, on its first day; the ways that came first are marked."""
    firsts = {int(b): i for i, b in enumerate(by) if b >= 0}
    out: dict[tuple[int, int, str], Contact] = {}
    for place in sorted({int(e) for e in found.events if e >= 0} | set(firsts)):
        event = book.events[place]
        key = (event.source, event.target, event.way)
        if event.source < 0 or (key in out and place not in firsts):
            continue
        day = abs(int(first[firsts[place]])) if place in firsts else event.day
        out[key] = Contact(*key, date.fromordinal(day), book.coins[event.coin], place in firsts)
    return tuple(sorted(out.values(), key=lambda c: (c.on, c.source, c.target)))


def _given(book: Contacts, garden: Garden, reached: Sequence[Reached], origin: int) -> tuple[Given, ...]:
    odds = {r.node: r.odds for r in reached} | {origin: CERTAIN}
    out = []
    for handout in garden.handouts:
        lot = book.place.get(("lot", handout.lot), -1)
        who = book.place.get(("receiver", folded(handout.receiver)), -1)
        if lot in odds and who in odds:
            out.append(Given(handout.receiver, book.nodes[lot].id, handout.on.first, handout.sticks, odds[lot]))
    return tuple(sorted(out, key=lambda g: (g.on, g.receiver)))


def hold(
    nodes: Sequence[Node], origin: int, reached: Sequence[Reached], on: Mapping[int, int] | None = None
) -> tuple[int, ...]:
    """What to hold back: wood in store first, then trees and grafts, the likeliest before the others.

    Parameters
    ----------
    on : mapping or None
        Graft -> its tree, where a tree that is held holds its grafts.
    """
    order = {"lot": 0, "tree": 1, "graft": 2}
    odds = {origin: 1.0} | {r.node: r.odds.best for r in reached}
    held = [i for i in odds if nodes[i].kind in order and not nodes[i].gone]
    held = [i for i in held if i == origin or (on or {}).get(i) not in odds]
    return tuple(sorted(held, key=lambda i: (i != origin, order[nodes[i].kind], -odds[i], nodes[i].order)))


def _trees_of(book: Contacts, garden: Garden) -> dict[int, int]:
    return {book.place["graft", g.thing]: book.place["tree", g.tree] for g in garden.grafts}


def _kin(book: Contacts, garden: Garden) -> dict[int, str]:
    """Grafts by their wood: what one of them carries, the others are likely to."""
    return {book.place["graft", g.thing]: g.lot or g.thing for g in garden.grafts}


def _tests(
    nodes: Sequence[Node], reached: Sequence[Reached], kin: Mapping[int, str], *, backward: bool
) -> tuple[tuple[int, float], ...]:
    """What a test would tell most about: chances near one half; backward, the nearest ones. One graft a lot."""
    living = [r for r in reached if nodes[r.node].kind in ("lot", "tree", "graft") and not nodes[r.node].gone]
    if backward:
        living.sort(key=lambda r: (r.steps, -r.odds.best, nodes[r.node].order))
    else:
        living = [r for r in living if _bits(r.odds.best) > 0.0]
        living.sort(key=lambda r: (-_bits(r.odds.best), nodes[r.node].kind != "tree", nodes[r.node].order))
    out: dict[str, Reached] = {}
    for one in living:
        out.setdefault(kin.get(one.node, str(one.node)), one)
    return tuple((r.node, _bits(r.odds.best)) for r in list(out.values())[:TESTS])


def _bits(p: float) -> float:
    """Uncertainty of a yes or no [bit]."""
    return 0.0 if p <= 0.0 or p >= 1.0 else -p * math.log2(p) - (1.0 - p) * math.log2(1.0 - p)


def _met(book: Contacts, tool: str, seen: set[int]) -> bool:
    return book.place.get(("tool", folded(tool)), -1) in seen


def _problems(book: Contacts, seen: set[int]) -> tuple[Problem, ...]:
    return tuple(dict.fromkeys(p for places, p in book.problems if seen.intersection(places)))


def _unknowns(agent: Agent, garden: Garden, odds: Sequence[Odds], reached: Sequence[Reached]) -> tuple[str, ...]:
    """Codes of what is not known, most telling first."""
    out = []
    if not agent.key:
        out.append("agent")
    if agent.union.never:
        out.append("not_by_graft")
    if agent.blade.never:
        out.append("not_by_tool")
    else:
        out.append("tool_rate" if not agent.blade.known else "rate_per_cut")
        out.append("tools_not_written" if garden.uses else "no_tools")
    if any(not r.odds.known for r in reached):
        out.append("unknown_ways")
    if agent.row is not None and agent.row.cell("vector") not in ("", "none"):
        out.append("vector")
    if agent.wood.known and not agent.union.never:
        out.append("assumed_rates")
    return tuple(out)
