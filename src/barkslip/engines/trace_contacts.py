"""From lines of the book to contacts in order of time.

A graft lives on its tree: the two share what they carry from the day it was set. That is written as contacts over the
union whenever one of them changes or is about to be read, all with the one coin of that union. Within a day: wood is
cut, grafts are set, tools are used in the order written down, wood is given away.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import Handout, ToolUse
from barkslip.domain.graft import Graft
from barkslip.domain.trace import CERTAIN, Agent, Cleaning, Node, Odds, Problem
from barkslip.domain.tree import Tree
from barkslip.domain.when import FIRST_YEAR
from barkslip.engines.trace_descent import check_cycles, descent_order

#: Ranks within a day.
CUT, SET, USED, AFTER_USE, GIVEN = range(5)
#: In place of a source: a cleaning of the target (as in the kernel).
CLEAN = -2


@dataclass(frozen=True)
class Garden:
    """What a trace is given.

    Parameters
    ----------
    trees, lots, grafts, uses, handouts : sequence
        Current lines of the book, as they came.
    took : mapping
        Thing id of a graft -> False if it did not take. Those not named took, or wait.
    lost : mapping
        Thing id of a graft -> day on which it was seen to be lost.
    nodes : mapping
        Thing id -> node of a lot, a graft or a tree.
    """

    trees: Sequence[Tree]
    lots: Sequence[WoodLot]
    grafts: Sequence[Graft]
    uses: Sequence[ToolUse]
    handouts: Sequence[Handout]
    took: Mapping[str, bool]
    lost: Mapping[str, date]
    nodes: Mapping[str, Node]


@dataclass(frozen=True)
class Event:
    """One contact, or one cleaning."""

    day: int
    rank: int
    turn: int
    source: int
    target: int
    way: str
    coin: int


@dataclass
class Contacts:
    """Nodes, coins and events of a garden.

    Parameters
    ----------
    nodes : list of Node
    events : list of Event
    coins : list of Odds
        Of a cleaning: chance that it clears.
    place : dict
        (kind, key) -> place in `nodes`; the key is a thing id, or the words of a tool or a receiver, folded.
    since : dict
        Place in `nodes` -> first day it can have carried anything, as an ordinal.
    problems : list of (places in `nodes`, Problem)
    """

    nodes: list[Node] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    coins: list[Odds] = field(default_factory=list)
    place: dict[tuple[str, str], int] = field(default_factory=dict)
    since: dict[int, int] = field(default_factory=dict)
    problems: list[tuple[tuple[int, ...], Problem]] = field(default_factory=list)

    def node(self, key: tuple[str, str], node: Node) -> int:
        """Place of a node, added if it is new."""
        if key not in self.place:
            self.place[key] = len(self.nodes)
            self.nodes.append(node)
        return self.place[key]

    def coin(self, odds: Odds) -> int:
        """A new coin."""
        self.coins.append(odds)
        return len(self.coins) - 1

    def add(self, day: int, rank: int, source: int, target: int, way: str, coin: int) -> None:
        """A contact, unless it cannot hand on anything; cleanings that clear nothing are left out too."""
        if not self.coins[coin].never:
            self.events.append(Event(day, rank, len(self.events), source, target, way, coin))

    def told(self, places: tuple[int, ...], code: str, detail: str = "") -> None:
        """Remember something that does not fit."""
        about = ", ".join(self.nodes[p].id for p in places)
        self.problems.append((places, Problem(code, about, detail)))


def folded(words: str) -> str:
    """Name of a tool or a receiver without case and extra spaces: "Knife A" is "knife a"."""
    return " ".join(words.casefold().split())


class _Writer:
    """Writes the contacts of one garden for one agent."""

    def __init__(self, garden: Garden, agent: Agent, cleanings: Mapping[str, Cleaning], today: date) -> None:
        self.garden, self.agent, self.cleanings = garden, agent, cleanings
        self.out = Contacts()
        self.today = today.toordinal()
        self.trees = {tree.thing: tree for tree in garden.trees}
        self.grafts = {graft.thing: graft for graft in garden.grafts}
        self.union: dict[str, int] = {}
        self.sure = self.out.coin(CERTAIN)
        self.cut_by_tool = {(use.lot, use.on.first.toordinal()) for use in garden.uses if use.lot}

    def write(self) -> Contacts:
        garden, out = self.garden, self.out
        for tree in garden.trees:
            place = out.node(("tree", tree.thing), garden.nodes[tree.thing])
            if tree.planted and tree.planted.first.year > FIRST_YEAR:
                out.since[place] = tree.planted.first.toordinal()
        for one in descent_order(garden.lots, garden.grafts):
            if isinstance(one, WoodLot):
                self._lot(one)
            else:
                self._graft(one)
        if not self.agent.blade.never:
            self._uses()
        for handout in garden.handouts:
            self._given(handout)
        for graft in garden.grafts:
            self._at_last(graft)
        out.events.sort(key=lambda e: (e.day, e.rank, e.turn))
        return out

    def at(self, kind: str, thing: str | None) -> int | None:
        """Place of a thing of the book; None if it is not there (any more)."""
        return self.out.place.get((kind, thing or ""))

    # -- wood and grafts --------------------------------------------------------------------------------------

    def _lot(self, lot: WoodLot) -> None:
        out, day = self.out, lot.cut.first.toordinal()
        place = out.node(("lot", lot.thing), self.garden.nodes[lot.thing])
        graft, tree = self.at("graft", lot.from_graft), self.at("tree", lot.from_tree)
        if graft is not None:
            if lot.cut.last.toordinal() < out.since[graft]:
                out.told((place, graft), "wood_before_graft", lot.cut.iso())
            day = max(day, out.since[graft])
            rank = SET if day == out.since[graft] else CUT
            self._to_graft(lot.from_graft or "", day, rank)
            out.add(day, rank, graft, place, "cut", out.coin(self._into(self.agent.wood, lot.crop)))
        elif tree is not None:
            planted = self.trees[lot.from_tree or ""].planted
            if planted and lot.cut.last < planted.first:
                out.told((place, tree), "wood_before_tree", f"{lot.cut.iso()}, {planted.iso()}")
            out.add(day, CUT, tree, place, "cut", out.coin(self._into(self._of_batch(lot.from_tree), lot.crop)))
        out.since[place] = day

    def _graft(self, graft: Graft) -> None:
        out, day = self.out, graft.set_on.first.toordinal()
        place = out.node(("graft", graft.thing), self.garden.nodes[graft.thing])
        tree, lot = self.out.place[("tree", graft.tree)], self.at("lot", graft.lot)
        if lot is not None:
            if graft.set_on.last.toordinal() < out.since[lot]:
                out.told((place, lot), "graft_before_wood", graft.set_on.iso())
            day = max(day, out.since[lot])
        out.since[place] = day
        odds = self._into(self.agent.union, self.trees[graft.tree].fruit)
        if self.garden.took.get(graft.thing) is False:
            odds = Odds(odds.high / 2.0, 0.0, odds.high, known=False)
        self.union[graft.thing] = out.coin(odds)
        ranks = (SET, AFTER_USE) if (graft.lot, day) in self.cut_by_tool else (SET,)
        for rank in ranks:
            if lot is not None:
                out.add(day, rank, lot, place, "wood", self.sure)
            out.add(day, rank, place, tree, "union", self.union[graft.thing])
        self._to_graft(graft.thing, day, SET)

    def _to_graft(self, thing: str, day: int, rank: int) -> None:
        """From the tree into a graft on it: before it is read. Plants of a batch stand apart."""
        graft = self.grafts[thing]
        if self.trees[graft.tree].count > 1:
            return
        lost = self.garden.lost.get(thing)
        if lost is None or day <= lost.toordinal():
            tree, place = self.out.place[("tree", graft.tree)], self.out.place[("graft", thing)]
            self.out.add(day, rank, tree, place, "union", self.union[thing])

    def _at_last(self, graft: Graft) -> None:
        lost = self.garden.lost.get(graft.thing)
        since = self.out.since[self.out.place[("graft", graft.thing)]]
        self._to_graft(graft.thing, max(since, lost.toordinal() if lost else self.today), GIVEN)

    def _into(self, odds: Odds, fruit: str) -> Odds:
        """Chance of a contact into this kind of fruit tree: of another kind than the table's, nothing is known."""
        if not self.agent.crop or not fruit or fruit == self.agent.crop:
            return odds
        other = self.agent.other_fruit
        return Odds(odds.best * other.best, odds.low * other.low, odds.high * other.high, odds.known and other.known)

    def _of_batch(self, tree: str | None) -> Odds:
        """Chance that wood cut from a batch is of the plant that carries it."""
        return self._one_of(self.agent.wood, self.trees[tree or ""].count)

    @staticmethod
    def _one_of(odds: Odds, count: int) -> Odds:
        return odds if count < 2 else Odds(odds.best / count, 0.0, odds.high, odds.known)

    def _given(self, handout: Handout) -> None:
        out, lot = self.out, self.at("lot", handout.lot)
        if lot is None:
            return
        who = out.node(("receiver", folded(handout.receiver)), Node("receiver", handout.receiver))
        if handout.on.last.toordinal() < out.since[lot]:
            out.told((lot, who), "given_before_cut", handout.on.iso())
        day = max(handout.on.first.toordinal(), out.since[lot])
        out.since[who] = min(out.since.get(who, day), day)
        out.add(day, GIVEN, lot, who, "given", self.sure)

    # -- tools ------------------------------------------------------------------------------------------------

    def _uses(self) -> None:
        days: dict[tuple[str, int], list[ToolUse]] = {}
        for use in self.garden.uses:
            days.setdefault((folded(use.tool), use.on.first.toordinal()), []).append(use)
        for (tool, day), uses in sorted(days.items(), key=lambda item: item[0][1]):
            place = self.out.node(("tool", tool), Node("tool", uses[0].tool))
            self.out.since[place] = min(self.out.since.get(place, day), day)
            uses.sort(key=lambda u: (u.place or len(uses) + 1, u.made_utc, u.id))
            places = [u.place for u in uses]
            muddled = len(uses) > 1 and (0 in places or len(set(places)) < len(places))
            for use in uses:
                self._use(place, use, day, muddled)
            if muddled:
                self.out.told((place,), "order_not_known", uses[0].on.iso())
                for use in uses:
                    self._use(place, use, day, True, again=True)
            for use in uses:
                if not use.on.exact:
                    self._use(place, use, use.on.last.toordinal(), True, again=True)

    def _use(self, tool: int, use: ToolUse, day: int, muddled: bool, *, again: bool = False) -> None:
        out = self.out
        kind = "graft" if use.graft else "lot" if use.lot else "tree"
        what = self.at(kind, use.graft or use.lot or use.tree)
        if what is None:
            return
        there = out.since.get(what)
        if there is not None and use.on.last.toordinal() < there and not again:
            out.told((tool, what), "used_before_there", use.on.iso())
        if there is not None and kind != "tree":
            day = max(day, there)
        cleaning = self.cleanings.get(use.cleaned)
        if cleaning is not None and not cleaning.clears.never:
            coin = out.coin(cleaning.clears)
            out.add(day, USED, CLEAN, tool, "blade", coin)
        if use.graft:
            self._to_graft(use.graft, day, USED)
        odds = self._blade(use, muddled, again)
        tree = use.tree if kind == "tree" else self.grafts[use.graft].tree if use.graft else None
        count = self.trees[tree].count if tree and kind == "tree" else 1
        out.add(day, USED, tool, what, "blade", out.coin(odds))
        if count > 1:
            self._batch(tool, tree or "", day, odds, count)
        out.add(day, USED, what, tool, "blade", out.coin(self._one_of(CERTAIN, count)))
        if use.graft and tree:
            out.add(day, USED, what, out.place[("tree", tree)], "union", self.union[use.graft])

    def _batch(self, tool: int, tree: str, day: int, odds: Odds, count: int) -> None:
        """A cut in a batch may have been in any of the plants that carry a graft."""
        each = self._one_of(odds, count)
        for graft in self.garden.grafts:
            place = self.out.place[("graft", graft.thing)]
            if graft.tree == tree and self.out.since[place] <= day:
                self.out.add(day, USED, tool, place, "blade", self.out.coin(each))

    def _blade(self, use: ToolUse, muddled: bool, again: bool) -> Odds:
        fruit = ""
        if use.tree:
            fruit = self.trees[use.tree].fruit
        elif use.graft:
            fruit = self.trees[self.grafts[use.graft].tree].fruit
        odds = self._into(self.agent.blade, fruit)
        if not muddled:
            return odds
        order = self.agent.order.best if again else 1.0
        return Odds(odds.best * order, 0.0, odds.high, known=False)


def contacts(garden: Garden, agent: Agent, cleanings: Mapping[str, Cleaning], today: date) -> Contacts:
    """All contacts of a garden, oldest first.

    Parameters
    ----------
    cleanings : mapping
        Words of the book on a cleaning -> what it counts for.
    today : date
        Last day: what a tree carries by then, its living grafts do.

    Raises
    ------
    InputError
        If wood descends from itself.
    """
    check_cycles(garden.lots, garden.grafts)
    return _Writer(garden, agent, cleanings, today).write()
