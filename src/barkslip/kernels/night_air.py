"""The air, the sky and the wind of one moment, as the tree meets them."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import convection as cv
from barkslip.kernels import night_index as ix
from barkslip.kernels import radiation
from barkslip.kernels.constants import AIR_HEAT, PRANDTL, ZERO_C
from barkslip.kernels.cooling import F_AIR_C, F_CLOUD, F_DEW_C, F_SUN, F_WIND
from barkslip.kernels.humidity import sat_water_pa, vapour_density
from barkslip.kernels.night_body import S_COVERED, S_FRONT, S_VOLUME

Array = NDArray[np.float64]

#: places: air [°C], sky and surroundings [K], vapour [kg/m3], sun [W/m2], exchange of air [W/K], wind [m/s], forced
#: coefficients to the power 3.5
(
    A_AIR,
    A_SKY,
    A_HORIZON,
    A_VAPOUR,
    A_SUN,
    A_EXCHANGE,
    A_LEAF,
    A_TWIG,
    A_TRUNK,
    A_FRUIT,
    A_GROUND,
    A_INSIDE,
    A_OUTSIDE,
    A_WIND,
    A_COVERED,
) = range(15)
N_AIR = 15


@njit(cache=True, nogil=True)
def set_air(out: Array, last: Array, row: Array, p: Array, m: Array, size: Array) -> None:
    """Fill `out` from a row of the forcing; `last` is an earlier moment whose wind terms may serve again."""
    air = row[F_AIR_C]
    air_k = air + ZERO_C
    vapour = sat_water_pa(min(row[F_DEW_C], air))
    clear = radiation.clear_sky_emissivity(vapour / 100.0, air_k, p[ix.P_SKY_PRATA_SHARE])
    emissivity = radiation.cloudy(clear + p[ix.P_SKY_EMISSIVITY_ERROR], row[F_CLOUD])
    out[A_AIR] = air
    out[A_SKY] = radiation.sky_k(emissivity, air_k)
    out[A_HORIZON] = air_k + p[ix.P_SURROUNDINGS_ABOVE_AIR]
    out[A_VAPOUR] = vapour_density(vapour, air)
    out[A_SUN] = row[F_SUN]
    wind = max(row[F_WIND] * p[ix.P_WIND_SITE_FACTOR], p[ix.P_WIND_MIN])
    covered = size[S_COVERED]
    if wind == last[A_WIND] and covered == last[A_COVERED]:
        for i in range(A_EXCHANGE, A_EXCHANGE + 8):
            out[i] = last[i]
    else:
        _set_wind(out, wind, covered > 0.0, p, m, size)
    out[A_WIND] = wind
    out[A_COVERED] = covered


@njit(cache=True, nogil=True)
def _set_wind(out: Array, wind: float, covered: bool, p: Array, m: Array, size: Array) -> None:
    """Exchange of air (eq. K2, K3) and forced convection (eq. C1, C3, C6, C7)."""
    more = p[ix.P_ENHANCEMENT]
    at_organs, more_at_organs = wind, more
    out[A_INSIDE] = 0.0
    out[A_OUTSIDE] = 0.0
    if covered:
        at_organs, more_at_organs = p[ix.P_WIND_INSIDE], 1.0
        leak = m[ix.M_COVER_LEAK] + m[ix.M_COVER_LEAK_WIND] * wind
        through = p[ix.P_COVER_GAP_FLOW] * wind * m[ix.M_COVER_GAP] * m[ix.M_COVER_WIDTH]
        out[A_EXCHANGE] = AIR_HEAT * (size[S_VOLUME] * leak / 3600.0 + through)
        across = m[ix.M_COVER_WIDTH]
        inside = cv.h_of(cv.plate_forced(cv.reynolds(at_organs, across), PRANDTL), across)
        out[A_INSIDE] = cv.power_mix(inside)
        outside = cv.h_of(cv.cylinder_forced(cv.reynolds(wind, across), PRANDTL), across)
        out[A_OUTSIDE] = cv.power_mix(more * outside)
    else:
        out[A_EXCHANGE] = AIR_HEAT * p[ix.P_CROWN_EXCHANGE] * wind * size[S_FRONT]
    d = p[ix.P_LEAF_WIDTH]
    out[A_LEAF] = cv.power_mix(more_at_organs * cv.h_of(cv.leaf_forced(cv.reynolds(at_organs, d)), d))
    d = p[ix.P_TWIG_DIAMETER]
    out[A_TWIG] = cv.power_mix(more_at_organs * cv.h_of(cv.cylinder_forced(cv.reynolds(at_organs, d), PRANDTL), d))
    d = p[ix.P_TRUNK_DIAMETER]
    out[A_TRUNK] = cv.power_mix(more_at_organs * cv.h_of(cv.cylinder_forced(cv.reynolds(at_organs, d), PRANDTL), d))
    d = 2.0 * p[ix.P_FRUIT_RADIUS]
    out[A_FRUIT] = cv.power_mix(more_at_organs * cv.h_of(cv.sphere_forced(cv.reynolds(at_organs, d)), d))
    near = at_organs if covered else at_organs * p[ix.P_GROUND_WIND_SHARE]
    d = p[ix.P_TREE_WIDTH]
    out[A_GROUND] = cv.power_mix(more_at_organs * cv.h_of(cv.plate_forced(cv.reynolds(near, d), PRANDTL), d))


@njit(cache=True, nogil=True)
def set_between(out: Array, before: Array, after: Array, share: float) -> None:
    """A moment between two, drawn straight."""
    for i in range(N_AIR):
        out[i] = before[i] + share * (after[i] - before[i])
