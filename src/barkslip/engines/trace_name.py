"""A wrong name followed through descent: it goes wherever the wood went, for certain, and never by a tool."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from barkslip.domain.budwood import WoodLot
from barkslip.domain.errors import InputError
from barkslip.domain.graft import Graft
from barkslip.domain.names import same_word
from barkslip.domain.trace import CERTAIN, UNKNOWN_ODDS, Contact, Given, Node, Odds, Problem, Reached, Trace
from barkslip.engines.trace import Asked, hold
from barkslip.engines.trace_contacts import Garden, folded
from barkslip.engines.trace_descent import check_cycles

_Key = tuple[str, str]
#: (from, to, way, day, certain or perhaps)
_Link = tuple[_Key, _Key, str, date, Odds]


def wrong_name(asked: Asked, garden: Garden) -> Trace:
    """Follow a wrong name down to all that descends from the wood; backward, up to where it may have begun.

    Raises
    ------
    InputError
        For a tool, which hands on no name; if wood descends from itself.
    """
    if asked.origin[0] in ("tool", "receiver"):
        raise InputError(
            "A wrong name goes with the wood, not with a tool.",
            given=asked.origin[1],
            allowed="a lot, a graft or a tree",
            next_step="Name the lot or the graft whose name is in doubt.",
            field="from",
        )
    check_cycles(garden.lots, garden.grafts)
    links, problems = _links(garden)
    if asked.backward:
        links = [(to, source, way, day, odds) for source, to, way, day, odds in links if way != "given"]
    found = _followed(asked.origin, links)
    places = {key: i for i, key in enumerate(found)}
    nodes = tuple(_node(key, garden) for key in found)
    origin = places[asked.origin]
    drawn = [
        Contact(*((places[b], places[a]) if asked.backward else (places[a], places[b])), way, day, odds,
                found[b][2] == (a, way))
        for a, b, way, day, odds in links
        if a in places and b in places
    ]  # fmt: skip
    reached = tuple(
        Reached(places[key], day, day if asked.backward else None, odds, steps)
        for key, (day, odds, _, steps) in found.items()
        if key != asked.origin
    )
    order = tuple(sorted(reached, key=lambda r: (r.steps, r.earliest or date.min, nodes[r.node].order)))
    return Trace(
        origin, "wrong name", asked.backward, None, asked.today, nodes, tuple(drawn), order,
        given=_given(garden, found) if not asked.backward else (),
        hold=hold(nodes, origin, [r for r in order if nodes[r.node].kind != "tree"]),
        problems=tuple(p for keys, p in problems if any(k in places for k in keys)),
        unknowns=("unknown_ways",) if any(not r.odds.known for r in order) else (),
    )  # fmt: skip


def _links(garden: Garden) -> tuple[list[_Link], list[tuple[tuple[_Key, ...], Problem]]]:
    """Who descends from whom; and what in the dates cannot be."""
    out: list[_Link] = []
    problems: list[tuple[tuple[_Key, ...], Problem]] = []
    lots = {lot.thing: lot for lot in garden.lots}
    grafts = {graft.thing: graft for graft in garden.grafts}
    for graft in garden.grafts:
        lot = lots.get(graft.lot or "")
        if lot is None:
            continue
        out.append((("lot", lot.thing), ("graft", graft.thing), "wood", graft.set_on.first, CERTAIN))
        if graft.set_on.last < lot.cut.first:
            about = f"{graft.code}, {lot.code}"
            keys = (("graft", graft.thing), ("lot", lot.thing))
            problems.append((keys, Problem("graft_before_wood", about, graft.set_on.iso())))
    for lot in garden.lots:
        parent = grafts.get(lot.from_graft or "")
        to = ("lot", lot.thing)
        if parent is not None:
            out.append((("graft", parent.thing), to, "cut", lot.cut.first, CERTAIN))
            if lot.cut.last < parent.set_on.first:
                keys = (("graft", parent.thing), to)
                problems.append((keys, Problem("wood_before_graft", f"{lot.code}, {parent.code}", lot.cut.iso())))
        elif lot.from_tree:
            out.append((("tree", lot.from_tree), to, "cut", lot.cut.first, CERTAIN))
            maybe = list(_on_the_limb(lot, garden.grafts))
            out += [(("graft", g.thing), to, "cut", lot.cut.first, UNKNOWN_ODDS) for g in maybe]
            if maybe:
                limb: tuple[_Key, ...] = (to, *(("graft", g.thing) for g in maybe))
                detail = ", ".join(g.code for g in maybe)
                problems.append((limb, Problem("limb_of_grafts", lot.code, detail)))
    for handout in garden.handouts:
        lot = lots.get(handout.lot)
        if lot is not None:
            who = ("receiver", folded(handout.receiver))
            out.append((("lot", lot.thing), who, "given", handout.on.first, CERTAIN))
            if handout.on.last < lot.cut.first:
                keys = (("lot", lot.thing), who)
                about = f"{lot.code}, {handout.receiver}"
                problems.append((keys, Problem("given_before_cut", about, handout.on.iso())))
    return out, problems


def _on_the_limb(lot: WoodLot, grafts: Iterable[Graft]) -> Iterable[Graft]:
    """Grafts of the lot's name on the limb it was cut from: it may be wood of theirs."""
    return (
        g
        for g in grafts
        if lot.from_limb and g.limb == lot.from_limb and g.set_on.first <= lot.cut.last and same_word(g.name, lot.name)
    )


#: Day, certain or perhaps, (parent, way) of the way that came first, steps.
_Found = dict[_Key, tuple[date, Odds, tuple[_Key, str] | None, int]]


def _followed(origin: _Key, links: list[_Link]) -> _Found:
    """Everything that descends from the origin: certain ways before doubtful ones."""
    ways: dict[_Key, list[_Link]] = {}
    for link in links:
        ways.setdefault(link[0], []).append(link)
    found: _Found = {origin: (date.min, CERTAIN, None, 0)}
    for sure in (True, False):
        queue = list(found)
        for at in queue:  # grows while it is gone through
            _, odds, _, steps = found[at]
            for _, to, way, day, link_odds in ways.get(at, ()):
                if to in found or (sure and not link_odds.certain):
                    continue
                both = CERTAIN if odds.certain and link_odds.certain else UNKNOWN_ODDS
                found[to] = (day, both, (at, way), steps + 1)
                queue.append(to)
    return found


def _node(key: _Key, garden: Garden) -> Node:
    kind, thing = key
    if kind == "receiver":
        return next(Node("receiver", h.receiver) for h in garden.handouts if folded(h.receiver) == thing)
    return garden.nodes[thing]


def _given(garden: Garden, found: _Found) -> tuple[Given, ...]:
    codes = {lot.thing: lot.code for lot in garden.lots}
    out = [
        Given(h.receiver, codes[h.lot], h.on.first, h.sticks, found["lot", h.lot][1])
        for h in garden.handouts
        if ("lot", h.lot) in found
    ]
    return tuple(sorted(out, key=lambda g: (g.on, g.receiver)))
