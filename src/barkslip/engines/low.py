"""The air of a typed night, and the low expected from the grower's own nights.

The two-step regression and the square-root curve are those of frost.fao-2005; checked by tests/engines/test_low.py
against tests/published/fao_two_step.toml. kernels are loaded inside functions: a command that only looks needs none.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.errors import InputError
from barkslip.domain.low import ExpectedLow, LowFit, LowPair
from barkslip.domain.night import NightAir
from barkslip.engines.offset import Limits, still_share
from barkslip.engines.own_nights import OwnNight

Floats = NDArray[np.float64]
#: Hour of the evening's values in the published form [h after sunset].
PUBLISHED_HOUR = 2


def pairs_of(nights: Sequence[OwnNight], limits: Limits, *, hour: int = PUBLISHED_HOUR) -> tuple[LowPair, ...]:
    """Nights to learn from: still ones with a known dew point and a low below the evening.

    Parameters
    ----------
    nights : sequence of OwnNight
    limits : Limits
    hour : {0, 2}
        Evening's air at sunset, or two hours later.
    """
    out = []
    for night in nights:
        share = still_share(night.wind_m_s, night.cloud, limits, fall_k=night.fall_k)
        later = hour == PUBLISHED_HOUR
        evening, dew = (night.later_c, night.later_dew_c) if later else (night.sunset_c, night.sunset_dew_c)
        if share is not None and share >= 1.0 and dew is not None and night.low_c < evening:
            out.append(LowPair(night.day, evening, dew, night.low_c))
    return tuple(out)


def fit_low(pairs: Sequence[LowPair], *, fewest: int, hour: int = PUBLISHED_HOUR) -> LowFit:
    """Fit the low in two steps.

    Parameters
    ----------
    pairs : sequence of LowPair
    fewest : int
        Nights needed; from the knowledge base, not below 4.

    Raises
    ------
    InputError
        With fewer nights.

    Notes
    -----
    First the low on the evening's air, then the residual on the dew point, each by least squares (frost.fao-2005).
    That is not the joint regression on both.
    """
    from barkslip.kernels import cooling

    n = len(pairs)
    if n < max(fewest, 4):
        raise InputError(
            "Too few still nights of your own to foretell a low from them.",
            given=f"{n} night{'' if n == 1 else 's'} with air and dew point",
            allowed=f"{max(fewest, 4)} nights or more",
            next_step="Type the low that the forecast gives.",
            field="low",
        )
    air, dew, low = (np.array([getattr(p, name) for p in pairs]) for name in ("evening_c", "dew_c", "low_c"))
    a, b, c, first, second = (float(v) for v in cooling.fit_low(air, dew, low))
    errors = []
    for i in range(n):
        kept = np.arange(n) != i
        others = cooling.fit_low(air[kept], dew[kept], low[kept])
        errors.append(float(cooling.low_of(others, air[i], dew[i])) - float(low[i]))
    return LowFit(
        a, b, c, hour, n, first, second, sqrt(sum(e * e for e in errors) / n),
        (float(air.min()), float(air.max())), (float(dew.min()), float(dew.max())),
    )  # fmt: skip


def expected_low(fit: LowFit, evening_c: float, dew_c: float) -> ExpectedLow:
    """The low that a fit foretells.

    Parameters
    ----------
    evening_c, dew_c : float
        Air and dew point at the fit's hour [°C].

    Notes
    -----
    The error is that of nights left out of the fit. Outside the evenings it was fitted to, what the two slopes would
    have to carry beyond them is added to it.
    """
    low = fit.slope_air * evening_c + fit.slope_dew * dew_c + fit.constant_c
    past_air, past_dew = _past(evening_c, fit.air_c), _past(dew_c, fit.dew_c)
    sd = hypot(fit.left_out_k, fit.slope_air * past_air, fit.slope_dew * past_dew)
    return ExpectedLow(low, sd, fit.nights, past_air > 0.0 or past_dew > 0.0)


def _past(value: float, known: tuple[float, float]) -> float:
    return max(known[0] - value, value - known[1], 0.0)


def typed_night(
    seconds: Floats,
    *,
    sunset_c: float,
    low_c: float,
    dew_c: float,
    wind_m_s: float,
    cloud: float,
    night_h: float,
    warming_k_h: float,
    later_c: float | None = None,
) -> Floats:
    """Air, dew point, wind, cloud and sun of a night from a few typed values.

    Parameters
    ----------
    seconds : float64 array, shape (n,)
        After sunset [s].
    sunset_c, low_c, dew_c : float
        [°C]; the low comes at sunrise.
    wind_m_s, cloud : float
        Held all night [m/s], [0..1].
    night_h : float
        From sunset to sunrise [h], above 2.
    warming_k_h : float
        Rise of the air after sunrise [K/h].
    later_c : float or None
        Air two hours after sunset [°C], where the published curve starts; without it the root starts at sunset.

    Returns
    -------
    float64 array, shape (n, 5)
        [°C], [°C], [m/s], [0..1], [W/m²]; the dew point never above the air, the sun 0.
    """
    from barkslip.kernels import cooling

    first = np.nan if later_c is None else later_c
    rows = cooling.typed_night(
        np.asarray(seconds, dtype=np.float64), sunset_c, low_c, dew_c, wind_m_s, cloud, night_h, first, warming_k_h
    )
    return np.asarray(rows, dtype=np.float64)


def dew_point_c(air_c: Floats, rel_humidity_pct: Floats) -> Floats:
    """Dew point over water [°C] of air [°C] with a relative humidity [%], shape (n,); NaN where one is missing."""
    from barkslip.kernels import humidity

    out = np.full(air_c.shape, np.nan)
    for i, (air, wet) in enumerate(zip(air_c.tolist(), rel_humidity_pct.tolist(), strict=True)):
        if np.isfinite(air) and wet > 0.0:
            out[i] = humidity.dew_point_c(0.01 * min(wet, 100.0) * humidity.sat_water_pa(air))
    return out


def frost_kind(air: NightAir, limits: Limits | None = None) -> str:
    """ "still frost", "windy frost" or "no frost", by the air expected.

    A still night can bring frost to leaves while the air in a screen is above 0 °C; a windy one cannot.

    Parameters
    ----------
    air : NightAir
    limits : Limits or None
        None takes those that ship with the program.
    """
    limits = limits or Limits()
    dark = [i for i, s in enumerate(air.time_s) if air.sunset_s <= s <= air.sunrise_s] or list(range(len(air.time_s)))
    wind = sum(air.wind_m_s[i] for i in dark) / len(dark)
    cloud = sum(air.cloud[i] for i in dark) / len(dark)
    share = still_share(wind, cloud, limits)
    if share is not None and share >= 0.5:
        return "still frost" if air.low_c < limits.still_frost_air_c else "no frost"
    return "windy frost" if air.low_c < limits.frost_c else "no frost"
