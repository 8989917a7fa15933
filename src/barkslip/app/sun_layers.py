"""Series from which the hours of a place are put together, in the order in which they are believed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from barkslip.app.door import Door
from barkslip.app.night_series import in_year
from barkslip.app.plot_offset import HAPPENED, air_records, corrected, site_plot
from barkslip.domain.garden import Garden, Plot
from barkslip.fieldbook import series as store
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.domain.record import Record
    from barkslip.domain.weather import Series

Fields = Mapping[str, str]
DAY_S = 86_400
#: Columns that make a day of sun.
COLUMNS = (
    "air_temp_c", "dew_point_c", "rel_humidity_pct", "wind_m_s", "cloud_fraction", "ghi_w_m2", "dni_w_m2", "dhi_w_m2",
)  # fmt: skip
#: Kind of a series -> what its hours are called.
SOURCES = {"measured": "measured", "invented": "measured", "typed": "typed", "typical year": "typical year"}


@dataclass(frozen=True, eq=False)
class Layer:
    """One series of a place.

    Parameters
    ----------
    series : Series
        Its logger's known errors taken out.
    source : str
        "measured", "typed", "forecast" or "typical year".
    own : bool
        True if it stands for the plot itself, False if the plot differs from where it was read.
    air : bool
        True if its air may stand for the place; False if only its sun, wind and dampness are lent.
    note : str
        What was corrected, in a sentence.
    """

    series: Series
    source: str
    own: bool
    air: bool = True
    note: str = ""


def local_midnight_s(day: date, utc_offset_h: float) -> int:
    """Epoch second at which a local day begins."""
    start = datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(hours=utc_offset_h)
    return int(start.timestamp())


def layers_of_book(
    reader: Reader, plot: Plot | None, start_s: int, end_s: int, *, ahead: bool = True, typical: bool = False
) -> list[Layer]:
    """Series of the book with readings between two times [epoch s], best first.

    What was measured in the plot, then what was forecast for it, then the same of the site, then forecasts for no
    plot, then what stations elsewhere measured; the last lend everything but their air.

    Parameters
    ----------
    ahead, typical : bool
        Forecasts, typical years too.
    """
    site = site_plot(reader)
    places: list[tuple[Plot | None, bool]] = [(plot, True)] if plot is not None else []
    if site is not None and (plot is None or site.thing != plot.thing):
        places.append((site, False))
    kinds = (*HAPPENED, "typical year") if typical else HAPPENED
    out: list[Layer] = []
    for place, own in places:
        out += _of(reader, air_records(reader, place, kinds), own, start_s, end_s)
        if ahead:
            out += _of(reader, _newest(air_records(reader, place, ("forecast",))), own, start_s, end_s)
    if ahead:
        out += _of(reader, _newest(air_records(reader, None, ("forecast",))), False, start_s, end_s)
    out += [replace(one, air=False) for one in _of(reader, air_records(reader, None, kinds), False, start_s, end_s)]
    return out


def _newest(records: list[Record]) -> list[Record]:
    return sorted(records, key=lambda r: r.made_utc, reverse=True)


def _of(reader: Reader, records: list[Record], own: bool, start_s: int, end_s: int) -> list[Layer]:
    out = []
    for record in records:
        if record.last_s < start_s or record.first_s > end_s:
            continue
        columns = tuple(c for c in COLUMNS if c in record.columns)
        found = store.readings(reader, record, columns=columns, start_s=start_s - DAY_S, end_s=end_s + DAY_S)
        if len(found):
            found, note = corrected(reader, record, found)
            out.append(Layer(found, SOURCES.get(record.kind, "forecast"), own, note=note))
    return out


def layer_of_file(at: Door, series: Series, garden: Garden, day: date, own: bool) -> Layer:
    """A weather file as a layer: a typical year moved to the year of a day; hours to come are a forecast."""
    if series.info.kind == "typical year":
        return Layer(in_year(series, day), "typical year", own)
    turn = local_midnight_s(at.today + timedelta(days=1), garden.utc_offset_h)
    source = SOURCES.get(series.info.kind, "forecast")
    if source == "measured" and local_midnight_s(day + timedelta(days=1), garden.utc_offset_h) > turn:
        source = "forecast"
    return Layer(series, source, own)
