"""Heat death of living bark: rate by temperature, dose with repair, and the minutes that kill.

k(T) = (kB T / h) exp(dS/R) exp(-dH/(R T)); dose = sum of max(0, k - repair) dt; exp(-dose) of the tissue lives.
Parameters: heal.S50 (healing.heat.*). Eq. D1 to D3.
"""

from __future__ import annotations

import math

from numba import njit

from barkslip.kernels.constants import ZERO_C

#: Boltzmann constant over Planck constant [1/(K s)], exact SI values
BOLTZMANN_OVER_PLANCK = 1.380649e-23 / 6.62607015e-34
#: gas constant [J/mol K]
GAS = 8.314462618


@njit(cache=True, nogil=True, error_model="numpy")
def entropy(enthalpy: float, slope_k: float, offset: float) -> float:
    """Activation entropy [J/mol K] from the enthalpy [J/mol]: dH / slope - offset. heal.S50."""
    return enthalpy / slope_k - offset


@njit(cache=True, nogil=True, error_model="numpy")
def rate(temp_c: float, enthalpy: float, entropy_j: float) -> float:
    """Rate of death [1/s] at a temperature [°C]. Eq. D1."""
    t = temp_c + ZERO_C
    return BOLTZMANN_OVER_PLANCK * t * math.exp(entropy_j / GAS - enthalpy / (GAS * t))


@njit(cache=True, nogil=True, error_model="numpy")
def net_rate(temp_c: float, enthalpy: float, entropy_j: float, shift_k: float, repair: float) -> float:
    """Rate of dose [1/s] of a tissue that bears `shift_k` more than that of the source, less repair. Eq. D2."""
    return float(max(0.0, rate(temp_c - shift_k, enthalpy, entropy_j) - repair))


@njit(cache=True, nogil=True, error_model="numpy")
def borne_c(enthalpy: float, entropy_j: float, repair: float) -> float:
    """Temperature [°C] at which death and repair are in balance, by halving; below it no dose is got."""
    low, high = -50.0, 100.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        if rate(middle, enthalpy, entropy_j) < repair:
            low = middle
        else:
            high = middle
    return low


@njit(cache=True, nogil=True, error_model="numpy")
def minutes_to(share: float, temp_c: float, enthalpy: float, entropy_j: float) -> float:
    """Minutes at a temperature [°C] until a share of the tissue is dead, without repair. Eq. D3."""
    return -math.log(1.0 - share) / rate(temp_c, enthalpy, entropy_j) / 60.0
