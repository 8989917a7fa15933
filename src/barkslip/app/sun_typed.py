"""What is typed about the air of a day in sun, read at the door and checked against itself."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from barkslip.app.door import Door
from barkslip.app.night_typed import ROUNDING_K, Range, shown, typed_cloud, typed_temperature, typed_wind
from barkslip.domain.errors import InputError, QuestionError
from barkslip.domain.units import parse_quantity

Fields = Mapping[str, str]
#: Dew points are looked for so far below the usual lows and above them [K].
DRY_K, DAMP_K = 25.0, 10.0
#: Air that a garden can have; of two numbers outside it one is likely in another unit [°C].
POSSIBLE_C = (-40.0, 55.0)
_PER_CENT = re.compile(r"^\s*([+\-−]?(?:\d+(?:[.,]\d+)?|[.,]\d+))\s*(%|per cent|percent)?\s*$", re.IGNORECASE)


@dataclass(frozen=True)
class TypedDay:
    """The typed values of a day; None where nothing was typed.

    Parameters
    ----------
    high_c, low_c, dew_c : float or None
        Highest and lowest air, dew point [°C].
    rh_min_pct : float or None
        Relative humidity at the warmest hour [%].
    wind_m_s, cloud : float or None
        Wind at the graft [m/s], share of the sky covered [0..1].
    """

    high_c: float | None = None
    low_c: float | None = None
    dew_c: float | None = None
    rh_min_pct: float | None = None
    wind_m_s: float | None = None
    cloud: float | None = None

    @property
    def air(self) -> bool:
        """True if the air itself was typed, not only its wind, sky or dampness."""
        return self.high_c is not None or self.low_c is not None


def read_day(at: Door, fields: Fields, usual_low: Range, usual_high: Range) -> TypedDay:
    """What is typed about the day.

    Parameters
    ----------
    fields : mapping
        air_max, air_min, dew_point or rh_min (per cent at the warmest hour), wind (at the graft), cloud (0 to 1, or
        per cent).
    usual_low, usual_high : (low, high)
        Usual at this place and time of year [°C].

    Raises
    ------
    InputError
        If a value is missing, cannot be, or two contradict each other.
    QuestionError
        If a number looks like another unit, or a humidity like a fraction.
    """
    _not_swapped(at, fields)
    damp = (usual_low[0] - DRY_K, usual_low[1] + DAMP_K)
    typed = TypedDay(
        high_c=typed_temperature(at, fields, "air_max", usual_high),
        low_c=typed_temperature(at, fields, "air_min", usual_low),
        dew_c=typed_temperature(at, fields, "dew_point", damp),
        rh_min_pct=_humidity(at, fields),
        wind_m_s=typed_wind(at, fields),
        cloud=typed_cloud(at, fields),
    )
    _agree(at, typed)
    return typed


def _humidity(at: Door, fields: Fields) -> float | None:
    text = at.text(fields, "rh_min")
    if not text:
        return None
    match = _PER_CENT.match(text)
    value = float(match[1].replace("−", "-").replace(",", ".")) if match else -1.0
    if match is None or not 0.0 < value <= 100.0:
        raise InputError(
            "Not a relative humidity.",
            given=text,
            allowed="more than 0, up to 100 %",
            next_step="Type the humidity of the warmest hour, in per cent.",
            field="rh_min",
        )
    if value <= 1.0 and not match[2] and "fraction" not in at.sure:
        raise QuestionError(
            f"A relative humidity of {value:g}: was it given as a fraction? Is it {100.0 * value:g} %?",
            code="fraction",
            answers=((f"{100.0 * value:g} %", f"{100.0 * value:g} %"), (f"{value:g} %", f"yes, {value:g} %")),
            given=text,
            allowed="per cent, more than 0, up to 100 %",
            next_step="Type it again with its %.",
            field="rh_min",
        )
    return value


def _not_swapped(at: Door, fields: Fields) -> None:
    """A lowest above the highest is said before either is called unusual."""
    texts = [at.text(fields, name) for name in ("air_max", "air_min")]
    if not all(texts):
        return
    high, low = (
        parse_quantity(text, "temperature", default_unit=at.units.temperature, field=name)
        for text, name in zip(texts, ("air_max", "air_min"), strict=True)
    )
    if low > high + ROUNDING_K and all(POSSIBLE_C[0] <= value <= POSSIBLE_C[1] for value in (low, high)):
        raise InputError(
            "The lowest air of the day is above the highest.",
            given=f"lowest {shown(at, low)}, highest {shown(at, high)}",
            allowed="a lowest that is not above the highest",
            next_step="Check both; they may have been swapped.",
            field="air_min",
        )


def _agree(at: Door, typed: TypedDay) -> None:
    high, low = typed.high_c, typed.low_c
    if (high is None) != (low is None):
        name, called, other = ("air_min", "lowest", "highest") if low is None else ("air_max", "highest", "lowest")
        raise InputError(
            f"The {called} air of the day is missing.",
            given=f"only the {other}",
            allowed="both, the highest and the lowest",
            next_step="Type it; the hours between are drawn from the two.",
            field=name,
        )
    if typed.dew_c is not None and typed.rh_min_pct is not None:
        raise InputError(
            "The dampness of the air is given twice.",
            given=f"dew point {shown(at, typed.dew_c)}, humidity {typed.rh_min_pct:g} %",
            allowed="a dew point, or the humidity of the warmest hour",
            next_step="Leave one of the two out.",
            field="rh_min",
        )
    if high is not None and typed.dew_c is not None and typed.dew_c > high + ROUNDING_K:
        raise InputError(
            "The dew point is above the air.",
            given=f"dew point {shown(at, typed.dew_c)}, highest air {shown(at, high)}",
            allowed="a dew point that is not above the air",
            next_step="Check both; relative humidity is not a dew point.",
            field="dew_point",
        )
