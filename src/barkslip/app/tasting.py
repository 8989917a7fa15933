"""Tastings of the book, judged: which crop, early or not, the right variety or not, why dry."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from barkslip.app.calendar import ripe_of
from barkslip.app.context import Context
from barkslip.app.juice import score
from barkslip.app.kinds import Kinds, kinds_of
from barkslip.app.names import finds_by_lot, variety_of
from barkslip.app.trees import find_tree
from barkslip.domain.act import Event
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.names import same_word
from barkslip.domain.taste import DryCause, Identity, JuiceScore, TasteLine, TastingVerdict
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import ChainLink, Tree
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.domain.fits import Kind
    from barkslip.engines.tasting import TasteRules

_FROSTS = ("still frost", "windy frost")
_LEMON_STOCKS = "lemon_type"


def judged(ctx: Context, *, tree: str = "", variety: str = "") -> tuple[TasteLine, ...]:
    """Every tasting of the book, by tree and variety, oldest first in each.

    Parameters
    ----------
    tree, variety : str
        Code or name of a tree, and words of a variety's name; "" for all.

    Raises
    ------
    NotFoundError
        If there is no such tree.
    """
    from barkslip.engines.tasting import rules_from

    kinds = kinds_of(ctx.knowledge, ctx.kept)
    rules = rules_from(ctx.knowledge.value)
    with ctx.book.read() as reader:
        only = find_tree(reader, tree).thing if tree else ""
        rows = [t for t in reader.every(Tasting, order="on_first, id") if not only or t.tree == only]
        if variety:
            rows = [t for t in rows if variety.lower() in t.variety.lower()]
        groups: dict[tuple[str, str], list[Tasting]] = defaultdict(list)
        for t in rows:
            groups[t.tree, _line_key(t)].append(t)
        trees = reader.many(Tree, [t.tree for t in rows])
        out = [_line(ctx, reader, kinds, rules, trees[thing], held) for (thing, _), held in groups.items()]
    return tuple(sorted(out, key=lambda line: (line.tree_code, line.variety)))


def _line_key(tasting: Tasting) -> str:
    return tasting.campaign or " ".join(tasting.variety.lower().split())


def _line(
    ctx: Context, reader: Reader, kinds: Kinds, rules: TasteRules, tree: Tree, rows: Sequence[Tasting]
) -> TasteLine:
    seen: list[TastingVerdict] = []
    crops: list[str] = []
    poor = 0
    for t in rows:
        season = _season(ctx, t.on.first)
        if season not in crops:
            crops.append(season)
        one = _verdict(ctx, reader, kinds, rules, tree, t, len(crops), poor)
        poor += one.verdict.startswith("poor")
        seen.append(one)
    return TasteLine(tree.name, tree.code, rows[-1].variety, tuple(seen))


def _season(ctx: Context, day: date) -> str:
    """The crop a day belongs to: in the north one crop hangs over the turn of the year, in the south it does not."""
    garden = ctx.garden()
    south = garden.lat is not None and garden.lat < 0.0
    return str(day.year if south else day.year + (day.month >= 9))


def _verdict(
    ctx: Context,
    reader: Reader,
    kinds: Kinds,
    rules: TasteRules,
    tree: Tree,
    t: Tasting,
    counted: int,
    poor: int,
) -> TastingVerdict:
    from barkslip.engines import tasting as engine

    # of a tree's own top nobody knows how often it has borne before it was first tasted
    crop = t.crop if t.crop is not None else counted if t.campaign else None
    kind = _kind(kinds, t)
    identity = _identity(ctx, reader, kinds, rules, t, kind)
    frost = _frost(ctx, reader, tree, t)
    half = engine.half_of(t.on.first.month, t.on.first.day)
    before = bool(identity.windows) and engine.before_months(half, identity.windows)
    early = engine.early_reasons(
        crop, t.fruit_n, frozen=frost is not None, fits=identity.fits, before=before, rules=rules
    )
    grafted = _grafted(reader, t)
    dry_share = t.dry_n / t.fruit_n if t.dry_n is not None and t.fruit_n else None
    asks = "dry" in t.note.lower() if dry_share is None else dry_share >= rules.dry_share
    return TastingVerdict(
        tasting=t,
        tree=tree.name,
        tree_code=tree.code,
        crop=crop,
        crop_counted=t.crop is None and crop is not None,
        verdict=engine.verdict(t.score9, early, name_open=bool(identity.found), poor_before=poor, rules=rules),
        early=early,
        notes=_notes(ctx, tree, t, grafted, identity),
        identity=identity,
        juice=_juice(ctx, tree, t, kind),
        dry_share=dry_share,
        dry=_dry(ctx, reader, kinds, tree, t, crop, identity, frost) if asks else (),
        frost=frost,
    )


def _kind(kinds: Kinds, t: Tasting) -> Kind | None:
    found = kinds.written(t.variety, top=True)
    return found[0] if len(found) == 1 and found[0].group else None


def _juice(ctx: Context, tree: Tree, t: Tasting, kind: Kind | None) -> JuiceScore | None:
    if t.brix is None:
        return None
    try:
        found = score(ctx.knowledge, t.brix, t.acid_pct, t.temp_c, t.juice_pct, kind)
    except InputError:
        # juice too cold or too warm to be corrected: its numbers are shown as they were read
        found = score(ctx.knowledge, t.brix, t.acid_pct, None, t.juice_pct, kind)
    if tree.fruit.lower() == "citrus":
        return found
    return replace(found, for_acid=None, solids=None, ratio=None, index_16_5=None, notes=("not_citrus",))


# -- is it what the label says? --------------------------------------------------------------------------------------


def _identity(ctx: Context, reader: Reader, kinds: Kinds, rules: TasteRules, t: Tasting, kind: Kind | None) -> Identity:
    from barkslip.engines.tasting import half_of, in_months, seeds_told

    found = _found(reader, t)
    if kind is None or kind.table != "varieties":
        return Identity(t.variety, found=found, seeds="not counted" if t.seeds_per_fruit is None else "not known")
    garden = ctx.garden()
    ripe = ripe_of(kinds, kind.key, garden.lat is not None and garden.lat < 0.0, ())
    variety = next(v for v in ctx.knowledge.varieties if v.key == kind.key)
    told = variety.value("seediness")
    words = str(told.value) if told is not None and isinstance(told.value, str) else ""
    half = half_of(t.on.first.month, t.on.first.day)
    vague = (t.on.last - t.on.first).days > 31 or garden.lat is None
    return Identity(
        named=t.variety,
        known_as=kind.name,
        months=str(ripe.season.value) if ripe.season is not None else None,
        fits="not known" if vague else in_months(half, ripe.windows, rules.outside_halves),
        windows=ripe.windows,
        seeds=seeds_told(t.seeds_per_fruit, words, rules),
        told_seeds=words,
        found=found,
    )


def _found(reader: Reader, t: Tasting) -> str:
    """What the wood of the tasted grafts turned out to be, if that is another name; "" otherwise."""
    if not t.campaign:
        return ""
    grafts = reader.every(Graft, "campaign = :c AND tree = :t", c=t.campaign, t=t.tree)
    lots = reader.many(WoodLot, [g.lot for g in grafts if g.lot])
    finds = finds_by_lot(f for lot in lots for f in reader.every(LotFind, "lot = :lot", lot=lot))
    for g in grafts:
        claimed, found = variety_of(g, lots.get(g.lot or ""), finds.get(g.lot or "", []))
        if found and not same_word(found, claimed):
            return found
    return ""


def _grafted(reader: Reader, t: Tasting) -> date | None:
    days = [g.set_on.first for g in reader.every(Graft, "campaign = :c AND tree = :t", c=t.campaign, t=t.tree)]
    return min(days) if t.campaign and days else None


def _notes(ctx: Context, tree: Tree, t: Tasting, grafted: date | None, identity: Identity) -> tuple[str, ...]:
    out = []
    years = ctx.knowledge.rows("timelines")["topwork_quality"].value
    least = years.low if years is not None and years.low is not None else 3.0
    if grafted is not None and (t.on.first - grafted).days < 365.25 * least:
        out.append("young_graft")
    if t.brix is not None and tree.fruit.lower() != "citrus":
        out.append("not_citrus")
    if t.panel is not None and t.panel < 3:
        out.append("few_tasters")
    if t.crop is None and not t.campaign:
        out.append("crop_not_known")
    if t.fruit_n is None:
        out.append("not_counted")
    if t.score9 is None:
        out.append("no_liking")
    if identity.seeds in ("pollen", "more than told"):
        out.append(f"seeds_{identity.seeds.split()[0]}")
    if identity.fits == "beside its months":
        out.append("beside_months")
    return tuple(out)


# -- frost and dryness -----------------------------------------------------------------------------------------------


def _frost(ctx: Context, reader: Reader, tree: Tree, t: Tasting) -> tuple[str, float | None] | None:
    """The frost that may have frozen the fruit while it hung: its day and the low at the tree's plot [°C]."""
    from barkslip.engines.juice import number

    if tree.fruit.lower() != "citrus":
        return None
    known = ctx.knowledge.value
    days, low_c = number(known, "taste.frost_days"), number(known, "taste.frost_low")
    plot = reader.get(Plot, tree.plot)
    first = t.on.first - timedelta(days=days)
    keys = {f"k{i}": k for i, k in enumerate(_FROSTS)}
    events = reader.every(Event, f"kind IN ({', '.join(':' + k for k in keys)})", order="on_first", **keys)
    worst: tuple[str, float | None] | None = None
    for e in events:
        if not first <= e.on.first <= t.on.last or (e.plots and tree.plot not in e.plots):
            continue
        low = e.figures.get(f"low_c.{plot.code}", e.figures.get("low_c"))
        if low is not None and low > low_c:
            continue
        if worst is None or (low is not None and (worst[1] is None or low < worst[1])):
            worst = (e.on.first.isoformat(), low)
    return worst


def _dry(
    ctx: Context,
    reader: Reader,
    kinds: Kinds,
    tree: Tree,
    t: Tasting,
    crop: int | None,
    identity: Identity,
    frost: tuple[str, float | None] | None,
) -> tuple[DryCause, ...]:
    """Recorded causes of dry fruit, those that the book shows for this fruit first."""
    from barkslip.engines.juice import number
    from barkslip.engines.tasting import before_months, half_of, rules_from

    half = half_of(t.on.first.month, t.on.first.day)
    late = identity.fits == "not its months" and not before_months(half, identity.windows)
    known = ctx.knowledge.value
    stock = _lemon_stock(reader, kinds, tree)
    large = None if t.fruit_g is None else t.fruit_g >= number(known, "taste.large_fruit")
    here: dict[str, tuple[bool | None, str]] = {
        "young_tree": (None if crop is None else crop <= rules_from(known).first_crop, "first_crop"),
        "lemon_stocks": (stock, "lemon_stock"),
        "vigour": (True if stock else None, "lemon_stock"),
        "large_fruit": (large, "weighed"),
        "late_harvest": (late if identity.fits != "not known" else None, "months"),
        "cold_dry_wind": (True if frost is not None else None, "frost"),
    }
    out = []
    for row in ctx.knowledge.table("granulation"):
        if row.cell("acts") not in ("more", "depends"):
            continue
        is_here, why = here.get(row.key, (None, ""))
        out.append(
            DryCause(
                row.key, row.cell("name"), row.cell("detail"), row.cell("lies_in"), is_here, why if is_here else "",
                row.cell("source"), row.cell("status"),
            )
        )  # fmt: skip
    return tuple(sorted(out, key=lambda c: {True: 0, None: 1, False: 2}[c.here]))


def _lemon_stock(reader: Reader, kinds: Kinds, tree: Tree) -> bool | None:
    """True if the likeliest answer for the rootstock is of the lemon type; None if nothing is known of it."""
    links = reader.every(ChainLink, "tree = :tree AND level = 'rootstock'", order="id DESC", tree=tree.thing)
    if not links or not links[0].candidates:
        return None
    best = max(links[0].candidates, key=lambda c: c.belief or 0.0)
    groups = {k.group for k in kinds.written(best.taxon)}
    return None if not any(groups) else _LEMON_STOCKS in groups
