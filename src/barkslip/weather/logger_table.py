"""The table in a text file: what separates its fields, where its heading is, where its readings begin."""

from __future__ import annotations

import csv
import re
from collections import Counter
from dataclasses import dataclass

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import BrokenLine
from barkslip.weather.logger_time import stamp_class

_DELIMITERS = ("\t", ";", ",", "|")
_SAMPLE = 1000  # lines looked at to find the table
_NUMBER = re.compile(r"^[+\-−]?(?:\d[\d.,]*|[.,]\d+)(?:[eE][+-]?\d+)?\s?(?:°?[CFK]|%|℃|℉)?$")
#: What loggers write where there is no reading.
MISSING = frozenset(
    ("", "na", "n/a", "#n/a", "nan", "null", "none", "nil", "-", "--", "---", "*", "m", "err", "error", "ovr", "fault")
)
_STATISTIC = frozenset(
    ("", "avg", "ave", "mean", "min", "max", "smp", "sample", "tot", "total", "inst", "ts", "rn", "std")
)
_TIME_WORD = re.compile(r"\b(?:date|time|timestamp|day|datum|zeit|fecha|hora|heure)\b", re.IGNORECASE)
_UNIT_WORD = re.compile(
    r"^\W*(?:deg\.?\s?)?(?:c|f|k|celsius|fahrenheit|%|percent|rh|hpa|mbar|mb|kpa|pa|inhg|m/s|ms-1|km/h|kph|mph|kn|kt|"
    r"knots|mm|in|inch|inches|w/m.?2?|w/m²|w/m\^2|deg|degrees|°|hh:mm(?::ss)?|v|volts?|"
    r"[dmy]{1,4}[-/.][dmy]{1,4}[-/.][dmy]{1,4}.*)\W*$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Table:
    """A table of text.

    Parameters
    ----------
    names : tuple of str
        Headings, all different; "column 1", ... where there are none.
    has_heading : bool
    classes : tuple of str
        What most fields of each column are: "stamp", "date", "clock", "epoch", "number" or "text".
    rows : list of list of str
        Fields without blanks around them, each as long as `names`.
    lines : list of int
        Line of each row, from 1.
    broken : list of BrokenLine
        Lines with too few or too many fields.
    """

    names: tuple[str, ...]
    has_heading: bool
    classes: tuple[str, ...]
    rows: list[list[str]]
    lines: list[int]
    broken: list[BrokenLine]


def find_table(text: str, name: str) -> Table:
    """The table in a text.

    Parameters
    ----------
    text : str
        Lines end with "\\n".
    name : str
        File name, for messages.

    Raises
    ------
    WeatherFileError
        If there is none.
    """
    lines = text.split("\n")
    delimiter, width, first = _layout(lines, name)
    heading, above = _heading(lines, first, delimiter)
    names, has_heading = _names(heading, width, _split(lines[first], delimiter) or [], name)
    rows, numbers, broken = [], [], []
    for index in range(first, len(lines)):
        line = lines[index]
        if not line or line.isspace():
            continue
        fields = _split(line, delimiter)
        if fields is None:
            broken.append(BrokenLine(index + 1, "line", line, "a quotation mark is not closed"))
            continue
        if len(fields) != width:
            while len(fields) > width and not fields[-1]:
                fields.pop()
            if len(fields) != width:
                if not any(fields):
                    continue
                why = f"it has {len(fields)} fields, the others have {width}"
                broken.append(BrokenLine(index + 1, "line", line, why))
                continue
        rows.append(fields)
        numbers.append(index + 1)
    classes = tuple(_class_of([row[i] for row in rows[:200]]) for i in range(width))
    if above and has_heading:
        names = _unique(tuple(f"{a} {b}".strip() for a, b in zip(above, names, strict=False)))
    return Table(names, has_heading, classes, rows, numbers, broken)


def _split(line: str, delimiter: str) -> list[str] | None:
    if '"' not in line:
        return [field.strip() for field in line.split(delimiter)]
    if line.count('"') % 2:
        return None
    return [field.strip() for field in next(csv.reader([line], delimiter=delimiter, skipinitialspace=True))]


def _is_reading(fields: list[str] | None) -> bool:
    if not fields or len(fields) < 2:
        return False
    classes = [stamp_class(field) for field in fields]
    times = [i for i, c in enumerate(classes) if c]
    if not times or all(classes[i] == "clock" for i in times):
        return False
    # A time of its own needs one more field that is a number or says "no reading".
    rest = [f for i, f in enumerate(fields) if i not in times] or [f for i, f in enumerate(fields) if i != times[0]]
    return any(_NUMBER.match(f) for f in rest) or all(f.lower() in MISSING for f in rest)


def _layout(lines: list[str], name: str) -> tuple[str, int, int]:
    """Delimiter, number of fields, index of the first line with readings."""
    sample = [i for i, line in enumerate(lines[: 4 * _SAMPLE]) if line.strip()][:_SAMPLE]
    best: tuple[int, str, int, int] | None = None
    for delimiter in _DELIMITERS:
        found = []
        for i in sample:
            fields = _split(lines[i], delimiter)
            if fields is not None and _is_reading(fields):
                found.append((i, len(fields)))
        if not found:
            continue
        width, count = Counter(width for _, width in found).most_common(1)[0]
        if best is None or count > best[0]:
            best = (count, delimiter, width, next(i for i, w in found if w == width))
    if best is None:
        words = any(_TIME_WORD.search(lines[i]) and any(d in lines[i] for d in _DELIMITERS) for i in sample)
        problem = "The file has a heading but no readings." if words else "There is no table of readings in the file."
        raise WeatherFileError(
            problem,
            given=name,
            allowed="lines with a date, a time of day and numbers, separated by comma, semicolon or tab",
            next_step="Export the readings again, as CSV with date and time.",
            field="file",
        )
    return best[1], best[2], best[3]


def _heading(lines: list[str], first: int, delimiter: str) -> tuple[list[str], list[str]]:
    """Fields of the heading (lowest line first found) and, if that holds units only, of the line above it."""
    above = [i for i in range(first - 1, -1, -1) if lines[i].strip()][:4]
    candidates: list[list[str]] = []
    for i in above:
        fields = _split(lines[i], delimiter)
        if fields is None or len(fields) < 2:
            break
        if any(stamp_class(f) or (f and _NUMBER.match(f)) for f in fields) and not _all_units(fields):
            break
        candidates.append(fields)
    if not candidates:
        return [], []
    units: list[list[str]] = []
    while len(candidates) > 1 and _all_units(candidates[0]):
        units.insert(0, candidates.pop(0))
    heading = candidates[0]
    if not units:
        return heading, []
    joined = []
    for i in range(max(len(heading), *(len(u) for u in units))):
        words = [u[i] for u in units if i < len(u) and u[i] and u[i].lower() not in _STATISTIC]
        joined.append(f"({words[0]})" if words else "")
    return joined, heading


def _all_units(fields: list[str]) -> bool:
    return all(f.lower() in _STATISTIC or bool(_UNIT_WORD.match(f)) for f in fields)


def _names(heading: list[str], width: int, reading: list[str], name: str) -> tuple[tuple[str, ...], bool]:
    while len(heading) > width and not heading[-1]:
        heading = heading[:-1]
    if not heading:
        return tuple(f"column {i + 1}" for i in range(width)), False
    if len(heading) != width:
        # A field more than headings is only let pass where the lines end in an empty field.
        if len(heading) > width or (len(heading) == width - 1 and not reading[-1]):
            heading = [*heading, ""][:width]
        else:
            raise WeatherFileError(
                f"The heading of {name} has {len(heading)} fields, its lines have {width}.",
                given=" | ".join(heading),
                allowed="as many headings as fields",
                next_step="If the numbers have decimal commas, export with semicolons between the fields.",
                field="file",
            )
    return _unique(tuple(h or f"column {i + 1}" for i, h in enumerate(heading))), True


def _unique(names: tuple[str, ...]) -> tuple[str, ...]:
    counts = Counter(n.lower() for n in names)
    return tuple(f"{n} (column {i + 1})" if counts[n.lower()] > 1 else n for i, n in enumerate(names))


def _class_of(fields: list[str]) -> str:
    known = [f for f in fields if f.lower() not in MISSING]
    if not known:
        return "text"
    classes = Counter(stamp_class(f) or ("number" if _NUMBER.match(f) else "text") for f in known)
    return classes.most_common(1)[0][0]
