"""Air and sun at a graft: of one day, of the days to come, of own years."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.night_series import read_file
from barkslip.app.sun_day import HOUR_S, WIDE, day_found
from barkslip.app.sun_layers import DAY_S, Layer, layer_of_file, layers_of_book, local_midnight_s
from barkslip.app.sun_place import (
    Differs,
    ask_of,
    built_hours,
    check_layers,
    clock,
    guess_words,
    placed,
    reading,
    words_of,
)
from barkslip.app.sun_typed import read_day
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.heat import SunAir

if TYPE_CHECKING:
    from barkslip.domain.weather import Series
    from barkslip.engines.sun_hours import SunHours
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Hours of a year.
YEAR_H = 365 * 24


def sun_air(
    ctx: Context | None,
    plot: Plot | None,
    day: date,
    fields: Fields,
    *,
    at: Door,
    knowledge: Knowledge,
    hours: int = 24,
) -> SunAir:
    """Air and sun of one day at a plot, from local midnight on; `day_found` without its doubts."""
    return day_found(ctx, plot, day, fields, at=at, knowledge=knowledge, hours=hours).air


def sun_hours(series: Series, garden: Garden, *, knowledge: Knowledge) -> SunHours | None:
    """The longest unbroken stretch of a series' hours, with the sun over them.

    Parameters
    ----------
    series : Series
    garden : Garden
        Its place; the file's own if it has none.
    knowledge : Knowledge

    Returns
    -------
    SunHours or None
        None without any reading of air.
    """
    return _longest(_stretches([Layer(series, "measured", own=True)], placed(garden, series), knowledge, None))


def stretch(
    ctx: Context | None,
    plot: Plot | None,
    first_day: date,
    days: int,
    fields: Fields,
    *,
    at: Door,
    knowledge: Knowledge,
) -> tuple[SunHours, tuple[str, ...], str]:
    """Hours from a day on, as far as they are known without a gap.

    Parameters
    ----------
    ctx, plot, at, knowledge
        As in `day_found`.
    first_day : date
        From its local midnight on.
    days : int
        At most so many [d].
    fields : mapping
        weather (path of a file) with what belongs to it; wind, cloud, dew_point, rh_min, which win over the series.

    Returns
    -------
    hours : SunHours
        Shorter than asked, down to no hour at all, where nothing more is known.
    sources : tuple of str
        Of each whole day in them: "measured", "typed", "forecast" or "typical year", by most of its hours.
    words : str
        Where they come from.

    Raises
    ------
    InputError
        If the place is not known, or a file has sun in the night, a negative wind, or nothing on the first day.
    """
    from barkslip.app.sun_build import air_sd_k
    from barkslip.weather.even_hours import whole_stretches

    path = at.text(fields, "weather")
    series = read_file(at, path, fields) if path else None
    garden = placed(at.garden, series)
    first_s = local_midnight_s(first_day, garden.utc_offset_h)
    last_s = first_s + days * DAY_S
    with reading(ctx) as reader:
        typed = read_day(at, {k: v for k, v in fields.items() if k not in ("air_max", "air_min")}, *WIDE)
        ask = ask_of(garden, knowledge, typed, years=True)
        if series is not None:
            layers = [layer_of_file(at, series, garden, first_day, own=False)]
        else:
            layers = layers_of_book(reader, plot, first_s, last_s) if reader is not None else []
        check_layers(layers, garden, first_s - DAY_S, last_s + DAY_S)
        offset = Differs(reader, plot, garden, knowledge.value)
        built = built_hours(layers, ask, first_s, days * 24, offset)
        runs = whole_stretches(built.hours.air_c)
        count = runs[0][1] if runs and runs[0][0] == 0 else 0
        if count == 0 and series is not None:
            raise _not_in_file(series, garden, first_day)
        lent = any(not layers[i].own for i in set(built.who[built.who >= 0].tolist()))
        sd = air_sd_k(layers, built, ask, offset.sd_k() if lent else None)
        sources = tuple(
            _most([layers[i].source for i in built.who[24 * d : 24 * d + 24].tolist() if i >= 0])
            for d in range(count // 24)
        )
        words = (*words_of(layers, built), *guess_words(built, typed, told=True)) if count else ()
    return replace(built.hours.part(0, count), air_sd_k=sd), sources, " ".join(words)


def _most(words: Sequence[str]) -> str:
    return max(dict.fromkeys(words), key=words.count, default="")


def _not_in_file(series: Series, garden: Garden, day: date) -> InputError:
    span = [clock(int(s), garden) for s in series.time_s[[0, -1]]]
    return InputError(
        "The weather file has nothing on that day.",
        given=day.isoformat(),
        allowed=f"a day from {span[0][:10]} to {span[1][:10]}",
        next_step="Take a day of the file, or a file of a typical year: that one serves for any year.",
        field="weather",
    )


def own_years(
    ctx: Context | None, plot: Plot | None, fields: Fields | None = None, *, at: Door, knowledge: Knowledge
) -> SunHours | None:  # fmt: skip
    """Years of hours of a plot, or of a file: its longest unbroken stretch; None if that is shorter than a year.

    Parameters
    ----------
    ctx, plot, at, knowledge
        As in `day_found`.
    fields : mapping
        weather (path of a file), or nothing.

    Notes
    -----
    Gaps up to the limit of the knowledge base are filled from the days around them. `own_stretches` gives the shorter
    stretches too.
    """
    found = _longest(own_stretches(ctx, plot, fields, at=at, knowledge=knowledge))
    return found if found is not None and len(found) >= YEAR_H else None


def own_stretches(
    ctx: Context | None, plot: Plot | None, fields: Fields | None = None, *, at: Door, knowledge: Knowledge
) -> tuple[SunHours, ...]:  # fmt: skip
    """All unbroken stretches of past or typical hours of a plot or of a file, in order; see `own_years`.

    A typical year that begins and ends with the calendar is one stretch of one year.
    """
    fields = fields or {}
    path = at.text(fields, "weather")
    series = read_file(at, path, fields) if path else None
    garden = placed(at.garden, series)
    if series is not None:
        return _stretches([Layer(series, "measured", own=True)], garden, knowledge, None)
    if ctx is None:
        return ()
    with ctx.book.read() as reader:
        key = f"years {plot.thing if plot else ''} {reader.lines_of('record')} {reader.lines_of('logger')}"
        if key not in ctx.kept:
            layers = layers_of_book(reader, plot, 0, 2**40, ahead=False, typical=True)
            offset = Differs(reader, plot, garden, knowledge.value)
            ctx.kept[key] = _stretches(layers, garden, knowledge, offset)
        found: tuple[SunHours, ...] = ctx.kept[key]
        return found


def _stretches(
    layers: Sequence[Layer], garden: Garden, knowledge: Knowledge, offset: Differs | None
) -> tuple[SunHours, ...]:  # fmt: skip
    from barkslip.app.sun_build import air_sd_k
    from barkslip.weather.even_hours import whole_stretches

    spans = [(int(one.series.time_s[0]), int(one.series.time_s[-1])) for one in layers if one.air and len(one.series)]
    if not spans:
        return ()
    midnight = (round(-3600 * garden.utc_offset_h)) % DAY_S
    first_s = (min(s for s, _ in spans) - midnight) // DAY_S * DAY_S + midnight
    count = (max(e for _, e in spans) - first_s) // HOUR_S + 1
    ask = ask_of(garden, knowledge, years=True)
    built = built_hours(layers, ask, first_s, count, offset)
    sd = air_sd_k(layers, built, ask, None)
    whole = replace(built.hours, air_sd_k=sd)
    return tuple(whole.part(i, j) for i, j in whole_stretches(whole.air_c))


def _longest(found: Sequence[SunHours]) -> SunHours | None:
    return max(found, key=len, default=None)
