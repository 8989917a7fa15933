"""Days to graft: the graft that is thought of, the hours ahead, own years and what is known, brought to the engine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.days_fields import DaysAsked, read_days
from barkslip.app.days_hours import HoursFound, hours_around, is_stale
from barkslip.app.days_places import plot_doubts, read_places
from barkslip.app.door import Door
from barkslip.app.frost import night_door
from barkslip.app.kind_curve import curve_for
from barkslip.app.plot_offset import number
from barkslip.app.settings import Settings
from barkslip.domain.garden import Plot
from barkslip.domain.timing import DaysVerdict, HealingCurve, WeekOfYear

if TYPE_CHECKING:
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Years of weeks that are kept at most: of so many different plans.
MOST_KEPT = 40


def ask_days(ctx: Context | None, settings: Settings, fields: Fields) -> DaysVerdict:
    """Which of the coming days are good to graft.

    Parameters
    ----------
    ctx : Context or None
        None if a file of weather is given and no book is needed.
    fields : mapping
        from (a day; today if left out); graft, tree, plot (codes); limb (address or label of a limb of the tree, or
        its thickness); weather (path of a file) with what belongs to it; lat, lon, utc_offset_h; drought (yes); what
        `app.days_fields` reads; sure.

    Raises
    ------
    InputError
        If neither a kind of tree nor a tree is named, a word is not known, or the place is not known.
    NotFoundError, QuestionError, WeatherFileError
    """
    knowledge = ctx.knowledge if ctx is not None else _knowledge(settings)
    at = night_door(ctx, settings, fields)
    first = at.day(fields, "from", "today", future=True).first
    places, plot, rest = read_places(ctx, at, fields, first)
    south = _south(at, rest)
    asked = read_days(at, rest, knowledge, places, plot.code if plot else "", first=first, south=south)
    fruit = places.tree.fruit if places.tree is not None and not at.text(fields, "species") else ""
    curve = curve_for(knowledge, asked.plan.species, fruit)
    return _answer(ctx, plot, asked, curve, rest, at, knowledge)


def _knowledge(settings: Settings) -> Knowledge:
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def _south(at: Door, fields: Fields) -> bool:
    """Whether the place lies south of the equator; the file's own place is read where none is known."""
    lat = at.garden.lat
    path = at.text(fields, "weather")
    if lat is None and path and at.text(fields, "method") and not at.text(fields, "path"):
        from barkslip.app.night_series import read_file

        lat = read_file(at, path, fields).info.lat
    return lat is not None and lat < 0.0


def _answer(
    ctx: Context | None,
    plot: Plot | None,
    asked: DaysAsked,
    curve: HealingCurve | None,
    fields: Fields,
    at: Door,
    knowledge: Knowledge,
) -> DaysVerdict:
    from barkslip.engines import timing

    known = knowledge.value
    if curve is None:
        return timing.assess(
            asked.plan, None, None, (), known, members=asked.members, seed=asked.seed, unknowns=asked.doubts,
            knowledge_hash=knowledge.hash,
        )  # fmt: skip
    found = hours_around(
        ctx,
        plot,
        asked.first,
        back=round(number(known, "timing.bark.back_days")),
        ahead=asked.days + round(number(known, "timing.look_days")),
        fields=fields,
        at=at,
        knowledge=knowledge,
    )
    stale = ("stale_forecast",) if is_stale(ctx, plot, found.sources, knowledge) else ()
    return timing.assess(
        asked.plan,
        curve,
        found.hours,
        found.years,
        known,
        method=asked.method,
        before=found.before,
        days=asked.days,
        members=asked.members,
        seed=asked.seed,
        sources=found.sources,
        source_words=found.words,
        year=_year(ctx, plot, asked, curve, found, knowledge),
        drought=at.yes(fields, "drought"),
        unknowns=(*asked.doubts, *plot_doubts(ctx, plot), *stale),
        knowledge_hash=knowledge.hash,
    )


def _year(
    ctx: Context | None,
    plot: Plot | None,
    asked: DaysAsked,
    curve: HealingCurve,
    found: HoursFound,
    knowledge: Knowledge,
) -> tuple[WeekOfYear, ...]:
    """The weeks of the year; kept while weather and plan are the same, as nothing in them depends on today."""
    from barkslip.engines import timing_year

    if not asked.years:
        return ()
    plan = replace(asked.plan, bark="", flush=None, tree="")
    key = f"weeks {plan} {asked.members} {asked.seed} {knowledge.hash} {_weather(ctx, plot)}"
    if ctx is not None and not found.of_file and key in ctx.kept:
        kept: tuple[WeekOfYear, ...] = ctx.kept[key]
        return kept
    weeks = timing_year.year(
        plan, curve, found.years, knowledge.value, method=asked.method, members=asked.members, seed=asked.seed
    )
    if ctx is not None and not found.of_file:
        forget(ctx, "weeks ", MOST_KEPT)
        ctx.kept[key] = weeks
    return weeks


def _weather(ctx: Context | None, plot: Plot | None) -> str:
    if ctx is None:
        return ""
    with ctx.book.read() as reader:
        return f"{plot.thing if plot else ''} {reader.lines_of('record')} {reader.lines_of('logger')}"


def forget(ctx: Context, start: str, most: int) -> None:
    """Let go of the oldest kept answers of a kind, so that no more than `most` stay with the next one."""
    mine = [key for key in ctx.kept if key.startswith(start)]
    for old in mine[: max(0, len(mine) - most + 1)]:
        del ctx.kept[old]
