"""Heat in the ground: layers, their conductances, and the analytic cooling of a deep slab that checks them."""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

#: thickness of the layers [m], from the top
LAYERS_M = (0.01, 0.02, 0.04, 0.08, 0.16, 0.32)
N_LAYERS = len(LAYERS_M)


@njit(cache=True, nogil=True, error_model="numpy")
def half_resistance(layer: int, conductivity: float) -> float:
    """Resistance [m2K/W] from the middle of a layer to its face, for a conductivity [W/mK]."""
    return LAYERS_M[layer] / (2.0 * conductivity)


@njit(cache=True, nogil=True, error_model="numpy")
def between(layer: int, conductivity: float) -> float:
    """Conductance [W/m2K] from the middle of a layer to the middle of the next. Eq. G1."""
    return 1.0 / (half_resistance(layer, conductivity) + half_resistance(layer + 1, conductivity))


@njit(cache=True, nogil=True, error_model="numpy")
def slab_drop_k(loss_w_m2: float, seconds: float, conductivity: float, capacity_j_m3k: float) -> float:
    """Fall of the surface [K] of a deep even slab that loses a steady flux; Brunt. Eq. G2."""
    return 2.0 / math.sqrt(math.pi) * loss_w_m2 * math.sqrt(seconds) / math.sqrt(conductivity * capacity_j_m3k)


@njit(cache=True, nogil=True, error_model="numpy")
def damping_depth_m(diffusivity_m2_s: float, period_s: float) -> float:
    """Depth [m] at which a wave of a period [s] is damped to 1/e."""
    return math.sqrt(diffusivity_m2_s * period_s / math.pi)


@njit(cache=True, nogil=True, error_model="numpy")
def profile_c(surface_c: float, deep_c: float, depth_m: float) -> NDArray[np.float64]:
    """Temperatures [°C] of the layers at sunset: from `surface_c` towards `deep_c` within a depth [m]. Eq. G3."""
    out = np.empty(N_LAYERS)
    top = 0.0
    for i in range(N_LAYERS):
        middle = top + 0.5 * LAYERS_M[i]
        out[i] = deep_c + (surface_c - deep_c) * math.exp(-middle / depth_m)
        top += LAYERS_M[i]
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def monthly_flux_mj_m2(before_c: float, after_c: float) -> float:
    """Heat into the ground per day [MJ/m2] from the means of the months before and after [°C]; frost.fao-56 eq. 43."""
    return 0.07 * (after_c - before_c)
