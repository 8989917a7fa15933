"""Air and sun of one day at a graft: typed, from a file, or from the book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import hypot
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.night_series import read_file
from barkslip.app.plot_offset import number, site_plot
from barkslip.app.sun_layers import DAY_S, Layer, layer_of_file, layers_of_book, local_midnight_s
from barkslip.app.sun_place import Differs, ask_of, built_hours, check_layers, guess_words, placed, reading, words_of
from barkslip.app.sun_typed import TypedDay, read_day
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.heat import SunAir

if TYPE_CHECKING:
    from barkslip.app.sun_build import Ask, Built
    from barkslip.fieldbook.reader import Reader
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Lows and highs that need no question where no book knows better [°C].
WIDE = ((-20.0, 32.0), (5.0, 50.0))
HOUR_S = 3600


@dataclass(frozen=True)
class DayFound:
    """The air and sun of a day, and codes of what makes it less sure than usual (`domain.heat.UNKNOWNS`)."""

    air: SunAir
    doubts: tuple[str, ...] = ()


def day_found(
    ctx: Context | None,
    plot: Plot | None,
    day: date,
    fields: Fields,
    *,
    at: Door,
    knowledge: Knowledge,
    hours: int = 24,
) -> DayFound:
    """Air and sun of one day, local midnight to midnight, an hour apart.

    Parameters
    ----------
    ctx : Context or None
        None if there is no book: then the air or a file must be given, and the place is the door's garden.
    plot : Plot or None
        Whose air is asked for; None is the site.
    day : date
    fields : mapping
        air_max and air_min; rh_min or dew_point; wind (at the graft), cloud; weather (path of a file), with date_order,
        unit, columns, kind as on import. A typed wind, cloud or dampness wins over that of a series.
    at : Door
    knowledge : Knowledge
    hours : int
        How long from midnight on [h].

    Raises
    ------
    InputError
        If the place is not known, what is typed cannot be, hours are missing, or there is sun in the night.
    QuestionError, WeatherFileError
    """
    path = at.text(fields, "weather")
    series = read_file(at, path, fields) if path else None
    garden = placed(at.garden, series)
    first_s = local_midnight_s(day, garden.utc_offset_h)
    with reading(ctx) as reader:
        typed = read_day(at, fields, *_usual(reader, plot, garden, day, fields))
        ask = ask_of(garden, knowledge, typed)
        if series is not None:
            layers = [layer_of_file(at, series, garden, day, own=False)]
        elif typed.air:
            layers = [_typed_layer(garden, day, typed)]
        elif reader is not None:
            layers = layers_of_book(reader, plot, first_s, first_s + hours * HOUR_S)
        else:
            layers = []
        check_layers(layers, garden, first_s - DAY_S, first_s + hours * HOUR_S + DAY_S)
        offset = Differs(reader, plot, garden, knowledge.value)
        built = built_hours(layers, ask, first_s, hours + 1, offset)
        _check_whole(layers, built, plot, day)
        sd = _sd(layers, built, ask, offset, typed=series is None and typed.air)
        return DayFound(_air_of(layers, built, day, garden, sd, typed), offset.doubts(layers, built))


def _usual(
    reader: Reader | None, plot: Plot | None, garden: Garden, day: date, fields: Fields
) -> tuple[tuple[float, float], tuple[float, float]]:
    from barkslip.app.weather import usual

    if reader is None or not any(fields.get(name) for name in ("air_max", "air_min", "dew_point")):
        return WIDE
    where = plot or site_plot(reader)
    if where is None:
        return WIDE
    low, high = usual(reader, where, garden, day)
    # the hottest day in years is just the one that is asked about
    return low, (high[0], max(high[1], WIDE[1][1]))


def _typed_layer(garden: Garden, day: date, typed: TypedDay) -> Layer:
    from barkslip.weather.typed import hourly_from_daily

    days = [day + timedelta(days=n) for n in (-1, 0, 1)]
    found = hourly_from_daily(
        days,
        [typed.low_c] * 3,
        [typed.high_c] * 3,
        garden.lat or 0.0,
        garden.lon or 0.0,
        garden.utc_offset_h,
        keep_ends=True,
    )
    return Layer(found, "typed", own=True)


def _check_whole(layers: Sequence[Layer], built: Built, plot: Plot | None, day: date) -> None:
    import numpy as np

    air = built.hours.air_c
    if np.isfinite(air).all():
        return
    where = plot.code if plot is not None else "the site"
    read = [layers[i].series.info.name for i in sorted(set(built.who[built.who >= 0].tolist()))]
    if not read:
        raise InputError(
            "Nothing is known about the air of that day.",
            given=f"{day.isoformat()}, {where}",
            allowed="hours from midnight to midnight, or the highest and lowest air typed",
            next_step="Type the highest and the lowest air, or bring in a forecast or readings.",
            field="air_max",
        )
    missing = np.flatnonzero(~np.isfinite(air))
    raise InputError(
        "Hours of that day are missing in the weather.",
        given=f"{day.isoformat()}, “{read[0]}”: nothing from {missing[0]:02d}:00 to {missing[-1]:02d}:00"
        f" ({missing.size} of {air.size} hours)",
        allowed="hours from midnight to midnight; shorter gaps are drawn over",
        next_step="Type the highest and the lowest air of the day, or take another day.",
        field="air_max",
    )


def _sd(layers: Sequence[Layer], built: Built, ask: Ask, offset: Differs, *, typed: bool) -> float:
    from barkslip.app.sun_build import air_sd_k

    if typed:
        return hypot(number(ask.known, "solar.high_sd"), number(ask.known, "night.within_plot_sd"))
    lent = any(not layers[i].own for i in set(built.who.tolist()))
    return air_sd_k(layers, built, ask, offset.sd_k() if lent else None)


def _air_of(
    layers: Sequence[Layer], built: Built, day: date, garden: Garden, sd_k: float, typed: TypedDay
) -> SunAir:  # fmt: skip
    hours = built.hours

    def plain(values: object) -> tuple[float, ...]:
        import numpy as np

        return tuple(float(v) for v in np.asarray(values).tolist())

    words = [*words_of(layers, built), *guess_words(built, typed)]
    return SunAir(
        source=_source(layers, built),
        source_words=" ".join(words),
        day=day.isoformat(),
        lat=garden.lat or 0.0,
        lon=garden.lon or 0.0,
        utc_offset_h=garden.utc_offset_h,
        time_s=tuple(int(t) for t in hours.time_s.tolist()),
        air_c=plain(hours.air_c),
        dew_c=plain(hours.dew_c),
        wind_m_s=plain(hours.wind_m_s),
        cloud=plain(hours.cloud),
        ghi_w_m2=plain(hours.ghi_w_m2),
        dni_w_m2=plain(hours.dni_w_m2),
        dhi_w_m2=plain(hours.dhi_w_m2),
        sun_up_deg=plain(hours.sun_up_deg),
        sun_from_deg=plain(hours.sun_from_deg),
        air_sd_k=sd_k,
        guessed=built.guessed,
        wind_here=hours.wind_here,
    )


def _source(layers: Sequence[Layer], built: Built) -> str:
    """The least sure of what the hours come from."""
    used = {layers[i].source for i in set(built.who[built.who >= 0].tolist())}
    return next(s for s in ("forecast", "typical year", "typed", "measured") if s in used)
