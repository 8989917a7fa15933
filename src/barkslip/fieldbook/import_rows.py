"""Rows of an exported table -> rows of the book, each cell checked."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from dataclasses import MISSING, fields
from datetime import date
from typing import Any, NamedTuple

from barkslip.domain.entry import Entry
from barkslip.fieldbook.columns import SEEN, needed
from barkslip.fieldbook.csv_files import Table, bad_row
from barkslip.fieldbook.rows import NOUNS, Column, default_of, spec

_CANDIDATE = {"taxon", "belief", "evidence"}


class Lines(NamedTuple):
    """All lines of one noun as the book keeps them, and where each stood in its file."""

    table: str
    name: str
    rows: list[dict[str, Any]]
    lines: list[int]
    ignored: list[str]
    filled: list[str]


def parse_lines(table: str, given: Table) -> Lines:
    """Check and turn every row of a noun's file.

    Columns that are missing are filled with the noun's own default; columns that are not known are left aside.

    Raises
    ------
    InputError
        Naming file, line and column.
    """
    noun = NOUNS[table]
    columns = spec(noun).columns
    known = {c.name for c in columns}
    place = {name: i for i, name in enumerate(given.header)}
    missing = [c for c in columns if c.name not in place]
    usual = {c.name: _usual(noun, c, given.name) for c in missing}
    present = [(c, place[c.name], _reader(noun, c)) for c in columns if c.name in place]
    whens = [c for c in columns if c.kind == "when" and c.name.endswith("_first")]
    rows: list[dict[str, Any]] = []
    for cells, line in zip(given.rows, given.lines, strict=True):
        row = dict(usual)
        for column, i, read in present:
            row[column.name] = _cell(column, cells[i], read, given.name, line)
        for column in whens:
            _check_when(row, column, given.name, line)
        rows.append(row)
    ignored = [n for n in given.header if n not in known and not n.startswith(SEEN)]
    return Lines(
        table,
        given.name,
        rows,
        given.lines,
        [f"{given.name}: {n}" for n in ignored],
        [f"{given.name}: {c.name}" for c in missing],
    )


def _usual(noun: type[Entry], column: Column, name: str) -> Any:
    """What a column is filled with that an older export does not have."""
    if column.name.endswith("_text") and column.kind == "when":
        return "" if not column.nullable else None
    value = default_of(noun, column.field)
    if value is MISSING:
        raise bad_row(name, 1, column.name, "no such column", "a column of this name")
    if column.kind == "json":
        return json.dumps(value)
    return int(value) if column.kind == "bool" else value


def _cell(column: Column, text: str, read: Callable[[str], Any] | None, name: str, line: int) -> Any:
    if text == "":
        if needed(column) and not column.name.endswith("_text"):
            raise bad_row(name, line, column.name, "", "something: this may not be empty")
        return None if column.nullable else ""
    if read is None:
        return text
    try:
        return read(text)
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        allowed = str(error) if isinstance(error, _Wanted) else _ALLOWED[column.kind]
        raise bad_row(name, line, column.name, text, allowed) from None


class _Wanted(ValueError):
    """Says what a cell should have held."""


_ALLOWED = {
    "int": "a whole number",
    "real": "a number with a decimal point",
    "bool": "yes or no",
    "json": "JSON",
    "when": "a day as year-month-day",
}


def _reader(noun: type[Entry], column: Column) -> Callable[[str], Any] | None:
    if column.kind == "when" and column.name.endswith("_text"):
        return None
    if column.kind == "json":
        declared = next(str(f.type) for f in fields(noun) if f.name == column.field)
        return lambda text: _json(text, declared)
    return {"int": _int, "real": _real, "bool": _bool, "when": _day}.get(column.kind)


def _int(text: str) -> int:
    if not re.fullmatch(r"-?\d{1,18}", text, re.ASCII):
        raise ValueError
    return int(text)


def _real(text: str) -> float:
    value = float(text)
    if not math.isfinite(value) or "_" in text:
        raise ValueError
    return value


def _bool(text: str) -> int:
    return {"yes": 1, "no": 0}[text]


def _day(text: str) -> str:
    return date.fromisoformat(text).isoformat()


def _no_constant(name: str) -> Any:
    raise ValueError(name)


def _json(text: str, declared: str) -> str:
    value = json.loads(text, parse_constant=_no_constant)
    if declared.startswith("tuple"):
        if not isinstance(value, list):
            raise _Wanted("a JSON list")
        if "Candidate" in declared and not all(_is_candidate(c) for c in value):
            raise _Wanted("a JSON list of taxon, belief and evidence")
    elif not isinstance(value, dict):
        raise _Wanted("a JSON object")
    return text


def _is_candidate(value: Any) -> bool:
    return isinstance(value, dict) and set(value) == _CANDIDATE and isinstance(value["belief"], int | float)


def _check_when(row: dict[str, Any], column: Column, name: str, line: int) -> None:
    """The three columns of a date go together."""
    first, last, text = (f"{column.field}_{part}" for part in ("first", "last", "text"))
    if row[first] is None:
        if row[last] is not None or row[text]:
            raise bad_row(name, line, first, "", "a day, since the other columns of this date are given")
        return
    if row[last] is None or row[last] < row[first]:
        raise bad_row(name, line, last, row[last] or "", f"{row[first]} or later")
    row[text] = row[text] or ""
