"""Made-up hourly weather of the four plots of the demo, and a forecast of seven days."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from barkslip.demo.daily import DayMaker, Days, rel_humidity_pct, remembering, targets
from barkslip.demo.scenario import Table
from barkslip.demo.sun import sun_height, sun_parts
from barkslip.domain.weather import Series, SeriesInfo

Floats = NDArray[np.float64]

#: Hour of the day's high [h].
HIGH_H = 15.0
#: Share of the way from high to next low still to go at sunset [1].
SUNSET_SHARE = 0.64
#: Hours after dawn in which a still night's difference between plots goes [h].
MIXING_H = 2.0
#: A wall and a net give back heat after dawn, so that a warm plot stays warm so much longer [h].
WARM_LASTS_H = 1.0
#: Hotter by so much in the wall court on clear summer afternoons [K], between these hours [h].
WALL_HOT_K, WALL_HOT_H = 3.0, (11.0, 20.0)
#: Share of the sun that comes through the net over the bench [1].
NET_SHARE = 0.5
#: Small hourly wobble of the air, its memory; none on planted days [K, 1].
WOBBLE_K, WOBBLE_MEMORY = 0.3, 0.7
#: Rounds of correcting the monthly means.
ROUNDS = 4
SOURCE = "Invented: made by the demo's generator from monthly normals and planted days. No station, no year."


@dataclass(frozen=True)
class Sky:
    """Hourly weather of the yard and what the plots differ by.

    Parameters
    ----------
    days : Days
    hour, day : arrays, shape (24 n,)
        Hour of the day [h]; index of the day.
    air : array [°C]
    common : dict
        Columns that all plots share.
    dew : array [°C]
    """

    days: Days
    hour: Floats
    day: NDArray[np.int64]
    air: Floats
    dew: Floats
    common: dict[str, Floats]


def make_sky(book: Table, rng: np.random.Generator) -> Sky:
    """The yard's weather, its monthly means brought to the normals and its planted days hit.

    Parameters
    ----------
    book : table
        The scenario.
    rng : numpy.random.Generator
    """
    maker = DayMaker(book, rng)
    n = len(maker.dates)
    hour = np.tile(np.arange(24.0), n)
    day = np.repeat(np.arange(n, dtype=np.int64), 24)
    wobble = WOBBLE_K * remembering(rng, 24 * n, WOBBLE_MEMORY)
    high_k, low_k, window_k = np.zeros(12), np.zeros(12), 0.0
    months = np.array([d.month for d in maker.dates])
    past = np.array([d.isoformat() not in book["forecast"] for d in maker.dates])
    past[[0, -1]] = False
    normals = np.array([book["normals"][str(m)][:2] for m in range(1, 13)])
    for _ in range(ROUNDS):
        days = maker.days(list(high_k), list(low_k), window_k)
        by_day = air_of(days, hour, day, wobble).reshape(n, 24)
        for m in range(1, 13):
            inside = past & (months == m)
            high_k[m - 1] += normals[m - 1, 0] - by_day[inside].max(axis=1).mean()
            low_k[m - 1] += normals[m - 1, 1] - by_day[inside].min(axis=1).mean()
        start = days.index(book["mean"]["first"])
        window_k += book["mean"]["mean_c"] - float(by_day[start : start + book["mean"]["days"]].mean())
    days = maker.days(list(high_k), list(low_k), window_k)
    air = air_of(days, hour, day, wobble)
    return Sky(
        days,
        hour,
        day,
        air,
        np.minimum(_dew(days), air - 0.2),
        _common(book, days, hour, day, rng),
    )


def air_of(days: Days, hour: Floats, day: NDArray[np.int64], wobble: Floats) -> Floats:
    """Air of the yard [°C]: up from dawn to 15 h, down to sunset, then ever slower to the next dawn."""
    dawn, sunset = days.dawn[day], days.sunset[day]
    after = np.minimum(day + 1, len(days.dates) - 1)
    morning = hour < dawn
    evening_of = np.where(morning, np.maximum(day - 1, 0), day)
    next_of = np.where(morning, day, after)
    low, high = days.low[next_of], days.high[evening_of]
    at_sunset = low + SUNSET_SHARE * (high - low)
    set_h = days.sunset[evening_of]
    since = np.where(morning, hour + 24.0, hour) - set_h
    night_h = days.dawn[next_of] + 24.0 - set_h
    x = np.clip(since / night_h, 0.0, 1.0)
    night = low + (at_sunset - low) * (1.0 - x ** days.curve[next_of])
    y = np.clip((hour - HIGH_H) / (sunset - HIGH_H), 0.0, 1.0)
    evening = high - (high - at_sunset) * (1.0 - np.cos(0.5 * np.pi * y))
    z = np.clip((hour - dawn) / (HIGH_H - dawn), 0.0, 1.0)
    rising = days.low[day] + (days.high[day] - days.low[day]) * 0.5 * (1.0 - np.cos(np.pi * z))
    air = np.where(morning | (hour > sunset), night, np.where(hour > HIGH_H, evening, rising))
    planted = days.fixed[day] | days.fixed[after]
    shaken = air + np.where(planted, 0.0, wobble)
    floor = np.where(hour >= HIGH_H, days.low[after], days.low[day])
    ceiling = np.where(morning, days.high[evening_of], days.high[day])
    floor, ceiling = np.minimum(floor, air), np.maximum(ceiling, air)
    return np.asarray(np.clip(shaken, floor, ceiling), dtype=np.float64)


def _nodes(days: Days, night: Floats, noon: Floats) -> Floats:
    """Hourly values between a night's (two hours after sunset to dawn) and a day's (12 to 16 h)."""
    n = len(days.dates)
    base = 24.0 * np.arange(n)
    times = np.stack([base + days.dawn, base + 12.0, base + 16.0, base + days.sunset + 2.0], axis=1)
    values = np.stack([night, noon, noon, np.roll(night, -1)], axis=1)
    return np.asarray(np.interp(np.arange(24.0 * n), times.ravel(), values.ravel()), dtype=np.float64)


def _dew(days: Days) -> Floats:
    n = len(days.dates)
    base = 24.0 * np.arange(n)
    times = np.stack([base + days.dawn, base + HIGH_H], axis=1)
    values = np.stack([days.dew_dawn, days.dew_noon], axis=1)
    return np.asarray(np.interp(np.arange(24.0 * n), times.ravel(), values.ravel()), dtype=np.float64)


def _still_share(days: Days, hour: Floats, day: NDArray[np.int64], lasts_h: float) -> Floats:
    """Share of a plot's full difference [1]: 0 before sunset, rising to 1 at dawn, gone soon after."""
    dawn, sunset = days.dawn[day], days.sunset[day]
    before = np.maximum(day - 1, 0)
    night_h = dawn + 24.0 - days.sunset[before]
    rising = (hour + 24.0 - days.sunset[before]) / night_h
    early = np.where(hour <= dawn, rising, 1.0 - (hour - dawn - lasts_h) / MIXING_H)
    after = np.minimum(day + 1, len(days.dates) - 1)
    late = (hour - sunset) / (days.dawn[after] + 24.0 - sunset)
    share: Floats = np.clip(np.where(hour > sunset, late, early), 0.0, 1.0)
    return share


def _common(
    book: Table, days: Days, hour: Floats, day: NDArray[np.int64], rng: np.random.Generator
) -> dict[str, Floats]:
    n = len(hour)
    cloud = _nodes(days, days.night_cloud, days.cloud)
    cloud = np.clip(cloud + 0.35 * cloud * (1.0 - cloud) * remembering(rng, n, 0.6), 0.0, 1.0)
    calmer = np.where(days.fixed[day], 0.04, 0.15)
    wind = _nodes(days, days.night_wind, 1.25 * days.wind)
    wind = wind * (1.0 + np.clip(calmer * remembering(rng, n, 0.5), -0.5, 0.8))
    gust = wind * (1.75 + 0.12 * np.clip(remembering(rng, n, 0.3), -2.5, 2.5)) + 0.3
    for when_, row in targets(book).items():
        if "gust" in row:
            inside = day == days.index(when_)
            gust[inside] = np.maximum(gust[inside] * row["gust"] / gust[inside].max(), wind[inside])
    year_day = np.array([d.timetuple().tm_yday for d in days.dates], dtype=np.float64)[day]
    garden = book["garden"]
    height = sun_height(year_day, hour, garden["lat"], garden["lon"], garden["utc_offset_h"])
    level, beam, sky = sun_parts(height, cloud)
    return {
        "wind_m_s": wind,
        "gust_m_s": gust,
        "ghi_w_m2": level,
        "dni_w_m2": beam,
        "dhi_w_m2": sky,
        "cloud_fraction": cloud,
        "rain_mm": _rain(book, days, n, rng),
    }


def _rain(book: Table, days: Days, n: int, rng: np.random.Generator) -> Floats:
    rain = np.zeros(n)
    start_h = rng.integers(0, 16, len(days.dates))
    lasts_h = rng.integers(2, 9, len(days.dates))
    for i in np.flatnonzero(days.rain > 0.05):
        share = rng.dirichlet(np.full(int(lasts_h[i]), 2.0))
        at = 24 * int(i) + int(start_h[i])
        rain[at : at + len(share)] += days.rain[i] * share[: max(0, n - at)]
    for storm in book["rain"]["storms"]:
        at = 24 * days.index(storm["first"][:10]) + int(storm["first"][11:])
        tenths = rng.multinomial(round(10 * storm["mm"]), rng.dirichlet(np.full(storm["hours"], 5.0)))
        rain[at : at + storm["hours"]] = tenths / 10.0
    return rain


def plot_offsets(book: Table, sky: Sky, plot: Table) -> Floats:
    """What a plot's air differs from the yard's by, hour by hour [K]."""
    code, days = plot["code"], sky.days
    full = plot["still_offset_k"] * days.still
    for day, row in targets(book).items():
        if code in row.get("offset", {}):
            full[days.index(day)] = row["offset"][code]
    after = np.minimum(sky.day + 1, len(days.dates) - 1)
    tonight = np.where(sky.hour > days.sunset[sky.day], full[after], full[sky.day])
    share = _still_share(days, sky.hour, sky.day, WARM_LASTS_H if plot["still_offset_k"] > 0.0 else 0.0)
    offset: Floats = tonight * share
    if code == "WALL":
        year_day = np.array([d.timetuple().tm_yday for d in days.dates], dtype=np.float64)[sky.day]
        summer = np.clip(0.3 + 1.2 * np.cos(2.0 * np.pi * (year_day - 15.0) / 365.25), 0.0, 1.0)
        from_h, to_h = WALL_HOT_H
        bump = np.sin(np.pi * np.clip((sky.hour - from_h) / (to_h - from_h), 0.0, 1.0))
        offset = offset + WALL_HOT_K * summer * bump * (1.0 - 0.6 * sky.common["cloud_fraction"])
    return offset


def plot_series(book: Table, sky: Sky, plot: Table) -> tuple[Series, Series]:
    """Five years of one plot, and its forecast.

    Parameters
    ----------
    book : table
    sky : Sky
    plot : table
        One row of the scenario's plots.

    Returns
    -------
    tuple of Series
        Kinds "invented" and "forecast".
    """
    air: Floats = np.asarray(np.round(sky.air + plot_offsets(book, sky, plot), 1), dtype=np.float64)
    dew: Floats = np.asarray(np.round(np.minimum(sky.dew, air - 0.2), 1), dtype=np.float64)
    humidity: Floats = np.asarray(np.round(rel_humidity_pct(air, dew), 1), dtype=np.float64)
    columns: dict[str, Floats] = {"air_temp_c": air, "dew_point_c": dew, "rel_humidity_pct": humidity}
    net = NET_SHARE if plot["code"] == "BENCH" else 1.0
    for name, values in sky.common.items():
        sun = name.endswith("_w_m2")
        columns[name] = np.round(values * net if sun else values, 0 if sun else 2)
    time_s = epoch_s(sky, book["garden"]["utc_offset_h"])
    garden = book["garden"]
    info = SeriesInfo(
        name=f"{plot['name']} ({plot['code']})",
        kind="invented",
        source=SOURCE,
        lat=garden["lat"],
        lon=garden["lon"],
        elevation_m=garden["elevation_m"],
        utc_offset_h=garden["utc_offset_h"],
        exposure="screen",
        notes=("Local standard time all year; no summer time.",),
    )
    whole = Series(info, time_s, columns)
    today = date.fromisoformat(book["today"])
    first = local_s(date.fromisoformat(book["first_day"]), garden["utc_offset_h"])
    turn = local_s(today + timedelta(days=1), garden["utc_offset_h"])
    end = local_s(max(targets(book)) + timedelta(days=1), garden["utc_offset_h"])
    ahead = replace(info, name=f"Forecast, {plot['name']} ({plot['code']})", kind="forecast")
    return whole.between(first, turn), replace(whole.between(turn, end), info=ahead)


def local_s(day: date, utc_offset_h: float) -> int:
    """Epoch second at which a local day begins."""
    return int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() - utc_offset_h * 3600.0)


def epoch_s(sky: Sky, utc_offset_h: float) -> NDArray[np.int64]:
    """Epoch seconds of all hours."""
    first = local_s(sky.days.dates[0], utc_offset_h)
    return np.asarray(first + 3600 * np.arange(len(sky.hour)), dtype=np.int64)
