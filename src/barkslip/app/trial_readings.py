"""Readings of a trial: known errors of loggers taken off, still and windy nights told apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.domain.trial import Logger, TrialReading
from barkslip.domain.trial_result import Correction, Tied
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.engines.trial import Lines

#: What is read against the open air by the same thermometer would need no correction; these are read by one alone.
_BY_BEAD = ("excess_k",)


def corrected(
    reader: Reader, readings: Sequence[TrialReading]
) -> tuple[list[TrialReading], tuple[Correction, ...], tuple[Tied, ...]]:
    """Readings with the error of the logger each names taken off, what was taken off, and loggers of one arm only."""
    loggers = reader.many(Logger, [r.logger for r in readings if r.logger])
    out = []
    by_logger: dict[str, list[TrialReading]] = {}
    for one in readings:
        logger = loggers.get(one.logger or "")
        if logger is None:
            out.append(one)
            continue
        by_logger.setdefault(logger.thing, []).append(one)
        error = logger.ice_bath_error_k or 0.0 if one.of in _BY_BEAD else 0.0
        out.append(replace(one, value=one.value - error))
    found, tied = [], []
    arms = {r.arm for r in readings}
    for thing, rows in by_logger.items():
        logger = loggers[thing]
        read = tuple(dict.fromkeys(r.arm for r in rows))
        days = [r.on.first for r in rows]
        error_k = logger.ice_bath_error_k if rows[0].of in _BY_BEAD else 0.0
        found.append(Correction(logger.code, error_k, len(rows), read, min(days), max(days)))
        if len(read) == 1 and len(arms) > 1:
            tied.append(Tied("logger", read[0], logger.code))
    return out, tuple(c for c in found if c.error_k is None or c.error_k), tuple(tied)


def night_kinds(ctx: Context, reader: Reader, days: Sequence[date]) -> Mapping[date, str]:
    """ "still", "windy" or "not known" for the night before each day, by wind and cloud read at the site.

    Parameters
    ----------
    days : sequence of date
        Days of the dawn.
    """
    from barkslip.app.plot_offset import number
    from barkslip.engines.offset import limits_from, still_share

    known = ctx.knowledge.value
    nights, limits, least = _site_nights(ctx, reader), limits_from(known), number(known, "trials.still_share")
    out = {}
    for day in days:
        night = nights.get((day - timedelta(days=1)).isoformat())
        share = None if night is None else still_share(night[0], night[1], limits, fall_k=night[2])
        out[day] = "not known" if share is None else "still" if share >= least else "windy"
    return out


def _site_nights(ctx: Context, reader: Reader) -> dict[str, tuple[float | None, float | None, float]]:
    """Evening -> wind, cloud and fall of the site's nights; kept while no series comes or goes."""
    from barkslip.app.plot_offset import air_records, own_nights, site_plot

    key = f"trial nights {reader.lines_of('record')} {reader.lines_of('plot')} {reader.lines_of('garden')}"
    if key not in ctx.kept:
        garden, site = ctx.garden(), site_plot(reader)
        found: dict[str, tuple[float | None, float | None, float]] = {}
        if site is not None and garden.lat is not None and garden.lon is not None:
            windless = own_nights(reader, air_records(reader, site), garden).nights
            sky = [r for r in air_records(reader, None) if "wind_m_s" in r.columns]
            over = {n.day: n for n in own_nights(reader, sky, garden).nights}
            for night in windless:
                other = over.get(night.day)
                wind = night.wind_m_s if night.wind_m_s is not None else other.wind_m_s if other else None
                cloud = night.cloud if night.cloud is not None else other.cloud if other else None
                found[night.day] = (wind, cloud, night.fall_k)
        for old in [k for k in ctx.kept if k.startswith("trial nights ")]:
            del ctx.kept[old]
        ctx.kept[key] = found
    kept: dict[str, tuple[float | None, float | None, float]] = ctx.kept[key]
    return kept


def lines_for(ctx: Context, worth: float | None) -> Lines:
    """The lines that the knowledge base draws."""
    from barkslip.app.plot_offset import number
    from barkslip.engines.trial import Lines

    known = ctx.knowledge.value
    return Lines(number(known, "trials.alpha"), number(known, "trials.lean"), worth)
