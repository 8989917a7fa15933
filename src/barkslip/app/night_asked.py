"""One question about the air of a night, and what every answer needs: window, stand-ins, the plot's difference."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from math import hypot
from typing import TYPE_CHECKING

from barkslip.app.door import Door
from barkslip.app.night_typed import TypedAir
from barkslip.app.plot_offset import Known, PlotOffset, number, plot_offset, site_plot
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.night import NightAir, Offset
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.engines.night_hours import Fill, Hours, Window
    from barkslip.weather.clear_sun import ClearSun

#: Shortest night for which the curve of a typed night was made [h].
SHORTEST_NIGHT_H = 2.0


@dataclass(frozen=True)
class Asked:
    """One question about the air, with everything needed to answer it."""

    at: Door
    known: Known
    garden: Garden
    window: Window
    sky: ClearSun
    typed: TypedAir
    plot: Plot | None
    reader: Reader | None

    @property
    def site(self) -> Plot | None:
        """The plot whose screen stands for the site."""
        return site_plot(self.reader) if self.reader is not None else None


@dataclass(frozen=True)
class Added:
    """A plot's difference as it is used tonight: what, how surely, and sentences about it."""

    offset: Offset | None
    site_sd_k: float
    words: tuple[str, ...] = ()


def night_window(garden: Garden, day: date) -> Window:
    """Sunset of a day and the sunrise after it.

    Raises
    ------
    InputError
        If the sun does not set, does not rise, or the night is too short.
    """
    import numpy as np

    from barkslip.engines.night_hours import Window
    from barkslip.weather.sun import sun_times

    first = int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())
    midnight = np.array([first, first + 86400], dtype=np.int64)
    sun = sun_times(midnight, garden.lat or 0.0, garden.lon or 0.0, garden.utc_offset_h)
    offset_s = round(garden.utc_offset_h * 3600)
    window = Window(
        day.isoformat(),
        round(first + float(sun.set_h[0]) * 3600) - offset_s,
        round(first + 86400 + float(sun.rise_h[1]) * 3600) - offset_s,
        garden.utc_offset_h,
    )
    if float(sun.length_h.min()) <= 0.0:
        raise _no_night(garden, day, "The sun does not rise there at that time: there is no evening and no morning.")
    if float(sun.length_h.max()) >= 24.0 or window.night_h < SHORTEST_NIGHT_H:
        raise _no_night(garden, day, "The sun hardly sets there at that time: it is a night without a night.")
    return window


def _no_night(garden: Garden, day: date, problem: str) -> InputError:
    return InputError(
        problem,
        given=f"{day.isoformat()} at latitude {garden.lat:g}",
        allowed=f"a sunset, a sunrise, and {SHORTEST_NIGHT_H:g} h between them",
        next_step="Check the latitude and the date.",
        field="lat" if garden.id == "" else "date",
    )


def fill_of(asked: Asked) -> Fill:
    """What stands in for what is not known."""
    from barkslip.engines.night_hours import Fill

    return Fill(
        wind_m_s=number(asked.known, "night.wind_guess"),
        dew_below_low_k=number(asked.known, "night.dew_below_low"),
        warming_k_h=number(asked.known, "frost.morning_warming"),
        given_wind_m_s=asked.typed.wind_m_s,
        given_cloud=asked.typed.cloud,
        given_dew_c=asked.typed.dew_c,
    )


def added(asked: Asked, wind_m_s: float, cloud: float) -> Added:
    """The plot's difference on a night with such wind and cloud; nothing for the site itself."""
    from barkslip.engines.offset import limits_from, offset_for

    between_plots = number(asked.known, "frost.site_sd")
    within = number(asked.known, "night.within_plot_sd")
    plot = asked.plot
    if plot is None or asked.reader is None:
        return Added(None, between_plots)
    site = asked.site
    if site is not None and site.thing == plot.thing:
        return Added(None, between_plots)
    learned: PlotOffset = plot_offset(asked.reader, plot, site, asked.garden, asked.known)
    use = offset_for(learned.offset, wind_m_s, cloud, limits_from(asked.known), belief_k=plot.still_offset_k)
    if not use.offset.used:
        return Added(None, between_plots, (f"What {plot.name} differs by from the site is not known.",))
    sd = between_plots if use.sd_k is None else hypot(use.sd_k, within)
    return Added(use.offset, sd, (*_offset_words(use.offset, plot, site), *learned.notes))


def _offset_words(offset: Offset, plot: Plot, site: Plot | None) -> tuple[str, ...]:
    where = site.name if site is not None else "the site"
    if offset.used == "typed":
        nights = offset.parts[0].nights
        few = f", with {nights} still night{'' if nights == 1 else 's'} weighed in" if nights else ""
        return (f"What {plot.name} differs by from {where} is what you believe{few}.",)
    part = offset.parts[0] if offset.used == "still" else offset.parts[1]
    return (f"What {plot.name} differs by from {where} was learned from {part.nights} {part.kind} nights.",)


def air_from(
    asked: Asked, hours: Hours, *, source: str, words: tuple[str, ...], low_sd_k: float, add: Added
) -> NightAir:
    """Hours of the site or of the plot, with what the plot differs by, as the engine takes them."""
    import numpy as np

    from barkslip.engines.night_hours import with_offset

    air = hours.air_c
    if add.offset is not None:
        full, gone = (number(asked.known, f"night.offset_{n}") for n in ("full", "gone"))
        air = with_offset(air, asked.window, add.offset.used_k, full_h=full, gone_h=gone)

    def plain(values: object) -> tuple[float, ...]:
        return tuple(float(v) for v in np.asarray(values).tolist())

    return NightAir(
        source=source,
        source_words=" ".join((*words, *add.words)),
        day=asked.window.day,
        sunset_s=asked.window.sunset_s,
        sunrise_s=asked.window.sunrise_s,
        utc_offset_h=asked.window.utc_offset_h,
        time_s=tuple(int(t) for t in asked.window.time_s.tolist()),
        air_c=plain(air),
        dew_c=plain(np.minimum(hours.dew_c, air)),
        wind_m_s=plain(hours.wind_m_s),
        cloud=plain(hours.cloud),
        sun_w_m2=plain(hours.sun_w_m2),
        low_sd_k=low_sd_k,
        site_sd_k=add.site_sd_k,
        offset=add.offset,
        guessed=hours.guessed,
    )
