"""What the book says of one tree for keep, rework or replace: kinds, tastings, joins, takes, times of bearing."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from barkslip.app.context import Context
from barkslip.app.fits import ask_fit, chain_engine, levels_of
from barkslip.app.fruit_own import own_tastings
from barkslip.app.kinds import Kinds
from barkslip.app.tree_kinds import kinds_on
from barkslip.app.trees import find_tree
from barkslip.domain.errors import BarkslipError
from barkslip.domain.fits import VERDICTS, FitVerdict, JoinFit, PairFit
from barkslip.domain.fruit import OwnTasting
from barkslip.domain.graft import Graft
from barkslip.domain.sourced import Value
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import Limb, Tree
from barkslip.domain.worth import Bearing
from barkslip.fieldbook import lists
from barkslip.fieldbook.reader import Reader

_YEAR_D = 365.25
#: Seeds in a fruit by which one tasting must lie over the one before to be spoken of.
_SEEDS_ROSE = 3.0


@dataclass(frozen=True)
class TreeFacts:
    """One tree as it is weighed.

    Parameters
    ----------
    tree : Tree
    kind : str
        What it bears; "" if that is not known.
    kinds : tuple of str
        All it bears.
    tastings : tuple of OwnTasting
        Of that kind on this tree, oldest first.
    limbs : int
    took, tried : int
        Grafts of this kind of fruit tree that have been judged, in the whole garden.
    join : PairFit or None
        The worst join that stands, if anything is recorded against it.
    join_share : float
        Belief in its verdict [0..1].
    bears_in : (float, float) or None
        Years from now until a young tree's first crop; None if it bears.
    """

    tree: Tree
    kind: str
    kinds: tuple[str, ...]
    tastings: tuple[OwnTasting, ...]
    limbs: int
    took: int
    tried: int
    join: PairFit | None
    join_share: float = 0.0
    bears_in: tuple[float, float] | None = None


def facts_of(ctx: Context, kinds: Kinds, fields: Mapping[str, str]) -> TreeFacts:
    """Everything about one tree.

    Raises
    ------
    NotFoundError, InputError
    """
    with ctx.book.read() as reader:
        tree = find_tree(reader, fields["tree"])
        newest = sorted(reader.every(Tasting, "tree = :tree", tree=tree.thing), key=lambda t: t.on.first)
        limbs = reader.every(Limb, "tree = :tree", tree=tree.thing)
        grafted = bool(reader.every(Graft, "tree = :tree", tree=tree.thing))
        took, tried = _takes(reader, tree.fruit, fields.get("method", ""))
    on_it = kinds_on(ctx, tree)
    named = fields.get("kind") or (newest[-1].variety if newest else "") or (on_it[0] if on_it else "")
    written = kinds.written(named, top=True) if named else ()
    if named and on_it and not (written and written[0].known) and not fields.get("kind"):
        written = kinds.written(on_it[0], top=True)
    kind = written[0].name if written else named
    own = own_tastings(ctx, kinds, written[0].key, tree) if written and written[0].known else ()
    standing = _standing(ctx, kinds, tree)
    return TreeFacts(
        tree=tree,
        kind=kind,
        kinds=on_it,
        tastings=tuple(t for t in own if t.same_tree),
        limbs=sum(limb.proved for limb in limbs),
        took=took,
        tried=tried,
        join=standing.worst if standing is not None else None,
        join_share=standing.shares.get(standing.verdict, 0.0) if standing is not None else 0.0,
        bears_in=_bears_in(ctx, kinds, tree, grafted or bool(newest)),
    )


def _bears_in(ctx: Context, kinds: Kinds, tree: Tree, bears: bool) -> tuple[float, float] | None:
    """Years from now until the first crop of a tree that was planted a short while ago and never borne."""
    planted = kinds.knowledge.rows("timelines")["trial_first_yields"].value
    if bears or tree.planted is None or planted is None:
        return None
    age = (ctx.today(ctx.garden()) - tree.planted.first).days / _YEAR_D
    low, high = (planted.low or 0.0) - age, (planted.high or 0.0) - age
    return (max(1.0, low), high) if high > 1.0 else None


def _takes(reader: Reader, fruit: str, method: str) -> tuple[int, int]:
    """(took, judged) among grafts on trees of that fruit, of one method if one is named."""
    trees = {t.thing for t in reader.every(Tree) if t.fruit == fruit}
    grafts = [g for g in reader.every(Graft) if g.tree in trees and (not method or method.lower() in g.method.lower())]
    words = [s.word for s in lists.standings(reader, [g.thing for g in grafts]).values()]
    took = words.count("took")
    return took, took + words.count("did not take")


def _standing(ctx: Context, kinds: Kinds, tree: Tree) -> JoinFit | None:
    """The worst standing join with something against it; None also where nothing can be said."""
    try:
        levels, _, _ = levels_of(ctx, ctx.settings, kinds, {"tree": tree.code})
    except BarkslipError:
        return None
    joins = chain_engine(kinds, {}).joins(levels)
    found = max(joins, key=lambda j: VERDICTS.index(j.verdict), default=None)
    return found if found is not None and found.worst.against else None


def fit_of(ctx: Context, tree: Tree, kind: str) -> FitVerdict | None:
    """How a kind fits on the tree's chain; None where nothing is known under that name."""
    try:
        return ask_fit(ctx, ctx.settings, {"tree": tree.code, "scion": kind})
    except BarkslipError:
        return None


def elsewhere(ctx: Context, kinds: Kinds, kind: str) -> tuple[OwnTasting, ...]:
    """Tastings of a kind anywhere in the garden that count."""
    written = kinds.written(kind, top=True)
    if not written or not written[0].known:
        return ()
    return tuple(t for t in own_tastings(ctx, kinds, written[0].key, None) if not t.left_out)


def counted(tastings: tuple[OwnTasting, ...]) -> tuple[float, ...]:
    """Likings that count."""
    return tuple(t.score9 for t in tastings if not t.left_out and t.score9 is not None)


def dry_share(tastings: tuple[OwnTasting, ...]) -> float | None:
    """Share of tasted fruit that was dry inside; None if it was never counted."""
    told = [(t.dry_n, t.fruit_n) for t in tastings if not t.left_out and t.dry_n is not None and t.fruit_n]
    fruit = sum(n for _, n in told)
    return sum(dry for dry, _ in told) / fruit if fruit else None


def trend_of(tastings: tuple[OwnTasting, ...]) -> str:
    """ "rising" or "falling" if the last three tastings or more go one way, first crops with them."""
    scores = [t.score9 for t in tastings if t.score9 is not None][-3:]
    if len(scores) < 3:
        return ""
    steps = [b - a for a, b in itertools.pairwise(scores)]
    return "rising" if all(s > 0 for s in steps) else "falling" if all(s < 0 for s in steps) else ""


def seeds_rose(tastings: tuple[OwnTasting, ...]) -> tuple[float, float] | None:
    """Seeds of the last two tastings if they rose much."""
    seeds = [t.seeds for t in tastings if t.seeds is not None]
    return (seeds[-2], seeds[-1]) if len(seeds) > 1 and seeds[-1] - seeds[-2] >= _SEEDS_ROSE else None


def bearing_of(ctx: Context, tree: Tree, first: Value, planted: Value) -> tuple[Bearing, ...]:
    """When its grafts and the tree itself came into bearing, or will.

    Parameters
    ----------
    first, planted : Value
        Years from grafting and from planting to a first crop.
    """
    with ctx.book.read() as reader:
        grafts = reader.every(Graft, "tree = :tree", tree=tree.thing)
        tastings = sorted(reader.every(Tasting, "tree = :tree", tree=tree.thing), key=lambda t: t.on.first)
    set_on: dict[str, date] = {}
    for graft in grafts:
        if graft.campaign:
            set_on[graft.campaign] = min(graft.set_on.first, set_on.get(graft.campaign, graft.set_on.first))
    out = []
    for campaign, start in sorted(set_on.items()):
        crops = [t for t in tastings if t.campaign == campaign]
        if crops:
            on = crops[0].on.first
            row = Bearing(tree.code, tree.name, f"grafts {campaign}", start.isoformat(), on.isoformat())
            out.append(replace(row, years=(on - start).days / _YEAR_D))
    if not out and tree.planted is not None:
        start = tree.planted.first
        years = (start.year + round(planted.low or 0), tree.planted.last.year + round(planted.high or 0))
        row = Bearing(tree.code, tree.name, "planted", tree.planted.text or tree.planted.iso())
        young = (ctx.today(ctx.garden()) - start).days / _YEAR_D < (planted.high or 0.0)
        expected = replace(row, expected=years, source=planted.source, status=planted.status)
        out.append(expected if young and not grafts else row)
    return tuple(out)
