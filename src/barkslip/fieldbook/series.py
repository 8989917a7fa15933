"""Weather in the book: one block a month and column, little-endian, so that years are read in a blink."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from barkslip.domain.record import Record
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.writer import Writer

if TYPE_CHECKING:  # numpy is not loaded for looks and acts
    import numpy as np
    from numpy.typing import NDArray

    from barkslip.domain.weather import Series, SeriesInfo

#: Types of the stored bytes.
TIME_TYPE, VALUE_TYPE = "<i8", "<f8"


def info_as_data(info: SeriesInfo) -> dict[str, object]:
    """A series' story as plain data."""
    return asdict(info)


def info_from_data(data: dict[str, Any]) -> SeriesInfo:
    """The other way round."""
    from barkslip.domain.weather import BrokenLine, Flag, Gap, SeriesInfo

    given = dict(data)
    given["notes"] = tuple(given.get("notes", ()))
    for key, noun in (("gaps", Gap), ("flags", Flag), ("broken", BrokenLine)):
        given[key] = tuple(noun(**one) for one in given.get(key, ()))
    return SeriesInfo(**given)


def record_of(series: Series, entry: Record) -> Record:
    """`entry` with what its readings say about it."""
    return replace(
        entry,
        name=series.info.name,
        kind=series.info.kind,
        first_s=int(series.time_s[0]) if len(series) else 0,
        last_s=int(series.time_s[-1]) if len(series) else 0,
        readings=len(series),
        columns=tuple(series.columns),
        info=info_as_data(series.info),
    )


def put(writer: Writer, entry: Record, series: Series) -> Record:
    """Append a series: its line and its readings."""
    import numpy as np

    record = record_of(series, entry)
    if not writer.append(record):
        return record
    months = series.time_s.astype("datetime64[s]").astype("datetime64[M]")
    starts = np.concatenate(([0], np.flatnonzero(np.diff(months.astype(np.int64))) + 1, [len(series)]))
    rows: list[dict[str, Any]] = []
    for i, j in pairwise(starts.tolist()):
        if i == j:
            continue
        month = str(months[i])
        rows.append(_block(record, month, "time_s", series.time_s[i:j].astype(TIME_TYPE)))
        for name, values in series.columns.items():
            part = values[i:j]
            if not np.all(np.isnan(part)):
                rows.append(_block(record, month, name, part.astype(VALUE_TYPE)))
    writer.run_many(
        "INSERT INTO block (record, month, name, readings, data) VALUES (:record, :month, :name, :readings, :data)",
        rows,
    )
    return record


def _block(record: Record, month: str, name: str, values: NDArray[Any]) -> dict[str, Any]:
    return {
        "record": record.thing,
        "month": month,
        "name": name,
        "readings": int(values.shape[0]),
        "data": values.tobytes(),
    }


def _months(start_s: int, end_s: int) -> tuple[str, str]:
    from datetime import UTC, datetime

    return tuple(datetime.fromtimestamp(s, UTC).strftime("%Y-%m") for s in (start_s, end_s))  # type: ignore[return-value]


def readings(
    reader: Reader,
    record: Record,
    *,
    columns: Sequence[str] = (),
    start_s: int | None = None,
    end_s: int | None = None,
) -> Series:
    """Readings of a series with start_s <= time < end_s (all by default), of some columns (all by default)."""
    import numpy as np

    from barkslip.domain.weather import Series

    start = record.first_s if start_s is None else max(start_s, record.first_s)
    end = record.last_s + 1 if end_s is None else min(end_s, record.last_s + 1)
    info = info_from_data(record.info)
    wanted = tuple(columns) or record.columns
    if end <= start:
        empty = np.empty(0, dtype=np.int64)
        return Series(info, empty, {c: np.empty(0) for c in wanted})
    first, last = _months(start, end)
    marks = ", ".join(f":c{i}" for i in range(len(wanted)))
    rows = reader.rows(
        f"""SELECT month, name, readings, data FROM block
            WHERE record = :record AND month BETWEEN :first AND :last AND name IN ('time_s', {marks})
            ORDER BY month""",
        record=record.thing,
        first=first,
        last=last,
        **{f"c{i}": c for i, c in enumerate(wanted)},
    )
    times: dict[str, NDArray[np.int64]] = {}
    parts: dict[str, dict[str, NDArray[np.float64]]] = {c: {} for c in wanted}
    for month, name, _, data in rows:
        if name == "time_s":
            times[month] = np.frombuffer(data, dtype=TIME_TYPE)
        else:
            parts[name][month] = np.frombuffer(data, dtype=VALUE_TYPE)
    order = sorted(times)
    time_s = np.concatenate([times[m] for m in order]) if order else np.empty(0, dtype=np.int64)
    filled = {
        c: np.concatenate([parts[c].get(m, np.full(times[m].shape, np.nan)) for m in order]) if order else np.empty(0)
        for c in wanted
    }
    return Series(info, time_s.astype(np.int64), filled).between(start, end)


def of_plot(reader: Reader, plot: str | None, kinds: Sequence[str] = ()) -> list[Record]:
    """Series measured in a plot (None: those of no plot), newest reading first."""
    where = "plot = :plot" if plot else "plot IS NULL"
    found = reader.every(Record, where, order="last_s DESC", **({"plot": plot} if plot else {}))
    return [r for r in found if not kinds or r.kind in kinds]
