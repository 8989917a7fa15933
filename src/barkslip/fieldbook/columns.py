"""What each column of the book means: names, units and words, taken from the nouns' own descriptions."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from barkslip.domain.entry import Entry
from barkslip.fieldbook.rows import NOUNS, REFERENCES, Column, spec

#: Columns for the eye only: worked out while writing, ignored while reading.
SEEN = "see_"
#: Ending of a column's name -> unit.
_ENDINGS = {
    "_mm": "mm", "_m": "m", "_l": "L", "_k": "K", "_c": "°C", "_h": "h", "_min": "min", "_s": "s", "_px": "px",
    "_pct": "%",
}  # fmt: skip
_KINDS = {
    "text": "text",
    "int": "whole number",
    "real": "number",
    "bool": "yes or no",
    "json": "JSON",
    "when": "day",
}
_WHEN_WORDS = {
    "_first": "Earliest day it can have been, year-month-day.",
    "_last": "Latest day it can have been; the same as the earliest when the day is known.",
    "_text": "The words as typed, if the day is not known exactly.",
}


#: What is inside a JSON cell, where the noun's own words do not say it.
_INSIDE = {
    "candidates": 'A list of {"taxon": name, "belief": share from 0 to 1, "evidence": words}.',
    "plots": "A list.",
    "figures": "Name -> number.",
    "result": "Name of the arm -> [successes, tried].",
    "columns": "A list.",
    "arms": "A list.",
    "draw": "Unit -> [block, arm].",
}
#: Columns that may not be empty although they are text.
NEEDED = {"id", "thing", "made_utc"}


class Described(NamedTuple):
    """One column in words."""

    name: str
    kind: str
    unit: str
    empty: str  # what an empty cell means, "" if it may not be empty
    words: str
    values: tuple[str, ...] = ()  # the words it may hold, if they are fixed


def summary(noun: type[Entry]) -> str:
    """First sentence of a noun's description."""
    return inspect.cleandoc(noun.__doc__ or "").partition("\n")[0]


@cache
def described(table: str) -> tuple[Described, ...]:
    """Every column of a noun's table in words, in the order of the file."""
    noun = NOUNS[table]
    words = _fields(Entry) | _fields(noun)
    return tuple(_described(c, words.get(c.field, "")) for c in spec(noun).columns)


def needed(column: Column) -> bool:
    """True if a cell of this column may never be empty."""
    if column.nullable:
        return False
    return column.kind != "text" or column.name in NEEDED or column.name in REFERENCES


def _fixed_words() -> dict[str, Iterable[str]]:
    from barkslip.domain import act, budwood, clean, graft, tree, weather

    modules = (act, budwood, clean, graft, tree, weather)
    names = (
        "ACTS", "EVENTS", "SOURCE_CLASSES", "LOT_STATES", "STATES", "LEVELS", "BEARINGS", "KINDS", "EXPOSURES",
        "SUSPICIONS",
    )  # fmt: skip
    return {name: getattr(module, name) for name in names for module in modules if hasattr(module, name)}


def _described(column: Column, words: str) -> Described:
    kind = _KINDS[column.kind]
    values: tuple[str, ...] = ()
    listed = re.search(r"(?:One|Key) of `(?:[\w.]*\.)?([A-Z_]+)`", words)
    if listed:
        values = tuple(_fixed_words()[listed[1]])
        words = words.replace(listed[0], "One of the words listed under values")
    words = f"{words} {_INSIDE.get(column.name, '') if column.kind == 'json' else ''}".strip()
    if column.kind == "when":
        ending = column.name.removeprefix(column.field)
        words = f"{words} {_WHEN_WORDS[ending]}".strip()
        kind = "text" if ending == "_text" else kind
    in_brackets = re.search(r"\[([^\]]+)\]", words)
    # "[successes, tried]" and the like are no units
    unit = in_brackets[1] if in_brackets and column.kind in ("int", "real") else ""
    if not unit and column.kind in ("int", "real"):
        unit = next((u for ending, u in _ENDINGS.items() if column.name.endswith(ending)), "")
    if column.nullable:
        empty = "not known, or none"
    else:
        empty = "" if needed(column) and not column.name.endswith("_text") else "nothing written"
    return Described(column.name, kind, unit, empty, words, values)


def _fields(noun: type[Entry]) -> dict[str, str]:
    """Field -> its words in the "Parameters" of the noun's description."""
    out: dict[str, str] = {}
    names: list[str] = []
    lines = inspect.cleandoc(noun.__doc__ or "").splitlines()
    for line in lines[lines.index("Parameters") + 2 :] if "Parameters" in lines else []:
        head = re.match(r"^(\w+(?:, \w+)*) : ", line)
        if head:
            names = head[1].split(", ")
            out.update(dict.fromkeys(names, ""))
        elif line.startswith("    "):
            for name in names:
                out[name] = f"{out[name]} {line.strip()}".strip()
        elif line:
            break
    return out
