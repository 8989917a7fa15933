"""What a disease does along each way of a trace, from the tables; where nothing is known, anything may be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from statistics import median

from barkslip.domain.known import Row
from barkslip.domain.sourced import Value
from barkslip.domain.trace import CERTAIN, NEVER, UNKNOWN_ODDS, Agent, Odds

#: Topic of the rates that are shares of trees infected by tools.
TOOL_TOPIC = "trees infected by tools in the field"
#: Numbers asked for by `agent`.
NUMBERS = ("trace.wood.carries", "trace.union.passes", "trace.union.near")


def odds(value: Value) -> Odds:
    """A chance from a number of the knowledge base; anything from 0 to 1 if it has neither value nor range.

    Raises
    ------
    ValueError
        If it is no chance.
    """
    scale = 100.0 if value.unit == "%" else 1.0
    best = float(value.value) / scale if isinstance(value.value, (int, float)) else None
    low = value.low / scale if value.low is not None else (best if best is not None else 0.0)
    high = value.high / scale if value.high is not None else (best if best is not None else 1.0)
    middle = best if best is not None else (low + high) / 2.0
    if not 0.0 <= low <= middle <= high <= 1.0:
        raise ValueError(f"no chance: {low:g}, {middle:g}, {high:g}")
    return Odds(middle, low, high, known=best is not None)


def is_viroid(row: Row) -> bool:
    """True if the agent is a viroid: figures on tools are of those."""
    return "viroid" in f"{row.cell('agent')} {row.cell('name')}".lower()


def agent(row: Row | None, rates: Iterable[Row], numbers: Mapping[str, Value]) -> Agent:
    """A disease as a trace needs it.

    Parameters
    ----------
    row : Row or None
        Of `pathogens`; None if no disease is named.
    rates : iterable of Row
        Of `pathogen_rates`.
    numbers : mapping
        `NUMBERS` -> value.
    """
    carries, passes, near = (numbers[key] for key in NUMBERS)
    told: list[tuple[str, Value]] = [("wood", carries)]
    if row is None:
        told.append(("union", passes))
        return Agent(
            "", "", odds(carries), odds(passes), UNKNOWN_ODDS, other_fruit=CERTAIN, values=tuple(told), crop=""
        )
    by_graft = row.cell("by_graft")
    union = {"yes": odds(passes), "near the graft only": odds(near)}.get(by_graft, NEVER)
    told += {"yes": [("union", passes)], "near the graft only": [("union", near)]}.get(by_graft, [])
    blade, shown = _blade(row, rates)
    wood = odds(carries) if not union.never else NEVER
    values = tuple(told + shown) if not union.never else tuple(shown)
    return Agent(row.key, row.cell("name"), wood, union, blade, row=row, values=values)


def _blade(row: Row, rates: Iterable[Row]) -> tuple[Odds, list[tuple[str, Value]]]:
    """Chance of one cut with a soiled blade: shares of trees found infected, for viroids; else not known.

    The shares are of trees after many cuts, not of cuts: the least and the most of them are taken as the range.
    """
    word = row.cell("by_tool")
    if word == "no":
        return NEVER, []
    if word != "yes" or not is_viroid(row):
        return UNKNOWN_ODDS, []
    found = [r.value for r in rates if r.cell("topic") == TOOL_TOPIC and r.value is not None]
    shares = [odds(v) for v in found if isinstance(v.value, (int, float))]
    if not shares:
        return UNKNOWN_ODDS, []
    best = [s.best for s in shares]
    return Odds(median(best), min(best), max(best)), [("blade", v) for v in found]
