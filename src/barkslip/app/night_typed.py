"""What is typed about the air of a night, read at the door and checked against itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from barkslip.app.door import Door
from barkslip.domain.errors import InputError
from barkslip.domain.units import c_to_f, parse_quantity, parse_temperature

Fields = Mapping[str, str]
Range = tuple[float, float]
#: Strongest wind that a night is asked about [m/s].
MOST_WIND_M_S = 60.0
#: Dew points are looked for so far below the usual lows and above them [K].
DRY_K, DAMP_K = 25.0, 4.0
#: Rounding of a typed temperature [K].
ROUNDING_K = 0.06


@dataclass(frozen=True)
class TypedAir:
    """The typed values of a night; None where nothing was typed.

    Parameters
    ----------
    sunset_c, later_c, low_c, dew_c : float or None
        Air at sunset, two hours later, at its lowest; dew point [°C].
    wind_m_s, cloud : float or None
        [m/s], [0..1]
    here : bool
        True if the low is that of the plot itself, not of the site.
    """

    sunset_c: float | None = None
    later_c: float | None = None
    low_c: float | None = None
    dew_c: float | None = None
    wind_m_s: float | None = None
    cloud: float | None = None
    here: bool = False

    @property
    def evening(self) -> bool:
        """True if the night itself was typed, not only its sky."""
        return not (self.sunset_c is None and self.later_c is None and self.low_c is None)


def read_air(at: Door, fields: Fields, usual_low: Range, usual_high: Range) -> TypedAir:
    """What is typed about the air.

    Parameters
    ----------
    fields : mapping
        sunset_temp, temp_2h (two hours later), low, dew_point, wind, cloud (0 to 1, or per cent), low_here (yes: the
        low is the plot's own).
    usual_low, usual_high : (low, high)
        Usual at this place and time of year [°C].

    Raises
    ------
    InputError
        If they contradict each other, or cannot be.
    QuestionError
        If a number looks like the other unit.
    """
    evening = (usual_low[0], usual_high[1])
    damp = (usual_low[0] - DRY_K, usual_low[1] + DAMP_K)
    typed = TypedAir(
        sunset_c=typed_temperature(at, fields, "sunset_temp", evening),
        later_c=typed_temperature(at, fields, "temp_2h", evening),
        low_c=typed_temperature(at, fields, "low", usual_low),
        dew_c=typed_temperature(at, fields, "dew_point", damp),
        wind_m_s=typed_wind(at, fields),
        cloud=typed_cloud(at, fields),
        here=at.yes(fields, "low_here"),
    )
    _agree(at, typed)
    return typed


def typed_temperature(at: Door, fields: Fields, name: str, expect: Range) -> float | None:
    """A typed temperature of air [°C]; None if nothing was typed."""
    text = at.text(fields, name)
    if not text:
        return None
    sure = "unit" in at.sure or "unusual" in at.sure
    return parse_temperature(text, home=at.units.temperature, expect_c=expect, sure=sure, field=name)


def typed_wind(at: Door, fields: Fields) -> float | None:
    """A typed wind [m/s]; None if nothing was typed."""
    text = at.text(fields, "wind")
    if not text:
        return None
    wind = parse_quantity(text, "speed", default_unit=at.units.speed, field="wind")
    if not 0.0 <= wind <= MOST_WIND_M_S:
        raise InputError(
            "That number cannot be.",
            given=text,
            allowed=f"0 to {MOST_WIND_M_S:g} m/s",
            next_step="Check the wind and its unit.",
            field="wind",
        )
    return wind


def typed_cloud(at: Door, fields: Fields) -> float | None:
    """A typed share of the sky that is covered [0..1]; None if nothing was typed."""
    text = at.text(fields, "cloud")
    if not text:
        return None
    plain = text.rstrip("% ")
    if plain != text:
        percent = at.number({"cloud": plain}, "cloud", 0, 100, unit="%")
        return None if percent is None else percent / 100.0
    try:
        return at.number({"cloud": plain}, "cloud", 0, 1)
    except InputError as error:
        error.allowed = "0 (clear) to 1 (covered), or 0 to 100 %"
        raise InputError(
            error.problem, given=text, allowed=error.allowed, next_step="Type a share, or per cent.", field="cloud"
        ) from None


def shown(at: Door, temp_c: float) -> str:
    """A temperature in the garden's unit, for a message."""
    return f"{c_to_f(temp_c):.0f} °F" if at.units.temperature == "°F" else f"{temp_c:.1f} °C"


def _agree(at: Door, typed: TypedAir) -> None:
    evening = [(t, n) for t, n in ((typed.later_c, "two hours later"), (typed.sunset_c, "at sunset")) if t is not None]
    for temp, when in evening:
        if typed.low_c is not None and typed.low_c > temp + ROUNDING_K:
            raise InputError(
                "The low is above the air of the evening.",
                given=f"low {shown(at, typed.low_c)}, {when} {shown(at, temp)}",
                allowed="a low that is not above the evening",
                next_step="Check both; they may have been swapped.",
                field="low",
            )
    if typed.later_c is not None and typed.sunset_c is not None and typed.later_c > typed.sunset_c + ROUNDING_K:
        raise InputError(
            "Two hours after sunset it would be warmer than at sunset.",
            given=f"at sunset {shown(at, typed.sunset_c)}, two hours later {shown(at, typed.later_c)}",
            allowed="an evening that does not get warmer",
            next_step="Check both; on a night that warms up, take a forecast by the hour.",
            field="temp_2h",
        )
    warmest = max((t for t, _ in evening), default=None)
    if typed.dew_c is not None and warmest is not None and typed.dew_c > warmest + ROUNDING_K:
        raise InputError(
            "The dew point is above the air.",
            given=f"dew point {shown(at, typed.dew_c)}, air {shown(at, warmest)}",
            allowed="a dew point that is not above the air",
            next_step="Check both; relative humidity is not a dew point.",
            field="dew_point",
        )
