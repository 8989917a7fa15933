"""Cold nights: the tree, the air, what is known, brought to the engine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.frost_fields import read_measures, read_target, read_tree
from barkslip.app.settings import Settings
from barkslip.app.trees import find_tree
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.night import NightTree, NightVerdict, PlotTonight
from barkslip.domain.tree import Tree
from barkslip.domain.units import METRIC, unit_choice

if TYPE_CHECKING:
    from barkslip.engines.frost_harm import ColdRow
    from barkslip.knowledge.load import Knowledge

#: Members of the ensemble if nothing is asked for; of the lines on Today.
MEMBERS, MEMBERS_TODAY = 1000, 200
MOST_MEMBERS = 20_000
#: Days after setting within which a graft counts as fresh [d]; a wide reading of "the first months".
FRESH_DAYS = 180


def cold_table(knowledge: Knowledge) -> list[ColdRow]:
    """The table of critical temperatures as the engine reads it."""
    from barkslip.engines.frost_harm import ColdRow

    return [
        ColdRow(tuple(c.strip() for c in r.cell("crop").split(";")), r.cell("organ"), r.cell("state"), r.value)
        for r in knowledge.table("cold")
        if r.value is not None
    ]


def ask_night(ctx: Context | None, settings: Settings, fields: Mapping[str, str]) -> NightVerdict:
    """The answer for one tree and one night.

    Parameters
    ----------
    ctx : Context or None
        None if everything is typed and no book is needed.
    fields : mapping
        tree, plot (codes), date, lat, lon, utc_offset_h, sunset_temp, low, dew_point, wind, cloud, weather (path of a
        file), what `app.frost_fields` reads, target, members, seed, sure.

    Raises
    ------
    InputError, QuestionError, WeatherFileError
    """
    from barkslip.app.night_air import night_air
    from barkslip.engines import frost
    from barkslip.engines.frost_measures import own_sets

    knowledge = ctx.knowledge if ctx is not None else _knowledge(settings)
    at = night_door(ctx, settings, fields)
    tree, plot = _places(ctx, fields)
    day = at.day(fields, "date", "today", future=True).first
    found = night_air(ctx, plot, day, fields, at=at, knowledge=knowledge)
    asked = _fresh(ctx, read_tree(at, fields, tree), tree, day, plot, at, fields)
    own = read_measures(at, fields, knowledge)
    members = at.count(fields, "members", most=MOST_MEMBERS) or MEMBERS
    seed = at.count(fields, "seed", most=2**31) or 1
    return frost.assess(
        asked,
        found,
        own_sets(own) if own.parts else (),
        cold_table(knowledge),
        knowledge.value,
        target=read_target(at, fields),
        members=max(members, 20),
        seed=seed,
        plot=plot.code if plot else "",
        knowledge_hash=knowledge.hash,
        frost=_kind(found),
    )


def _kind(air: object) -> str:
    from barkslip.engines.low import frost_kind

    return frost_kind(air)  # type: ignore[arg-type]


def _knowledge(settings: Settings) -> Knowledge:
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def night_door(ctx: Context | None, settings: Settings, fields: Mapping[str, str]) -> Door:
    """The door for a night: with the book's garden, or with the place as typed."""
    sure = tuple(fields.get("sure", "").split())
    if ctx is not None:
        garden = ctx.garden()
        return Door(garden, ctx.units(garden), ctx.today(garden), sure)
    from datetime import UTC, datetime

    units = unit_choice(settings.units) if settings.units else METRIC
    blank = Garden(id="", thing="", made_utc="", name="")
    first = Door(blank, units, datetime.now(UTC).date(), sure)
    offset = first.number(fields, "utc_offset_h", -12, 14, unit="h")
    lon = first.number(fields, "lon", -180, 180, unit="°")
    if lon is None:
        # without a longitude the clock is taken for the sun's own
        lon = 15.0 * (offset or 0.0)
    garden = replace(
        blank,
        lat=first.number(fields, "lat", -90, 90, unit="°"),
        lon=lon,
        utc_offset_h=round(lon / 15.0) if offset is None else offset,
    )
    return Door(garden, units, first.today, sure)


def _places(ctx: Context | None, fields: Mapping[str, str]) -> tuple[Tree | None, Plot | None]:
    if ctx is None:
        return None, None
    with ctx.book.read() as reader:
        tree = find_tree(reader, fields["tree"]) if fields.get("tree") else None
        if tree is not None and not fields.get("plot"):
            return tree, reader.get(Plot, tree.plot)
        return tree, reader.by_code(Plot, fields["plot"]) if fields.get("plot") else None


def _fresh(
    ctx: Context | None,
    asked: NightTree,
    tree: Tree | None,
    day: date,
    plot: Plot | None,
    at: Door,
    fields: Mapping[str, str],
) -> NightTree:
    """The tree with what the book knows: fresh grafts on it, hours of chill in its plot, the kind of its fruit."""
    if ctx is None:
        return asked
    from barkslip.app.night_air import chill_hours

    if asked.chill_h is None and plot is not None and "chill_h" not in fields:
        asked = replace(asked, chill_h=chill_hours(ctx, plot, day))
    if tree is None:
        return asked
    if "young_graft" not in fields and _has_fresh_graft(ctx, tree, day):
        asked = replace(asked, young_graft=True)
    if not fields.get("species"):
        asked = replace(asked, species=_species(ctx, tree) or asked.species)
    return asked


def _has_fresh_graft(ctx: Context, tree: Tree, day: date) -> bool:
    since = (day - timedelta(days=FRESH_DAYS)).isoformat()
    with ctx.book.read() as reader:
        return bool(
            reader.rows(
                """SELECT 1 FROM graft g JOIN graft_now n ON n.graft = g.thing
                   WHERE g.tree = :tree AND g.current AND NOT g.withdrawn AND n.mark <> 'lost'
                     AND g.set_on_last >= :since AND g.set_on_first <= :day LIMIT 1""",
                tree=tree.thing,
                since=since,
                day=day.isoformat(),
            )
        )


def _species(ctx: Context, tree: Tree) -> str:
    """What most of the tree's top is: the variety of most living grafts, else the scion or framework believed."""
    from barkslip.app.trees import tree_story

    story = tree_story(ctx, tree.code)
    names = [
        g.name_doubt or g.variety
        for card in story.limbs
        for g in card.grafts
        if g.standing.word == "took" and not g.standing.lost_after
    ]
    if names:
        return max(set(names), key=names.count)
    top = next((p for p in story.chain if p.level in ("scion", "framework", "own roots")), None)
    return top.name if top is not None and top.name != "?" else ""


def tonight(ctx: Context, on: date | None = None) -> tuple[PlotTonight, ...]:
    """One line a plot for Today: low with its spread, still or windy, the most endangered organ and its chance.

    Plots without any weather ahead are left out.
    """
    from barkslip.app.night_air import night_air
    from barkslip.domain.errors import BarkslipError
    from barkslip.engines import frost

    garden = ctx.garden()
    day = on or ctx.today(garden)
    at = night_door(ctx, ctx.settings, {})
    table = cold_table(ctx.knowledge)
    out = []
    with ctx.book.read() as reader:
        plots = reader.every(Plot, order="walk_order, code")
        trees = reader.every(Tree)
    for plot in plots:
        try:
            air = night_air(ctx, plot, day, {}, at=at, knowledge=ctx.knowledge)
        except BarkslipError:
            continue  # no weather ahead is no error on Today
        here = [t for t in trees if t.plot == plot.thing]
        fruit = next((t.fruit for t in here if t.fruit == "citrus"), here[0].fruit if here else "")
        asked = NightTree(species="" if fruit == "citrus" else fruit, height_m=2.0, width_m=1.5)
        asked = replace(asked, young_graft=any(_has_fresh_graft(ctx, t, day) for t in here))
        found = frost.bare(asked, air, table, ctx.knowledge.value, members=MEMBERS_TODAY, seed=1)
        worst = found[0]
        out.append(
            PlotTonight(
                plot_code=plot.code,
                plot_name=plot.name,
                frost=_kind(air),
                low=found[1],
                worst_organ=worst.organ,
                chance=worst.chance,
                words=(),
            )
        )
    return tuple(out)
