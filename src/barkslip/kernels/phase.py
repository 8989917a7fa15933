"""Enthalpy of things that freeze: water, wet soil, fruit.

Enthalpy is counted from liquid at 0 °C. Every function gives the temperature at an enthalpy and the local heat
capacity dH/dT, with which the balance is solved; on the plateau of melting ice dH/dT has no bound and `FLAT` stands
for it.
"""

from __future__ import annotations

import math

from numba import njit

#: dH/dT on a plateau [J/K]: large enough to hold the temperature within a micro-kelvin
FLAT = 1e12


@njit(cache=True, nogil=True, error_model="numpy")
def plateau_point(heat_j: float, above_j_k: float, below_j_k: float, latent_j: float) -> tuple[float, float]:
    """Temperature [°C] and capacity [J/K] of something that freezes at 0 °C. Eq. F1.

    Parameters
    ----------
    heat_j : float
        Enthalpy [J] from liquid at 0 °C.
    above_j_k, below_j_k : float
        Heat capacity thawed and frozen [J/K], above 0.
    latent_j : float
        Heat of freezing all its water [J].
    """
    if heat_j > 0.0:
        return heat_j / above_j_k, above_j_k
    if heat_j >= -latent_j and latent_j > 0.0:
        return 0.0, FLAT
    return (heat_j + latent_j) / below_j_k, below_j_k


@njit(cache=True, nogil=True, error_model="numpy")
def plateau_heat(temp_c: float, above_j_k: float, below_j_k: float, latent_j: float) -> float:
    """Enthalpy [J] at a temperature [°C]; at 0 °C that of the liquid."""
    if temp_c >= 0.0:
        return above_j_k * temp_c
    return below_j_k * temp_c - latent_j


@njit(cache=True, nogil=True, error_model="numpy")
def plateau_ice(heat_j: float, latent_j: float) -> float:
    """Share of the water that is ice, 0 to 1."""
    if latent_j <= 0.0:
        return 0.0
    return min(1.0, max(0.0, -heat_j / latent_j))


@njit(cache=True, nogil=True, error_model="numpy")
def solution_ice(temp_c: float, freezing_c: float) -> float:
    """Share of the water of an ideal solution that is ice: 1 - Tf/T below the freezing point Tf [°C]. Eq. F2."""
    if temp_c >= freezing_c:
        return 0.0
    return 1.0 - freezing_c / temp_c


@njit(cache=True, nogil=True, error_model="numpy")
def solution_heat(temp_c: float, capacity_j_k: float, latent_j: float, freezing_c: float) -> float:
    """Enthalpy [J] of a solution at a temperature [°C]. Eq. F3: H = C T - L (1 - Tf/T)."""
    return capacity_j_k * temp_c - latent_j * solution_ice(temp_c, freezing_c)


@njit(cache=True, nogil=True, error_model="numpy")
def solution_point(heat_j: float, capacity_j_k: float, latent_j: float, freezing_c: float) -> tuple[float, float]:
    """Temperature [°C] and capacity [J/K] of a solution: the root of eq. F3 below 0, no supercooling."""
    if heat_j >= capacity_j_k * freezing_c or latent_j <= 0.0:
        return heat_j / capacity_j_k, capacity_j_k
    b = latent_j + heat_j
    root = math.sqrt(b * b - 4.0 * capacity_j_k * latent_j * freezing_c)
    if b > 0.0:  # the same root written without a difference of near-equal numbers
        temp = 2.0 * latent_j * freezing_c / (b + root)
    else:
        temp = (b - root) / (2.0 * capacity_j_k)
    return temp, capacity_j_k - latent_j * freezing_c / (temp * temp)
