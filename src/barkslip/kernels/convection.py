"""Transfer of heat between air and leaves, twigs, trunk, fruit, covers and ground.

Nusselt numbers; h = Nu k / d. Forced and free are mixed by the power 3.5 (frost.monteith-unsworth). Leaf: the same,
table A.5. Cylinders and covers across the wind: frost.churchill-bernstein. Sphere: frost.gates (forced),
frost.churchill-sphere (free). Covers inside and outside, free: 0.13 Ra^(1/3).
"""

from __future__ import annotations

import math

from numba import njit

from barkslip.kernels.constants import (
    AIR_CONDUCTIVITY,
    AIR_DIFFUSIVITY,
    AIR_VISCOSITY,
    GRAVITY,
    PRANDTL,
    ZERO_C,
)

#: exponent by which forced and free convection are mixed
MIX = 3.5
#: below this a base of a power stands for 0, which a step of Halley cannot take
LEAST_POWER = 1e-30
#: a step of Halley smaller than this, as a share, leaves 4 times its cube
NEAR_ENOUGH = 1e-3


@njit(cache=True, nogil=True, error_model="numpy")
def reynolds(wind_m_s: float, size_m: float) -> float:
    """Reynolds number."""
    return wind_m_s * size_m / AIR_VISCOSITY


@njit(cache=True, nogil=True, error_model="numpy")
def grashof(difference_k: float, size_m: float) -> float:
    """Grashof number of a temperature difference [K] over a size [m], at 0 °C."""
    return GRAVITY / ZERO_C * abs(difference_k) * size_m**3 / AIR_VISCOSITY**2


@njit(cache=True, nogil=True, error_model="numpy")
def leaf_forced(re: float) -> float:
    """Flat leaf, the larger of laminar and turbulent, so that there is no jump. Eq. C1."""
    return float(max(0.60 * math.sqrt(re), 0.032 * re**0.8))


@njit(cache=True, nogil=True, error_model="numpy")
def leaf_free(gr: float) -> float:
    """Flat leaf, mean of its stable (0.23) and unstable side (0.50). Eq. C2."""
    return 0.365 * math.sqrt(math.sqrt(gr))


@njit(cache=True, nogil=True, error_model="numpy")
def cylinder_forced(re: float, pr: float) -> float:
    """Cylinder across the wind, Churchill & Bernstein 1977. Eq. C3."""
    base = 0.62 * math.sqrt(re) * pr ** (1.0 / 3.0) / (1.0 + (0.4 / pr) ** (2.0 / 3.0)) ** 0.25
    return float(0.3 + base * (1.0 + (re / 282000.0) ** 0.625) ** 0.8)


@njit(cache=True, nogil=True, error_model="numpy")
def cylinder_free(gr: float) -> float:
    """Cylinder, laminar below Gr 1e9 and turbulent above; Monteith & Unsworth. Eq. C4."""
    if gr > 1e9:
        return float(0.09 * gr ** (1.0 / 3.0))
    return 0.48 * math.sqrt(math.sqrt(gr))


@njit(cache=True, nogil=True, error_model="numpy")
def cylinder_free_churchill_chu(ra: float, pr: float) -> float:
    """Level cylinder, Churchill & Chu; for comparison."""
    return float((0.60 + 0.387 * ra ** (1.0 / 6.0) / (1.0 + (0.559 / pr) ** (9.0 / 16.0)) ** (8.0 / 27.0)) ** 2)


@njit(cache=True, nogil=True, error_model="numpy")
def plate_free_churchill_chu(ra: float, pr: float) -> float:
    """Upright plate, Churchill & Chu; for comparison with the 0.13 Ra^(1/3) of covers."""
    return float((0.825 + 0.387 * ra ** (1.0 / 6.0) / (1.0 + (0.492 / pr) ** (9.0 / 16.0)) ** (8.0 / 27.0)) ** 2)


@njit(cache=True, nogil=True, error_model="numpy")
def sphere_free(ra: float, pr: float) -> float:
    """Sphere, Churchill. Eq. C5."""
    form = 1.0 + (0.469 / pr) ** (9.0 / 16.0)
    laminar = 0.589 * math.sqrt(math.sqrt(ra)) / form ** (4.0 / 9.0)
    return float(2.0 + laminar * (1.0 + 7.44e-8 * ra / form ** (16.0 / 9.0)) ** (1.0 / 12.0))


@njit(cache=True, nogil=True, error_model="numpy")
def sphere_forced(re: float) -> float:
    """Sphere, Gates. Eq. C6."""
    return float(0.37 * re**0.6)


@njit(cache=True, nogil=True, error_model="numpy")
def plate_forced(re: float, pr: float) -> float:
    """Flat plate along the wind, laminar. Eq. C7."""
    return float(0.664 * math.sqrt(re) * pr ** (1.0 / 3.0))


@njit(cache=True, nogil=True, error_model="numpy")
def sheet_free(ra: float) -> float:
    """Large sheet, turbulent: the size of the sheet drops out of h. Eq. C8."""
    return float(0.13 * ra ** (1.0 / 3.0))


@njit(cache=True, nogil=True, error_model="numpy")
def h_of(nusselt: float, size_m: float) -> float:
    """Coefficient [W/m2K] of a Nusselt number over a size [m]."""
    return nusselt * AIR_CONDUCTIVITY / size_m


@njit(cache=True, nogil=True, error_model="numpy")
def power_mix(x: float) -> float:
    """x to the power 3.5, by multiplication and one root."""
    return x * x * x * math.sqrt(x)


@njit(cache=True, nogil=True, error_model="numpy")
def two_sevenths(x: float, near: float) -> float:
    """x to the power 2/7, which undoes `power_mix`, within 1e-8 of itself; `near` is a guess, 0 if there is none.

    Steps of Halley for y^7 = x^2 cost a quarter of a general power, if the guess was near.
    """
    y, square = near, x * x
    for _ in range(2):
        before = y
        seventh = y * y * y * y * y * y * y
        y *= (6.0 * seventh + 8.0 * square) / (8.0 * seventh + 6.0 * square)
        if abs(y - before) < NEAR_ENOUGH * y:
            return y
    return float(x ** (1.0 / MIX))


@njit(cache=True, nogil=True, error_model="numpy")
def seven_sixths(x: float) -> float:
    """x to the power 7/6, within 1e-5 of itself from 1e-4 to 1e3; by roots and a step of Halley.

    Square roots give x to the power 1/8 + 1/32 + 1/128 = 0.164; the step for y^3 = x^(1/2) does the rest.
    """
    x = max(x, LEAST_POWER)
    root = math.sqrt(x)
    fourth = math.sqrt(math.sqrt(root))
    part = math.sqrt(math.sqrt(fourth))
    y = fourth * part * math.sqrt(math.sqrt(part))
    cube = y * y * y
    return x * y * (cube + 2.0 * root) / (2.0 * cube + root)


@njit(cache=True, nogil=True, error_model="numpy")
def seven_eighths(x: float) -> float:
    """x to the power 7/8."""
    root = math.sqrt(x)
    fourth = math.sqrt(root)
    return root * fourth * math.sqrt(fourth)


@njit(cache=True, nogil=True, error_model="numpy")
def rayleigh_per_k(size_m: float) -> float:
    """Rayleigh number of a size [m] per kelvin of difference, at 0 °C."""
    return grashof(1.0, size_m) * PRANDTL


@njit(cache=True, nogil=True, error_model="numpy")
def sheet_unit() -> float:
    """h1 [W/m2K^(4/3)] of the law h = h1 |dT|^(1/3) of large sheets."""
    return float(0.13 * AIR_CONDUCTIVITY * (GRAVITY / ZERO_C / (AIR_VISCOSITY * AIR_DIFFUSIVITY)) ** (1.0 / 3.0))
