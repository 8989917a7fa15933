"""Own tastings of one variety, and which of them count."""

from __future__ import annotations

from barkslip.app.context import Context
from barkslip.app.kinds import Kinds
from barkslip.domain.fruit import OwnTasting
from barkslip.domain.graft import Graft
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import Tree

_YEAR_D = 365.25


def own_tastings(ctx: Context, kinds: Kinds, variety: str, tree: Tree | None) -> tuple[OwnTasting, ...]:
    """Tastings of a variety, oldest first; those of first crops do not count, nor those of other trees if the tree that
    is asked about has some of its own that do.

    Fruit of a top-worked tree is as it should be only after some years (timelines); before, a tasting is too early.
    """
    value = kinds.knowledge.rows("timelines")["topwork_quality"].value
    least = float(value.low or 0.0) if value is not None else 0.0
    with ctx.book.read() as reader:
        trees = {t.thing: t for t in reader.every(Tree)}
        tastings = sorted(reader.every(Tasting), key=lambda t: t.on.first)
        set_on = {g.campaign: g.set_on.first for g in reader.every(Graft) if g.campaign}
    out = []
    for one in tastings:
        found = kinds.written(one.variety, top=True)
        if not found or found[0].key != variety:
            continue
        start = set_on.get(one.campaign)
        young = start is not None and (one.on.first - start).days < least * _YEAR_D
        early = one.crop == 1 or (one.crop is None and young)
        out.append(_tasting(one, trees[one.tree], "early" if early else "", tree is None or one.tree == tree.thing))
    if any(t.same_tree and not t.left_out for t in out):
        out = [t if t.same_tree or t.left_out else _elsewhere(t) for t in out]
    return tuple(out)


def _tasting(one: Tasting, tree: Tree, left_out: str, same_tree: bool) -> OwnTasting:
    return OwnTasting(
        on=one.on.first.isoformat(),
        tree=tree.name,
        fruit_n=one.fruit_n,
        brix=one.brix,
        acid_pct=one.acid_pct,
        score9=one.score9,
        dry_n=one.dry_n,
        seeds=one.seeds_per_fruit,
        left_out=left_out,
        same_tree=same_tree,
    )


def _elsewhere(one: OwnTasting) -> OwnTasting:
    from dataclasses import replace

    return replace(one, left_out="other tree")
