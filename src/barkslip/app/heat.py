"""Wrapped grafts in sun: the graft, the day, the covers, brought to the engine; and the danger of all plots."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.days_fields import known_cover
from barkslip.app.frost import night_door
from barkslip.app.frost_fields import read_target
from barkslip.app.heat_book import book_graft, cover_of
from barkslip.app.heat_fields import USUAL, as_usual, bearing_of, read_graft, read_members, read_wraps
from barkslip.app.settings import Settings
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.heat import HeatVerdict, LearnedCover, PlotHeat, Wrap, WrappedGraft
from barkslip.domain.night import Spread
from barkslip.domain.record import Record
from barkslip.domain.tree import BEARINGS, Limb, Tree
from barkslip.fieldbook import lists

if TYPE_CHECKING:
    from barkslip.app.sun_day import DayFound
    from barkslip.domain.graft import Standing
    from barkslip.knowledge.load import Knowledge

#: Members of the ensemble of the lines on Today.
MEMBERS_TODAY = 120
#: Days after setting within which the sun can still end a graft [d]; those with a cover on count for longer.
YOUNG_DAYS = 180
#: Chance of harm that Today's lines bear [0..1].
TODAY_TARGET = 0.1
#: A normal value lies within so many standard deviations of its middle eight times in ten.
NORMAL_80 = 1.2816
_NO = ("no", "false", "0", "off")


def warm_up() -> None:
    """Compile the model once, so that nobody waits for it on a hot day."""
    fields = {"lat": "-33", "lon": "21", "date": "2026-01-15", "air_max": "38", "air_min": "20", "members": "20"}
    from pathlib import Path

    ask_heat(None, Settings(Path()), {**fields, "wind": "1", "cloud": "0", "rh_min": "20"})


def ask_heat(ctx: Context | None, settings: Settings, fields: Mapping[str, str]) -> HeatVerdict:
    """The answer for one wrapped graft and one day.

    Parameters
    ----------
    ctx : Context or None
        None if everything is typed and no book is needed.
    fields : mapping
        graft, tree, plot (codes), date (tomorrow if left out), lat, lon, utc_offset_h, what `app.sun_typed` and
        `app.heat_fields` read, weather (path of a file), target, members, seed, learn (no: what own loggers say of
        covers is left out), sure.

    Raises
    ------
    InputError, QuestionError, NotFoundError, WeatherFileError
    """
    from barkslip.app.sun_day import day_found
    from barkslip.engines import heat

    knowledge = ctx.knowledge if ctx is not None else _knowledge(settings)
    at = night_door(ctx, settings, fields)
    day = at.day(fields, "date", (at.today + timedelta(days=1)).isoformat(), future=True).first
    book, plot = book_graft(ctx, fields, day)
    usual = heat.usual_wraps()
    graft = read_graft(at, fields, book, usual)
    wraps = read_wraps(at, fields, usual)
    found = day_found(ctx, plot, day, fields, at=at, knowledge=knowledge)
    members, seed = read_members(at, fields)
    return heat.assess(
        graft,
        found.air,
        wraps,
        knowledge.value,
        target=read_target(at, fields),
        members=members,
        seed=seed,
        plot=plot.code if plot else "",
        knowledge_hash=knowledge.hash,
        unknowns=_doubts(ctx, found, plot, knowledge),
        learned=_learned(ctx, members, seed) if at.text(fields, "learn").lower() not in _NO else None,
    )


def _learned(ctx: Context | None, members: int, seed: int) -> Mapping[str, LearnedCover] | None:
    """What own loggers say of the covers they sat under."""
    if ctx is None:
        return None
    from barkslip.app.cover_check import learned_covers

    return learned_covers(ctx, members=members, seed=seed)


def _knowledge(settings: Settings) -> Knowledge:
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def _doubts(ctx: Context | None, found: DayFound, plot: Plot | None, knowledge: Knowledge) -> tuple[str, ...]:
    """Codes of what makes the air of this day less sure than usual."""
    out = list(found.doubts)
    if ctx is not None and found.air.source == "forecast" and not ctx.garden().invented:
        stale = knowledge.value("night.forecast_stale").value
        with ctx.book.read() as reader:
            made = [
                r.made_utc for r in reader.every(Record, "kind = 'forecast'") if r.plot in (None, plot and plot.thing)
            ]
        oldest = ctx.now() - timedelta(hours=float(stale) if isinstance(stale, (int, float)) else 24.0)
        if made and max(made) < oldest.strftime("%Y-%m-%dT%H:%M:%S"):
            out.append("stale_forecast")
    return tuple(out)


# -- all plots ---------------------------------------------------------------------------------------------------


def danger(ctx: Context, day: date | None = None) -> tuple[PlotHeat, ...]:
    """One line a plot: the heat of a day, the graft most at risk under its present cover, and what would do.

    Worked out once and kept as long as the day, the weather, the grafts, their covers and the knowledge are the same.

    Parameters
    ----------
    day : date or None
        None is tomorrow.
    """
    on = day or ctx.today(ctx.garden()) + timedelta(days=1)
    key = f"heat {_depends_on(ctx, on)}"
    if key not in ctx.kept:
        with ctx.book.read() as reader:
            plots = reader.every(Plot, order="walk_order, code")
        lines = tuple(_plot_heat(ctx, plot, on) for plot in plots)
        for old in [k for k in ctx.kept if k.startswith("heat ")]:
            del ctx.kept[old]
        ctx.kept[key] = lines
    found: tuple[PlotHeat, ...] = ctx.kept[key]
    return found


def danger_kept(ctx: Context, day: date | None = None) -> tuple[PlotHeat, ...] | None:
    """The lines of `danger` if they have been worked out already; None otherwise. Takes no time."""
    on = day or ctx.today(ctx.garden()) + timedelta(days=1)
    found: tuple[PlotHeat, ...] | None = ctx.kept.get(f"heat {_depends_on(ctx, on)}")
    return found


def _depends_on(ctx: Context, day: date) -> str:
    with ctx.book.read() as reader:
        lines = (
            reader.lines_of(noun) for noun in ("record", "graft", "act", "look", "limb", "tree", "placement", "logger")
        )
        return " ".join((day.isoformat(), *(str(one) for one in lines)))


def _plot_heat(ctx: Context, plot: Plot, day: date) -> PlotHeat:
    from barkslip.app.sun_day import day_found

    at = night_door(ctx, ctx.settings, {})
    try:
        found = day_found(ctx, plot, day, {}, at=at, knowledge=ctx.knowledge)
    except InputError:
        # no weather ahead is no error on Today: it is said in its line
        return PlotHeat(plot.code, plot.name, day.isoformat(), None, words=("no_forecast",))
    half = NORMAL_80 * found.air.air_sd_k
    high = Spread(found.air.high_c - half, found.air.high_c, found.air.high_c + half)
    line = PlotHeat(plot.code, plot.name, day.isoformat(), high, words=_doubts(ctx, found, plot, ctx.knowledge))
    asked = _kinds_in(ctx, plot, day)
    if not asked:
        return line
    # first every graft as it is now, then all covers for the one most at risk
    chances = [_glance(ctx, found, graft, [graft.now] if graft.now else [])[0] for _, _, graft in asked]
    code, cover, worst = asked[chances.index(max(chances))]
    chance, danger_now, better = _glance(ctx, found, worst, [])
    return replace(line, graft_code=code, cover=cover, danger=danger_now, chance=chance, better=better)


def _glance(
    ctx: Context, found: DayFound, graft: WrappedGraft, wraps: Sequence[Wrap]
) -> tuple[float, str, str]:  # fmt: skip
    """Chance of harm of a graft under its present cover, the danger, and the cover that would do, if any is needed."""
    from barkslip.engines import heat

    covers, choose, now, word = heat.at_a_glance(
        graft,
        found.air,
        wraps,
        ctx.knowledge.value,
        target=TODAY_TARGET,
        members=MEMBERS_TODAY,
        seed=1,
        learned=_learned(ctx, MEMBERS_TODAY, 1),
    )
    chance = covers[now].chance_of_harm if now is not None else 0.0
    best = covers[choose].wrap.cover if choose is not None else ""
    needed = word in ("watch", "act") and graft.now is not None and best != graft.now.cover
    return chance, word, best if needed else ""


def _kinds_in(ctx: Context, plot: Plot, day: date) -> list[tuple[str, str, WrappedGraft]]:
    """Live young grafts of a plot and those with a cover on: one of each cover and side, (code, cover, graft)."""
    since = (day - timedelta(days=YOUNG_DAYS)).isoformat()
    with ctx.book.read() as reader:
        grafts = reader.every(
            Graft,
            "t.plot = :plot AND t.current AND NOT t.withdrawn AND graft.set_on_first <= :day",
            join="JOIN tree t ON t.thing = graft.tree",
            order="graft.code",
            plot=plot.thing,
            day=day.isoformat(),
        )
        stood = lists.standings(reader, [g.thing for g in grafts])
        grafts = [g for g in grafts if _lives(stood.get(g.thing), day)]
        covers = cover_of(reader, grafts, day)
        grafts = [g for g in grafts if g.thing in covers or g.set_on.last.isoformat() >= since]
        limbs = reader.many(Limb, [g.limb for g in grafts if g.limb])
        trees = reader.many(Tree, [g.tree for g in grafts])
    out: dict[tuple[str, str], tuple[str, str, WrappedGraft]] = {}
    for graft in grafts:
        words = covers.get(graft.thing, "")
        cover = known_cover(words)[0]
        bearing = bearing_of(graft, limbs.get(graft.limb or ""))
        side = BEARINGS[round(bearing / 45.0) % 8] if bearing is not None else ""
        out.setdefault((cover, side), (graft.code, words, _wrapped(graft, trees[graft.tree], bearing, cover)))
    return list(out.values())


def _lives(standing: Standing | None, day: date) -> bool:
    """True if a graft was not yet lost on a day."""
    if standing is None or standing.mark != "lost":
        return True
    return bool(standing.turns) and standing.turns[-1].on > day


def _wrapped(graft: Graft, tree: Tree, bearing: float | None, cover: str) -> WrappedGraft:
    """A graft of the book as the model takes it; sizes that no model takes become usual ones."""
    from barkslip.engines.heat import usual_wraps

    scion, limb = graft.scion_mm or USUAL.scion_mm, graft.stock_mm or USUAL.limb_mm
    return WrappedGraft(
        species=tree.fruit,
        name=graft.code,
        scion_mm=min(max(scion, 2.0), 40.0),
        limb_mm=min(max(limb, 3.0), 400.0),
        bearing_deg=bearing,
        now=as_usual(cover, usual_wraps()),
    )
