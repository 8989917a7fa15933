"""Rows <-> domain entries, for every noun by the same rule.

A field becomes a column of its own name; a `When` becomes three (`x_first`, `x_last`, `x_text`); tuples and dicts
become JSON text. Every noun's table starts with the columns of `Entry` and `current`, an index that says which line
is the newest about its thing (the book check recomputes it from `corrects`).
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from dataclasses import MISSING, fields
from datetime import date
from functools import cache
from typing import Any, NamedTuple

from barkslip.domain.act import Act, Event, Photo
from barkslip.domain.answer import NightAnswer
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.clean import Handout, Hold, ToolUse, WoodRule
from barkslip.domain.entry import Entry
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import Graft, Look
from barkslip.domain.record import Record
from barkslip.domain.sign import Cause, Sign
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import Candidate, ChainLink, Limb, Tree
from barkslip.domain.trial import CanopyShare, Logger, Placement, Trial, TrialPlan, TrialReading
from barkslip.domain.when import When

#: Noun -> table. The order is the order of export and import: each refers only to those before it.
NOUNS: dict[str, type[Entry]] = {
    "garden": Garden,
    "plot": Plot,
    "logger": Logger,
    "tree": Tree,
    "limb": Limb,
    "chain_link": ChainLink,
    "wood_lot": WoodLot,
    "lot_find": LotFind,
    "graft": Graft,
    "look": Look,
    "act": Act,
    "event": Event,
    "photo": Photo,
    "trial": Trial,
    "tasting": Tasting,
    "record": Record,
    "night_answer": NightAnswer,
    "placement": Placement,
    "sign": Sign,
    "cause": Cause,
    "tool_use": ToolUse,
    "handout": Handout,
    "wood_rule": WoodRule,
    "hold": Hold,
    "trial_plan": TrialPlan,
    "trial_reading": TrialReading,
    "canopy_share": CanopyShare,
}
TABLES: dict[type[Entry], str] = {noun: table for table, noun in NOUNS.items()}
#: Things that have one truth at a time; of all other nouns two corrections may stand side by side.
SINGLE = (Garden, Plot, Logger, Tree, Limb, ChainLink, WoodLot, Graft, Trial, Record, NightAnswer, Hold, TrialPlan)
#: Columns that name another thing (checked by foreign keys).
REFERENCES = {
    "plot",
    "tree",
    "limb",
    "lot",
    "graft",
    "from_tree",
    "from_limb",
    "from_graft",
    "logger",
    "about",
    "trial",
}


class Column(NamedTuple):
    """One column: its field, SQL type, and whether it may be empty."""

    name: str
    field: str
    kind: str  # "text", "int", "real", "bool", "json", "when"
    nullable: bool


class Spec(NamedTuple):
    """How one noun is stored."""

    noun: type[Entry]
    table: str
    columns: tuple[Column, ...]
    select: str
    build: Callable[[Sequence[Any]], Entry]


_SIMPLE = {"str": "text", "int": "int", "float": "real", "bool": "bool"}


def _columns(noun: type[Entry]) -> tuple[Column, ...]:
    out: list[Column] = []
    for one in fields(noun):
        declared = str(one.type)
        nullable = declared.endswith("| None")
        base = declared.removesuffix("| None").strip()
        if base == "When":
            out.append(Column(f"{one.name}_first", one.name, "when", nullable))
            out.append(Column(f"{one.name}_last", one.name, "when", nullable))
            out.append(Column(f"{one.name}_text", one.name, "when", nullable))
        else:
            out.append(Column(one.name, one.name, _SIMPLE.get(base, "json"), nullable))
    return tuple(out)


def spec(noun: type[Entry]) -> Spec:
    """How a noun is stored; worked out once per noun."""
    return _spec(TABLES[noun])


@cache
def _spec(table: str) -> Spec:
    noun = NOUNS[table]
    columns = _columns(noun)
    select = ", ".join(f"{table}.{c.name}" for c in columns)
    return Spec(noun, table, columns, select, _builder(noun, columns))


def _builder(noun: type[Entry], columns: tuple[Column, ...]) -> Callable[[Sequence[Any]], Entry]:
    readers: list[tuple[str, int, Callable[[Any], Any] | None]] = []
    whens: list[tuple[str, int]] = []
    i = 0
    while i < len(columns):
        column = columns[i]
        if column.kind == "when":
            whens.append((column.field, i))
            i += 3
            continue
        read: Callable[[Any], Any] | None = None
        if column.kind == "bool":
            read = bool
        elif column.kind == "json":
            read = _json_reader(noun, column.field)
        readers.append((column.field, i, read))
        i += 1

    def build(row: Sequence[Any]) -> Entry:
        values: dict[str, Any] = {n: (row[j] if r is None else r(row[j])) for n, j, r in readers}
        for name, j in whens:
            first = row[j]
            values[name] = (
                None
                if first is None
                else When(date.fromisoformat(first), date.fromisoformat(row[j + 1]), row[j + 2] or "")
            )
        return noun(**values)

    return build


def _json_reader(noun: type[Entry], name: str) -> Callable[[Any], Any]:
    declared = next(str(f.type) for f in fields(noun) if f.name == name)
    if declared == "tuple[Candidate, ...]":
        return lambda text: tuple(Candidate(**c) for c in json.loads(text))
    if declared.startswith("tuple"):
        return lambda text: tuple(json.loads(text))
    return lambda text: json.loads(text)


def to_row(entry: Entry) -> dict[str, Any]:
    """Column -> value, ready for named parameters.

    Raises
    ------
    InputError
        If a number is none (not a number, or endless): the book could not keep it.
    """
    row: dict[str, Any] = {}
    for column in spec(type(entry)).columns:
        value = getattr(entry, column.field)
        if column.kind == "when":
            if value is None:
                row[column.name] = None
            elif column.name.endswith("_first"):
                row[column.name] = value.first.isoformat()
            elif column.name.endswith("_last"):
                row[column.name] = value.last.isoformat()
            else:
                row[column.name] = value.text
        elif column.kind == "json":
            try:
                row[column.name] = _dumps(value)
            except ValueError:
                raise _no_number(column.name, value) from None
        elif column.kind == "bool":
            row[column.name] = int(value)
        else:
            if column.kind == "real" and value is not None and not math.isfinite(value):
                raise _no_number(column.name, value)
            row[column.name] = value
    return row


def _no_number(name: str, value: Any) -> InputError:
    return InputError(
        "That is no number the book can keep.",
        given=f"{name}: {value}",
        allowed="a finite number, or nothing if it is not known",
        next_step="Leave it empty if it is not known.",
        field=name,
    )


def _dumps(value: Any) -> str:
    if isinstance(value, tuple) and value and isinstance(value[0], Candidate):
        value = [{"taxon": c.taxon, "belief": c.belief, "evidence": c.evidence} for c in value]
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def default_of(noun: type[Entry], name: str) -> Any:
    """Default of a field, or MISSING if it must be given (used when old exports lack a column)."""
    one = next(f for f in fields(noun) if f.name == name)
    if one.default is not MISSING:
        return one.default
    return one.default_factory() if one.default_factory is not MISSING else MISSING
