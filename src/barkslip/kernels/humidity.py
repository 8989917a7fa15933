"""Moist air: saturation over water and ice, dew and frost point, wet bulb by iteration.

Sources: Tetens (over water in frost.fao-56), Hyland & Wexler 1983 (in frost.ashrae-2017 ch. 1), psychrometric constant
from frost.fao-56. Stull's one-line wet bulb (frost.stull-2011) is 0.3 to 0.7 K too cold near freezing and is not used.
"""

from __future__ import annotations

import math

from numba import njit

from barkslip.kernels.constants import PRESSURE_STD, R_VAPOUR, VAPOUR_RATIO, ZERO_C


@njit(cache=True, nogil=True, error_model="numpy")
def sat_water_pa(temp_c: float) -> float:
    """Saturation vapour pressure over water [Pa], Tetens; `temp_c` [°C]. Eq. H1."""
    return 610.8 * math.exp(17.27 * temp_c / (temp_c + 237.3))


@njit(cache=True, nogil=True, error_model="numpy")
def sat_ice_pa(temp_c: float) -> float:
    """Saturation vapour pressure over ice [Pa], Tetens; `temp_c` [°C], at or below 0. Eq. H2."""
    return 610.8 * math.exp(21.875 * temp_c / (temp_c + 265.5))


@njit(cache=True, nogil=True, error_model="numpy")
def sat_surface_pa(temp_c: float) -> float:
    """Saturation vapour pressure [Pa] over a wet surface at `temp_c` [°C]: ice below 0, water above."""
    if temp_c < 0.0:
        return sat_ice_pa(temp_c)
    return sat_water_pa(temp_c)


@njit(cache=True, nogil=True, error_model="numpy")
def exp_near(x: float) -> float:
    """e to the power x within 1e-6 of itself for x from -6 to 6: five terms of a 64th of x, squared six times.

    It costs half of `math.exp`.
    """
    x *= 1.0 / 64.0
    y = 1.0 + x * (1.0 + x * (0.5 + x * (1.0 / 6.0 + x * (1.0 / 24.0 + x * (1.0 / 120.0)))))
    y *= y
    y *= y
    y *= y
    y *= y
    y *= y
    return y * y


@njit(cache=True, nogil=True, error_model="numpy")
def sat_density(temp_c: float) -> tuple[float, float]:
    """Vapour over a wet surface [kg/m3] and its relative slope [1/K]: that of Tetens less that of the ideal gas.

    As `sat_surface_pa` tells it within 1e-6 of itself, from -60 to 100 °C.
    """
    a = 21.875 if temp_c < 0.0 else 17.27
    b = 265.5 if temp_c < 0.0 else 237.3
    over = 1.0 / ((temp_c + b) * (temp_c + ZERO_C))  # one quotient for two
    above, kelvin = over * (temp_c + ZERO_C), over * (temp_c + b)
    return 610.8 / R_VAPOUR * exp_near(a * temp_c * above) * kelvin, a * b * above * above - kelvin


@njit(cache=True, nogil=True, error_model="numpy")
def sat_ashrae_pa(temp_c: float) -> float:
    """Saturation vapour pressure [Pa] over ice below 0.01 °C and over water above, Hyland & Wexler 1983. Eq. H3."""
    t = temp_c + ZERO_C
    if temp_c <= 0.01:
        return math.exp(
            -5.6745359e3 / t
            + 6.3925247
            - 9.677843e-3 * t
            + 6.2215701e-7 * t**2
            + 2.0747825e-9 * t**3
            - 9.484024e-13 * t**4
            + 4.1635019 * math.log(t)
        )
    return math.exp(
        -5.8002206e3 / t
        + 1.3914993
        - 4.8640239e-2 * t
        + 4.1764768e-5 * t**2
        - 1.4452093e-8 * t**3
        + 6.5459673 * math.log(t)
    )


@njit(cache=True, nogil=True, error_model="numpy")
def sat_slope_pa_k(temp_c: float) -> float:
    """Slope of the saturation curve over water [Pa/K]; frost.fao-56 eq. 13."""
    return 4098.0 * sat_water_pa(temp_c) / (temp_c + 237.3) ** 2


@njit(cache=True, nogil=True, error_model="numpy")
def dew_point_c(vapour_pa: float) -> float:
    """Dew point [°C] of a vapour pressure [Pa], above 0: the temperature at which water is saturated."""
    x = math.log(vapour_pa / 610.8)
    return 237.3 * x / (17.27 - x)


@njit(cache=True, nogil=True, error_model="numpy")
def frost_point_c(vapour_pa: float) -> float:
    """Frost point [°C] of a vapour pressure [Pa] below 610.8: the temperature at which ice is saturated."""
    x = math.log(vapour_pa / 610.8)
    return 265.5 * x / (21.875 - x)


@njit(cache=True, nogil=True, error_model="numpy")
def vapour_density(vapour_pa: float, temp_c: float) -> float:
    """Mass of vapour in the air [kg/m3]."""
    return vapour_pa / (R_VAPOUR * (temp_c + ZERO_C))


@njit(cache=True, nogil=True, error_model="numpy")
def pressure_at_pa(height_m: float) -> float:
    """Pressure of the standard atmosphere [Pa] at a height above the sea [m]; frost.ashrae-2017 ch. 1 eq. 3."""
    return PRESSURE_STD * (1.0 - 2.25577e-5 * height_m) ** 5.2559


@njit(cache=True, nogil=True, error_model="numpy")
def pressure_fao_pa(height_m: float) -> float:
    """Pressure [Pa] at a height [m] for 20 °C; frost.fao-56 eq. 7."""
    return 101.3e3 * ((293.0 - 0.0065 * height_m) / 293.0) ** 5.26


@njit(cache=True, nogil=True, error_model="numpy")
def psychrometric_pa_k(pressure_pa: float) -> float:
    """Psychrometric constant [Pa/K] of a pressure [Pa]; frost.fao-56 eq. 8."""
    return 0.000665 * pressure_pa


@njit(cache=True, nogil=True, error_model="numpy")
def vapour_from_wet_bulb_pa(air_c: float, wet_c: float, pressure_pa: float) -> float:
    """Vapour pressure [Pa] from dry and wet bulb [°C], ventilated; frost.fao-56 eq. 15 and 16."""
    return sat_water_pa(wet_c) - 0.000662 * pressure_pa * (air_c - wet_c)


@njit(cache=True, nogil=True, error_model="numpy")
def humidity_ratio(vapour_pa: float, pressure_pa: float) -> float:
    """Mass of vapour per mass of dry air."""
    return VAPOUR_RATIO * vapour_pa / (pressure_pa - vapour_pa)


@njit(cache=True, nogil=True, error_model="numpy")
def ratio_from_wet_bulb(air_c: float, wet_c: float, pressure_pa: float) -> float:
    """Humidity ratio from dry and wet bulb [°C]; below 0 the bulb is iced. frost.ashrae-2017 ch. 1 eq. 33 and 35."""
    saturated = humidity_ratio(sat_ashrae_pa(wet_c), pressure_pa)
    if wet_c >= 0.0:
        return ((2501.0 - 2.326 * wet_c) * saturated - 1.006 * (air_c - wet_c)) / (
            2501.0 + 1.86 * air_c - 4.186 * wet_c
        )
    return ((2830.0 - 0.24 * wet_c) * saturated - 1.006 * (air_c - wet_c)) / (2830.0 + 1.86 * air_c - 2.1 * wet_c)


@njit(cache=True, nogil=True, error_model="numpy")
def wet_bulb_c(air_c: float, ratio: float, pressure_pa: float) -> float:
    """Wet bulb [°C] of air at `air_c` [°C] with a humidity ratio, by halving an interval 60 times. Eq. H4.

    Checked by tests/kernels/test_humidity.py against frost.ashrae-2017 pairs.
    """
    low = air_c - 60.0
    high = air_c
    for _ in range(60):
        middle = 0.5 * (low + high)
        if ratio_from_wet_bulb(air_c, middle, pressure_pa) > ratio:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


@njit(cache=True, nogil=True, error_model="numpy")
def air_at_wet_bulb_c(wet_c: float, dew_c: float, pressure_pa: float) -> float:
    """Air temperature [°C] at which the wet bulb over water stands at `wet_c` [°C], for a dew point [°C]. Eq. H5.

    Sprinkling is started before the air falls to this temperature, with the critical temperature as `wet_c`.
    """
    gamma = 0.00066 * (1.0 + 0.00115 * wet_c) * pressure_pa
    return wet_c + (sat_water_pa(wet_c) - sat_water_pa(dew_c)) / gamma
