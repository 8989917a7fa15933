"""Cold nights: the tree, the air, what is known, brought to the engine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.frost_fields import USUAL_SIZE_M, read_measures, read_target, read_tree
from barkslip.app.settings import Settings
from barkslip.app.trees import find_tree
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.night import (
    AfterFreeze,
    NightAir,
    NightTree,
    NightVerdict,
    OrganNight,
    PlotTonight,
    Spread,
    TreeAfter,
)
from barkslip.domain.record import Record
from barkslip.domain.sourced import Value
from barkslip.domain.tree import Tree
from barkslip.domain.units import METRIC, unit_choice

if TYPE_CHECKING:
    from barkslip.engines.frost_harm import ColdRow
    from barkslip.knowledge.load import Knowledge

#: Members of the ensemble if nothing is asked for; of the lines on Today.
MEMBERS, MEMBERS_TODAY = 400, 200
MOST_MEMBERS = 20_000
#: Trees of a plot that Today looks at.
MOST_TREES = 40
#: Days after setting within which a graft counts as fresh [d]; a wide reading of "the first months".
FRESH_DAYS = 180


def warm_up() -> None:
    """Compile the model once, so that nobody waits for it on a cold evening (half a minute where it was measured)."""
    fields = {"lat": "36", "date": "2026-01-15", "sunset_temp": "5", "low": "-4", "dew_point": "-5", "members": "20"}
    ask_night(None, Settings(Path()), {**fields, "wind": "1", "cloud": "0"})


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
        unknowns=_doubts(ctx, found, plot, knowledge),
        frost=frost_kind_of(found, knowledge),
    )


def _doubts(ctx: Context | None, air: NightAir, plot: Plot | None, knowledge: Knowledge) -> tuple[str, ...]:
    """Codes of what makes the air of this night less sure than usual."""
    out = []
    fewest = knowledge.value("night.offset_nights").value
    if air.offset is not None and air.offset.used in ("still", "windy"):
        part = next((p for p in air.offset.parts if p.kind == air.offset.used), None)
        if part is not None and isinstance(fewest, (int, float)) and part.nights < fewest:
            out.append("offset_few_nights")
    if ctx is not None and air.source == "forecast" and not ctx.garden().invented:
        stale = knowledge.value("night.forecast_stale").value
        with ctx.book.read() as reader:
            made = [
                r.made_utc for r in reader.every(Record, "kind = 'forecast'") if r.plot in (None, plot and plot.thing)
            ]
        oldest = ctx.now() - timedelta(hours=float(stale) if isinstance(stale, (int, float)) else 24.0)
        if made and max(made) < oldest.strftime("%Y-%m-%dT%H:%M:%S"):
            out.append("stale_forecast")
    return tuple(out)


def frost_kind_of(air: NightAir, knowledge: Knowledge) -> str:
    """Still frost, windy frost or no frost, by the limits of the knowledge base."""
    from barkslip.engines.low import frost_kind
    from barkslip.engines.offset import limits_from

    return frost_kind(air, limits_from(knowledge.value))


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
        species, kinds = _tenderest(ctx, tree)
        asked = replace(asked, species=species or asked.species, kinds=max(kinds, 1))
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


def _tenderest(ctx: Context, tree: Tree) -> tuple[str, int]:
    """The kind on the tree that cold hurts first, and of how many kinds: what saves it saves the others."""
    from barkslip.app.tree_kinds import kinds_on
    from barkslip.engines.frost_harm import tenderest

    kinds = kinds_on(ctx, tree)
    return tenderest(kinds, cold_table(ctx.knowledge), ctx.knowledge.value), len(kinds)


def tonight(ctx: Context, on: date | None = None) -> tuple[PlotTonight, ...]:
    """One line a plot for Today: low with its spread, still or windy, the tree most at risk and its chance."""
    garden = ctx.garden()
    day = on or ctx.today(garden)
    with ctx.book.read() as reader:
        plots = reader.every(Plot, order="walk_order, code")
    return tuple(_plot_tonight(ctx, plot, day) for plot in plots)


def tonight_kept(ctx: Context, on: date | None = None) -> tuple[PlotTonight, ...] | None:
    """Tonight's lines if they have been worked out already; None otherwise. Takes no time.

    They hold as long as the day, the weather, the grafts and the knowledge are the same.
    """
    found: tuple[PlotTonight, ...] | None = ctx.kept.get(f"tonight {_depends_on(ctx, on)}")
    return found


def keep_tonight(ctx: Context, on: date | None = None) -> tuple[PlotTonight, ...]:
    """Work tonight's lines out, unless they are there, and keep them for `tonight_kept`."""
    key = f"tonight {_depends_on(ctx, on)}"
    if key not in ctx.kept:
        lines = tonight(ctx, on)
        for old in [k for k in ctx.kept if k.startswith("tonight ")]:
            del ctx.kept[old]
        ctx.kept[key] = lines
    return tuple(ctx.kept[key])


def _depends_on(ctx: Context, on: date | None) -> str:
    day = on or ctx.today(ctx.garden())
    with ctx.book.read() as reader:
        weather, grafts, trees = (reader.lines_of(noun) for noun in ("record", "graft", "tree"))
    return f"{day.isoformat()} {weather} {grafts} {trees}"


def _plot_tonight(ctx: Context, plot: Plot, day: date) -> PlotTonight:
    from barkslip.app.night_air import night_air
    from barkslip.engines import frost

    at = night_door(ctx, ctx.settings, {})
    try:
        air = night_air(ctx, plot, day, {}, at=at, knowledge=ctx.knowledge)
    except InputError:
        # no weather ahead is no error on Today: it is said in its line
        return PlotTonight(plot.code, plot.name, "", None, "", None, ("no_forecast",))
    asked = _kinds_in(ctx, plot, day)
    table = cold_table(ctx.knowledge)

    def bare(tree: NightTree) -> tuple[tuple[OrganNight, ...], Spread]:
        return frost.bare(tree, air, table, ctx.knowledge.value, members=MEMBERS_TODAY, seed=1)

    answers = [(bare(tree), code) for code, tree in asked]
    if not answers:
        _, low = bare(NightTree("", *USUAL_SIZE_M))
        return PlotTonight(plot.code, plot.name, frost_kind_of(air, ctx.knowledge), low, "", None)
    (organs, low), code = max(answers, key=lambda a: a[0][0][0].chance)
    return PlotTonight(
        plot.code, plot.name, frost_kind_of(air, ctx.knowledge), low, organs[0].organ, organs[0].chance, (), code
    )


def _kinds_in(ctx: Context, plot: Plot, day: date) -> list[tuple[str, NightTree]]:
    """The tenderest of each kind of tree in a plot: (code, tree); citrus only, as harm is known for no other."""
    from barkslip.app.night_air import chill_hours

    with ctx.book.read() as reader:
        trees = reader.every(Tree, "plot = :plot AND fruit = 'citrus'", order="walk_order, code", plot=plot.thing)
    chill = chill_hours(ctx, plot, day) if trees else None
    out: dict[tuple[str, bool], tuple[str, NightTree]] = {}
    for tree in trees[:MOST_TREES]:
        (species, kinds), fresh = _tenderest(ctx, tree), _has_fresh_graft(ctx, tree, day)
        size = [
            (mm or 1000.0 * usual) / 1000.0
            for mm, usual in zip((tree.height_mm, tree.spread_mm), USUAL_SIZE_M, strict=True)
        ]
        asked = NightTree(
            species,
            min(max(size[0], 0.2), 8.0),
            min(max(size[1], 0.2), 10.0),
            tree.name,
            young_graft=fresh,
            chill_h=chill,
            kinds=max(kinds, 1),
        )
        out.setdefault((species, fresh), (tree.code, asked))
    return list(out.values())


def after_freeze(ctx: Context, day: date) -> AfterFreeze:
    """What the night before `day` likely hurt, tree by tree, and what to wait for.

    Parameters
    ----------
    day : date
        The morning after.
    """
    from barkslip.app.night_air import night_air
    from barkslip.engines import frost

    evening = day - timedelta(days=1)
    table = cold_table(ctx.knowledge)
    at = night_door(ctx, ctx.settings, {})
    with ctx.book.read() as reader:
        plots = reader.every(Plot, order="walk_order, code")
    trees: list[TreeAfter] = []
    low: Spread | None = None
    words = ""
    for plot in plots:
        try:
            air = night_air(ctx, plot, evening, {}, at=at, knowledge=ctx.knowledge)
        except InputError:
            continue
        for code, asked in _kinds_in(ctx, plot, evening):
            organs, here = frost.bare(asked, air, table, ctx.knowledge.value, members=MEMBERS_TODAY, seed=1)
            chances = tuple((o.organ, o.chance) for o in organs)
            trees.append(TreeAfter(code, asked.name, plot.name, chances))
            if low is None or here.p50 < low.p50:
                low, words = here, f"{plot.name}: {air.source_words}"
    trees.sort(key=lambda t: -max((c for _, c in t.organs), default=0.0))
    return AfterFreeze(day.isoformat(), low, words, tuple(trees), _waits(ctx, day))


def _waits(ctx: Context, day: date) -> tuple[tuple[str, str, str, Value], ...]:
    known = ctx.knowledge.value

    def span(code: str, key: str) -> tuple[str, str, str, Value]:
        value = known(key)
        best = value.value if isinstance(value.value, (int, float)) else None
        low = value.low if value.low is not None else best
        high = value.high if value.high is not None else best

        def iso(days: float | None) -> str:
            return "" if days is None else (day + timedelta(days=round(days))).isoformat()

        return code, iso(low), iso(high), value

    first, until = span("no_cut", "after_frost.no_cut_days")[1:3]
    return (
        ("no_cut", day.isoformat(), until or first, known("after_frost.no_cut_days")),
        span("whiten", "care.bark_whiten_within_days"),
        span("fruit", "after_frost.fruit_days"),
        span("scratch", "after_frost.scratch_days"),
    )
