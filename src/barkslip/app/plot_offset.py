"""The site's screen, and what each plot's nights differ by from it: series of the book brought to the engine."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from barkslip.domain.garden import Garden, Plot
from barkslip.domain.night import Offset, OffsetPart
from barkslip.domain.record import Record
from barkslip.domain.sourced import Value
from barkslip.domain.trial import Logger
from barkslip.fieldbook import series as store
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.domain.weather import Series
    from barkslip.engines.own_nights import OwnNight

Known = Callable[[str], Value]
#: Kinds of series that say what has happened, best first.
HAPPENED = ("measured", "typed", "invented")
#: How a thermometer sat -> how well it tells the air. What is not named here comes last; under a cover, never.
_EXPOSURES = {"screen": 0, "home-made shield": 1, "not known": 2}
#: Temperatures that a logger's bead reads.
_READ_BY_BEAD = ("air_temp_c", "surface_temp_c")
_COLUMNS = ("air_temp_c", "dew_point_c", "wind_m_s", "cloud_fraction")


@dataclass(frozen=True)
class OwnNights:
    """The whole nights of a place, each from the best series that has it, and what was done to the readings."""

    nights: tuple[OwnNight, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class PlotOffset:
    """A plot's difference with sentences about how it was learned."""

    offset: Offset
    notes: tuple[str, ...] = ()


def number(known: Known, key: str) -> float:
    """Best value of a number of the knowledge base."""
    value = known(key)
    best = value.value if isinstance(value.value, (int, float)) else value.low
    return float(best or 0.0)


def rank(record: Record) -> tuple[int, int, int]:
    """Sorting key of series of one plot: the better sheltered, the better known, the longer first."""
    exposure = _EXPOSURES.get(str(record.info.get("exposure")), 3)
    return exposure, HAPPENED.index(record.kind) if record.kind in HAPPENED else 9, -record.readings


def air_records(reader: Reader, plot: Plot | None, kinds: tuple[str, ...] = HAPPENED) -> list[Record]:
    """Series of air of a plot (None: of no plot), best first; none from under a cover."""
    found = store.of_plot(reader, plot.thing if plot else None, kinds)
    return sorted(
        (r for r in found if "air_temp_c" in r.columns and r.info.get("exposure") != "under a cover"), key=rank
    )


def site_plot(reader: Reader) -> Plot | None:
    """The plot whose screen stands for the site; None if no plot has readings.

    The plot said to differ by nothing comes before those of which nothing is said; then the best and longest series
    decides.
    """
    best: tuple[tuple[int, int, int, int], Plot] | None = None
    for plot in reader.every(Plot, order="walk_order, code"):
        records = air_records(reader, plot)
        if not records or plot.still_offset_k:
            continue
        key = (0 if plot.still_offset_k == 0 else 1, *rank(records[0]))
        if best is None or key < best[0]:
            best = (key, plot)
    return best[1] if best else None


def corrected(reader: Reader, record: Record, series: Series) -> tuple[Series, str]:
    """Readings with the known errors of their logger taken out, and a sentence about it."""
    if record.logger is None:
        return series, ""
    logger = reader.get(Logger, record.logger)
    error_k, late_s = logger.ice_bath_error_k, round(60.0 * (logger.clock_error_min or 0.0))
    if error_k:
        right = {name: series.columns[name] - error_k for name in _READ_BY_BEAD if name in series.columns}
        series = replace(series, columns={**series.columns, **right})
    if late_s:
        series = replace(series, time_s=series.time_s - late_s)
    if error_k is None:
        return series, f"Logger {logger.code} was never checked in ice water; its error is in the readings."
    parts = [word for word, there in (("its error in ice water", error_k), ("its clock", late_s)) if there]
    return series, f"Logger {logger.code} was corrected for {' and '.join(parts)}." if parts else ""


def own_nights(reader: Reader, records: list[Record], garden: Garden) -> OwnNights:
    """The whole nights of some series of one place.

    Parameters
    ----------
    records : list of Record
        Best first: of two that have a night the first counts.
    garden : Garden
        With its place.
    """
    import numpy as np

    from barkslip.engines.own_nights import own_nights as cut
    from barkslip.weather.sun import sun_times

    found: dict[str, OwnNight] = {}
    notes: list[str] = []
    offset_s = round(garden.utc_offset_h * 3600)
    for record in records:
        first = (record.first_s + offset_s) // 86400 - 1
        midnight = np.arange(first, (record.last_s + offset_s) // 86400 + 2, dtype=np.int64) * 86400
        days = tuple(np.datetime_as_string(midnight[:-1].astype("datetime64[s]").astype("datetime64[D]")).tolist())
        if all(day in found for day in days[1:-1]):
            continue
        columns = tuple(c for c in _COLUMNS if c in record.columns)
        series, note = corrected(reader, record, store.readings(reader, record, columns=columns))
        sun = sun_times(midnight, garden.lat or 0.0, garden.lon or 0.0, garden.utc_offset_h)
        to_s = [(midnight + np.round(h * 3600).astype(np.int64) - offset_s) for h in (sun.set_h, sun.rise_h)]
        new = [n for n in cut(series, days, to_s[0][:-1], to_s[1][1:]) if n.day not in found]
        found |= {n.day: n for n in new}
        if new and note and note not in notes:
            notes.append(note)
    return OwnNights(tuple(found[day] for day in sorted(found)), tuple(notes))


def plot_offset(
    reader: Reader,
    plot: Plot,
    site: Plot | None,
    garden: Garden,
    known: Known,
    *,
    site_nights: OwnNights | None = None,
) -> PlotOffset:
    """What a plot's nights differ by from the site's.

    Parameters
    ----------
    plot, site : Plot, Plot or None
        Without a site nothing is learned.
    garden : Garden
        With its place.
    known : callable
        Key -> value of the knowledge base.
    site_nights : OwnNights or None
        If they have been cut out already.
    """
    from barkslip.engines.offset import learned, limits_from, paired

    none = (OffsetPart("still", None, None, None, None, 0), OffsetPart("windy", None, None, None, None, 0))
    there = air_records(reader, plot)
    if site is None or site.thing == plot.thing or not there:
        return PlotOffset(Offset(plot.code, site.code if site else "", none))
    limits = limits_from(known)
    here = site_nights or own_nights(reader, air_records(reader, site), garden)
    plots = own_nights(reader, there, garden)
    sky: tuple[OwnNight, ...] = ()
    if not any(n.wind_m_s is not None for n in here.nights):
        station = [r for r in air_records(reader, None) if "wind_m_s" in r.columns]
        sky = own_nights(reader, station, garden).nights or plots.nights
    nights = paired(here.nights, plots.nights, sky, limits)
    notes = [*here.notes, *(n for n in plots.notes if n not in here.notes)]
    if nights and not any(n.wind_m_s is not None for n in (*here.nights, *sky)):
        notes.append("No wind was measured: still and windy nights were told apart by how far the air fell.")
    return PlotOffset(Offset(plot.code, site.code, learned(nights, limits)), tuple(notes))


def all_offsets(reader: Reader, garden: Garden, known: Known) -> tuple[PlotOffset, ...]:
    """The learned difference of every plot but the site's, in walking order; none without a place or a site."""
    site = site_plot(reader)
    if site is None or garden.lat is None or garden.lon is None:
        return ()
    nights = own_nights(reader, air_records(reader, site), garden)
    plots = reader.every(Plot, order="walk_order, code")
    return tuple(
        plot_offset(reader, p, site, garden, known, site_nights=nights) for p in plots if p.thing != site.thing
    )
