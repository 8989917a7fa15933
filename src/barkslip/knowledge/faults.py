"""Faults in knowledge files, and the rules for one value."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from barkslip.domain.errors import KnowledgeError
from barkslip.domain.sourced import STATUSES

#: How much of a source was seen.
SEEN = ("text", "abstract or first page", "quoted elsewhere", "not seen")

#: Units a value may have; "" is for words.
UNITS = (
    "1", "%", "s", "min", "h", "d", "month", "year", "°C", "°F", "K", "°", "mm", "cm", "m", "in", "ft", "m²", "m³",
    "g", "kg", "oz", "lb", "mL", "L", "US gal", "imp gal", "m/s", "km/h", "mph", "kn", "Pa", "hPa", "kPa", "mbar",
    "W", "W/m²", "W/(m² K)", "W/(m K)", "W/K", "m² K/W", "J", "J/mol", "J/(mol K)", "J/(kg K)", "kJ/kg", "MJ/(m³ K)",
    "J/(m² K)", "1/s", "1/h", "1/d", "K d", "K h", "cm/week", "mm/d", "kg/m³", "g/m²", "m²/m³", "mmol/(m² s)",
    "g/L", "°Brix", "kPa h", "kg/ha",
)  # fmt: skip


@dataclass(frozen=True)
class Problem:
    """One fault in a knowledge file.

    Parameters
    ----------
    file : str
        Name of the file.
    line : int
        Line, counted from 1; 0 means the whole file.
    column : str
        Column, field or table that is wrong; may be empty.
    problem, given, allowed, next_step : str
        As in an error.
    """

    file: str
    line: int
    column: str
    problem: str
    given: str = ""
    allowed: str = ""
    next_step: str = ""

    @property
    def place(self) -> str:
        """ "bindings.csv, line 3, column release_by_days" """
        parts = [self.file]
        if self.line:
            parts.append(f"line {self.line}")
        if self.column:
            parts.append(f"column {self.column}" if self.file.endswith(".csv") else self.column)
        return ", ".join(parts)


def error_for(problems: list[Problem]) -> KnowledgeError:
    """The error for the first fault, saying how many more there are."""
    first = problems[0]
    more = len(problems) - 1
    rest = f" Then {more} more to mend." if more else ""
    return KnowledgeError(
        f"{first.place}: {first.problem}",
        given=first.given,
        allowed=first.allowed,
        next_step=f"{first.next_step}{rest}",
    )


def _finite(raw: Any) -> float | None:
    """A number that is one; None for words, truth values, infinities and "nan"."""
    if isinstance(raw, bool):
        return None
    try:
        number = float(raw)
    except (TypeError, ValueError):
        return None
    return number if math.isfinite(number) else None


def value_problems(
    file: str, line: int, key: str, fields: Mapping[str, Any], has_unit: bool, sources: Collection[str]
) -> Iterator[Problem]:
    """Faults of one value: number, unit, range, source and status.

    Parameters
    ----------
    file, line : str, int
        Where it stands.
    key : str
        Its name in a TOML file; empty in a table.
    fields : mapping
        The value columns.
    has_unit : bool
        False if the unit is not even there.
    sources : collection of str
        Keys that may be named.
    """

    def problem(column: str, what: str, given: Any, allowed: str, next_step: str) -> Problem:
        shown = "(nothing)" if given in ("", None) else str(given)
        return Problem(file, line, f"{key}: {column}" if key else column, what, shown, allowed, next_step)

    unit = fields.get("unit", "")
    numbers: dict[str, float] = {}
    for column in ("value", "low", "high"):
        raw = fields.get(column)
        a_word = column == "value" and has_unit and unit == "" and isinstance(raw, str) and _finite(raw) is None
        if raw in ("", None) or a_word:
            continue
        number = _finite(raw)
        if number is not None:
            numbers[column] = number
        else:
            yield problem(
                column,
                "Not a number.",
                raw,
                "a number with a point, such as 7 or 0.5",
                "Write the number, or leave the unit empty if this is a word.",
            )
    if not has_unit or (numbers and unit == ""):
        yield problem(
            "unit",
            "A number without a unit.",
            unit,
            ", ".join(UNITS),
            'Add the unit; 1 for a pure number, "" for words.',
        )
    elif unit not in ("", *UNITS):
        yield problem("unit", "Unknown unit.", unit, ", ".join(UNITS), "Write the unit as in this list.")
    yield from provenance_problems(file, line, key, fields, sources)
    low, high, value = numbers.get("low"), numbers.get("high"), numbers.get("value")
    if low is not None and high is not None and low > high:
        yield problem("low", "The range runs backwards.", f"{low:g} to {high:g}", "low not above high", "Swap them.")
    elif value is not None and low is not None and value < low:
        allowed = f"{low:g} or more"
        yield problem("value", "The value lies outside its range.", f"{value:g}", allowed, "Correct the value or low.")
    elif value is not None and high is not None and value > high:
        allowed = f"{high:g} or less"
        yield problem("value", "The value lies outside its range.", f"{value:g}", allowed, "Correct the value or high.")
    if fields.get("value") in ("", None) and low is None and high is None and not fields.get("note"):
        yield problem(
            "value",
            "Neither a value nor a range.",
            "",
            "a value, a range, or a note that says why it is not known",
            "Fill one of them.",
        )


def provenance_problems(
    file: str, line: int, key: str, fields: Mapping[str, Any], sources: Collection[str]
) -> Iterator[Problem]:
    """Faults of source and status."""
    start = f"{key}: " if key else ""
    source, status = fields.get("source", ""), fields.get("status", "")
    if not source:
        yield Problem(
            file,
            line,
            f"{start}source",
            "No source.",
            "(nothing)",
            "a key of sources.toml",
            "Name the source, or add it to sources.toml.",
        )
    elif source not in sources:
        yield Problem(
            file,
            line,
            f"{start}source",
            "Unknown source.",
            str(source),
            "a key of sources.toml",
            "Correct the key, or add the source to sources.toml in the same folder.",
        )
    if not status:
        yield Problem(
            file, line, f"{start}status", "No status.", "(nothing)", ", ".join(STATUSES), "Say how it came to be known."
        )
    elif status not in STATUSES:
        yield Problem(
            file,
            line,
            f"{start}status",
            "Unknown status.",
            str(status),
            ", ".join(STATUSES),
            "Use one of these words; when in doubt the later one.",
        )
