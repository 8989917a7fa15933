"""Hours of air and sun put together from layers: what one lacks the next lends, what none has is guessed and named."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import hypot
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from barkslip.app.plot_offset import Known, number
from barkslip.app.sun_layers import Layer
from barkslip.app.sun_typed import TypedDay

if TYPE_CHECKING:
    from barkslip.domain.garden import Garden
    from barkslip.engines.sun_hours import SunHours
    from barkslip.weather.even_hours import Moment
    from barkslip.weather.solar import Sunshine

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
#: Sun, cloud and range of a day stand for one another over so many days [d].
_RANGE_DAYS = 7
#: Wind and cloud of a night -> what the plot differs by [K], and its standard deviation [K] if it is known.
OffsetOf = Callable[[float | None, float | None], float]


@dataclass(frozen=True, eq=False)
class Built:
    """Hours put together; air is NaN where nothing is known.

    Parameters
    ----------
    hours : SunHours
    who : int array, shape (n,)
        Place in the layers of each hour's air; -1 where there is none.
    bridged : bool array, shape (n,)
    guessed : tuple of str
        Columns that were filled in.
    words : tuple of str
        Sentences about what was lent.
    """

    hours: SunHours
    who: Ints
    bridged: Mask
    guessed: tuple[str, ...]
    words: tuple[str, ...]


@dataclass(frozen=True)
class Ask:
    """What is wanted of the hours.

    Parameters
    ----------
    garden : Garden
        With its place.
    known : callable
    typed : TypedDay
        A typed wind, cloud, dew point or humidity wins over that of a series.
    gap_days : float
        Gaps up to so many days are filled from the days around [d]; 0 for none.
    by_range : bool
        True: where neither sun nor cloud is known, the sky is told from the range of the days; False: it is clear.
    """

    garden: Garden
    known: Known
    typed: TypedDay = field(default_factory=TypedDay)
    gap_days: float = 0.0
    by_range: bool = False


def build(layers: Sequence[Layer], moment: Moment, ask: Ask, offset_of: OffsetOf | None = None) -> Built:
    """Hours of a place.

    Parameters
    ----------
    layers : sequence of Layer
        Best first.
    moment : Moment
    ask : Ask
    offset_of : callable or None
        What the plot differs by from layers that are not its own.
    """
    from barkslip.engines.sun_hours import SunHours
    from barkslip.weather.even_hours import bridged, column_at

    n = moment.time_s.shape[0]
    air, who = np.full(n, np.nan), np.full(n, -1, dtype=np.int64)
    for place, layer in enumerate(layers):
        if layer.air and np.isnan(air).any():
            values = column_at(layer.series, "air_temp_c", moment.time_s)
            new = np.isnan(air) & np.isfinite(values)
            air, who = np.where(new, values, air), np.where(new, place, who)
    lent: dict[str, set[int]] = {}
    guessed: list[str] = []
    air, was = bridged(air, straight_h=number(ask.known, "night.gap_bridge"), days_h=24.0 * ask.gap_days)
    have = np.isfinite(air)
    wind = _wind(layers, moment, ask, have, lent, guessed)
    sun, cloud = _sky_read(layers, moment, lent)
    own = np.array([layer.own for layer in layers] or [True])
    if offset_of is not None and not own[who].all():
        air = air + np.where(own[who], 0.0, _differs(moment, ask, offset_of, wind, cloud))
    dew = _dew(layers, moment, ask, air, lent, guessed)
    sun, cloud = _sky(moment, ask, air, dew, sun, cloud, guessed)
    if was.any():
        guessed.append("air_temp_c")
    hours = SunHours(
        time_s=moment.time_s,
        air_c=air,
        dew_c=np.minimum(dew, air),
        wind_m_s=wind,
        cloud=cloud,
        ghi_w_m2=sun.ghi_w_m2,
        dni_w_m2=sun.dni_w_m2,
        dhi_w_m2=sun.dhi_w_m2,
        sun_up_deg=moment.path.up_deg,
        sun_from_deg=moment.path.from_deg,
        utc_offset_h=ask.garden.utc_offset_h,
        wind_here=ask.typed.wind_m_s is not None,
    )
    return Built(hours, who, was, tuple(guessed), _lent_words(layers, who, lent))


def local_day(time_s: Ints, utc_offset_h: float) -> Ints:
    """Local days since 1970."""
    return np.asarray((time_s + round(3600 * utc_offset_h)) // 86_400)


def _filled(layers: Sequence[Layer], moment: Moment, name: str, lent: dict[str, set[int]]) -> Floats:
    """A column from the first layer that has it, hour by hour."""
    from barkslip.weather.even_hours import column_at

    out = np.full(moment.time_s.shape, np.nan)
    for place, layer in enumerate(layers):
        if name in layer.series.columns and np.isnan(out).any():
            values = column_at(layer.series, name, moment.time_s)
            new = np.isnan(out) & np.isfinite(values)
            if new.any():
                out = np.where(new, values, out)
                lent.setdefault(name, set()).add(place)
    return out


def _wind(
    layers: Sequence[Layer], moment: Moment, ask: Ask, have: Mask, lent: dict[str, set[int]], guessed: list[str]
) -> Floats:
    if ask.typed.wind_m_s is not None:
        return np.full(moment.time_s.shape, ask.typed.wind_m_s)
    wind = _filled(layers, moment, "wind_m_s", lent)
    if np.isnan(wind[have]).any():
        guessed.append("wind_m_s")
    return np.maximum(_over(wind, number(ask.known, "night.wind_guess")), 0.0)


def _over(values: Floats, guess: float) -> Floats:
    """What is missing: drawn between what is there for some hours, else the guess."""
    from barkslip.weather.even_hours import bridged

    return np.where(np.isfinite(values), values, np.nan_to_num(bridged(values, straight_h=24.0)[0], nan=guess))


def _sky_read(layers: Sequence[Layer], moment: Moment, lent: dict[str, set[int]]) -> tuple[Sunshine, Floats]:
    """Sun and cloud as the layers have them; NaN where none has."""
    from barkslip.weather.even_hours import SUN, sun_of
    from barkslip.weather.solar import Sunshine

    parts = [np.full(moment.time_s.shape, np.nan) for _ in SUN]
    for place, layer in enumerate(layers):
        if np.isnan(parts[0]).any() and any(name in layer.series.columns for name in SUN):
            found = sun_of(layer.series, moment)
            new = np.isnan(parts[0]) & np.isfinite(found.ghi_w_m2)
            if new.any():
                lent.setdefault("ghi_w_m2", set()).add(place)
                parts = [np.where(new, getattr(found, name), old) for name, old in zip(SUN, parts, strict=True)]
    return Sunshine(*parts), _filled(layers, moment, "cloud_fraction", lent)


def _differs(moment: Moment, ask: Ask, offset_of: OffsetOf, wind: Floats, cloud: Floats) -> Floats:
    """What the plot differs by from the site at each hour [K]."""
    from barkslip.engines.offset_hours import offset_hours
    from barkslip.weather.sun import sun_times

    off_s = round(3600 * ask.garden.utc_offset_h)
    day = local_day(moment.time_s, ask.garden.utc_offset_h)
    midnight = np.arange(day[0] - 1, day[-1] + 2, dtype=np.int64) * 86_400
    sun = sun_times(midnight, moment.lat, moment.lon, ask.garden.utc_offset_h)
    to_s = [(midnight + np.round(h * 3600).astype(np.int64) - off_s) for h in (sun.set_h, sun.rise_h)]
    full, gone = (number(ask.known, f"night.offset_{name}") for name in ("full", "gone"))
    return offset_hours(
        moment.time_s, to_s[0][:-1], to_s[1][1:], offset_of, wind, cloud, full_h=full, gone_h=gone
    )  # fmt: skip


def _dew(
    layers: Sequence[Layer], moment: Moment, ask: Ask, air: Floats, lent: dict[str, set[int]], guessed: list[str]
) -> Floats:
    from barkslip.engines.low import dew_point_c
    from barkslip.weather.even_hours import by_day

    n = moment.time_s.shape[0]
    if ask.typed.dew_c is not None:
        return np.full(n, ask.typed.dew_c)
    if ask.typed.rh_min_pct is not None and np.isfinite(air).any():
        warmest = np.array([np.nanmax(air)])
        return np.full(n, float(dew_point_c(warmest, np.array([ask.typed.rh_min_pct]))[0]))
    dew = _filled(layers, moment, "dew_point_c", lent)
    if np.isnan(dew).any():
        wet = _filled(layers, moment, "rel_humidity_pct", lent)
        base = _filled([one for one in layers if "rel_humidity_pct" in one.series.columns], moment, "air_temp_c", {})
        missing = np.isnan(dew) & np.isfinite(wet) & np.isfinite(base)
        dew[missing] = dew_point_c(base[missing], wet[missing])
    if np.isnan(dew).any():
        if np.isnan(dew[np.isfinite(air)]).any():
            guessed.append("dew_point_c")
        below = number(ask.known, "night.dew_below_low")
        day = local_day(moment.time_s, ask.garden.utc_offset_h)
        low = by_day(air, day, lambda part: float(np.nanmin(part)) if np.isfinite(part).any() else np.nan)
        dew = np.where(np.isfinite(dew), dew, low - below)
    return dew


def _sky(
    moment: Moment, ask: Ask, air: Floats, dew: Floats, sun: Sunshine, cloud: Floats, guessed: list[str]
) -> tuple[Sunshine, Floats]:
    """Sun and cloud of every hour: as read, one from the other, or guessed."""
    from barkslip.weather.clear_sun import clear_sun
    from barkslip.weather.solar import Sunshine, clear_sky, clouded, pressure_pa, water_above_cm

    sky = clear_sun(moment.lat, moment.lon, lambda key: number(ask.known, key))
    water = water_above_cm(np.nan_to_num(air, nan=20.0), np.nan_to_num(dew, nan=10.0))
    clear = clear_sky(
        moment.path,
        moment.time_s,
        haze=number(ask.known, "solar.haze"),
        water_cm=float(np.mean(water[moment.path.up_deg > 0.0])) if (moment.path.up_deg > 0.0).any() else 1.5,
        pressure=pressure_pa(ask.garden.elevation_m or 0.0),
    )
    no_sun, have = np.isnan(sun.ghi_w_m2), np.isfinite(air)
    if ask.typed.cloud is not None:
        cloud, no_sun = np.full(cloud.shape, ask.typed.cloud), np.ones(cloud.shape, dtype=bool)
    if np.isnan(cloud).any():
        if no_sun[np.isnan(cloud) & have].any():
            guessed.append("cloud")
        cloud = _cloud_told(moment, ask, sky.cloud_of, clear, sun, cloud, air)
    if no_sun[have].any() and "cloud" not in guessed and ask.typed.cloud is None:
        guessed.append("ghi_w_m2")
    drawn = clouded(clear, sky.through(cloud), moment.path, moment.time_s)
    parts = (
        np.where(no_sun, getattr(drawn, name), getattr(sun, name)) for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2")
    )
    return Sunshine(*parts), np.clip(cloud, 0.0, 1.0)


def _cloud_told(
    moment: Moment,
    ask: Ask,
    cloud_of: Callable[[float], float],
    clear: Sunshine,
    sun: Sunshine,
    cloud: Floats,
    air: Floats,
) -> Floats:
    """Cloud where none was read: from the sun of the hour by day, between those by night, else from the range."""
    bright = np.isfinite(sun.ghi_w_m2) & (clear.ghi_w_m2 > 50.0)
    told = np.full(cloud.shape, np.nan)
    if bright.any():
        shares, back = np.unique(np.round(sun.ghi_w_m2[bright] / clear.ghi_w_m2[bright], 3), return_inverse=True)
        at = np.array([cloud_of(float(s)) for s in shares])[back]
        near = np.isfinite(sun.ghi_w_m2)
        told = np.where(near, np.interp(moment.time_s, moment.time_s[bright], at), np.nan)
    rest = np.zeros(cloud.shape)
    if ask.by_range and np.isnan(np.where(np.isfinite(cloud), cloud, told)).any():
        rest = _cloud_of_range(moment, ask, cloud_of, air)
    return np.where(np.isfinite(cloud), cloud, np.where(np.isfinite(told), told, rest))


def _cloud_of_range(moment: Moment, ask: Ask, cloud_of: Callable[[float], float], air: Floats) -> Floats:
    """Cloud told from the range of the days around (Allen and others 1998, equation 50)."""
    day = local_day(moment.time_s, ask.garden.utc_offset_h)
    days = np.arange(day[0], day[-1] + 1)
    starts = np.searchsorted(day, days)
    known = np.isfinite(air)
    high = np.maximum.reduceat(np.where(known, air, -np.inf), starts)
    low = np.minimum.reduceat(np.where(known, air, np.inf), starts)
    root = np.sqrt(np.where(np.isfinite(high) & np.isfinite(low), np.maximum(high - low, 0.0), 0.0))
    have = (np.isfinite(high) & np.isfinite(low)).astype(np.float64)
    window = np.ones(min(_RANGE_DAYS, days.size))
    mean = np.convolve(root * have, window, "same") / np.maximum(np.convolve(have, window, "same"), 1.0)
    share = number(ask.known, "solar.range_factor") * mean / number(ask.known, "solar.range_clear")
    return np.asarray(np.array([cloud_of(float(s)) for s in share])[day - day[0]])


_LENT = {"wind_m_s": "wind", "ghi_w_m2": "sun", "cloud_fraction": "cloud", "dew_point_c": "dampness",
         "rel_humidity_pct": "dampness"}  # fmt: skip


def _lent_words(layers: Sequence[Layer], who: Ints, lent: dict[str, set[int]]) -> tuple[str, ...]:
    """Sentences about columns that come from another series than the air."""
    used = set(np.unique(who).tolist())
    by_name: dict[str, list[str]] = {}
    for name, places in lent.items():
        for place in sorted(places - used):
            words = by_name.setdefault(layers[place].series.info.name, [])
            if _LENT[name] not in words:
                words.append(_LENT[name])
    return tuple(f"{', '.join(words).capitalize()} from “{name}”." for name, words in by_name.items())


def air_sd_k(layers: Sequence[Layer], built: Built, ask: Ask, differs_sd_k: float | None) -> float:
    """Error of the air's temperature, the largest of what its hours come from [K].

    Parameters
    ----------
    differs_sd_k : float or None
        Of what the plot differs by from the site; None if that is not known.
    """

    def of(key: str) -> float:
        return number(ask.known, key)

    between = of("frost.site_sd")
    worst = 0.0
    for place in np.unique(built.who[built.who >= 0]).tolist():
        layer = layers[place]
        own_sd = of({"forecast": "solar.high_sd", "typed": "night.typed_low_sd"}.get(
            layer.source, "night.measured_low_sd"))  # fmt: skip
        if layer.own:
            # a forecast is for an area, whatever plot it was made for; a thermometer stands in it
            place_sd = between if layer.source == "forecast" else of("night.within_plot_sd")
        else:
            place_sd = between if differs_sd_k is None else hypot(differs_sd_k, of("night.within_plot_sd"))
        worst = max(worst, hypot(own_sd, place_sd))
    return hypot(worst, of("night.gap_sd")) if built.bridged.any() else worst
