"""Long-wave radiation of the night sky, and the day's radiation as far as published examples check it.

Emissivities of the clear sky: e vapour pressure [hPa], T air temperature [K].
Sources: frost.sky-1996, frost.sky-1981, frost.brutsaert-1975, frost.swinbank.
"""

from __future__ import annotations

import math

from numba import njit

from barkslip.kernels.constants import STEFAN_BOLTZMANN, ZERO_C


@njit(cache=True, nogil=True, error_model="numpy")
def prata(vapour_hpa: float, air_k: float) -> float:
    """Prata 1996. Eq. R1."""
    x = 46.5 * vapour_hpa / air_k
    return 1.0 - (1.0 + x) * math.exp(-math.sqrt(1.2 + 3.0 * x))


@njit(cache=True, nogil=True, error_model="numpy")
def idso(vapour_hpa: float, air_k: float) -> float:
    """Idso 1981. Eq. R2."""
    return 0.70 + 5.95e-5 * vapour_hpa * math.exp(1500.0 / air_k)


@njit(cache=True, nogil=True, error_model="numpy")
def brutsaert(vapour_hpa: float, air_k: float) -> float:
    """Brutsaert 1975; for comparison only."""
    return float(1.24 * (vapour_hpa / air_k) ** (1.0 / 7.0))


@njit(cache=True, nogil=True, error_model="numpy")
def swinbank(air_k: float) -> float:
    """Swinbank as in Campbell & Norman eq. 10.11; for comparison only."""
    return 9.2e-6 * air_k**2


@njit(cache=True, nogil=True, error_model="numpy")
def clear_sky_emissivity(vapour_hpa: float, air_k: float, prata_share: float) -> float:
    """Emissivity of the clear sky between Prata (share 1) and Idso (share 0). Eq. R3."""
    return prata_share * prata(vapour_hpa, air_k) + (1.0 - prata_share) * idso(vapour_hpa, air_k)


@njit(cache=True, nogil=True, error_model="numpy")
def cloudy(clear: float, cloud: float) -> float:
    """Emissivity under cloud (0 to 1), at most 1. Eq. R4."""
    return float(min(1.0, clear * (1.0 + 0.22 * cloud**2.75)))


@njit(cache=True, nogil=True, error_model="numpy")
def sky_k(emissivity: float, air_k: float) -> float:
    """Temperature [K] of the black body that radiates as the sky does. Eq. R5."""
    return air_k * math.sqrt(math.sqrt(emissivity))


@njit(cache=True, nogil=True, error_model="numpy")
def net_loss_w_m2(emissivity: float, air_k: float) -> float:
    """Net gain [W/m2] (a loss is negative) of a level black surface at air temperature."""
    return (emissivity - 1.0) * STEFAN_BOLTZMANN * air_k**4


@njit(cache=True, nogil=True, error_model="numpy")
def exchange(a_k: float, b_k: float) -> float:
    """Radiative coefficient [W/m2K] between two black surfaces: exact secant of T^4. Eq. R6."""
    return STEFAN_BOLTZMANN * (a_k * a_k + b_k * b_k) * (a_k + b_k)


@njit(cache=True, nogil=True, error_model="numpy")
def net_emissivity_fao(vapour_kpa: float) -> float:
    """Net emissivity of frost.fao-56 eq. 39."""
    return 0.34 - 0.14 * math.sqrt(vapour_kpa)


@njit(cache=True, nogil=True, error_model="numpy")
def net_long_wave_fao(low_c: float, high_c: float, vapour_kpa: float, solar: float, clear: float) -> float:
    """Net outgoing long-wave radiation of a day [MJ/m2]; frost.fao-56 eq. 39.

    Parameters
    ----------
    low_c, high_c : float
        Lowest and highest temperature of the day [°C].
    vapour_kpa : float
        Vapour pressure [kPa].
    solar, clear : float
        Radiation of the day and of a clear day [MJ/m2].
    """
    mean = 4.903e-9 * ((low_c + 273.16) ** 4 + (high_c + 273.16) ** 4) / 2.0
    return float(mean * net_emissivity_fao(vapour_kpa) * (1.35 * solar / clear - 0.35))


@njit(cache=True, nogil=True, error_model="numpy")
def sunset_angle(latitude_rad: float, day: int) -> float:
    """Hour angle of sunset [rad] on a day of the year; frost.fao-56 eq. 24 and 25; 0 or pi in polar times."""
    declination = 0.409 * math.sin(2.0 * math.pi * day / 365.0 - 1.39)
    x = -math.tan(latitude_rad) * math.tan(declination)
    return math.acos(min(1.0, max(-1.0, x)))


@njit(cache=True, nogil=True, error_model="numpy")
def daylight_h(latitude_rad: float, day: int) -> float:
    """Hours of daylight; frost.fao-56 eq. 34."""
    return 24.0 / math.pi * sunset_angle(latitude_rad, day)


@njit(cache=True, nogil=True, error_model="numpy")
def extraterrestrial_mj_m2(latitude_rad: float, day: int) -> float:
    """Radiation of a day above the atmosphere [MJ/m2]; frost.fao-56 eq. 21."""
    distance = 1.0 + 0.033 * math.cos(2.0 * math.pi * day / 365.0)
    declination = 0.409 * math.sin(2.0 * math.pi * day / 365.0 - 1.39)
    angle = sunset_angle(latitude_rad, day)
    overhead = angle * math.sin(latitude_rad) * math.sin(declination)
    overhead += math.cos(latitude_rad) * math.cos(declination) * math.sin(angle)
    return 24.0 * 60.0 / math.pi * 0.0820 * distance * overhead


@njit(cache=True, nogil=True, error_model="numpy")
def solar_from_sunshine(sunshine_h: float, daylight: float, above: float) -> float:
    """Radiation of a day [MJ/m2] from hours of sunshine; frost.fao-56 eq. 35 with 0.25 and 0.50."""
    return (0.25 + 0.50 * sunshine_h / daylight) * above


@njit(cache=True, nogil=True, error_model="numpy")
def kelvin(temp_c: float) -> float:
    """Kelvin from °C."""
    return temp_c + ZERO_C
