"""Checking the readings and photos that a book holds beside its lines."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from itertools import groupby

from barkslip.domain.book import Finding
from barkslip.domain.record import Record
from barkslip.fieldbook.export_weather import why_broken
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.series import TIME_TYPE

_AGAIN = "Read the series in again from its file, and take this one back."
_RESTORE = "Bring the photo back from a copy of the folder; the book's lines are whole."


def weather(reader: Reader) -> Iterator[Finding]:
    """Blocks of each series against each other and against what its line says."""
    import numpy as np

    records = {r.thing: r for r in reader.every(Record)}
    seen: set[str] = set()
    rows = reader.connection.execute("SELECT record, month, name, readings, data FROM block ORDER BY record, month")
    for thing, of_record in groupby(rows, key=lambda row: str(row[0])):
        seen.add(thing)
        total, whole = 0, True
        names: set[str] = set()
        ends: list[int] = []
        for month, of_month in groupby(of_record, key=lambda row: str(row[1])):
            block = {str(name): (int(n), bytes(data)) for _, _, name, n, data in of_month}
            why = why_broken(month, block)
            if why:
                whole = False
                yield Finding("broken", f"Readings cannot be read: {why}.", f"block {thing} {month}", _AGAIN)
                continue
            n, data = block["time_s"]
            total += n
            names |= set(block) - {"time_s"}
            if n:
                times = np.frombuffer(data, dtype=TIME_TYPE)
                ends += [int(times[0]), int(times[-1])]
        record = records.get(thing)
        if record is not None and whole:
            yield from _record(record, total, names, ends)
    for thing, record in records.items():
        if thing not in seen and record.readings:
            yield _series(record, f"The series {record.name} has lost its {record.readings} readings.")


def _record(record: Record, total: int, names: set[str], ends: list[int]) -> Iterator[Finding]:
    if total != record.readings:
        yield _series(record, f"The series {record.name} holds {total} readings, its line says {record.readings}.")
    elif ends and (record.first_s, record.last_s) != (min(ends), max(ends)):
        yield _series(record, f"The series {record.name} begins or ends at another time than its line says.")
    extra = sorted(names - set(record.columns))
    if extra:
        yield _series(
            record, f"The series {record.name} holds columns that its line does not name: {', '.join(extra)}."
        )


def _series(record: Record, what: str) -> Finding:
    return Finding("broken", what, f"record {record.id}", _AGAIN)


def photos(reader: Reader) -> Iterator[Finding]:
    """Photos that are missing, changed, or named by no line."""
    folder = reader.files.photos
    named = {str(name): str(line) for name, line in reader.rows("SELECT file, min(id) FROM photo GROUP BY file")}
    for name, line in named.items():
        path = folder / name
        if path.parent != folder or not path.is_file():
            yield Finding("broken", "A photo is missing.", f"photo {line}: photos/{name}", _RESTORE)
            continue
        with path.open("rb") as file:
            if hashlib.file_digest(file, "sha256").hexdigest() != path.stem:
                yield Finding("broken", "A photo was changed or is damaged.", f"photo {line}: photos/{name}", _RESTORE)
    if folder.is_dir():
        for path in sorted(folder.iterdir()):
            if path.is_file() and path.name not in named:
                what = "A file lies among the photos that no line of the book names."
                yield Finding("doubtful", what, f"photos/{path.name}", "Move it elsewhere if you need it.")
