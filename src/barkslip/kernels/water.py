"""Water as a measure: heat it brings, and the rate that sprinkling over the tree would need."""

from __future__ import annotations

from numba import njit

from barkslip.kernels.constants import (
    AIR_HEAT,
    HEAT_WATER,
    LATENT_FUSION,
    LATENT_VAPORISATION,
    LEWIS_FACTOR,
)
from barkslip.kernels.humidity import sat_surface_pa, vapour_density


@njit(cache=True, nogil=True, error_model="numpy")
def cooling_w(rate_kg_s: float, from_c: float, to_c: float) -> float:
    """Heat [W] given off by a flow of water cooling from one temperature [°C] to another, not frozen."""
    return rate_kg_s * HEAT_WATER * (from_c - to_c)


@njit(cache=True, nogil=True, error_model="numpy")
def freezing_w(rate_kg_s: float, frozen_share: float) -> float:
    """Heat [W] given off by a flow of water of which a share freezes."""
    return rate_kg_s * LATENT_FUSION * frozen_share


@njit(cache=True, nogil=True, error_model="numpy")
def stored_j(mass_kg: float, from_c: float, to_c: float) -> float:
    """Heat [J] given off by water cooling from one temperature [°C] to another, at or above 0 °C."""
    return mass_kg * HEAT_WATER * (from_c - to_c)


@njit(cache=True, nogil=True, error_model="numpy")
def film_need_kg_m2s(h_w_m2k: float, air_c: float, leaf_c: float, vapour_pa: float, net_loss_w_m2: float) -> float:
    """Water that must freeze [kg/m2s] per leaf area to hold a wetted leaf at `leaf_c` in colder air. Eq. W1.

    Parameters
    ----------
    h_w_m2k : float
        Convection coefficient of one side of the leaf [W/m2K]; both sides lose heat.
    air_c, leaf_c : float
        Air and leaf [°C].
    vapour_pa : float
        Vapour pressure of the air [Pa].
    net_loss_w_m2 : float
        Net loss by long-wave radiation per leaf area [W/m2], above 0.

    Notes
    -----
    A lower rate does harm: the wet leaf goes towards the wet bulb, below the air. That is why sprinkling over the tree
    is no measure here, only this check.
    """
    sensible = 2.0 * h_w_m2k * (leaf_c - air_c)
    dry_by = vapour_density(sat_surface_pa(leaf_c), leaf_c) - vapour_density(vapour_pa, air_c)
    latent = 2.0 * h_w_m2k / AIR_HEAT * LEWIS_FACTOR * LATENT_VAPORISATION * dry_by
    return (sensible + latent + net_loss_w_m2) / LATENT_FUSION


@njit(cache=True, nogil=True, error_model="numpy")
def evaporation_to_fusion() -> float:
    """Heat of vaporisation over heat of fusion: one part evaporated undoes so many parts frozen."""
    return LATENT_VAPORISATION / LATENT_FUSION
