"""Working out where grafts stand and what is due, and keeping the lists in step with the entries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from barkslip.domain.act import Act
from barkslip.domain.due import CareRules, GraftNow, TreeNow
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft, Look, standing
from barkslip.domain.tree import BEARINGS, Limb, Tree
from barkslip.engines import care
from barkslip.fieldbook import lists
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.writer import Writer

_BANDS = {"H": "0", "M": "1", "L": "2"}


def tree_key(plot: Plot, tree: Tree) -> str:
    """Sorts trees in walking order."""
    return f"{plot.walk_order:04d}{plot.code}/{tree.walk_order:04d}{tree.code}"


def walk_key(plot: Plot, tree: Tree, limb: Limb | None, graft: Graft) -> str:
    """Sorts grafts in walking order: round the trunk from north through east, high before low."""
    if limb is None:
        place = "9"
    else:
        bearing = BEARINGS.index(limb.bearing) if limb.bearing in BEARINGS else 8
        place = f"{bearing}{_BANDS.get(limb.band, '3')}{limb.path}"
    campaign, _, number = graft.code.rpartition("-")
    numbered = f"{int(number):04d}" if number.isdigit() else number
    return f"{tree_key(plot, tree)}/{place}/{campaign}-{numbered}/{graft.thing}"


def trees_now(reader: Reader, trees: Sequence[str], rules: CareRules, *, as_of: date | None = None) -> list[TreeNow]:
    """Standing and due of some trees and all their grafts.

    Parameters
    ----------
    trees : sequence of thing ids
    as_of : date or None
        Fold only what had been seen and done by that day; None for everything.
    """
    found = reader.many(Tree, trees)
    plots = reader.many(Plot, [t.plot for t in found.values()])
    limbs: dict[str, Limb] = {}
    grafts: dict[str, list[Graft]] = defaultdict(list)
    looks: dict[str, list[Look]] = defaultdict(list)
    acts: dict[str, list[Act]] = defaultdict(list)
    for tree in found:
        mine = reader.every(Graft, "tree = :tree", tree=tree)
        grafts[tree] = [g for g in mine if as_of is None or g.set_on.first <= as_of]
        limbs |= {k.thing: k for k in reader.every(Limb, "tree = :tree", tree=tree)}
        for look in reader.every(
            Look,
            "g.tree = :tree AND g.current AND NOT g.withdrawn",
            join="JOIN graft g ON g.thing = look.graft",
            order="look.id",
            tree=tree,
        ):
            if as_of is None or look.on.first <= as_of:
                looks[look.graft].append(look)
        for act in _acts_of_tree(reader, tree):
            if as_of is None or act.on.first <= as_of:
                acts[act.graft or tree].append(act)
    return [
        _tree_now(plots[found[tree].plot], found[tree], limbs, grafts[tree], looks, acts, rules)
        for tree in trees
        if tree in found
    ]


def _acts_of_tree(reader: Reader, tree: str) -> list[Act]:
    out = reader.every(Act, "tree = :tree", tree=tree)
    out += reader.every(
        Act,
        "g.tree = :tree AND g.current AND NOT g.withdrawn",
        join="JOIN graft g ON g.thing = act.graft",
        order="act.id",
        tree=tree,
    )
    out += reader.every(
        Act,
        "b.tree = :tree AND b.current AND NOT b.withdrawn",
        join="JOIN limb b ON b.thing = act.limb",
        order="act.id",
        tree=tree,
    )
    return out


def _tree_now(
    plot: Plot,
    tree: Tree,
    limbs: dict[str, Limb],
    grafts: list[Graft],
    looks: dict[str, list[Look]],
    acts: dict[str, list[Act]],
    rules: CareRules,
) -> TreeNow:
    limit = rules.false_take.value
    false_take = int(limit) if isinstance(limit, (int, float)) else 0
    out: list[GraftNow] = []
    stood = []
    all_acts = list(acts[tree.thing])
    for graft in grafts:
        mine = acts[graft.thing]
        all_acts += mine
        stand = standing(looks[graft.thing], graft.set_on, false_take_days=false_take)
        due = care.graft_due(graft, stand, looks[graft.thing], mine, rules)
        key = walk_key(plot, tree, limbs.get(graft.limb or ""), graft)
        opened = care.on_walk(graft, stand, mine, due)
        out.append(GraftNow(graft.thing, tree.thing, plot.thing, key, stand, opened, due, graft.lot, graft.campaign))
        stood.append((graft, stand))
    return TreeNow(tree.thing, plot.thing, tree_key(plot, tree), care.tree_due(stood, all_acts, rules), tuple(out))


def refresh(writer: Writer, trees: Iterable[str], rules: CareRules) -> None:
    """Bring the lists of some trees up to date, inside the write that changed them."""
    lists.put(writer, trees_now(writer, list(dict.fromkeys(trees)), rules))


def refresh_all(writer: Writer, rules: CareRules) -> None:
    """Bring all lists up to date (after an import, or when the knowledge changed)."""
    writer.run("DELETE FROM graft_now")
    writer.run("DELETE FROM due")
    trees = [tree.thing for tree in writer.every(Tree)]
    for i in range(0, len(trees), 50):
        lists.put(writer, trees_now(writer, trees[i : i + 50], rules))
