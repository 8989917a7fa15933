"""Weather series as text: one folder a series, one table a year."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from barkslip.domain.record import Record
from barkslip.fieldbook.columns import SEEN
from barkslip.fieldbook.csv_files import write_rows
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.series import TIME_TYPE, VALUE_TYPE

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_WIDTH = 8  # bytes of one number in a block
TIME, LOCAL = "time_utc", f"{SEEN}local_time"


def write_weather(reader: Reader, folder: Path, done: Callable[[str], None]) -> tuple[int, list[str]]:
    """Write all series. Returns the number of readings, and sentences about blocks that cannot be read."""
    readings, lost = 0, []
    taken: set[str] = set()
    for (thing,) in reader.rows("SELECT DISTINCT record FROM block ORDER BY record"):
        record = _record(reader, thing)
        name = _folder_name(record.name if record else "", taken)
        n, broken = _write_series(reader, str(thing), record, folder / name)
        readings += n
        lost += [f"The readings of {name}, {month} cannot be read: {why}." for month, why in broken]
        done(f"weather/{name}")
    return readings, lost


def _record(reader: Reader, thing: str) -> Record | None:
    lines = reader.versions(Record, thing)
    return lines[-1] if lines else None


def _folder_name(name: str, taken: set[str]) -> str:
    """A name that every disk takes, given once."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40].strip("-") or "series"
    i, chosen = 1, slug
    # names of devices on some systems are no names of folders
    while chosen in taken or re.fullmatch(r"con|prn|aux|nul|com\d|lpt\d", chosen):
        i += 1
        chosen = f"{slug}-{i}"
    taken.add(chosen)
    return chosen


def _write_series(reader: Reader, thing: str, record: Record | None, folder: Path) -> tuple[int, list[tuple[str, str]]]:
    folder.mkdir(parents=True)
    rows = reader.connection.execute(
        "SELECT month, name, readings, data FROM block WHERE record = :record ORDER BY month, name", {"record": thing}
    )
    offset_h = _offset(record)
    months: list[dict[str, Any]] = []
    broken: list[tuple[str, str]] = []
    total = 0
    for year, of_year in groupby(rows, key=lambda row: str(row[0])[:4]):
        blocks: list[dict[str, tuple[int, bytes]]] = []
        for month, of_month in groupby(of_year, key=lambda row: str(row[0])):
            block = {str(name): (int(n), bytes(data)) for _, name, n, data in of_month}
            why = why_broken(month, block)
            if why:
                broken.append((month, why))
                continue
            n = block["time_s"][0]
            months.append({"month": month, "readings": n, "columns": sorted(set(block) - {"time_s"})})
            blocks.append(block)
            total += n
        if blocks:
            _write_year(folder / f"{year}.csv", blocks, offset_h)
    about = {
        "record": thing,
        "name": record.name if record else "",
        "kind": record.kind if record else "",
        "info": record.info if record else {},
        "months": months,
    }
    text = json.dumps(about, ensure_ascii=False, indent=1)
    (folder / "series.json").write_text(text + "\n", encoding="utf-8", newline="\n")
    return total, broken


def why_broken(month: str, block: dict[str, tuple[int, bytes]]) -> str:
    """What is wrong with the blocks of one month; "" if nothing is.

    Parameters
    ----------
    month : str
        "2024-07", UTC.
    block : dict
        Column -> (readings, bytes); the times are the column "time_s".
    """
    import numpy as np

    if "time_s" not in block:
        return "their times are missing"
    n = block["time_s"][0]
    for name, (readings, data) in block.items():
        if readings != n:
            return f"{name} has {readings} readings, the times are {n}"
        if len(data) != _WIDTH * n:
            return f"{name} has {len(data)} bytes for {n} readings"
    times = np.frombuffer(block["time_s"][1], dtype=TIME_TYPE)
    if n > 1 and not bool(np.all(np.diff(times) > 0)):
        return "their times do not rise"
    ends = [str(t.astype("datetime64[s]").astype("datetime64[M]")) for t in times[[0, -1]]] if n else []
    if n and set(ends) != {month}:
        return "their times lie in another month"
    return ""


def _offset(record: Record | None) -> float | None:
    given = record.info.get("utc_offset_h") if record else None
    return float(given) if isinstance(given, int | float) else None


def _write_year(path: Path, blocks: list[dict[str, tuple[int, bytes]]], offset_h: float | None) -> None:
    names = sorted({name for block in blocks for name in block} - {"time_s"})
    header = [TIME, *([LOCAL] if offset_h is not None else []), *names]

    def rows() -> Any:
        for block in blocks:
            n, data = block["time_s"]
            yield from zip(*_month_columns(n, data, block, names, offset_h), strict=True)

    write_rows(path, header, rows())


def _month_columns(
    n: int, times: bytes, block: dict[str, tuple[int, bytes]], names: list[str], offset_h: float | None
) -> list[list[str]]:
    import numpy as np

    time_s = np.frombuffer(times, dtype=TIME_TYPE)
    columns = [[f"{t}Z" for t in _iso(time_s)]]
    if offset_h is not None:
        columns.append(_iso(time_s + round(offset_h * 3600)))
    for name in names:
        if name not in block:
            columns.append([""] * n)
            continue
        values = np.frombuffer(block[name][1], dtype=VALUE_TYPE).tolist()
        # repr is the shortest text that gives the very same number back; only NaN differs from itself
        columns.append([repr(v) if v == v else "" for v in values])
    return columns


def _iso(time_s: NDArray[np.int64]) -> list[str]:
    import numpy as np

    out: list[str] = np.datetime_as_string(time_s.astype("datetime64[s]")).tolist()
    return out
