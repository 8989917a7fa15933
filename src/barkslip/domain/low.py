"""The low of a night, expected from the evening by what the grower's own nights did."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class LowPair:
    """One past night to learn from [°C]: air and dew point in the evening, and the low."""

    day: str
    evening_c: float
    dew_c: float
    low_c: float


@dataclass(frozen=True)
class LowFit:
    """Two steps: the low on the evening's air, then what is left on the dew point.

    Parameters
    ----------
    slope_air, slope_dew : float
        [K/K]
    constant_c : float
        [°C]
    hour : int
        Hours after sunset of the evening's values: 2 as published, or 0.
    nights : int
        Nights it was fitted to.
    rmse_air_k, rmse_k : float
        Root mean square of what is left after each step, on the very nights it was fitted to [K]: too good a picture.
    left_out_k : float
        The same with each night foretold from the others only [K]: what a new night may be off by.
    air_c, dew_c : (low, high)
        Range of the evenings it was fitted to [°C].
    """

    slope_air: float
    slope_dew: float
    constant_c: float
    hour: int
    nights: int
    rmse_air_k: float
    rmse_k: float
    left_out_k: float
    air_c: tuple[float, float]
    dew_c: tuple[float, float]


@dataclass(frozen=True)
class ExpectedLow:
    """A low foretold by a fit.

    Parameters
    ----------
    low_c, sd_k : float
        [°C], [K]
    nights : int
    beyond : bool
        True if the evening lies outside those it was fitted to.
    """

    low_c: float
    sd_k: float
    nights: int
    beyond: bool
