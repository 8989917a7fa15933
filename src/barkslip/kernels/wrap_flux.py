"""Heat flows of a wrapped graft at one moment: sky, wind, scion in the open or in a cover, limb.

Everything is a conductance times a difference from the air outside, so that cover and inside air, which hold almost no
heat, are solved exactly and taken out. Equations G1 to G9: docs/models/heat.md.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import convection as cv
from barkslip.kernels import wrap_index as ix
from barkslip.kernels.constants import PRANDTL, STEFAN_BOLTZMANN

Array = NDArray[np.float64]

#: what a member's sizes come to
N_W = 24
(
    W_SCION_A,
    W_SCION_C,
    W_SCION_FREE4,
    W_LIMB_A,
    W_LIMB_C,
    W_LIMB_FREE4,
    W_COVER_A,
    W_COVER_FREE4,
    W_SCION_INSIDE4,
    W_COVER_INSIDE4,
    W_CAVITY,
    W_TO_OUTSIDE,
    W_CONTACT,
    W_FIRST_K,
    W_BEAM_1,
    W_BEAM_2,
    W_SEES_SKY,
) = range(17)


@njit(cache=True, nogil=True, error_model="numpy")
def free4(size_m: float) -> float:
    """Fourth power of the still-air coefficient of a cylinder per kelvin of difference. Eq. G3."""
    h1 = cv.h_of(cv.cylinder_free(cv.grashof(1.0, size_m)), size_m)
    return h1 * h1 * h1 * h1


#: Churchill & Bernstein's factor of Prandtl for air, and its Reynolds number of turbulence
_BERNSTEIN = 0.62 * PRANDTL ** (1.0 / 3.0) / (1.0 + (0.4 / PRANDTL) ** (2.0 / 3.0)) ** 0.25
_TURBULENT = 282000.0
#: below this (1 + x)^0.8 is taken from its series
_SMALL = 0.1


@njit(cache=True, nogil=True, error_model="numpy")
def forced(wind_m_s: float, size_m: float) -> float:
    """Coefficient [W/m2K] of a cylinder across the wind, by roots: `convection.cylinder_forced` within 1e-6. Eq. G2."""
    re = cv.reynolds(wind_m_s, size_m)
    root = math.sqrt(re / _TURBULENT)
    x = root * math.sqrt(math.sqrt(root))
    if x < _SMALL:
        more = 1.0 + x * (0.8 + x * (-0.08 + x * (0.032 + x * (-0.0176 + x * 0.011264))))
    else:
        more = (1.0 + x) ** 0.8
    return cv.h_of(0.3 + _BERNSTEIN * math.sqrt(re) * more, size_m)


@njit(cache=True, nogil=True, error_model="numpy")
def mixed(forced4: float, free_4: float, difference_k: float) -> float:
    """Forced and free, mixed by the fourth power. Eq. G4."""
    return math.sqrt(math.sqrt(forced4 + free_4 * abs(difference_k)))


@njit(cache=True, nogil=True, error_model="numpy")
def exchange(a_k: float, b_k: float) -> float:
    """Radiative coefficient [W/m2K] between black surfaces. As frost R6."""
    return STEFAN_BOLTZMANN * (a_k * a_k + b_k * b_k) * (a_k + b_k)


@njit(cache=True, nogil=True, error_model="numpy")
def set_sizes(w: Array, p: Array) -> None:
    """What does not change while a member runs."""
    w[:] = 0.0
    d, length = p[ix.P_SCION_D], p[ix.P_SCION_LENGTH]
    w[W_SCION_A] = math.pi * d * length
    w[W_SCION_C] = p[ix.P_SCION_HEAT] * math.pi * 0.25 * d * d * length
    w[W_SCION_FREE4] = free4(d)
    limb = p[ix.P_LIMB_D]
    w[W_LIMB_A] = math.pi * limb * length
    w[W_LIMB_C] = p[ix.P_SCION_HEAT] * math.pi * 0.25 * limb * limb * length
    w[W_LIMB_FREE4] = free4(limb)
    w[W_FIRST_K] = 2.0 * p[ix.P_SCION_K] / d
    w[W_SEES_SKY] = p[ix.P_SKY_VIEW]
    through = p[ix.P_SCION_ALPHA]
    w[W_TO_OUTSIDE] = p[ix.P_SCION_EPS] * w[W_SCION_A]
    if p[ix.P_HOLDS_AIR] > 0.0:
        through *= p[ix.P_COVER_TAU] * p[ix.P_COVER_BEAM]
        wide = p[ix.P_COVER_D]
        w[W_COVER_A] = math.pi * wide * p[ix.P_COVER_LENGTH]
        w[W_COVER_FREE4] = free4(wide)
        w[W_SCION_INSIDE4] = forced(p[ix.P_WIND_INSIDE], d) ** 4
        w[W_COVER_INSIDE4] = forced(p[ix.P_WIND_INSIDE], wide) ** 4
        between = 1.0 / p[ix.P_SCION_EPS] + w[W_SCION_A] / w[W_COVER_A] * (1.0 / p[ix.P_COVER_EPS_IN] - 1.0)
        w[W_CAVITY] = (1.0 - p[ix.P_COVER_TAU_LONG]) * w[W_SCION_A] / between
        w[W_TO_OUTSIDE] *= p[ix.P_COVER_TAU_LONG]
        w[W_CONTACT] = p[ix.P_CONTACT_G] * w[W_SCION_A]
    w[W_BEAM_1] = 0.5 * through
    w[W_BEAM_2] = 2.0 / (3.0 * math.pi) * through


@njit(cache=True, nogil=True, error_model="numpy")
def outside_k(hour: Array, p: Array, air_k: float) -> float:
    """Black body that radiates as sky and surroundings together do [K]. Eq. G1."""
    emissivity = min(1.0, (hour[ix.F_SKY] + p[ix.P_SKY_ERROR]) * hour[ix.F_CLOUD_FACTOR])
    around = air_k + p[ix.P_SURROUNDINGS_ABOVE_AIR] + p[ix.P_SURROUNDINGS_SUN] * 1e-3 * hour[ix.F_LEVEL]
    sky2, around2 = air_k * air_k, around * around
    view = p[ix.P_SKY_VIEW]
    return math.sqrt(math.sqrt(view * emissivity * sky2 * sky2 + (1.0 - view) * around2 * around2))


@njit(cache=True, nogil=True, error_model="numpy")
def sun_on_cylinder(hour: Array, p: Array) -> tuple[float, float]:
    """Sun on an upright cylinder [W/m2]: mean of its girth, and the beam across its axis. Eq. G5."""
    beam = hour[ix.F_BEAM_FRONT] + p[ix.P_BEHIND] * hour[ix.F_BEAM_BEHIND]
    mean = beam / math.pi + 0.5 * hour[ix.F_DIFFUSE] + 0.5 * p[ix.P_GROUND_REFLECTS] * hour[ix.F_LEVEL]
    return p[ix.P_SUN_SHARE] * mean, p[ix.P_SUN_SHARE] * beam


@njit(cache=True, nogil=True, error_model="numpy")
def link_w_k(p: Array, h: float) -> float:
    """Heat that passes along the scion from the limb to where its buds sit [W/K]: a long rod that loses `h` [W/m2K].

    Eq. G10.
    """
    d, k = p[ix.P_SCION_D], p[ix.P_SCION_ALONG]
    reach = math.sqrt(0.25 * k * d / h)
    return k * math.pi * 0.25 * d * d / reach * math.exp(-p[ix.P_BUD_HEIGHT] / reach)


@njit(cache=True, nogil=True, error_model="numpy")
def forward(temp_c: float, aim_c: float, z: float) -> float:
    """Temperature after a step of `z` time constants towards `aim_c`; second order, never overshoots. Eq. G8."""
    return aim_c + (temp_c - aim_c) / (1.0 + z + 0.5 * z * z)


@njit(cache=True, nogil=True, error_model="numpy")
def aim_at(z: float) -> float:
    """Place within the step [0..1] whose forcing makes a steady drift exact. Eq. G9."""
    return (1.0 + z) / (2.0 + z)
