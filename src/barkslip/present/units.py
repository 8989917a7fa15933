"""Quantities in the units a person reads: a real minus sign, a space that does not break, no false digits."""

from __future__ import annotations

from barkslip.domain.sourced import Value
from barkslip.domain.units import METRIC, UnitChoice, c_to_f, convert, k_to_f_difference

NBSP = "\u00a0"
MINUS = "\u2212"


def number(value: float, decimals: int = 0, *, sign: bool = False) -> str:
    """A number with a real minus sign; a zero never carries one."""
    text = f"{abs(value):.{decimals}f}"
    if float(text) == 0.0:
        return text
    return (MINUS if value < 0 else "+" if sign else "") + text


def temperature(temp_c: float | None, units: UnitChoice = METRIC, decimals: int = 1) -> str:
    """ "−3.1 °C" or "26.4 °F"; "no reading" for None."""
    if temp_c is None:
        return "no reading"
    return f"{bare_temperature(temp_c, units, decimals)}{NBSP}{units.temperature}"


def bare_temperature(temp_c: float | None, units: UnitChoice = METRIC, decimals: int = 1) -> str:
    """The number alone, for a column whose head names the unit; "–" for None."""
    if temp_c is None:
        return "–"
    return number(temp_c if units.temperature == "°C" else c_to_f(temp_c), decimals)


def temperature_range(low_c: float, high_c: float, units: UnitChoice = METRIC, decimals: int = 1) -> str:
    """ "−6.9 to −3.8 °C"."""
    return f"{bare_temperature(low_c, units, decimals)} to {temperature(high_c, units, decimals)}"


def difference(difference_k: float, units: UnitChoice = METRIC, decimals: int = 1) -> str:
    """A difference of temperatures, signed: "−2.6 K" or "−4.7 °F". No 32 is ever added."""
    if units.temperature == "°C":
        return f"{number(difference_k, decimals, sign=True)}{NBSP}K"
    return f"{number(k_to_f_difference(difference_k), decimals, sign=True)}{NBSP}°F"


def colder_or_warmer(difference_k: float, units: UnitChoice = METRIC) -> str:
    """ "2.6 °C colder" / "4.7 °F warmer": a difference as a neighbour would say it."""
    size = abs(difference_k) if units.temperature == "°C" else abs(k_to_f_difference(difference_k))
    if round(size, 1) == 0:
        return "as cold"
    return f"{number(size, 1)}{NBSP}{units.temperature} {'colder' if difference_k < 0 else 'warmer'}"


def length(mm: float | None, units: UnitChoice = METRIC) -> str:
    """A length or height: "9 mm", "62 cm", "2.4 m" or "0.4 in", "24 in", "8.0 ft"."""
    if mm is None:
        return "not measured"
    if units.length == "metric":
        if abs(mm) < 100.0:
            return f"{_trim(mm)}{NBSP}mm"
        if abs(mm) < 1000.0:
            return f"{_trim(mm / 10.0)}{NBSP}cm"
        return f"{number(mm / 1000.0, 1)}{NBSP}m"
    inches = convert(mm, "mm", "in")
    if abs(inches) < 10.0:
        return f"{number(inches, 1)}{NBSP}in"
    if abs(inches) < 100.0:
        return f"{number(inches)}{NBSP}in"
    return f"{number(convert(mm, 'mm', 'ft'), 1)}{NBSP}ft"


def rain(mm: float | None, units: UnitChoice = METRIC) -> str:
    """Depth of rain: "31 mm" or "1.22 in"."""
    if mm is None:
        return "no reading"
    return f"{number(mm)}{NBSP}mm" if units.length == "metric" else f"{number(mm / 25.4, 2)}{NBSP}in"


def volume(litres: float, units: UnitChoice = METRIC) -> str:
    """ "20 L", "5.3 US gal", "4.4 imp gal"."""
    if units.volume == "L":
        return f"{_trim(litres)}{NBSP}L"
    return f"{number(convert(litres, 'L', units.volume), 1)}{NBSP}{units.volume}"


def mass(grams: float, units: UnitChoice = METRIC) -> str:
    """ "140 g", "1.2 kg", "4.9 oz", "2.6 lb"."""
    if units.mass == "g":
        return f"{number(grams)}{NBSP}g" if grams < 1000 else f"{number(grams / 1000.0, 1)}{NBSP}kg"
    pounds = convert(grams, "g", "lb")
    return f"{number(pounds, 1)}{NBSP}lb" if pounds >= 1 else f"{number(convert(grams, 'g', 'oz'), 1)}{NBSP}oz"


def speed(m_s: float, units: UnitChoice = METRIC) -> str:
    """ "2.0 m/s", "7 km/h", "4 mph"."""
    if units.speed == "m/s":
        return f"{number(m_s, 1)}{NBSP}m/s"
    return f"{number(convert(m_s, 'm/s', units.speed))}{NBSP}{units.speed}"


def hours(h: float) -> str:
    """ "7.5 h", "12 h", "1240 h"."""
    return f"{_trim(h) if h < 100 else number(h)}{NBSP}h"


def percent(share: float) -> str:
    """ "45 %" from 0.45; a share that is neither 0 nor 1 is never rounded to them."""
    whole = round(share * 100)
    if whole == 0 and share > 0:
        return f"less than 1{NBSP}%"
    if whole == 100 and share < 1:
        return f"more than 99{NBSP}%"
    return f"{whole}{NBSP}%"


def tenths(share: float) -> str:
    """A chance as people count it: "7 in 10"."""
    tens = round(share * 10)
    if tens == 0 and share > 0:
        return "less than 1 in 10"
    if tens == 10 and share < 1:
        return "more than 9 in 10"
    return f"{tens} in 10"


def quantity(value: float, unit: str, units: UnitChoice = METRIC) -> str:
    """A number with the unit of the knowledge base, shown as the reader wants it.

    Units that nobody converts (days, shares, °Brix ...) stay as they are.
    """
    if unit == "°C":
        return temperature(value, units)
    if unit == "K":
        return difference(value, units)
    if unit == "mm":
        return length(value, units)
    if unit == "L":
        return volume(value, units)
    if unit == "g":
        return mass(value, units)
    if unit == "m/s":
        return speed(value, units)
    if unit == "h":
        return hours(value)
    if unit == "d":
        return f"{_trim(value)}{NBSP}{'day' if value == 1 else 'days'}"
    if unit in ("1", ""):
        return _trim(value, 3)
    return f"{_trim(value, 3)}{NBSP}{unit}"


def value_text(value: Value, units: UnitChoice = METRIC) -> str:
    """A sourced value with its range: "42 days (28 to 60)", "28 to 60 days", "a word", "not known"."""
    if isinstance(value.value, str):
        return value.value
    span = _span(value, units)
    if value.value is None:
        return span or "not known"
    best = quantity(value.value, value.unit, units)
    return f"{best} ({span})" if span else best


def status_text(value: Value) -> str:
    """How a number came to be known, never upgraded: "common practice"."""
    return value.status


def _span(value: Value, units: UnitChoice) -> str:
    low, high = value.low, value.high
    if low is not None and high is not None:
        low_text, high_text = quantity(low, value.unit, units), quantity(high, value.unit, units)
        unit = high_text.split(NBSP, 1)[-1]
        if low_text.endswith(NBSP + unit) and NBSP in high_text:
            low_text = low_text.rsplit(NBSP + unit, 1)[0]
        return f"{low_text} to {high_text}"
    if low is not None:
        return f"{quantity(low, value.unit, units)} or more"
    if high is not None:
        return f"{quantity(high, value.unit, units)} or less"
    return ""


def _trim(value: float, decimals: int = 1) -> str:
    text = number(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text
