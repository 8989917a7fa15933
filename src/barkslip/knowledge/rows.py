"""Tables put together: shipped lines, a user's own lines over them, and their values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from barkslip.domain.known import Row
from barkslip.domain.sourced import Value
from barkslip.knowledge.files import TableShape, owner_of, read_lines, value_from


def read_table(shape: TableShape, folders: tuple[Path, ...]) -> dict[str, Row]:
    """All rows of a table by key, the first folder's lines first; later folders add or replace.

    Parameters
    ----------
    shape : TableShape
    folders : tuple of Path
        The program's own data, then the user's folder if there is one.
    """
    rows: dict[str, Row] = {}
    for folder in folders:
        path = folder / f"{shape.name}.csv"
        if not path.exists():
            continue
        owner = owner_of(folder)
        for line in read_lines(path):
            key = line.cells["key"]
            value = value_from(line.cells) if shape.kind == "facts" else None
            row = Row(shape.name, key, line.cells, value, owner=owner)
            old = rows.get(key)
            if old is not None:
                row = replace(row, values=old.values, shipped=old)
            rows[key] = row
    if shape.values:
        for folder in folders:
            _add_values(rows, folder / f"{shape.values}.csv", folder != folders[0])
    return rows


def _add_values(rows: dict[str, Row], path: Path, theirs: bool) -> None:
    """Hang the traits of one values file on their rows. A user's values of a trait replace all shipped ones."""
    if not path.exists():
        return
    traits: dict[str, dict[str, list[Value]]] = {}
    for line in read_lines(path):
        traits.setdefault(line.cells["key"], {}).setdefault(line.cells["trait"], []).append(value_from(line.cells))
    for key, by_trait in traits.items():
        rows[key] = _with_traits(rows[key], {t: tuple(values) for t, values in by_trait.items()}, theirs)


def _with_traits(row: Row, new: Mapping[str, tuple[Value, ...]], theirs: bool) -> Row:
    if not theirs:
        return replace(row, values={**row.values, **new})
    shipped = {trait: row.values[trait] for trait in new if trait in row.values}
    return replace(
        row,
        values={**row.values, **new},
        theirs=row.theirs | frozenset(new),
        shipped_values={**row.shipped_values, **shipped},
    )
