"""Weather files that are looked at without being kept in a book."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from barkslip.app.context import open_context
from barkslip.app.door import Door
from barkslip.app.lines import Fields
from barkslip.app.settings import Settings
from barkslip.app.weather import card_of, column_map, lines, month_table
from barkslip.domain.cards import SeriesStory
from barkslip.domain.garden import Garden
from barkslip.domain.record import Record
from barkslip.domain.units import METRIC
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.series import record_of


def summary_of_file(settings: Settings, path: Path, fields: Fields) -> SeriesStory:
    """Months of a weather file. A book is not needed; if there is one, its garden's clock and order of dates hold.

    Parameters
    ----------
    fields : mapping
        date_order, unit, columns ("air_temp_c=Temp A, ..."), utc_offset_h.

    Raises
    ------
    WeatherFileError, QuestionError
    """
    from barkslip.knowledge.load import load
    from barkslip.weather.options import ReadOptions
    from barkslip.weather.quality import flag
    from barkslip.weather.read import read_weather

    ctx = open_context(settings) if Book.exists(settings.book) else None
    try:
        garden = ctx.garden() if ctx else Garden(id="", thing="", made_utc="", name="")
        at = Door(garden, METRIC, datetime.now(UTC).date())
        offset = at.number(fields, "utc_offset_h", -12, 14, unit="h")
        options = ReadOptions(
            date_order=at.text(fields, "date_order") or garden.date_order,
            unit=at.text(fields, "unit"),
            columns=column_map(at.text(fields, "columns")),
            utc_offset_h=garden.utc_offset_h if offset is None and ctx else offset,
        )
        found = flag(read_weather(path, options=options))
        line = lines(ctx.knowledge if ctx else load(settings.knowledge))
        record = record_of(found, Record(id="", thing="", made_utc="", name="", kind=found.info.kind, info={}))
        return SeriesStory(card=card_of(record, None), months=month_table(found, line), lines=line)
    finally:
        if ctx:
            ctx.book.close()
