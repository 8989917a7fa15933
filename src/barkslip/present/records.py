"""Any card or story as plain data: what `--json` prints.

Keys are the records' own names and end in the unit of their number. Temperatures follow the reader's choice: keys
end in `_f` then, and differences of temperature in `_f_difference`. Everything else stays SI. A date is ISO, a
`When` has its first and last day and its words.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from barkslip.domain.sourced import Value
from barkslip.domain.units import METRIC, UnitChoice, c_to_f, k_to_f_difference
from barkslip.domain.when import When

#: Names whose unit is not in the record's own name.
_UNITS = {"lat": "lat_deg", "lon": "lon_deg", "belief": "belief_share", "score9": "score_1_to_9", "brix": "brix_deg"}
#: (record, field) -> names of the parts of a tuple, or of each tuple in a list.
_PARTS: dict[tuple[str, str], tuple[bool, tuple[str, ...]]] = {
    ("GraftCard", "days"): (False, ("fewest_d", "most_d")),
    ("WeatherSince", "days"): (True, ("day", "low_c", "high_c")),
    ("PlotToday", "trees"): (True, ("tree", "grafts")),
    ("LimbCard", "former"): (True, ("name", "until")),
    ("LotStory", "from_words"): (False, ("tree", "limb", "graft")),
    ("LotStory", "mcpd"): (True, ("field", "value")),
    ("Found", "words"): (True, ("label", "text")),
}


def record(thing: object, units: UnitChoice = METRIC) -> Any:
    """`thing` as dicts, lists, numbers, texts and None.

    Parameters
    ----------
    thing : dataclass, mapping, sequence or plain value
    units : UnitChoice
        Only its temperature is heeded.

    Raises
    ------
    TypeError
        For something that cannot be written down.
    """
    if isinstance(thing, When):
        return {"first": thing.first.isoformat(), "last": thing.last.isoformat(), "text": thing.text}
    if isinstance(thing, Value):
        return _value(thing, units)
    if dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        return _fields(thing, units)
    if isinstance(thing, Mapping):
        return dict(_pair(str(key), value, units) for key, value in thing.items())
    if isinstance(thing, (list, tuple)):
        return [record(one, units) for one in thing]
    if isinstance(thing, (set, frozenset)):
        return sorted(record(one, units) for one in thing)
    if isinstance(thing, date):
        return thing.isoformat()
    if isinstance(thing, float) and not math.isfinite(thing):
        return None
    if thing is None or isinstance(thing, (str, bool, int, float)):
        return thing
    raise TypeError(f"{type(thing).__name__} cannot be written as plain data")


def _fields(thing: Any, units: UnitChoice) -> dict[str, Any]:
    out: dict[str, Any] = {}
    kind = type(thing).__name__
    for one in dataclasses.fields(thing):
        value = getattr(thing, one.name)
        if (kind, one.name) in _PARTS:
            each, names = _PARTS[kind, one.name]
            rows = [dict(zip(names, row, strict=True)) for row in (value if each else (value,))]
            plain = [record(row, units) for row in rows]
            out[one.name] = plain if each else plain[0]
        else:
            key, plain_value = _pair(one.name, value, units)
            out[key] = plain_value
    return out


def _pair(name: str, value: object, units: UnitChoice) -> tuple[str, Any]:
    """Key with its unit, and the value in it. A figure's place after a dot stays: "low_c.LOW" -> "low_f.LOW"."""
    head, dot, place = name.partition(".")
    head = _UNITS.get(head, head)
    if units.temperature == "°F":
        endings: dict[str, tuple[str, Callable[[float], float]]] = {
            "_c": ("_f", c_to_f),
            "_k": ("_f_difference", k_to_f_difference),
        }
        for ending, (new, turn) in endings.items():
            if head.endswith(ending) and not isinstance(value, (Value, str)):
                head = head.removesuffix(ending) + new
                value = _turned(value, turn)
                break
    return head + dot + place, record(value, units)


def _turned(value: object, turn: Callable[[float], float]) -> object:
    """The number, or each number of a list or mapping, turned and rounded to what was measured."""
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, (int, float)):
        return round(turn(float(value)), 6)
    if isinstance(value, (list, tuple)):
        return [_turned(one, turn) for one in value]
    return value


def _value(value: Value, units: UnitChoice) -> dict[str, Any]:
    turn: Callable[[float], float] | None = None
    unit = value.unit
    if units.temperature == "°F" and value.unit == "°C":
        turn, unit = c_to_f, "°F"
    elif units.temperature == "°F" and value.unit == "K":
        turn, unit = k_to_f_difference, "°F difference"
    out = {one.name: getattr(value, one.name) for one in dataclasses.fields(value)}
    if turn is not None:
        for name in ("value", "low", "high"):
            out[name] = _turned(out[name], turn) if not isinstance(out[name], str) else out[name]
    out["unit"] = unit
    return out
