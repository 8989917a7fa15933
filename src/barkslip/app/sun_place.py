"""The place of the sun, checks of its series, what a plot differs by from the site, and sentences about all that."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.plot_offset import Known, number, plot_offset, site_plot
from barkslip.app.sun_layers import Layer
from barkslip.app.sun_typed import TypedDay
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot

if TYPE_CHECKING:
    from barkslip.app.sun_build import Ask, Built
    from barkslip.domain.weather import Series
    from barkslip.fieldbook.reader import Reader
    from barkslip.knowledge.load import Knowledge

#: One use of a difference: [K], its standard deviation [K] if known, whether anything is known of it.
_Use = tuple[float, float | None, bool]


@contextmanager
def reading(ctx: Context | None) -> Iterator[Reader | None]:
    """The book open for reading; None if there is none."""
    if ctx is None:
        yield None
        return
    with ctx.book.read() as reader:
        yield reader


def placed(garden: Garden, series: Series | None = None) -> Garden:
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
        return replace(garden, lat=info.lat, lon=info.lon, utc_offset_h=info.utc_offset_h, elevation_m=info.elevation_m)
    raise InputError(
        "The place is not known, so neither is the sun: north or south of the equator is the first thing it needs.",
        allowed="a latitude, −90 to 90, south negative; two decimals are enough",
        next_step="Give the latitude, or fill in the garden's place.",
        field="lat",
    )


def ask_of(
    garden: Garden, knowledge: Knowledge, typed: TypedDay | None = None, *, years: bool = False
) -> Ask:  # fmt: skip
    """What is wanted of the hours; `years` fills longer gaps and tells the sky from the range of the days."""
    from barkslip.app.sun_build import Ask

    known = knowledge.value
    return Ask(garden, known, typed or TypedDay(), number(known, "solar.gap_days") if years else 0.0, by_range=years)


def built_hours(
    layers: Sequence[Layer], ask: Ask, first_s: int, count: int, offset: Differs | None = None
) -> Built:  # fmt: skip
    """`count` hours put together from layers."""
    from barkslip.app.sun_build import build
    from barkslip.weather.even_hours import moments

    moment = moments(first_s, count, ask.garden.lat or 0.0, ask.garden.lon or 0.0)
    return build(layers, moment, ask, offset)


def check_layers(layers: Sequence[Layer], garden: Garden, start_s: int, end_s: int) -> None:
    """Readings that cannot be are an error, not an answer.

    Raises
    ------
    InputError
        For sun while the sun is down, and for negative wind.
    """
    import numpy as np

    from barkslip.weather.even_hours import night_sun

    for layer in layers:
        part = layer.series.between(start_s, end_s)
        wrong = night_sun(part, garden.lat or 0.0, garden.lon or 0.0)
        if wrong is not None:
            when, _, value, up = wrong
            raise InputError(
                f"“{part.info.name}” has sun in the night: its clock, its place or its hemisphere is wrong.",
                given=f"{clock(when, garden)}: {value:.0f} W/m², with the sun {-up:.0f}° below the horizon",
                allowed="sun only by day",
                next_step="Check latitude, longitude and the hours from UTC, and whether the file keeps summer time.",
                field="weather",
            )
        wind = part.columns.get("wind_m_s")
        if wind is not None and bool(np.any(wind < 0.0)):
            i = int(np.nanargmin(wind))
            raise InputError(
                f"“{part.info.name}” has a negative wind.",
                given=f"{clock(int(part.time_s[i]), garden)}: {wind[i]:g} m/s",
                allowed="0 m/s and more",
                next_step="Check the column; −999 and the like mean that there is no reading.",
                field="weather",
            )


def clock(epoch_s: int, garden: Garden) -> str:
    """A time by the garden's clock."""
    return (datetime.fromtimestamp(epoch_s, UTC) + timedelta(hours=garden.utc_offset_h)).strftime("%Y-%m-%d %H:%M")


class Differs:
    """What a plot differs by from the site; learned from the book's nights when it is first asked.

    Called with the mean wind and cloud of a night it gives the difference of that night [K].
    """

    def __init__(self, reader: Reader | None, plot: Plot | None, garden: Garden, known: Known) -> None:
        self._reader, self._plot, self._garden, self._known = reader, plot, garden, known
        self._learned: Callable[[float | None, float | None], _Use] | None = None

    def __call__(self, wind_m_s: float | None, cloud: float | None) -> float:
        return self._use(wind_m_s, cloud)[0]

    def sd_k(self) -> float | None:
        """How far a still night strays from it [K]; None if that is not known."""
        return self._use(None, None)[1]

    def doubts(self, layers: Sequence[Layer], built: Built) -> tuple[str, ...]:
        """ "offset_unknown" if the plot's air was taken from elsewhere, and by what it differs is not known."""
        elsewhere = any(not layers[i].own for i in set(built.who[built.who >= 0].tolist()))
        unknown = self._plot is not None and elsewhere and not self._use(None, None)[2]
        return ("offset_unknown",) if unknown else ()

    def _use(self, wind_m_s: float | None, cloud: float | None) -> _Use:
        if self._learned is None:
            self._learned = self._learn()
        return self._learned(wind_m_s, cloud)

    def _learn(self) -> Callable[[float | None, float | None], _Use]:
        from barkslip.engines.offset import limits_from, offset_for

        reader, plot = self._reader, self._plot
        site = site_plot(reader) if reader is not None else None
        if reader is None or plot is None or site is None or site.thing == plot.thing:
            return lambda wind, cloud: (0.0, None, plot is None or site is not None)
        found = plot_offset(reader, plot, site, self._garden, self._known)
        limits = limits_from(self._known)

        def use(wind: float | None, cloud: float | None) -> _Use:
            used = offset_for(found.offset, wind, cloud, limits, belief_k=plot.still_offset_k)
            return used.offset.used_k, used.sd_k, bool(used.offset.used)

        return use


def words_of(layers: Sequence[Layer], built: Built) -> tuple[str, ...]:
    """Sentences about where the hours come from."""
    out: list[str] = []
    for place in sorted(set(built.who[built.who >= 0].tolist())):
        layer = layers[place]
        name = layer.series.info.name
        if layer.source == "typed" and layer.own and name == "Typed lows and highs":
            out.append("Typed; the hours between are drawn.")
            continue
        out.append(f"From the forecast “{name}”." if layer.source == "forecast" else f"From “{name}”.")
        out += _KIND_WORDS.get(layer.series.info.kind, ())
        if layer.note:
            out.append(layer.note)
        out += (flag.words for flag in layer.series.info.flags if flag.code == "clock doubt")
    if built.bridged.any():
        count = int(built.bridged.sum())
        out.append(
            f"{count} hour{'' if count == 1 else 's'} without a reading {'was' if count == 1 else 'were'} drawn in."
        )
    return tuple(dict.fromkeys((*out, *built.words)))


_KIND_WORDS = {
    "typed": ("Only the low and the high of its days were typed; the hours between are drawn.",),
    "invented": ("The weather is invented.",),
    "typical year": ("It is a typical year, not one that was or will be.",),
}


def guess_words(built: Built, typed: TypedDay, *, told: bool = False) -> tuple[str, ...]:
    """Sentences about what was guessed; `told`: an unknown sky is told from the days' range, not taken as clear."""
    out = []
    if "cloud" in built.guessed:
        out.append("No cloud was given: " + ("it is told from the days' range." if told else "a clear sky is taken."))
    elif "ghi_w_m2" in built.guessed:
        out.append("The sun is worked out from the cloud.")
    if typed.wind_m_s is not None and not typed.air:
        out.append("The wind was typed.")
    return tuple(out)
