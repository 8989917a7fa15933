"""CSV as RFC 4180 has it: commas, double quotes, CR LF; UTF-8 without a byte order mark."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NamedTuple

from barkslip.domain.errors import InputError

#: A cell may be as long as a story with thousands of flagged readings.
_LONGEST = 2**31 - 1


class Table(NamedTuple):
    """One file: its columns, its rows, and the line on which each row begins (the header is line 1)."""

    name: str
    header: list[str]
    rows: list[list[str]]
    lines: list[int]


def write_rows(path: Path, header: list[str], rows: Iterable[Iterable[Any]]) -> None:
    """Write one file; None becomes an empty cell."""
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\r\n")
        out.writerow(header)
        out.writerows(rows)


def read_rows(path: Path, name: str) -> Table:
    """Read one file.

    Parameters
    ----------
    name : str
        Name used in errors.

    Raises
    ------
    InputError
        If it is no UTF-8, no CSV, has no header, or a row is shorter or longer than the header.
    """
    rows: list[list[str]] = []
    lines: list[int] = []
    before = csv.field_size_limit(_LONGEST)
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            reader = csv.reader(file, strict=True)
            header = next(reader, [])
            start = reader.line_num
            for row in reader:
                if row:
                    lines.append(start + 1)
                    rows.append(row)
                start = reader.line_num
    except UnicodeDecodeError as error:
        raise _unreadable(name, f"byte {error.start} is no UTF-8") from None
    except csv.Error as error:
        raise _unreadable(name, f"near line {reader.line_num}: {error}") from None
    finally:
        csv.field_size_limit(before)
    if not header or len(set(header)) < len(header):
        raise _unreadable(name, "its first line names no columns" if not header else "two columns have one name")
    for row, line in zip(rows, lines, strict=True):
        if len(row) != len(header):
            raise bad_row(name, line, "", f"{len(row)} cells", f"{len(header)} cells, one for each column")
    return Table(name, header, rows, lines)


def bad_row(name: str, line: int, column: str, given: str, allowed: str) -> InputError:
    """What to say about a row that cannot be read."""
    at = f"{name}, line {line}, column {column}" if column else f"{name}, line {line}"
    shown = given if len(given) <= 80 else f"{given[:77]}..."
    return InputError(
        f"A row cannot be read: {at}. Nothing was imported.",
        given=shown or "(nothing)",
        allowed=allowed,
        next_step="Import an unchanged copy of the exported folder.",
        field=column,
    )


def _unreadable(name: str, why: str) -> InputError:
    return InputError(
        f"A file cannot be read: {name}. Nothing was imported.",
        given=why,
        allowed="CSV after RFC 4180 in UTF-8, as it was exported",
        next_step="Import an unchanged copy of the exported folder.",
    )
