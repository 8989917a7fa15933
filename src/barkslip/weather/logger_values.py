"""Numbers of a logger's table: decimal point or comma, units, what stands for "no reading"."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from barkslip.domain.errors import QuestionError
from barkslip.domain.units import convert
from barkslip.domain.weather import BrokenLine
from barkslip.weather.fields import Floats
from barkslip.weather.logger_table import MISSING

_COMMA = re.compile(r"^[+\-−]?\d*,\d+(?:[eE][+-]?\d+)?$")
_POINT = re.compile(r"^[+\-−]?\d*\.\d+(?:[eE][+-]?\d+)?$")
_THOUSANDS = {".": re.compile(r"^[+\-−]?\d{1,3}(?:,\d{3})+(?:\.\d+)?$"),
              ",": re.compile(r"^[+\-−]?\d{1,3}(?:\.\d{3})+(?:,\d+)?$")}  # fmt: skip
_SUFFIX = re.compile(r"^(.*\d)\s?(°?[CFK]|%|℃|℉)$")
#: Numbers that loggers write where there is no reading.
SENTINELS = (-9999.0, -9999.9, -999.0, -999.9, -7999.0, 6999.0, -6999.0)
#: What air can be, between the coldest and the hottest hundredth of the readings of a garden [°C] (assumption).
_PLAUSIBLE_C = (-45.0, 50.0)
_STORED = {"air_temp_c": "°C", "dew_point_c": "°C", "surface_temp_c": "°C", "pressure_pa": "Pa", "wind_m_s": "m/s",
           "gust_m_s": "m/s", "rain_mm": "mm"}  # fmt: skip
_AS_WRITTEN = {"rel_humidity_pct": "%", "wind_from_deg": "°", "ghi_w_m2": "W/m²", "dni_w_m2": "W/m²",
               "dhi_w_m2": "W/m²", "cloud_fraction": "1"}  # fmt: skip


def decimal_mark(columns: Sequence[Sequence[str]]) -> str:
    """ "," if the numbers have decimal commas, else "."."""
    comma = False
    for column in columns:
        for token in column:
            if "." in token and _POINT.match(token):
                return "."
            if not comma and "," in token and _COMMA.match(token):
                comma = True
    return "," if comma else "."


def read_numbers(
    tokens: Sequence[str], lines: Sequence[int], heading: str, mark: str
) -> tuple[Floats, list[BrokenLine], int, str]:
    """Numbers of one column; NaN where there is no reading.

    Parameters
    ----------
    tokens : sequence of str, length n
    lines : sequence of int, length n
    heading : str
        For the broken ones.
    mark : {".", ","}
        Decimal mark.

    Returns
    -------
    values : float64 array, shape (n,)
    broken : list of BrokenLine
    missing : int
        Readings written as a number that stands for "none", such as −9999.
    suffix : str
        Unit written behind the numbers, if any.
    """
    known: dict[str, float] = {}
    values = np.empty(len(tokens))
    broken = []
    suffix = ""
    for i, token in enumerate(tokens):
        value = known.get(token)
        if value is None:
            bare = token
            match = _SUFFIX.match(token)
            if match and (not suffix or match[2] == suffix):
                bare, suffix = match[1], match[2]
            value = _number(bare, mark)
            if value is not None:
                known[token] = value
        if value is None:
            broken.append(BrokenLine(lines[i], heading, token, "not a number"))
            value = np.nan
        values[i] = value
    sentinel = np.isin(values, SENTINELS)
    values[sentinel] = np.nan
    return values, broken, int(np.count_nonzero(sentinel)), suffix


def _number(token: str, mark: str) -> float | None:
    if token.lower() in MISSING:
        return float("nan")
    text = token.replace("−", "-")
    other = "," if mark == "." else "."
    if other in text:
        if not _THOUSANDS[mark].match(text):
            return None
        text = text.replace(other, "")
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return None
    return value if np.isfinite(value) and "_" not in text else None


def to_stored(values: Floats, ours: str, unit: str, heading: str, home_unit: str) -> tuple[Floats, str]:
    """Values in our unit, and a note if something was assumed.

    Parameters
    ----------
    values : float64 array, shape (n,)
    ours : str
        Key of `domain.weather.COLUMNS`.
    unit : str
        As named by the heading; may be empty.
    heading : str
    home_unit : str
        `ReadOptions.unit`.

    Raises
    ------
    QuestionError
        Code "unit".
    InputError
        If the unit measures something else.
    """
    if ours == "rel_humidity_pct" and not unit:
        if values.size and float(np.nanmax(values)) <= 1.0:
            return values * 100.0, f"{heading} is taken as a fraction: no value is above 1."
        return values, f"{heading} is taken as per cent: no unit is written."
    if ours in _AS_WRITTEN:
        allowed = _AS_WRITTEN[ours]
        if unit in ("", allowed):
            return values, "" if unit else f"{heading} is taken as {allowed}: no unit is written."
        if ours == "cloud_fraction" and unit == "%":
            return values / 100.0, ""
        convert(0.0, unit, allowed)
    stored = _STORED[ours]
    note = ""
    if not unit:
        if stored != "°C":
            raise _unit_of(heading, ours)
        if not home_unit:
            raise _celsius_or_fahrenheit(values, heading)
        unit, note = home_unit, f"{heading} is taken as {home_unit}, as said."
    # Straight lines all: two points give the conversion of the whole column.
    zero, one = convert(0.0, unit, stored), convert(1.0, unit, stored)
    if unit == stored:
        return values, note
    if unit == "°F":
        return (values - 32.0) / 1.8, note
    return values * (one - zero) + zero, note


def _celsius_or_fahrenheit(values: Floats, heading: str) -> QuestionError:
    finite = values[np.isfinite(values)]
    low, high = (float(v) for v in np.percentile(finite, (1, 99))) if finite.size else (0.0, 0.0)
    ranges = {"°C": (low, high), "°F": (convert(low, "°F", "°C"), convert(high, "°F", "°C"))}
    fits = [u for u, (a, b) in ranges.items() if a >= _PLAUSIBLE_C[0] and b <= _PLAUSIBLE_C[1]]
    words = {u: f"{u}: that is {a:.0f} to {b:.0f} °C" for u, (a, b) in ranges.items()}
    order = sorted(ranges, key=lambda u: u not in fits)
    hint = (
        f"only {fits[0]} gives air as it can be" if len(fits) == 1 else "both are possible" if fits else "neither fits"
    )
    return QuestionError(
        f"Is “{heading}” in °C or in °F?",
        code="unit",
        answers=tuple((u, words[u]) for u in order),
        given=f"{heading}: mostly {low:.1f} to {high:.1f}",
        allowed=f"°C, °F; {hint}",
        next_step="Say the unit.",
        field="unit",
    )


def _unit_of(heading: str, ours: str) -> QuestionError:
    choices = {"m/s": ("m/s", "km/h", "mph", "kn"), "Pa": ("hPa", "kPa", "Pa", "inHg"), "mm": ("mm", "in")}[
        _STORED[ours]
    ]
    return QuestionError(
        f"In which unit is “{heading}”?",
        code="unit",
        answers=tuple((u, u) for u in choices),
        given=heading,
        allowed=", ".join(choices),
        next_step="Say the unit of this column.",
        field=f"units.{ours}",
    )
