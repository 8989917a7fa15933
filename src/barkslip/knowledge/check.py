"""The validator of knowledge files: no number without unit, source and status."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from pathlib import Path
from typing import Any

from barkslip.domain.errors import KnowledgeError
from barkslip.knowledge.faults import SEEN, Problem, error_for, provenance_problems, value_problems
from barkslip.knowledge.files import (
    DATA,
    SOURCES_FILE,
    TABLES_FILE,
    VALUE_COLUMNS,
    Line,
    TableShape,
    header,
    leaves,
    line_of,
    number_files,
    read_lines,
    read_shapes,
    read_toml,
)
from barkslip.knowledge.find import fold

__all__ = ["Problem", "check", "error_for"]

_ENTRY_FIELDS = {*VALUE_COLUMNS, "label"}
_SOURCE_FIELDS = {"citation", "where", "seen"}
_FIRST_COLUMNS = ("key", "trait", *VALUE_COLUMNS)


def check(folder: Path, base: Path | None = DATA) -> list[Problem]:
    """All faults in the knowledge files of a folder; an empty list if there are none.

    Parameters
    ----------
    folder : Path
        A user's folder, or the program's own data.
    base : Path or None
        Data over which the folder is laid: its sources, tables, traits and keys may be used. None, or the folder
        itself, checks the folder alone.
    """
    return list(_Checker(folder, None if base is None or base == folder else base).problems())


def _short(words: Any) -> str:
    shown = ", ".join(sorted(words)[:12])
    return shown + (" ..." if len(words) > 12 else "")


class _Checker:
    """Checks one folder, over the base data if there is any. Lists are built once and kept."""

    def __init__(self, folder: Path, base: Path | None) -> None:
        self.folder = folder
        self.folders = (base, folder) if base else (folder,)
        self._keys: dict[str, set[str]] = {}

    # -- what may be referred to ------------------------------------------------------------------------

    @cached_property
    def shapes(self) -> dict[str, TableShape]:
        shapes: dict[str, TableShape] = {}
        for folder in self.folders:
            shapes |= read_shapes(folder)
        return shapes

    @cached_property
    def values_files(self) -> dict[str, str]:
        return {shape.values: name for name, shape in self.shapes.items() if shape.values}

    @cached_property
    def sources(self) -> set[str]:
        return {key for f in self.folders if (f / SOURCES_FILE).exists() for key in read_toml(f / SOURCES_FILE)}

    def lines(self, name: str) -> list[Line]:
        return [line for f in self.folders if (f / f"{name}.csv").exists() for line in read_lines(f / f"{name}.csv")]

    def keys(self, table: str) -> set[str]:
        if table not in self._keys:
            self._keys[table] = {line.cells.get("key", "") for line in self.lines(table)}
        return self._keys[table]

    @cached_property
    def trait_units(self) -> dict[str, str]:
        return {line.cells.get("key", ""): line.cells.get("unit", "") for line in self.lines("traits")}

    # -- walking the files ------------------------------------------------------------------------------

    def problems(self) -> Iterator[Problem]:
        broken = list(self._unreadable())
        yield from broken
        if broken:
            return
        yield from self._unknown_files()
        yield from self._sources()
        for path in number_files(self.folder):
            if self._is_number_file(path):
                yield from self._numbers(path)
        for path in sorted(self.folder.glob("*.csv")):
            if path.stem in self.shapes:
                yield from self._table(path, self.shapes[path.stem])
            elif path.stem in self.values_files:
                yield from self._values(path, self.values_files[path.stem])

    def _unreadable(self) -> Iterator[Problem]:
        for path in sorted((*self.folder.glob("*.toml"), *self.folder.glob("*.csv"))):
            try:
                if path.suffix == ".toml":
                    read_toml(path)
                else:
                    read_lines(path)
            except KnowledgeError as error:
                yield Problem(path.name, 0, "", "cannot be read.", error.given, error.allowed, error.next_step)

    def _is_number_file(self, path: Path) -> bool:
        return self.folder == self.folders[0] or (self.folders[0] / path.name).exists()

    def _unknown_files(self) -> Iterator[Problem]:
        for path in number_files(self.folder):
            if not self._is_number_file(path):
                allowed = _short([p.name for p in number_files(self.folders[0])])
                yield Problem(path.name, 0, "", "No file of that name is used.", path.name, allowed, "Rename it.")
        known = {*self.shapes, *self.values_files}
        for path in sorted(self.folder.glob("*.csv")):
            if path.stem not in known:
                yield Problem(
                    path.name,
                    0,
                    "",
                    "No table of that name is used.",
                    path.name,
                    ", ".join(f"{name}.csv" for name in sorted(known)),
                    f"Rename it, or describe the new table in {TABLES_FILE}.",
                )

    def _sources(self) -> Iterator[Problem]:
        path = self.folder / SOURCES_FILE
        if not path.exists():
            return
        for key, fields in read_toml(path).items():
            line = line_of(path, key)
            if not isinstance(fields, dict):
                yield Problem(
                    path.name,
                    line,
                    key,
                    "A source needs a heading of its own.",
                    str(fields),
                    '["key"] and below it citation, where, seen',
                    "Write it as a heading with fields.",
                )
                continue
            for field in fields.keys() - _SOURCE_FIELDS:
                yield Problem(
                    path.name,
                    line,
                    key,
                    "Unknown field of a source.",
                    field,
                    _short(_SOURCE_FIELDS),
                    "Rename or remove it.",
                )
            if not fields.get("citation"):
                yield Problem(
                    path.name,
                    line,
                    key,
                    "A source without a citation.",
                    "(nothing)",
                    "author, year, title, place",
                    "Add citation.",
                )
            if fields.get("seen", "not seen") not in SEEN:
                yield Problem(
                    path.name,
                    line,
                    key,
                    "Unknown word for how much was seen.",
                    str(fields["seen"]),
                    ", ".join(SEEN),
                    "Use one of these words.",
                )

    def _numbers(self, path: Path) -> Iterator[Problem]:
        for first, tree in read_toml(path).items():
            if not isinstance(tree, dict):
                yield Problem(
                    path.name,
                    0,
                    first,
                    "A number needs a heading of its own.",
                    str(tree),
                    f"[{first}] and below it value, unit, source, status",
                    "Write it as a heading with fields.",
                )
                continue
            for key, fields in leaves(tree, first):
                line = line_of(path, key)
                for field in fields.keys() - _ENTRY_FIELDS:
                    if not isinstance(fields[field], dict):
                        yield Problem(
                            path.name,
                            line_of(path, key, field) or line,
                            key,
                            "Unknown field.",
                            field,
                            _short(_ENTRY_FIELDS),
                            "Rename or remove it.",
                        )
                yield from value_problems(path.name, line, key, fields, "unit" in fields, self.sources)

    def _table(self, path: Path, shape: TableShape) -> Iterator[Problem]:
        facts = shape.kind == "facts"
        columns = (*shape.columns, *VALUE_COLUMNS) if facts else shape.columns
        needed = {"key", *shape.needed}
        wrong = list(self._header(path, columns, needed))
        yield from wrong
        if wrong:
            return
        taken = self._names_of_others(path, shape)
        seen: dict[str, int] = {}
        for line in read_lines(path):
            yield from self._cells(line, seen, needed, shape)
            yield from self._names(line, shape, taken)
            if facts:
                yield from value_problems(path.name, line.number, "", line.cells, True, self.sources)
            else:
                yield from provenance_problems(path.name, line.number, "", line.cells, self.sources)

    def _header(self, path: Path, columns: tuple[str, ...], needed: set[str]) -> Iterator[Problem]:
        given = header(path)
        for name in given:
            if name not in columns:
                yield Problem(
                    path.name,
                    1,
                    name,
                    "Unknown column.",
                    name or "(no name)",
                    ", ".join(columns),
                    "Rename or remove the column.",
                )
        for name in columns:
            if name in needed and name not in given:
                yield Problem(
                    path.name, 1, name, "A column is missing.", ", ".join(given), ", ".join(columns), "Add the column."
                )
        for name in {name for name in given if given.count(name) > 1}:
            yield Problem(
                path.name, 1, name, "The column is there twice.", name, "each column once", "Remove one of them."
            )

    def _cells(self, line: Line, seen: dict[str, int], needed: set[str], shape: TableShape) -> Iterator[Problem]:
        name, number = line.file.name, line.number
        if line.spare:
            yield Problem(
                name,
                number,
                "",
                "More cells than columns.",
                ", ".join(line.spare),
                "one cell a column",
                "Put text with commas into double quotation marks.",
            )
        key = line.cells.get("key", "")
        if key in seen:
            yield Problem(
                name,
                number,
                "key",
                "The key is there twice.",
                key,
                "each key once",
                f"Change or remove this line or line {seen[key]}.",
            )
        seen.setdefault(key, number)
        for column in needed:
            if not line.cells.get(column):
                yield Problem(name, number, column, "The cell is empty.", "(nothing)", "some text", "Fill it.")
        for column, words in shape.allowed.items():
            given = line.cells.get(column, "")
            if given and given not in words:
                yield Problem(name, number, column, "Unknown word.", given, ", ".join(words), "Use one of these words.")
        for column, given, tables in self._references(line, shape):
            if not any(given in self.keys(table) for table in tables):
                yield Problem(
                    name,
                    number,
                    column,
                    f"No such key in {' or '.join(tables)}.",
                    given,
                    _short({key for table in tables for key in self.keys(table)}),
                    f"Use one of these, or add it to {' or '.join(f'{table}.csv' for table in tables)}.",
                )

    @staticmethod
    def _references(line: Line, shape: TableShape) -> Iterator[tuple[str, str, tuple[str, ...]]]:
        """(column, key, tables in one of which it must stand); a cell may hold several keys."""
        named = {c: (line.cells.get(by, ""),) for c, by in shape.refers_in.items()}
        for column, tables in {**shape.refers, **named}.items():
            for given in line.cells.get(column, "").split(";"):
                if given.strip():
                    yield column, given.strip(), tables

    def _row_names(self, line: Line, shape: TableShape) -> Iterator[tuple[str, str]]:
        if "epithet" in shape.columns:
            yield "epithet", f"{line.cells.get('epithet', '')} {line.cells.get('common_name', '')}"
        for column in shape.names:
            for one in line.cells.get(column, "").split(";"):
                if one.strip():
                    yield column, one.strip()

    def _names_of_others(self, path: Path, shape: TableShape) -> dict[str, tuple[str, int]]:
        """Names in the base data: name -> (key, 0)."""
        taken: dict[str, tuple[str, int]] = {}
        for folder in self.folders[:-1]:
            if (folder / path.name).exists():
                for line in read_lines(folder / path.name):
                    for _, one in self._row_names(line, shape):
                        taken[fold(one)] = (line.cells.get("key", ""), 0)
        return taken

    def _names(self, line: Line, shape: TableShape, taken: dict[str, tuple[str, int]]) -> Iterator[Problem]:
        key = line.cells.get("key", "")
        for column, one in self._row_names(line, shape):
            other, number = taken.setdefault(fold(one), (key, line.number))
            if other != key:
                where = f"line {number}" if number else "the shipped table"
                yield Problem(
                    line.file.name,
                    line.number,
                    column,
                    f"The name belongs to {other} already, in {where}.",
                    one,
                    "each name once",
                    f"Give it another name, or use the key {other}.",
                )

    def _values(self, path: Path, table: str) -> Iterator[Problem]:
        wrong = list(self._header(path, _FIRST_COLUMNS, {"key", "trait", "value", "unit", "source", "status"}))
        yield from wrong
        if wrong:
            return
        keys = self.keys(table)
        traits = {k.partition(".")[2] for k in self.trait_units if k.startswith(f"{table}.")}
        for line in read_lines(path):
            cells, name, number = line.cells, path.name, line.number
            if line.spare:
                yield Problem(
                    name,
                    number,
                    "",
                    "More cells than columns.",
                    ", ".join(line.spare),
                    "one cell a column",
                    "Put text with commas into double quotation marks.",
                )
            if cells["key"] not in keys:
                yield Problem(
                    name,
                    number,
                    "key",
                    f"No such key in {table}.",
                    cells["key"] or "(nothing)",
                    _short(keys),
                    f"Use one of these, or add it to {table}.csv.",
                )
            if cells["trait"] not in traits:
                yield Problem(
                    name,
                    number,
                    "trait",
                    "Unknown trait.",
                    cells["trait"] or "(nothing)",
                    _short(traits),
                    "Use one of these, or add it to traits.csv.",
                )
            elif cells["unit"] != (unit := self.trait_units[f"{table}.{cells['trait']}"]):
                yield Problem(
                    name,
                    number,
                    "unit",
                    "Not the unit of this trait.",
                    cells["unit"] or "(nothing)",
                    unit or "(nothing: this trait is in words)",
                    "Convert the number, then change the unit.",
                )
            yield from value_problems(name, number, "", cells, True, self.sources)
