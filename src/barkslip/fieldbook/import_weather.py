"""Weather series of an exported folder -> blocks of the book."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from barkslip.domain.errors import InputError
from barkslip.fieldbook.csv_files import Table, bad_row, read_rows
from barkslip.fieldbook.export_weather import TIME
from barkslip.fieldbook.series import TIME_TYPE, VALUE_TYPE

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class Block(NamedTuple):
    """One month of one column, as the book keeps it."""

    record: str
    month: str
    name: str
    readings: int
    data: bytes


class _Year(NamedTuple):
    table: Table
    time_s: NDArray[np.int64]
    months: list[str]
    columns: dict[str, NDArray[np.float64]]


def read_weather(folder: Path, name: str, years: list[str], things: dict[str, str]) -> tuple[list[Block], int]:
    """Read one series.

    Parameters
    ----------
    name : str
        "weather/low-logger/series.json"
    years : list of str
        Names of its tables.
    things : dict
        Thing id -> noun, to check that the series is in the book.

    Returns
    -------
    (list of Block, int)
        Blocks, and the number of readings.
    """
    thing, wanted = _read_story(folder / name, name, things)
    blocks: list[Block] = []
    total = 0
    for year_name in years:
        year = _read_year(folder / year_name, year_name)
        seen = 0
        for month in sorted(set(year.months)):
            if month not in wanted:
                raise _differs(name, f"{year_name} has readings of {month}, the story does not")
            n, columns = wanted.pop(month)
            part = _month(thing, month, n, columns, year)
            if part is None:
                raise _differs(name, f"{year_name} does not hold the {n} readings of {month}")
            blocks += part
            seen += n
        total += seen
    if wanted:
        raise _differs(name, f"no readings of {min(wanted)}")
    return blocks, total


def _read_story(path: Path, name: str, things: dict[str, str]) -> tuple[str, dict[str, tuple[int, list[str]]]]:
    try:
        story = json.loads(path.read_text(encoding="utf-8"))
        thing = str(story["record"])
        wanted = {str(m["month"]): (int(m["readings"]), [str(c) for c in m["columns"]]) for m in story["months"]}
    except (ValueError, KeyError, TypeError):
        raise _differs(name, "it is no story of a series") from None
    if things.get(thing) != "record":
        raise _differs(name, f"its series {thing} is not in record.csv")
    return thing, wanted


def _month(thing: str, month: str, n: int, columns: list[str], year: _Year) -> list[Block] | None:
    i = year.months.index(month)
    if year.months[i : i + n] != [month] * n or year.months.count(month) != n:
        return None
    if not set(columns) <= set(year.columns):
        return None
    times = year.time_s[i : i + n].astype(TIME_TYPE).tobytes()
    out = [Block(thing, month, "time_s", n, times)]
    for column in columns:
        out.append(Block(thing, month, column, n, year.columns[column][i : i + n].astype(VALUE_TYPE).tobytes()))
    return out


def _read_year(path: Path, name: str) -> _Year:
    import numpy as np

    from barkslip.domain.weather import COLUMNS

    table = read_rows(path, name)
    if TIME not in table.header:
        raise bad_row(name, 1, TIME, "no such column", "a column of this name")
    cells: list[tuple[str, ...]] = list(zip(*table.rows, strict=True)) or [()] * len(table.header)
    by_name = dict(zip(table.header, cells, strict=True))
    time_s = _times(by_name[TIME], table)
    falls = np.flatnonzero(np.diff(time_s) <= 0)
    if falls.size:
        i = int(falls[0]) + 1
        raise bad_row(name, table.lines[i], TIME, by_name[TIME][i], "a time after the one above")
    months = time_s.astype("datetime64[s]").astype("datetime64[M]").astype(str).tolist()
    columns = {c: _numbers(values, c, table) for c, values in by_name.items() if c in COLUMNS}
    return _Year(table, time_s, months, columns)


def _times(cells: tuple[str, ...], table: Table) -> NDArray[np.int64]:
    import numpy as np

    def read(part: tuple[str, ...]) -> NDArray[Any]:
        if any(len(t) != 20 or t[-1] != "Z" or t[10] != "T" for t in part):
            raise ValueError
        return np.array([t[:-1] for t in part], dtype="datetime64[s]")

    try:
        return read(cells).astype(np.int64)
    except ValueError:
        for cell, line in zip(cells, table.lines, strict=True):
            try:
                read((cell,))
            except ValueError:
                raise bad_row(table.name, line, TIME, cell, "a time such as 2024-07-31T21:00:00Z") from None
        raise


def _numbers(cells: tuple[str, ...], column: str, table: Table) -> NDArray[np.float64]:
    import numpy as np

    missing = float("nan")
    try:
        return np.array([float(c) if c else missing for c in cells], dtype=np.float64)
    except ValueError:
        for cell, line in zip(cells, table.lines, strict=True):
            try:
                float(cell or "nan")
            except ValueError:
                raise bad_row(table.name, line, column, cell, "a number with a decimal point, or nothing") from None
        raise


def _differs(name: str, why: str) -> InputError:
    return InputError(
        f"A weather series does not fit its files: {name}. Nothing was imported.",
        given=why,
        allowed="a series as it was exported",
        next_step="Import an unchanged copy of the exported folder.",
    )
