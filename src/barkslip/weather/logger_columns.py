"""Which column of a logger's table is what, in which unit: told by its heading, or asked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from barkslip.domain.errors import InputError, QuestionError, WeatherFileError
from barkslip.weather.logger_table import Table
from barkslip.weather.logger_time import heading_offset
from barkslip.weather.options import ReadOptions

_UNITS = {
    "c": "°C", "degc": "°C", "celsius": "°C", "f": "°F", "degf": "°F", "fahrenheit": "°F", "k": "K", "kelvin": "K",
    "%": "%", "%rh": "%", "rh%": "%", "percent": "%", "pct": "%",
    "pa": "Pa", "hpa": "hPa", "mbar": "mbar", "mb": "mbar", "kpa": "kPa", "inhg": "inHg",
    "m/s": "m/s", "ms-1": "m/s", "ms^-1": "m/s", "mps": "m/s", "km/h": "km/h", "kmh": "km/h", "kph": "km/h",
    "mph": "mph", "kn": "kn", "kt": "kn", "kts": "kn", "knots": "kn",
    "w/m2": "W/m²", "w/m²": "W/m²", "w/m^2": "W/m²", "wm-2": "W/m²", "wm^-2": "W/m²",
    "mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in", "deg": "°", "degrees": "°",
}  # fmt: skip
_WORD_UNITS = (
    (re.compile(r"℃|°\s?c\b|deg\.?\s?c\b|celsius"), "°C"),
    (re.compile(r"℉|°\s?f\b|deg\.?\s?f\b|fahrenheit"), "°F"),
)
_TEMPERATURES = ("°C", "°F", "K")
_NOT_AIR = re.compile(
    r"heat index|wind ?chill|feels|apparent|humidex|indoor|inside|soil|ground|water|batter|wet bulb|panel|board|"
    r"case|\bbox\b|\buv\b|thw|\bet\b"
)
_SUMS = re.compile(r"rate|daily|total|year|month|week|event|storm|accum|\bcum")


@dataclass(frozen=True)
class Plan:
    """What to read from where.

    Parameters
    ----------
    time : int
        Index of the column with the time, or with the time of day if `date` is not None.
    date : int or None
    offset_h : float or None
        Offset from UTC that the heading of the time names.
    columns : mapping of str to (int, str)
        Our column -> index and unit, "" if the heading names none.
    notes : tuple of str
    """

    time: int
    date: int | None
    offset_h: float | None
    columns: Mapping[str, tuple[int, str]]
    notes: tuple[str, ...]


def plan_columns(table: Table, options: ReadOptions, name: str) -> Plan:
    """Choose the columns to read.

    Raises
    ------
    QuestionError
        Code "column", if more than one column may be the air temperature, or none is plainly.
    InputError
        If a heading named in the options is not in the file.
    WeatherFileError
        If there is no time of day.
    """
    asked = {ours: _index(table, theirs) for ours, theirs in options.columns.items()}
    time, date, offset_h = _time_columns(table, asked, name)
    used = {time, date, *asked.values()}
    guesses: dict[str, list[int]] = {}
    notes = []
    for index, heading in enumerate(table.names):
        if index not in used and table.classes[index] in ("number", "text"):
            ours = guess_column(heading) if table.has_heading else ""
            if ours and table.classes[index] == "number":
                guesses.setdefault(ours, []).append(index)
    columns: dict[str, tuple[int, str]] = {}
    for ours, index in asked.items():
        if ours not in ("time", "date"):
            columns[ours] = (index, _unit(ours, table.names[index], options))
    for ours, found in guesses.items():
        if ours in columns:
            continue
        if len(found) > 1 and ours == "air_temp_c":
            raise _which_column(table, found, "More than one column may be the air temperature.")
        if len(found) > 1:
            names = ", ".join(table.names[i] for i in found)
            notes.append(f"Left out, because it is open which is meant: {names}.")
            continue
        unit = _unit(ours, table.names[found[0]], options)
        if not unit and ours in ("wind_m_s", "gust_m_s", "pressure_pa", "rain_mm", "ghi_w_m2"):
            notes.append(f"Left out, because its unit is not written: {table.names[found[0]]}.")
            continue
        columns[ours] = (found[0], unit)
    if not columns:
        numbers = [i for i, c in enumerate(table.classes) if c == "number" and i not in used]
        if not numbers:
            raise WeatherFileError(
                "There is no column of numbers beside the time.",
                given=", ".join(table.names),
                allowed="at least one column of readings",
                next_step="Export the readings again.",
                field="file",
            )
        raise _which_column(table, numbers, "No heading names a temperature.")
    return Plan(time, date, offset_h, columns, tuple(notes))


def guess_column(heading: str) -> str:
    """Our column that a heading plainly names, else ""."""
    low = heading.lower().replace("_", " ")
    unit = heading_unit(heading)
    if _NOT_AIR.search(low):
        return ""
    if "dew" in low:
        return "dew_point_c"
    if re.search(r"humid|\brh\b|r\.h\.|feucht|humedad|humidité", low):
        return "rel_humidity_pct"
    if re.search(r"press|\bbaro", low):
        return "" if re.search(r"sea|\bslp\b|\bmsl|relative", low) else "pressure_pa"
    if "gust" in low:
        return "" if re.search(r"dir", low) else "gust_m_s"
    if re.search(r"wind|wspd|wdir", low):
        return "wind_from_deg" if re.search(r"dir|bearing", low) else "wind_m_s"
    if re.search(r"\brain|precip", low):
        return "" if _SUMS.search(low) else "rain_mm"
    if re.search(r"solar|\bghi\b|irradiance|radiation|pyran", low):
        return "ghi_w_m2" if unit in ("", "W/m²") else ""
    if re.search(r"\b(?:bark|leaf|surface|skin)\b", low) and (unit in _TEMPERATURES or "temp" in low):
        return "surface_temp_c"
    if unit in _TEMPERATURES or re.search(r"temp|\bair ?t\b|^\s*t\s*(?:\(|\[|,|$)|^tair", low):
        return "air_temp_c"
    return ""


def heading_unit(heading: str) -> str:
    """Unit that a heading names, in the spelling of `domain.units`, else ""."""
    low = heading.lower()
    for pattern, unit in _WORD_UNITS:
        if pattern.search(low):
            return unit
    pieces = re.findall(r"[(\[{]([^)\]}]*)[)\]}]", low)
    pieces += re.split(r"[,;:/]\s+|\s+in\s+|\s-\s", low)[1:]
    pieces += re.split(r"[\s_]+", low)[1:]
    for piece in pieces:
        bare = re.sub(r"[^a-z0-9/%^²-]", "", piece)
        if bare in _UNITS:
            return _UNITS[bare]
    return ""


def _unit(ours: str, heading: str, options: ReadOptions) -> str:
    said = options.units.get(ours, "")
    if said:
        return _UNITS.get(re.sub(r"[^a-z0-9/%^²-]", "", said.lower()), said)
    return heading_unit(heading)


def _index(table: Table, theirs: str) -> int:
    wanted = " ".join(theirs.split()).lower()
    for index, heading in enumerate(table.names):
        if " ".join(heading.split()).lower() == wanted:
            return index
    number = re.fullmatch(r"(?:column )?(\d+)", wanted)
    if number and 1 <= int(number[1]) <= len(table.names):
        return int(number[1]) - 1
    raise InputError(
        "The file has no such column.",
        given=theirs,
        allowed=", ".join(table.names),
        next_step="Name a column as in the heading of the file, or by its number.",
        field="columns",
    )


def _time_columns(table: Table, asked: dict[str, int], name: str) -> tuple[int, int | None, float | None]:
    if "time" in asked:
        time = asked["time"]
        return time, asked.get("date"), heading_offset(table.names[time])
    whole = [i for i, c in enumerate(table.classes) if c in ("stamp", "epoch")]
    dates = [i for i, c in enumerate(table.classes) if c == "date"]
    clocks = [i for i, c in enumerate(table.classes) if c == "clock"]
    stamps = [i for i in whole if table.classes[i] == "stamp"]
    chosen = stamps or whole
    if chosen:
        named = [i for i in chosen if heading_offset(table.names[i]) is not None]
        time = (named or chosen)[0]
        return time, None, heading_offset(table.names[time])
    if dates and clocks:
        offsets = [heading_offset(table.names[i]) for i in (clocks[0], dates[0])]
        return clocks[0], dates[0], next((o for o in offsets if o is not None), None)
    raise WeatherFileError(
        "The file has days but no times of day." if dates else "The file has no column with date and time.",
        given=f"{name}: {', '.join(table.names)}",
        allowed="a date and a time of day in every line",
        next_step="Export hourly readings; daily lows and highs can be typed instead.",
        field="file",
    )


def _which_column(table: Table, found: list[int], problem: str) -> QuestionError:
    answers = []
    for index in found:
        seen = [row[index] for row in table.rows[:3]]
        answers.append((table.names[index], f"{table.names[index]}: {', '.join(seen)} ..."))
    return QuestionError(
        problem,
        code="column",
        answers=tuple(answers),
        given=", ".join(table.names),
        allowed=", ".join(table.names[i] for i in found),
        next_step="Say which column is the air temperature; read the file once for each plot.",
        field="columns",
    )
