"""The air of one night: typed, from a file, or from the book; made even, its gaps and guesses named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.night_asked import Added, Asked, added, air_from, fill_of, night_window
from barkslip.app.night_series import from_book, from_file, read_file
from barkslip.app.night_typed import read_air
from barkslip.app.plot_offset import air_records, corrected, number, own_nights, site_plot
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.night import NightAir
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.domain.weather import Series
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Usual lows and highs where no book knows better [°C].
_WIDE = ((-15.0, 20.0), (-5.0, 42.0))


def night_air(
    ctx: Context | None, plot: Plot | None, day: date, fields: Fields, *, at: Door, knowledge: Knowledge
) -> NightAir:
    """What the air of a night is expected to be, or was.

    Parameters
    ----------
    ctx : Context or None
        None if there is no book: then the evening or a file must be given, and the place is the door's garden.
    plot : Plot or None
        Whose air is asked for; None is the site.
    day : date
        Of the evening.
    fields : mapping
        sunset_temp, temp_2h, low, dew_point, wind, cloud, low_here (see `app.night_typed`); weather (path of a file),
        with date_order, unit, columns, kind as on import. Without an evening and a file the book is asked. A typed
        dew point, wind or cloud wins over that of a series.
    at : Door
    knowledge : Knowledge

    Raises
    ------
    InputError
        If the place is not known, the night has no dark, what is typed cannot be, or no hours are known.
    QuestionError, WeatherFileError
    """
    from barkslip.weather.clear_sun import clear_sun

    path = at.text(fields, "weather")
    series = read_file(at, path, fields) if path else None
    garden = _placed(at.garden, series)
    window = night_window(garden, day)
    known = knowledge.value
    sky = clear_sun(garden.lat or 0.0, garden.lon or 0.0, lambda key: number(known, key))
    with _reading(ctx) as reader:
        typed = read_air(at, fields, *_usual(reader, plot, garden, day, fields))
        asked = Asked(at, known, garden, window, sky, typed, plot, reader)
        if series is not None:
            return from_file(asked, series)
        if typed.evening:
            return _from_typed(asked)
        return from_book(asked)


@contextmanager
def _reading(ctx: Context | None) -> Iterator[Reader | None]:
    if ctx is None:
        yield None
        return
    with ctx.book.read() as reader:
        yield reader


def _usual(
    reader: Reader | None, plot: Plot | None, garden: Garden, day: date, fields: Fields
) -> tuple[tuple[float, float], tuple[float, float]]:
    from barkslip.app.weather import usual

    if reader is None or not any(fields.get(name) for name in ("sunset_temp", "temp_2h", "low", "dew_point")):
        return _WIDE
    where = plot or site_plot(reader)
    return usual(reader, where, garden, day) if where is not None else _WIDE


def _placed(garden: Garden, series: Series | None) -> Garden:
    """The garden with a latitude and a longitude; those of the file if it has none.

    Raises
    ------
    InputError
        If neither knows.
    """
    if garden.lat is not None:
        return garden if garden.lon is not None else replace(garden, lon=15.0 * garden.utc_offset_h)
    if series is not None and series.info.lat is not None and series.info.lon is not None:
        info = series.info
        return replace(garden, lat=info.lat, lon=info.lon, utc_offset_h=info.utc_offset_h)
    raise InputError(
        "The place is not known, so neither are sunset and sunrise.",
        allowed="a latitude, −90 to 90; two decimals are enough",
        next_step="Give the latitude, or fill in the garden's place.",
        field="lat",
    )


def _from_typed(asked: Asked) -> NightAir:
    from barkslip.engines.low import typed_night
    from barkslip.engines.night_hours import STEP_S, Hours

    typed, fill, window = asked.typed, fill_of(asked), asked.window
    sunset = typed.sunset_c if typed.sunset_c is not None else typed.later_c
    if sunset is None:
        raise InputError(
            "The temperature at sunset is missing.",
            given="(nothing)",
            allowed="the air at sunset, or two hours later",
            next_step="Type it; the hours of the night are drawn from it to the low.",
            field="sunset_temp",
        )
    words = ["Typed; the hours between are drawn as a square root of the time, as published for clear, still nights."]
    low, low_sd = typed.low_c, number(asked.known, "frost.forecast_low_sd")
    if low is None:
        low, low_sd, said = _low_of_own_nights(asked, sunset)
        words.append(said)
    guessed = [
        name
        for name, value in (("cloud", typed.cloud), ("wind_m_s", typed.wind_m_s), ("dew_point_c", typed.dew_c))
        if value is None
    ]
    wind = fill.wind_m_s if typed.wind_m_s is None else typed.wind_m_s
    cloud = typed.cloud or 0.0
    dew = low - fill.dew_below_low_k if typed.dew_c is None else typed.dew_c
    rows = typed_night(
        (window.time_s - window.sunset_s).astype(float),
        sunset_c=sunset,
        low_c=min(low, sunset),
        dew_c=dew,
        wind_m_s=wind,
        cloud=cloud,
        night_h=round(window.night_h * 3600 / STEP_S) * STEP_S / 3600,  # the low falls on the grid
        warming_k_h=fill.warming_k_h,
        later_c=None if typed.later_c is None else max(typed.later_c, min(low, sunset)),
    )
    sun = asked.sky.clear_w_m2(window.time_s) * asked.sky.through(rows[:, 3])
    sun[(window.time_s > window.sunset_s) & (window.time_s < window.sunrise_s)] = 0.0
    hours = Hours(rows[:, 0], rows[:, 1], rows[:, 2], rows[:, 3], sun, tuple(guessed))
    add = Added(None, number(asked.known, "frost.site_sd")) if typed.here else added(asked, wind, cloud)
    return air_from(asked, hours, source="typed", words=tuple(words), low_sd_k=low_sd, add=add)


def _low_of_own_nights(asked: Asked, sunset_c: float) -> tuple[float, float, str]:
    """The low foretold from the site's own still nights, its error, and a sentence."""
    from barkslip.engines.low import PUBLISHED_HOUR, expected_low, fit_low, pairs_of
    from barkslip.engines.offset import limits_from

    typed = asked.typed
    place = asked.plot if typed.here else asked.site
    if asked.reader is None or place is None or typed.dew_c is None:
        raise InputError(
            "The expected low is missing.",
            given="(nothing)",
            allowed="the low that the forecast gives",
            next_step="Type it. With a dew point, and past nights in the book, it can be foretold from those.",
            field="low",
        )
    hour = PUBLISHED_HOUR if typed.later_c is not None else 0
    nights = own_nights(asked.reader, air_records(asked.reader, place), asked.garden)
    pairs = pairs_of(nights.nights, limits_from(asked.known), hour=hour)
    fit = fit_low(pairs, fewest=round(number(asked.known, "night.low_nights")), hour=hour)
    found = expected_low(fit, typed.later_c if typed.later_c is not None else sunset_c, typed.dew_c)
    beyond = " This evening lies outside them, so the answer is wider." if found.beyond else ""
    return found.low_c, found.sd_k, f"The low was foretold from {found.nights} still nights of {place.name}.{beyond}"


def chill_hours(ctx: Context, plot: Plot, day: date) -> float | None:
    """Hours at or below the hardening line in the window before an evening [h], from the plot's own air.

    Parameters
    ----------
    day : date
        Of the evening. If it is still to come, the window ends with the last reading of the two days before.

    Returns
    -------
    float or None
        None if too few hours have a reading. Hours without one count as warm.
    """
    import numpy as np

    from barkslip.fieldbook import series as store
    from barkslip.weather.summary import reading_hours

    known = ctx.knowledge.value
    span_h, below_c = number(known, "frost.hardening_window"), number(known, "frost.hardening_below")
    garden = ctx.garden()
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC) - timedelta(hours=garden.utc_offset_h)
    with ctx.book.read() as reader:
        for record in air_records(reader, plot):
            end_s = min(int(noon.timestamp()), record.last_s)
            if int(noon.timestamp()) - end_s > 2 * 86400:
                continue
            start_s = end_s - round(span_h * 3600)
            found = store.readings(reader, record, columns=("air_temp_c",), start_s=start_s, end_s=end_s + 1)
            found, _ = corrected(reader, record, found)
            air = found.columns["air_temp_c"]
            if not len(found):
                continue
            hours = reading_hours(found, air)
            if float(hours.sum()) >= number(known, "night.chill_share") * span_h:
                with np.errstate(invalid="ignore"):
                    return float(hours[air <= below_c].sum())
    return None
