"""What the demo's loggers wrote: made from the made-up weather, with each logger's own error left in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from barkslip.demo.scenario import Table
from barkslip.demo.sun import face_share
from barkslip.demo.weather import SOURCE, local_s
from barkslip.domain.weather import Series, SeriesInfo

Floats = NDArray[np.float64]

#: Winters in which the air loggers ran: from and to (month, day), and the last day of the book.
WINTER = ((5, 1), (9, 30))
#: Noise of a reading [K].
NOISE_K = 0.06
#: Daytime error of the home-made shield in full sun [K].
SHIELD_SUN_K = 0.8
#: Months of the bark probe.
BARK_DAYS = ("2021-11-01", "2021-12-31")
#: Compass bearing of the bark probe's face [°].
BARK_FACE_DEG = 315.0
#: How far bark follows the sun of this hour rather than of those before [1].
BARK_FOLLOW = 0.55
#: A bare bead in full sun reads so much high [K].
BARE_SUN_K = 2.0
#: Covers over logger D, week by week of trial E1.
WEEKS = ("foil sleeve", "foil-lined pouch", "film alone")
FULL_SUN_W_M2 = 950.0


@dataclass(frozen=True)
class Reading:
    """A series before it has a place: codes of plot and logger."""

    plot: str
    logger: str
    series: Series


def logger_readings(book: Table, plots: dict[str, Series], rng: np.random.Generator) -> list[Reading]:
    """All logger series.

    Parameters
    ----------
    book : table
        The scenario.
    plots : dict
        Plot code -> five years of made-up weather.
    rng : numpy.random.Generator
    """
    loggers = {row["code"]: row | row.get("found", {}) for row in book["logger"]}
    first, last = date.fromisoformat(book["first_day"]), date.fromisoformat(book["today"])
    out: list[Reading] = []
    for code, plot in (("A", "YARD"), ("B", "LOW")):
        for year in range(first.year, last.year + 1):
            start = max(first, date(year, *WINTER[0]))
            end = min(last, date(year, *WINTER[1]))
            part = _days(book, plots[plot], start, end)
            out.append(Reading(plot, code, _air(book, loggers[code], part, year, rng)))
    out.append(Reading("YARD", "C", _bark(book, loggers["C"], plots["YARD"], rng)))
    truth = book["trial_truth"]["E1"]
    start = date.fromisoformat(truth["first_day"])
    part = _days(book, plots["YARD"], start, start + timedelta(days=truth["days"] - 1))
    out.append(Reading("YARD", "D", _covered(book, loggers["D"], part, truth, rng)))
    out.append(Reading("YARD", "E", _bare(book, loggers["E"], part, rng)))
    return out


def _days(book: Table, series: Series, start: date, end: date) -> Series:
    off = book["garden"]["utc_offset_h"]
    return series.between(local_s(start, off), local_s(end + timedelta(days=1), off))


def _info(book: Table, logger: Table, name: str, note: str) -> SeriesInfo:
    garden = book["garden"]
    return SeriesInfo(
        name=name,
        kind="invented",
        source=SOURCE,
        lat=garden["lat"],
        lon=garden["lon"],
        elevation_m=garden["elevation_m"],
        utc_offset_h=garden["utc_offset_h"],
        exposure=logger["exposure"],
        notes=(note,),
    )


def _sun(part: Series) -> Floats:
    return np.minimum(part.columns["ghi_w_m2"] / FULL_SUN_W_M2, 1.0)


def _air(book: Table, logger: Table, part: Series, year: int, rng: np.random.Generator) -> Series:
    air = part.columns["air_temp_c"] + logger["ice_bath_error_k"] + NOISE_K * rng.standard_normal(len(part))
    if logger["exposure"] == "home-made shield":
        air = air + SHIELD_SUN_K * _sun(part)
    info = _info(book, logger, f"Logger {logger['code']}, {year}", "As read; the ice-bath error is still in it.")
    return Series(info, part.time_s, {"air_temp_c": np.round(air, 1)})


def _bark(book: Table, logger: Table, yard: Series, rng: np.random.Generator) -> Series:
    part = _days(book, yard, *(date.fromisoformat(day) for day in BARK_DAYS))
    face = face_share(part.time_s, book["garden"], BARK_FACE_DEG)
    sun = part.columns["dni_w_m2"] * face + 0.5 * part.columns["dhi_w_m2"]
    load = np.empty(len(part))
    held = 0.0
    for i, now in enumerate(sun):
        held += BARK_FOLLOW * (float(now) - held)
        load[i] = held
    air = part.columns["air_temp_c"] + logger["ice_bath_error_k"]
    noise = np.where(load > 1.0, 0.0, NOISE_K * rng.standard_normal(len(part)))
    highest = next(e for e in book["event"] if "bark_c.NW" in e.get("figures", {}))["figures"]["bark_c.NW"]
    per_w = float(np.min((highest - air)[load > 1.0] / load[load > 1.0]))
    info = _info(book, logger, "Logger C, bark", "Bark of T01, north-west face: a surface, not air. As read.")
    return Series(info, part.time_s, {"surface_temp_c": np.round(air + per_w * load + noise, 1)})


def _covered(book: Table, logger: Table, part: Series, truth: Table, rng: np.random.Generator) -> Series:
    week = np.minimum(np.arange(len(part)) // (24 * 7), len(WEEKS) - 1)
    excess = np.array([truth["arms"][cover] for cover in WEEKS])[week]
    scion = part.columns["air_temp_c"] + excess * _sun(part) + NOISE_K * rng.standard_normal(len(part))
    note = f"Week by week under {', '.join(WEEKS)}. As read: the error of 1.7 K was found in 2024 only."
    info = _info(book, logger, "Logger D, trial E1", note)
    return Series(info, part.time_s, {"surface_temp_c": np.round(scion + logger["ice_bath_error_k"], 1)})


def _bare(book: Table, logger: Table, part: Series, rng: np.random.Generator) -> Series:
    air = part.columns["air_temp_c"] + BARE_SUN_K * _sun(part) + NOISE_K * rng.standard_normal(len(part))
    info = _info(
        book, logger, "Logger E, trial E1", "As read: the logger's clock stood on summer time, one hour ahead."
    )
    late_s = round(60.0 * logger["clock_error_min"])
    return Series(info, part.time_s + late_s, {"air_temp_c": np.round(air + logger["ice_bath_error_k"], 1)})
