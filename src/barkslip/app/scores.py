"""The morning after: answers about nights are kept, and held against what happened."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.lines import Fields, begin, door
from barkslip.app.plot_offset import HAPPENED, air_records, corrected
from barkslip.domain.answer import NightAnswer
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.units import parse_temperature
from barkslip.fieldbook import series as store
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.domain.night import NightScore, NightVerdict, Offset

_DAY_S = 86_400


def keep_answer(ctx: Context, verdict: NightVerdict) -> NightAnswer:
    """Keep an answer for the morning after. One is kept per plot and night: the newest corrects the older.

    Returns
    -------
    NightAnswer
        The line that stands; the old one if it says the same.

    Raises
    ------
    InputError
        If the answer is not about a plot of the book, or about a night that was measured.
    """
    if not verdict.plot:
        raise InputError(
            "An answer is kept for a plot.",
            given="no plot",
            allowed="a plot of the book",
            next_step="Ask again with a plot or a tree of the book.",
            field="plot",
        )
    if verdict.air.source == "measured":
        raise InputError(
            "That night has been measured already, so there is nothing to keep for the morning after.",
            given=f"night of {verdict.air.day}",
            allowed="a night from a forecast, or typed",
            next_step="Nothing needs to be done.",
            field="date",
        )
    added_k = verdict.air.offset.used_k if verdict.air.offset is not None else 0.0
    with ctx.book.write() as writer:
        plot = writer.by_code(Plot, verdict.plot)
        old = _kept(writer, plot, verdict.air.day)
        new = NightAnswer(
            **begin(ctx, {}, old),
            plot=plot.thing,
            day=verdict.air.day,
            source=verdict.air.source,
            forecast_low_c=round(verdict.air.low_c - added_k, 3),
            low_p10_c=round(verdict.air_low_c.p10, 3),
            low_p50_c=round(verdict.air_low_c.p50, 3),
            low_p90_c=round(verdict.air_low_c.p90, 3),
            target=verdict.target,
            chance=round(max((organ.chance for organ in verdict.organs), default=0.0), 4),
            measured_low_c=old.measured_low_c if old is not None else None,
            knowledge_hash=verdict.knowledge_hash,
            seed=verdict.seed,
        )
        if old is not None and _same(old, new):
            return old
        writer.append(new)
    return new


def _kept(reader: Reader, plot: Plot, day: str) -> NightAnswer | None:
    found = reader.every(NightAnswer, "plot = :plot AND day = :day", plot=plot.thing, day=day)
    return found[-1] if found else None


def _same(old: NightAnswer, new: NightAnswer) -> bool:
    return replace(new, id=old.id, corrects=old.corrects, made_utc=old.made_utc) == old


def type_low(ctx: Context, code: str, fields: Fields) -> NightAnswer:
    """Write down the low that was read the morning after a kept answer.

    Parameters
    ----------
    code : str
        Of the plot.
    fields : mapping
        date (of the evening; yesterday if left out), low.

    Raises
    ------
    NotFoundError
        If no answer was kept for that night.
    InputError
        If the night is not over.
    QuestionError
        If the low looks like the other unit.
    """
    from barkslip.app.weather import usual

    at = door(ctx, fields)
    day = at.day(fields, "date", (at.today - timedelta(days=1)).isoformat(), future=True).first
    if day >= at.today:
        raise InputError(
            "That night is not over.",
            given=day.isoformat(),
            allowed=f"an evening up to {(at.today - timedelta(days=1)).isoformat()}",
            next_step="Write the low down the morning after.",
            field="date",
        )
    with ctx.book.write() as writer:
        plot = writer.by_code(Plot, code)
        low = parse_temperature(
            at.required(fields, "low", "low"),
            home=at.units.temperature,
            expect_c=usual(writer, plot, at.garden, day)[0],
            sure="unit" in at.sure or "unusual" in at.sure,
            field="low",
        )
        old = _kept(writer, plot, day.isoformat())
        if old is None:
            raise NotFoundError(
                "No answer was kept for that night.",
                given=f"{plot.code}, {day.isoformat()}",
                allowed=", ".join(a.day for a in _answers(writer, plot)[:6]),
                next_step="Lows by the day are typed with: barkslip weather typed",
                field="date",
            )
        if old.measured_low_c == low:
            return old
        new = replace(old, **begin(ctx, fields, old), measured_low_c=low)
        writer.append(new)
    return new


def _answers(reader: Reader, plot: Plot) -> list[NightAnswer]:
    return reader.every(NightAnswer, "plot = :plot", order="day DESC", plot=plot.thing)


def scores(ctx: Context, plot: Plot) -> tuple[NightScore, ...]:
    """Past answers beside what happened, newest first; `domain.score.summed_up` adds them up.

    The low is that of the plot's own readings, between sunset and sunrise, its logger's known error taken out; else
    the one typed the morning after. Nights still to come have none.
    """
    from barkslip.domain.night import NightScore, Spread

    garden = ctx.garden()
    with ctx.book.read() as reader:
        out = []
        for answer in _answers(reader, plot):
            measured = measured_low(reader, plot, garden, date.fromisoformat(answer.day))
            out.append(
                NightScore(
                    day=answer.day,
                    plot=plot.code,
                    forecast_low_c=answer.forecast_low_c,
                    our_low_c=Spread(answer.low_p10_c, answer.low_p50_c, answer.low_p90_c),
                    measured_low_c=answer.measured_low_c if measured is None else measured,
                )
            )
        return tuple(out)


def measured_low(reader: Reader, plot: Plot, garden: Garden, day: date) -> float | None:
    """Low of the night of a day from the plot's best series that has the whole of it [°C]; None if none has."""
    from barkslip.app.night_asked import night_window
    from barkslip.engines.night_hours import longest_gap

    if garden.lat is None or garden.lon is None:
        return None
    window = night_window(garden, day)
    for record in air_records(reader, plot, HAPPENED):
        if record.last_s < window.sunset_s or record.first_s > window.sunrise_s:
            continue
        start_s, end_s = window.sunset_s - _DAY_S // 4, window.sunrise_s + _DAY_S // 4
        found, _ = corrected(reader, record, store.readings(reader, record, start_s=start_s, end_s=end_s))
        start, end = longest_gap(found, window)
        if start == end:
            night = found.between(window.sunset_s, window.sunrise_s + found.info.step_s)
            air = night.columns["air_temp_c"]
            return float(air[air == air].min())
    return None


def learned_offset(ctx: Context, plot: Plot) -> Offset | None:
    """What was learned of a plot against the site's screen; None for the site itself or without a place."""
    from barkslip.app.plot_offset import plot_offset, site_plot

    garden = ctx.garden()
    if garden.lat is None or garden.lon is None:
        return None
    with ctx.book.read() as reader:
        site = site_plot(reader)
        if site is None or site.thing == plot.thing:
            return None
        return plot_offset(reader, plot, site, garden, ctx.knowledge.value).offset
