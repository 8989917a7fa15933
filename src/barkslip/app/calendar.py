"""The garden's year: what is ripe when, gaps and what fills them, pollen partners and seeds."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.cards import graft_cards
from barkslip.app.context import Context
from barkslip.app.kinds import Kinds, kinds_of
from barkslip.app.names import tree_chain
from barkslip.domain.calendar import KITCHEN, Partner, Place, PollenCard, Ripe, RipeYear, Seeds
from barkslip.domain.fits import Kind
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.sourced import Value
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import UNKNOWN, ChainLink, Limb, Tree
from barkslip.domain.variety import Variety

if TYPE_CHECKING:
    from barkslip.engines.pollen import PollenRules
    from barkslip.knowledge.load import Knowledge

_TOP = ("scion", "framework", "own roots")


def ripe_year(ctx: Context) -> RipeYear:
    """What is ripe when in this garden, what fills the gaps, and who gives whom pollen."""
    from barkslip.engines import ripening

    kinds = kinds_of(ctx.knowledge, ctx.kept)
    garden = ctx.garden()
    south = None if garden.lat is None else garden.lat < 0
    found, unknown = places(ctx, kinds)
    mine = [ripe_of(kinds, key, bool(south), tuple(where)) for key, where in found.items()]
    mine.sort(key=lambda r: (r.kitchen, r.windows[0][0] if r.windows else 99, r.kind.name))
    others = [ripe_of(kinds, key, bool(south), ()) for key in kinds.tops if key not in found]
    cards = _pollen(ctx, kinds, mine, bool(south))
    quality = ctx.knowledge.rows("timelines")["topwork_quality"].value
    used = {v.source for r in mine for v in (r.season,) if v} | {v.source for c in cards for _, v in c.words}
    used |= {p.pollen.source for c in cards for p in c.partners if p.pollen}
    sources = {key: ctx.knowledge.source(key) for key in sorted(used)}
    return RipeYear(south, tuple(mine), ripening.gaps(mine, others), cards, unknown, quality, sources)


def ripe_of(kinds: Kinds, key: str, south: bool, where: tuple[Place, ...]) -> Ripe:
    """One variety with its months turned to this half of the world."""
    from barkslip.engines.ripening import season_of, turned

    kind = kinds.tops[key]
    variety = _variety(kinds, key)
    season = variety.value("season")
    read = season_of(str(season.value)) if season is not None and isinstance(season.value, str) else None
    return Ripe(
        kind=kind,
        kitchen=kind.group in KITCHEN,
        windows=turned(read.windows, south=south) if read else (),
        season=season,
        places=where,
        open_words=bool(read and read.wide),
        first_fruit=_first_fruit(variety.value("years_to_fruit"), where),
    )


def _variety(kinds: Kinds, key: str) -> Variety:
    return next(v for v in kinds.knowledge.varieties if v.key == key)


def _first_fruit(years: Value | None, where: tuple[Place, ...]) -> str:
    """Year or years of the first fruit of the oldest graft; "" if something bears already as the tree came."""
    days = [p.since for p in where if p.since]
    if years is None or not days or len(days) < len(where):
        return ""
    best = years.value if isinstance(years.value, (int, float)) else None
    low = years.low if years.low is not None else best
    high = years.high if years.high is not None else best
    if low is None:
        return ""
    start = int(min(days)[:4])
    first, last = start + int(low), start + int(high if high is not None else low)
    return str(first) if first == last else f"{first} to {last}"


def places(ctx: Context, kinds: Kinds) -> tuple[dict[str, list[Place]], tuple[str, ...]]:
    """Where each variety grows: grafts that live, what limbs carry, tops that trees came with; and names not known.

    Only citrus: of other fruit the knowledge base has no months.
    """
    with ctx.book.read() as reader:
        trees = {t.thing: t for t in reader.every(Tree) if t.fruit.lower() == "citrus"}
        plots = {p.thing: p for p in reader.every(Plot)}
        grafts = [g for g in reader.every(Graft) if g.tree in trees]
        cards = graft_cards(reader, grafts, ctx.names, ctx.today(ctx.garden()))
        limbs = [k for k in reader.every(Limb) if k.tree in trees and k.carries]
        links: dict[str, list[ChainLink]] = defaultdict(list)
        for link in reader.every(ChainLink, "limb IS NULL"):
            links[link.tree].append(link)
    named: list[tuple[str, Tree, str, str]] = [
        (c.name_doubt or c.variety, c.tree, "graft", c.graft.set_on.first.isoformat())
        for c in cards
        if c.standing.word == "took" and not c.standing.lost_after
    ]
    named += [(limb.carries, trees[limb.tree], "limb", "") for limb in limbs]
    for thing, tree in trees.items():
        top = next((p.name for p in tree_chain(links[thing], ctx.names) if p.level in _TOP and p.name != "?"), "")
        if top:
            named.append((top, tree, "top", ""))
    return _sorted_places(kinds, named, plots)


def _sorted_places(
    kinds: Kinds, named: list[tuple[str, Tree, str, str]], plots: dict[str, Plot]
) -> tuple[dict[str, list[Place]], tuple[str, ...]]:
    known: dict[str, tuple[Kind, ...]] = {}
    found: dict[str, dict[tuple[str, str], Place]] = {}
    unknown: dict[str, None] = {}
    for name, tree, how, since in named:
        if name in ("", "?", UNKNOWN):
            continue
        if name not in known:
            known[name] = kinds.written(name, top=True)
        kind = known[name][0]
        if kind.table != "varieties":
            unknown[name] = None
            continue
        at = found.setdefault(kind.key, {})
        old = at.get((tree.code, how))
        if old is None or (since and since < old.since):
            at[tree.code, how] = Place(tree.code, tree.name, plots[tree.plot].code, how, since)
    # a top that grafts were taken for is one place, not two
    out = {}
    for key, at in found.items():
        out[key] = [p for (tree, how), p in at.items() if how != "limb" or (tree, "graft") not in at]
    return out, tuple(unknown)


# -- pollen -------------------------------------------------------------------------------------------------


def pollen_rules(knowledge: Knowledge, *, south: bool) -> PollenRules:
    """What is known of pollen, with the bloom turned to this half of the world."""
    from barkslip.engines.pollen import PollenRules
    from barkslip.engines.ripening import season_of, turned

    def number(key: str) -> float:
        value = knowledge.value(f"pollen.{key}").value
        return float(value) if isinstance(value, (int, float)) else 0.0

    gives = {e.key.rpartition(".")[2]: e.value for e in knowledge.entries("pollen.gives.")}
    unlike = {e.key.rpartition(".")[2]: str(e.value.value) for e in knowledge.entries("pollen.unlike.")}
    bloom = turned(season_of(str(knowledge.value("pollen.bloom").value)).windows, south=south)[0]
    return PollenRules(gives, unlike, bloom, number("fruit_months"), number("flower_months"), number("seeds_rose"))


def _pollen(ctx: Context, kinds: Kinds, mine: list[Ripe], south: bool) -> tuple[PollenCard, ...]:
    """Kinds of the garden that pollen matters to; those with counted seeds first."""
    from barkslip.engines.pollen import need_of, partners

    rules = pollen_rules(ctx.knowledge, south=south)
    counts = _counted(ctx, kinds)
    cards = []
    for one in mine:
        variety = _variety(kinds, one.kind.key)
        known = [(t, v) for t in ("pollination", "seediness") if (v := variety.value(t)) is not None]
        said = {t: str(v.value) for t, v in known}
        need, seedy = need_of(said.get("pollination", ""), said.get("seediness", ""))
        seen = counts.get(one.kind.key, {})
        if need in ("none", "not known") and not seedy and not seen:
            continue
        found = partners(one, mine, rules)
        seeds = tuple(_seeds(ctx, tree, some, found, one, rules) for tree, some in seen.items())
        cards.append(PollenCard(one, need, seedy, tuple(known), found, seeds))
    return tuple(sorted(cards, key=lambda c: (not c.seeds, c.ripe.kind.name)))


def _counted(ctx: Context, kinds: Kinds) -> dict[str, dict[str, list[tuple[date, float]]]]:
    """Seeds a fruit by variety and tree."""
    out: dict[str, dict[str, list[tuple[date, float]]]] = {}
    with ctx.book.read() as reader:
        tastings = [t for t in reader.every(Tasting) if t.seeds_per_fruit is not None]
    for one in tastings:
        kind = kinds.written(one.variety, top=True)
        if kind and kind[0].table == "varieties" and one.seeds_per_fruit is not None:
            by_tree = out.setdefault(kind[0].key, {})
            by_tree.setdefault(one.tree, []).append((one.on.first, one.seeds_per_fruit))
    return out


def _seeds(
    ctx: Context,
    thing: str,
    counts: list[tuple[date, float]],
    found: tuple[Partner, ...],
    one: Ripe,
    rules: PollenRules,
) -> Seeds:
    from barkslip.engines.pollen import explain, partners

    with ctx.book.read() as reader:
        tree = reader.get(Tree, thing)
    here = tuple(p for p in one.places if p.tree == tree.code) or one.places
    # partners as near as they are to this one tree, not to the nearest of all
    others = [Ripe(p.kind, False, (), None, p.places) for p in found]
    around = partners(Ripe(one.kind, one.kitchen, (), None, here), others, rules)
    return explain(tree.code, tree.name, counts, around, rules)
