"""Hours around a first day: those before it, those from it on, and own years where nothing is known ahead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.plot_offset import number, site_plot
from barkslip.app.sun_air import own_stretches, stretch
from barkslip.app.sun_layers import local_midnight_s
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Plot
from barkslip.domain.record import Record

if TYPE_CHECKING:
    from barkslip.engines.sun_hours import SunHours
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
DAY_H = 24


@dataclass(frozen=True, eq=False)
class HoursFound:
    """Hours around a first day.

    Parameters
    ----------
    before : SunHours or None
        All of the days before that were asked for; None if any of their hours is not known.
    hours : SunHours
        From the day on, as far as they are known. If nothing is known of it, a day of an own year; none at all without.
    sources : tuple of str
        Of each day of `hours`.
    words : str
        Where they come from.
    years : tuple of SunHours
        Own years, as unbroken stretches.
    of_file : bool
        They come from a file that was named.
    """

    before: SunHours | None
    hours: SunHours
    sources: tuple[str, ...]
    words: str
    years: tuple[SunHours, ...]
    of_file: bool = False


def hours_around(
    ctx: Context | None,
    plot: Plot | None,
    first: date,
    *,
    back: int,
    ahead: int,
    fields: Fields,
    at: Door,
    knowledge: Knowledge,
) -> HoursFound:
    """Hours before a day, from it on, and own years.

    Parameters
    ----------
    ctx, plot, fields, at, knowledge
        As in `app.sun_air.stretch`.
    back, ahead : int
        Days before it, days from it on.

    Raises
    ------
    InputError, QuestionError, WeatherFileError
    """

    def found(day: date, days: int) -> tuple[SunHours, tuple[str, ...], str]:
        return stretch(ctx, plot, day, days, fields, at=at, knowledge=knowledge)

    earliest = first - timedelta(days=back)
    before: SunHours | None = None
    try:
        hours, sources, words = found(earliest, back + ahead)
    except InputError as error:
        if error.field != "weather" or error.given != earliest.isoformat():
            raise
        # the file begins later than the days before
        hours, sources, words = found(first, ahead)
    else:
        if len(hours) > back * DAY_H:
            before, hours = hours.part(0, back * DAY_H), hours.part(back * DAY_H, len(hours))
            sources = sources[back:]
        else:
            hours, sources, words = found(first, ahead)
    years = own_stretches(ctx, plot, fields, at=at, knowledge=knowledge)
    if len(hours) < DAY_H:
        hours, sources = _day_of_years(hours, years, first), ("own years",)
    return HoursFound(before, hours, sources, words, years, bool(at.text(fields, "weather")))


def _day_of_years(hours: SunHours, years: Sequence[SunHours], first: date) -> SunHours:
    """A day of the newest own year that has it, under the day's own date; `hours` if none has."""
    import numpy as np

    from barkslip.engines.heal_hours import own_spans

    spans = own_spans(years, datetime.combine(first, time(), UTC), DAY_H)
    if not spans:
        return hours
    day = spans[-1]
    start_s = local_midnight_s(first, day.utc_offset_h)
    return replace(day, time_s=start_s + 3600 * np.arange(len(day), dtype=np.int64))


def is_stale(ctx: Context | None, plot: Plot | None, sources: Sequence[str], knowledge: Knowledge) -> bool:
    """Whether hours lean on a forecast that is older than a forecast should be. A demo's forecast never is."""
    if ctx is None or "forecast" not in sources or ctx.garden().invented:
        return False
    with ctx.book.read() as reader:
        site = site_plot(reader)
        places = {None, *(place.thing for place in (plot, site) if place is not None)}
        made = [r.made_utc for r in reader.every(Record, "kind = 'forecast'") if r.plot in places]
    oldest = ctx.now() - timedelta(hours=number(knowledge.value, "night.forecast_stale"))
    return bool(made) and max(made) < oldest.strftime("%Y-%m-%dT%H:%M:%S")
