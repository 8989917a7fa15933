"""Units, parsed once at the door. Inside the program there are only SI floats.

Factors are the exact ones of NIST Special Publication 811 (2008), Appendix B.8, and of NIST Handbook 44,
Appendix C (gallons). Checked by tests/domain/test_units_against_nist.py.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from barkslip.domain.errors import InputError, QuestionError

# name -> (kind, factor to the stored unit). Temperatures are handled apart: they have an offset.
_FACTORS: dict[str, tuple[str, float]] = {
    "mm": ("length", 1.0),
    "cm": ("length", 10.0),
    "m": ("length", 1000.0),
    "in": ("length", 25.4),
    "ft": ("length", 304.8),
    "L": ("volume", 1.0),
    "mL": ("volume", 0.001),
    "US gal": ("volume", 3.785411784),
    "imp gal": ("volume", 4.54609),
    "g": ("mass", 1.0),
    "kg": ("mass", 1000.0),
    "oz": ("mass", 28.349523125),
    "lb": ("mass", 453.59237),
    "m/s": ("speed", 1.0),
    "km/h": ("speed", 1.0 / 3.6),
    "mph": ("speed", 0.44704),
    "kn": ("speed", 1852.0 / 3600.0),
    "Pa": ("pressure", 1.0),
    "hPa": ("pressure", 100.0),
    "mbar": ("pressure", 100.0),
    "kPa": ("pressure", 1000.0),
    "inHg": ("pressure", 3386.389),
}
_TEMPERATURES = ("°C", "°F", "K")
#: kind -> the unit in which it is stored
STORED = {
    "length": "mm",
    "volume": "L",
    "mass": "g",
    "speed": "m/s",
    "pressure": "Pa",
    "temperature": "°C",
    "difference": "K",
}
_SPELLINGS = {
    "c": "°C", "°c": "°C", "degc": "°C", "deg c": "°C", "celsius": "°C",
    "f": "°F", "°f": "°F", "degf": "°F", "deg f": "°F", "fahrenheit": "°F",
    "k": "K", "kelvin": "K",
    "mm": "mm", "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in",
    "ft": "ft", "feet": "ft", "foot": "ft", "'": "ft",
    "l": "L", "litre": "L", "litres": "L", "liter": "L", "liters": "L", "ml": "mL",
    "us gal": "US gal", "usgal": "US gal", "us gallon": "US gal", "us gallons": "US gal",
    "imp gal": "imp gal", "impgal": "imp gal", "imperial gallon": "imp gal", "imperial gallons": "imp gal",
    "g": "g", "kg": "kg", "oz": "oz", "lb": "lb", "lbs": "lb",
    "m/s": "m/s", "ms": "m/s", "km/h": "km/h", "kmh": "km/h", "kph": "km/h", "mph": "mph", "kn": "kn", "kt": "kn",
    "knot": "kn", "knots": "kn",
    "pa": "Pa", "hpa": "hPa", "mbar": "mbar", "mb": "mbar", "kpa": "kPa", "inhg": "inHg",
}  # fmt: skip
_QUANTITY = re.compile(r"^\s*([+\-−]?(?:\d+(?:[.,]\d+)?|[.,]\d+))\s*(.*?)\s*$")


@dataclass(frozen=True)
class UnitChoice:
    """The units a person reads and types.

    Parameters
    ----------
    temperature : {"°C", "°F"}
    length : {"metric", "inch"}
    volume : {"L", "US gal", "imp gal"}
    mass : {"g", "lb"}
    speed : {"m/s", "km/h", "mph"}
    """

    temperature: str = "°C"
    length: str = "metric"
    volume: str = "L"
    mass: str = "g"
    speed: str = "m/s"


METRIC = UnitChoice()
US = UnitChoice("°F", "inch", "US gal", "lb", "mph")
IMPERIAL = UnitChoice("°F", "inch", "imp gal", "lb", "mph")
UNIT_CHOICES = {"metric": METRIC, "us": US, "imperial": IMPERIAL}


def unit_choice(name: str) -> UnitChoice:
    """The choice called `name` ("metric", "us" or "imperial").

    Raises
    ------
    InputError
        For any other name.
    """
    try:
        return UNIT_CHOICES[name.strip().lower()]
    except KeyError:
        raise InputError(
            "Not a choice of units.",
            given=name,
            allowed="metric, us, imperial",
            next_step="Choose one of the three.",
            field="units",
        ) from None


def f_to_c(temp_f: float) -> float:
    """Celsius [°C] from Fahrenheit [°F]; NIST SP 811 B.8: t/°C = (t/°F − 32)/1.8."""
    return (temp_f - 32.0) / 1.8


def c_to_f(temp_c: float) -> float:
    """Fahrenheit [°F] from Celsius [°C]."""
    return temp_c * 1.8 + 32.0


def k_to_f_difference(difference_k: float) -> float:
    """A difference in Fahrenheit degrees from one in kelvin. No 32 is ever added."""
    return difference_k * 1.8


def convert(value: float, unit: str, to: str) -> float:
    """`value` [`unit`] in `to`.

    Raises
    ------
    InputError
        If the two measure different things or one is not known.
    """
    if unit == to:
        return value
    if unit in _TEMPERATURES and to in _TEMPERATURES:
        celsius = {"°C": value, "°F": f_to_c(value), "K": value - 273.15}[unit]
        return {"°C": celsius, "°F": c_to_f(celsius), "K": celsius + 273.15}[to]
    kind, factor = _FACTORS.get(unit, ("", 0.0))
    kind_to, factor_to = _FACTORS.get(to, ("", 0.0))
    if not kind or kind != kind_to:
        fitting = _TEMPERATURES if to in _TEMPERATURES else [u for u, (k, _) in _FACTORS.items() if k == kind_to]
        raise InputError(
            f"Cannot turn {unit} into {to}.",
            given=f"{value:g} {unit}",
            allowed="units of the same kind: " + ", ".join(fitting),
            next_step="Check the unit.",
        )
    return value * factor / factor_to


def unit_named(text: str, *, field: str = "") -> str:
    """The program's spelling of a unit typed by a person ("deg F" -> "°F").

    Raises
    ------
    QuestionError
        For "gal": there are two.
    InputError
        For an unknown unit.
    """
    word = " ".join(text.strip().lower().replace("_", " ").split())
    if word in ("gal", "gallon", "gallons"):
        raise QuestionError(
            "Which gallon?",
            code="gallon",
            answers=(("US gal", "US gallon, 3.785 L"), ("imp gal", "imperial gallon, 4.546 L")),
            given=text,
            allowed="US gal, imp gal, L",
            next_step="Write the amount again with the gallon named.",
            field=field,
        )
    try:
        return _SPELLINGS[word]
    except KeyError:
        raise InputError(
            "Unknown unit.",
            given=text,
            allowed="°C, °F, K, " + ", ".join(_FACTORS),
            next_step="Write the unit as in this list, or leave it out.",
            field=field,
        ) from None


def parse_quantity(text: str, kind: str, *, default_unit: str, field: str = "") -> float:
    """A typed quantity in the stored unit of its kind.

    Parameters
    ----------
    text : str
        "22 F", "−3.1", "3/8"-style fractions are not read; a comma may stand for the point.
    kind : str
        Key of `STORED`.
    default_unit : str
        Unit meant when none was typed.

    Raises
    ------
    InputError
        If it is no number, or the unit measures something else.
    """
    match = _QUANTITY.match(text)
    if not match:
        raise InputError(
            "Not a number.",
            given=text or "(nothing)",
            allowed=f"a number, with or without a unit, such as 12 {default_unit}",
            next_step="Type the number again.",
            field=field,
        )
    number = float(match[1].replace("−", "-").replace(",", "."))
    unit = unit_named(match[2], field=field) if match[2] else default_unit
    if kind == "difference":
        if unit in ("°F",):
            return number / 1.8
        if unit in ("°C", "K"):
            return number
    return convert(number, unit, STORED[kind])


def parse_temperature(
    text: str,
    *,
    home: str,
    expect_c: tuple[float, float],
    sure: bool = False,
    field: str = "",
) -> float:
    """A typed air temperature [°C], asking when the unit looks wrong.

    Parameters
    ----------
    text : str
        "22", "22 F", "-3,1 °C".
    home : {"°C", "°F"}
        The garden's unit.
    expect_c : (low, high)
        What would be usual for this reading at this place and month [°C].
    sure : bool
        The person has been asked and means it as typed.

    Raises
    ------
    QuestionError
        If no unit was typed, the number is outside `expect_c` as read, and inside it in the other unit;
        or if it is outside in both.
    InputError
        If it is no temperature that air has ever had; being sure does not help then.
    """
    match = _QUANTITY.match(text)
    typed_unit = bool(match and match[2])
    value_c = parse_quantity(text, "temperature", default_unit=home, field=field)
    low, high = expect_c
    if low <= value_c <= high:
        return value_c
    possible = -90.0 <= value_c <= 60.0
    if sure and possible:
        return value_c
    other = "°F" if home == "°C" else "°C"
    shown = f"{low:.0f} to {high:.0f} °C" if home == "°C" else f"{c_to_f(low):.0f} to {c_to_f(high):.0f} °F"
    shown = shown.replace("-", "−")
    if not typed_unit and not sure and match:
        number = match[1]
        if low <= convert(float(number.replace("−", "-").replace(",", ".")), other, "°C") <= high:
            as_typed = ((f"{number} {home}", f"yes, {number} {home}"),) if possible else ()
            raise QuestionError(
                f"{number} is unusual in {home} here. Is it {other}?",
                code="unit",
                answers=((f"{number} {other}", f"{number} {other}"), *as_typed),
                given=text,
                allowed=f"usual here at this time of year: {shown}",
                next_step="Type it again with its unit.",
                field=field,
            )
    if not possible:
        raise InputError(
            "No weather station on Earth has measured that.",
            given=text,
            allowed="−90 to 60 °C (−130 to 140 °F)",
            next_step="Check the number and its unit.",
            field=field,
        )
    raise QuestionError(
        "That is far from what is usual here at this time of year.",
        code="unusual",
        answers=((text if typed_unit else f"{text} {home}", "it is right as typed"),),
        given=text,
        allowed=f"usual here at this time of year: {shown}",
        next_step="Correct it, or say that it is right.",
        field=field,
    )
