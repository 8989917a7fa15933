"""The air, the sky and the wind of one moment, as the tree meets them."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import convection as cv
from barkslip.kernels import night_body as nb
from barkslip.kernels import night_index as ix
from barkslip.kernels import radiation
from barkslip.kernels.constants import AIR_HEAT, PRANDTL, ZERO_C
from barkslip.kernels.cooling import F_AIR_C, F_CLOUD, F_DEW_C, F_SUN, F_WIND
from barkslip.kernels.humidity import sat_surface_pa, sat_water_pa, vapour_density

Array = NDArray[np.float64]


@njit(cache=True, nogil=True, error_model="numpy")
def set_air(w: Array, to: int, last: int, row: Array, p: Array, m: Array) -> None:
    """Fill the block at `to` from a row of the forcing; that at `last` lends its wind terms if the wind is the same."""
    air = row[F_AIR_C]
    air_k = air + ZERO_C
    vapour = min(sat_water_pa(row[F_DEW_C]), sat_surface_pa(air))  # what is more has fallen as frost
    clear = radiation.clear_sky_emissivity(vapour / 100.0, air_k, p[ix.P_SKY_PRATA_SHARE])
    emissivity = radiation.cloudy(clear + p[ix.P_SKY_EMISSIVITY_ERROR], row[F_CLOUD])
    w[to + nb.A_AIR] = air
    w[to + nb.A_SKY] = radiation.sky_k(emissivity, air_k)
    w[to + nb.A_HORIZON] = air_k + p[ix.P_SURROUNDINGS_ABOVE_AIR]
    w[to + nb.A_VAPOUR] = vapour_density(vapour, air)
    w[to + nb.A_SUN] = row[F_SUN]
    wind = max(row[F_WIND] * p[ix.P_WIND_SITE_FACTOR], p[ix.P_WIND_MIN])
    covered = w[nb.S_COVERED]
    if wind == w[last + nb.A_WIND] and covered == w[last + nb.A_COVERED]:
        w[to + nb.A_EXCHANGE] = w[last + nb.A_EXCHANGE]
        for s in range(nb.N_SURFACES):
            w[to + nb.A_FORCED + s] = w[last + nb.A_FORCED + s]
    else:
        _set_wind(w, to, wind, covered > 0.0, p, m)
    w[to + nb.A_WIND] = wind
    w[to + nb.A_COVERED] = covered


@njit(cache=True, nogil=True, error_model="numpy")
def _set_wind(w: Array, to: int, wind: float, covered: bool, p: Array, m: Array) -> None:
    """Exchange of air (eq. K2, K3) and forced convection (eq. C1, C3, C6, C7)."""
    more, forced = p[ix.P_ENHANCEMENT], to + nb.A_FORCED
    at_organs, more_at_organs = wind, more
    w[forced + nb.V_COVER_IN] = 0.0
    w[forced + nb.V_COVER_OUT] = 0.0
    if covered:
        at_organs, more_at_organs = p[ix.P_WIND_INSIDE], 1.0
        leak = m[ix.M_COVER_LEAK] + m[ix.M_COVER_LEAK_WIND] * wind
        through = p[ix.P_COVER_GAP_FLOW] * wind * m[ix.M_COVER_GAP] * m[ix.M_COVER_WIDTH]
        w[to + nb.A_EXCHANGE] = AIR_HEAT * (w[nb.S_VOLUME] * leak / 3600.0 + through)
        across = m[ix.M_COVER_WIDTH]
        inside = cv.h_of(cv.plate_forced(cv.reynolds(at_organs, across), PRANDTL), across)
        w[forced + nb.V_COVER_IN] = cv.power_mix(inside)
        outside = cv.h_of(cv.cylinder_forced(cv.reynolds(wind, across), PRANDTL), across)
        w[forced + nb.V_COVER_OUT] = cv.power_mix(more * outside)
    else:
        w[to + nb.A_EXCHANGE] = AIR_HEAT * p[ix.P_CROWN_EXCHANGE] * wind * w[nb.S_FRONT]
    d = p[ix.P_LEAF_WIDTH]
    w[forced + nb.V_LEAF] = cv.power_mix(more_at_organs * cv.h_of(cv.leaf_forced(cv.reynolds(at_organs, d)), d))
    w[forced + nb.V_INNER] = w[forced + nb.V_LEAF]
    d = p[ix.P_TWIG_DIAMETER]
    w[forced + nb.V_TWIG] = cv.power_mix(
        more_at_organs * cv.h_of(cv.cylinder_forced(cv.reynolds(at_organs, d), PRANDTL), d)
    )
    d = p[ix.P_TRUNK_DIAMETER]
    w[forced + nb.V_BARK] = cv.power_mix(
        more_at_organs * cv.h_of(cv.cylinder_forced(cv.reynolds(at_organs, d), PRANDTL), d)
    )
    d = 2.0 * p[ix.P_FRUIT_RADIUS]
    w[forced + nb.V_FRUIT] = cv.power_mix(more_at_organs * cv.h_of(cv.sphere_forced(cv.reynolds(at_organs, d)), d))
    near = at_organs if covered else at_organs * p[ix.P_GROUND_WIND_SHARE]
    d = p[ix.P_TREE_WIDTH]
    w[forced + nb.V_GROUND] = cv.power_mix(more_at_organs * cv.h_of(cv.plate_forced(cv.reynolds(near, d), PRANDTL), d))
    w[forced + nb.V_WET] = w[forced + nb.V_GROUND]


@njit(cache=True, nogil=True, error_model="numpy")
def set_between(w: Array, share: float) -> None:
    """A moment between start and end of the step, drawn straight."""
    for i in range(nb.N_AIR):
        before = w[nb.W_BEFORE + i]
        w[nb.W_NOW + i] = before + share * (w[nb.W_AFTER + i] - before)
