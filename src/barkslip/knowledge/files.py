"""Knowledge files as they stand on the disk: TOML for single numbers, CSV for tables.

Nothing is judged here; `check` does that. Reading is kept cheap because a command line starts with it:
standard library only, one file at a time.
"""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from barkslip.domain.errors import KnowledgeError
from barkslip.domain.known import SHIPPED
from barkslip.domain.sourced import Source, Value

DATA = Path(__file__).with_name("data")
SOURCES_FILE = "sources.toml"
TABLES_FILE = "tables.toml"

#: Columns that make up a sourced value, in tables where each line is one fact.
VALUE_COLUMNS = ("value", "unit", "low", "high", "applies_to", "source", "status", "where", "note")


@dataclass(frozen=True)
class TableShape:
    """How a table is laid out; declared in tables.toml.

    Parameters
    ----------
    name : str
        The file is `name`.csv.
    kind : {"things", "facts"}
        Things have words here and their numbers in the `values` file; facts carry one sourced value a line.
    label : str
        What one line is, in words ("variety").
    columns, needed : tuple of str
        All columns of words, and those that may not be empty.
    names : tuple of str
        Columns that hold names: searched, and no name may be given twice.
    values : str
        Name of the file with the traits of things; empty if they have none.
    allowed : mapping
        Column -> words that may stand there.
    refers : mapping
        Column -> tables, in the keys of one of which each name of the cell must be found.
    refers_in : mapping
        Column -> column that names the table in whose keys it must be found.
    """

    name: str
    kind: str
    label: str
    columns: tuple[str, ...]
    needed: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    values: str = ""
    allowed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    refers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    refers_in: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Line:
    """One line of a CSV file with its place."""

    file: Path
    number: int
    cells: Mapping[str, str]
    spare: tuple[str, ...] = ()


def owner_of(folder: Path) -> str:
    """Whose folder it is: the program's, or the name of the user's folder."""
    return SHIPPED if folder == DATA else folder.name


def read_toml(path: Path) -> dict[str, Any]:
    """A TOML file as nested dictionaries.

    Raises
    ------
    KnowledgeError
        With the line and column if it is no TOML or no UTF-8 text.
    """
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeError(
            f"{path.name} cannot be read.",
            given=str(error),
            allowed='a TOML file: [name] on a line of its own, then value = 7, unit = "d" and so on',
            next_step=f"Mend that line of {path}.",
        ) from None
    except UnicodeDecodeError as error:
        raise _not_text(path, error) from None


def read_lines(path: Path) -> list[Line]:
    """The lines of a CSV file; missing cells are empty, blank lines are skipped.

    Raises
    ------
    KnowledgeError
        If it is no UTF-8 text or no CSV.
    """
    lines = []
    try:
        with path.open(encoding="utf-8-sig", newline="") as handle:
            reader = csv.DictReader(handle, restkey="", restval="")
            for cells in reader:
                spare = tuple(cells.pop("", None) or ())
                words = {key.strip(): (text or "").strip() for key, text in cells.items()}
                if any(words.values()) or spare:
                    lines.append(Line(path, reader.line_num, words, spare))
    except UnicodeDecodeError as error:
        raise _not_text(path, error) from None
    except csv.Error as error:
        raise KnowledgeError(
            f"{path.name} cannot be read.",
            given=str(error),
            allowed="a CSV file with commas and a first line of column names",
            next_step=f"Mend {path}.",
        ) from None
    return lines


def header(path: Path) -> tuple[str, ...]:
    """Column names of a CSV file."""
    with path.open(encoding="utf-8-sig", newline="") as handle:
        return tuple(name.strip() for name in next(csv.reader(handle), ()))


def _not_text(path: Path, error: UnicodeDecodeError) -> KnowledgeError:
    return KnowledgeError(
        f"{path.name} is not UTF-8 text.",
        given=f"byte {error.start}",
        allowed="UTF-8, as every plain text editor can save it",
        next_step=f"Save {path} again as UTF-8.",
    )


def read_shapes(folder: Path) -> dict[str, TableShape]:
    """Table layouts declared in a folder; none if it declares none."""
    path = folder / TABLES_FILE
    if not path.exists():
        return {}
    shapes = {}
    for name, table in read_toml(path).get("table", {}).items():
        shapes[name] = TableShape(
            name=name,
            kind=table.get("kind", "things"),
            label=table.get("label", name),
            columns=tuple(table.get("columns", ())),
            needed=tuple(table.get("needed", ())),
            names=tuple(table.get("names", ())),
            values=table.get("values", ""),
            allowed={column: tuple(words) for column, words in table.get("allowed", {}).items()},
            refers={c: (t,) if isinstance(t, str) else tuple(t) for c, t in table.get("refers", {}).items()},
            refers_in=dict(table.get("refers_in", {})),
        )
    return shapes


def read_sources(folder: Path) -> dict[str, Source]:
    """Sources of a folder by key; none if it has none."""
    path = folder / SOURCES_FILE
    if not path.exists():
        return {}
    owner = owner_of(folder)
    return {
        key: Source(key, entry["citation"], entry.get("where", ""), entry.get("seen", "not seen"), owner)
        for key, entry in read_toml(path).items()
    }


def number_files(folder: Path) -> list[Path]:
    """TOML files that hold single numbers."""
    return sorted(p for p in folder.glob("*.toml") if p.name not in (SOURCES_FILE, TABLES_FILE))


def leaves(tree: Mapping[str, Any], path: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Entries of a number file: (dotted key, fields). A table without tables inside is an entry."""
    inner = {key: sub for key, sub in tree.items() if isinstance(sub, dict)}
    if not inner or len(inner) < len(tree):
        yield path, tree
    for key, sub in inner.items():
        yield from leaves(sub, f"{path}.{key}")


def value_from(fields: Mapping[str, Any]) -> Value:
    """A `Value` from checked fields; empty cells of a CSV file mean not given."""
    unit = str(fields.get("unit", ""))
    raw = fields.get("value")
    value: float | str | None = None
    if raw is not None and raw != "":
        value = float(raw) if unit else str(raw)
    return Value(
        value=value,
        unit=unit,
        source=str(fields.get("source", "")),
        status=str(fields.get("status", "")),
        low=_number(fields.get("low")),
        high=_number(fields.get("high")),
        applies_to=str(fields.get("applies_to", "")),
        where=str(fields.get("where", "")),
        note=str(fields.get("note", "")),
    )


def _number(raw: Any) -> float | None:
    return None if raw is None or raw == "" else float(raw)


def digest(folders: tuple[Path, ...]) -> str:
    """SHA-256 over names and contents of all knowledge files; line ends do not count."""
    import hashlib  # only when a hash is asked for: a look needs none

    total = hashlib.sha256()
    for number, folder in enumerate(folders):
        for path in sorted((*folder.glob("*.toml"), *folder.glob("*.csv")), key=lambda p: p.name):
            total.update(f"{number}/{path.name}\n".encode())
            total.update(path.read_bytes().replace(b"\r\n", b"\n"))
            total.update(b"\0")
    return total.hexdigest()


def line_of(path: Path, key: str, column: str = "") -> int:
    """The line of a TOML file where an entry, or one of its fields, stands; 0 if it cannot be told."""
    text = path.read_text(encoding="utf-8-sig").splitlines()
    bare = re.compile(r"^\s*\[\s*(\"?)" + re.escape(key) + r"\1\s*\]")
    start = next((i for i, line in enumerate(text) if bare.match(line)), None)
    if start is None:
        return 0
    if column:
        for i in range(start + 1, len(text)):
            if text[i].lstrip().startswith("["):
                break
            if re.match(rf"^\s*{re.escape(column)}\s*=", text[i]):
                return i + 1
    return start + 1
