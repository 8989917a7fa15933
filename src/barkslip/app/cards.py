"""Bringing nouns together into the cards of lists."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from barkslip.app.names import Names, finds_by_lot, part_of, variety_of
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import GraftCard, TreeCard
from barkslip.domain.due import Due, TreeNow
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft, Standing, standing
from barkslip.domain.tree import ChainLink, Limb, Tree
from barkslip.fieldbook import lists
from barkslip.fieldbook.reader import Reader


def graft_cards(
    reader: Reader,
    grafts: Sequence[Graft],
    names: Names,
    on: date,
    *,
    now: Sequence[TreeNow] | None = None,
) -> list[GraftCard]:
    """Cards of some grafts, in the order given.

    Parameters
    ----------
    on : date
        Day of reading: counts days since setting and decides which windows are open.
    now : sequence of TreeNow or None
        Standings and windows worked out for another day; None takes the lists of the book.
    """
    trees = reader.many(Tree, [g.tree for g in grafts])
    plots = reader.many(Plot, [t.plot for t in trees.values()])
    limbs = reader.many(Limb, [g.limb for g in grafts if g.limb])
    lots = reader.many(WoodLot, [g.lot for g in grafts if g.lot])
    finds = finds_by_lot(_finds(reader, list(lots)))
    if now is None:
        stood = lists.standings(reader, [g.thing for g in grafts])
        due = lists.due_of(reader, grafts=[g.thing for g in grafts])
    else:
        stood = {g.graft: g.standing for t in now for g in t.grafts}
        due = {g.graft: list(g.due) for t in now for g in t.grafts}
    out = []
    for graft in grafts:
        tree = trees[graft.tree]
        limb = limbs.get(graft.limb or "")
        lot = lots.get(graft.lot or "")
        claimed, found = variety_of(graft, lot, finds.get(graft.lot or "", []))
        out.append(
            GraftCard(
                graft=graft,
                tree=tree,
                plot=plots[tree.plot],
                limb=limb,
                variety=names.written(claimed),
                name_doubt=names.written(found) if found else "",
                address=limb.address if limb else "",
                standing=stood.get(graft.thing) or _no_looks(graft),
                due=tuple(d for d in due.get(graft.thing, ()) if d.open_on(on)),
                days=graft.set_on.days_to(on),
            )
        )
    return out


def _no_looks(graft: Graft) -> Standing:
    return standing((), graft.set_on, false_take_days=0)


def _finds(reader: Reader, lots: list[str]) -> list[LotFind]:
    out: list[LotFind] = []
    for i in range(0, len(lots), 500):
        part = lots[i : i + 500]
        keys = {f"l{j}": lot for j, lot in enumerate(part)}
        out += reader.every(LotFind, f"lot IN ({', '.join(':' + k for k in keys)})", **keys)
    return out


def tree_cards(reader: Reader, trees: Sequence[Tree], names: Names, on: date) -> list[TreeCard]:
    """Cards of some trees, in the order given."""
    things = [t.thing for t in trees]
    plots = reader.many(Plot, [t.plot for t in trees])
    marks = lists.marks_by_tree(reader, things)
    due = lists.due_of(reader, trees=things)
    limbs = _limbs_of(reader, things)
    links: dict[str, ChainLink] = {}
    for i in range(0, len(things), 500):
        keys = {f"t{j}": t for j, t in enumerate(things[i : i + 500])}
        where = f"level IN ('rootstock', 'own roots') AND limb IS NULL AND tree IN ({', '.join(':' + k for k in keys)})"
        links |= {k.tree: k for k in reader.every(ChainLink, where, **keys)}
    out = []
    for tree in trees:
        counted = marks.get(tree.thing, {})
        link = links.get(tree.thing)
        out.append(
            TreeCard(
                tree=tree,
                plot=plots[tree.plot],
                limbs=int(limbs.get(tree.thing, 0)),
                grafts=sum(counted.values()),
                marks=counted,
                stands_on=part_of(link, names) if link else None,
                due=open_on(due.get(tree.thing, ()), on),
            )
        )
    return out


def _limbs_of(reader: Reader, trees: list[str]) -> dict[str, int]:
    out: dict[str, int] = {}
    for i in range(0, len(trees), 500):
        part = trees[i : i + 500]
        marks = ",".join("?" * len(part))
        sql = f"SELECT tree, count(*) FROM limb WHERE tree IN ({marks}) AND current AND NOT withdrawn GROUP BY tree"
        out |= dict(reader.connection.execute(sql, part).fetchall())
    return out


def open_on(due: Sequence[Due], on: date) -> tuple[Due, ...]:
    """Windows that are open on a day."""
    return tuple(d for d in due if d.open_on(on))
