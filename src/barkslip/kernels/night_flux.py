"""Flows of heat and vapour at one moment, made linear in the temperatures.

Every flow is a conductance between two nodes, or between a node and something outside the model: that keeps the
system diagonally dominant, so that a step is stable at any length and more heat never cools anything.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import convection as cv
from barkslip.kernels import night_air as na
from barkslip.kernels import night_body as nb
from barkslip.kernels import night_index as ix
from barkslip.kernels.constants import (
    AIR_HEAT,
    HEAT_WATER,
    LATENT_FUSION,
    LATENT_SUBLIMATION,
    LATENT_VAPORISATION,
    LEWIS_FACTOR,
    R_VAPOUR,
    STEFAN_BOLTZMANN,
    ZERO_C,
)
from barkslip.kernels.humidity import sat_surface_pa
from barkslip.kernels.radiation import exchange

Array = NDArray[np.float64]

#: node of each surface that gains or loses vapour
NODE = (
    ix.IX_LEAF_EXPOSED,
    ix.IX_LEAF_INNER,
    ix.IX_TWIG,
    ix.IX_BARK,
    ix.IX_FRUIT,
    ix.IX_GROUND,
    ix.IX_WET_GROUND,
    ix.IX_COVER_INSIDE,
    ix.IX_COVER_OUTSIDE,
    ix.IX_BUCKET,
)
#: hub or satellite of each surface that sees others; the third is the node
NODE_OF_HUB = (
    ix.IX_AIR_INSIDE,
    ix.IX_LEAF_INNER,
    ix.IX_COVER_INSIDE,
    ix.IX_GROUND,
    ix.IX_WET_GROUND,
    ix.IX_BARK,
)
NODE_OF_SATELLITE = (ix.IX_LEAF_EXPOSED, ix.IX_TWIG, ix.IX_FRUIT, ix.IX_BUCKET)


@njit(cache=True, nogil=True)
def set_convection(w: nb.Work) -> None:
    """Coefficients of all surfaces [W/m2K] at the guessed temperatures. Eq. C9."""
    t, a, size, h = w.guess, w.now, w.size, w.h
    air = t[ix.IX_AIR_INSIDE]
    h[nb.V_LEAF] = cv.mixed(a[na.A_LEAF], cv.quarter_free_mix(size[nb.S_FREE_LEAF], t[ix.IX_LEAF_EXPOSED] - air))
    h[nb.V_INNER] = cv.mixed(a[na.A_LEAF], cv.quarter_free_mix(size[nb.S_FREE_LEAF], t[ix.IX_LEAF_INNER] - air))
    h[nb.V_TWIG] = cv.mixed(a[na.A_TWIG], cv.quarter_free_mix(size[nb.S_FREE_TWIG], t[ix.IX_TWIG] - air))
    h[nb.V_BARK] = cv.mixed(a[na.A_TRUNK], cv.quarter_free_mix(size[nb.S_FREE_TRUNK], t[ix.IX_BARK] - air))
    if w.area[nb.V_FRUIT] > 0.0:
        root = np.sqrt(np.sqrt(abs(t[ix.IX_FRUIT] - air)))
        free = size[nb.S_FRUIT_STILL] + size[nb.S_FREE_FRUIT] * root
        h[nb.V_FRUIT] = cv.mixed(a[na.A_FRUIT], cv.power_mix(free))
    h[nb.V_GROUND] = _over_ground(a[na.A_GROUND], size[nb.S_SHEET], t[ix.IX_GROUND] - air)
    if size[nb.S_WATER] > 0.0:
        h[nb.V_WET] = _over_ground(a[na.A_GROUND], size[nb.S_SHEET], t[ix.IX_WET_GROUND] - air)
    if size[nb.S_COVERED] > 0.0:
        inside = cv.third_free_mix(size[nb.S_SHEET], t[ix.IX_COVER_INSIDE] - air)
        outside = cv.third_free_mix(size[nb.S_SHEET], t[ix.IX_COVER_OUTSIDE] - a[na.A_AIR])
        h[nb.V_COVER_IN] = cv.mixed(a[na.A_INSIDE], inside)
        h[nb.V_COVER_OUT] = cv.mixed(a[na.A_OUTSIDE], outside)


@njit(cache=True, nogil=True)
def _over_ground(forced_mix: float, sheet: float, above_air: float) -> float:
    """Over ground warmer than the air there is free convection besides; over colder ground the air lies still."""
    if above_air > 0.0:
        return cv.mixed(forced_mix, cv.third_free_mix(sheet, above_air))
    return float(forced_mix ** (1.0 / cv.MIX))


@njit(cache=True, nogil=True)
def set_shrink(w: nb.Work) -> None:
    """Wood, a wrap or the flesh of a fruit lies between node and surface: all links shrink alike. Eq. T2."""
    for s in (nb.V_BARK, nb.V_FRUIT):
        if w.area[s] <= 0.0:
            continue
        resistance = w.size[nb.S_BARK_R] if s == nb.V_BARK else w.size[nb.S_FRUIT_R]
        at = w.guess[NODE[s]] + ZERO_C
        views = (w.see[s, 0] + w.see[s, 1] + w.see[s, 2] + w.see[s, 3]) / w.area[s]
        total = w.h[s] + 4.0 * STEFAN_BOLTZMANN * at * at * at * views
        w.shrink[s] = 1.0 / (1.0 + resistance * total)


@njit(cache=True, nogil=True)
def set_vapour(w: nb.Work, p: Array, m: Array, seconds: float) -> None:
    """Vapour of the air inside, then dew, frost and evaporation of every surface. Eq. V1 to V4."""
    outside = w.now[na.A_VAPOUR]
    through = w.now[na.A_EXCHANGE] / AIR_HEAT
    top, bottom = through * outside, through
    for s in range(nb.N_SURFACES):
        k = 0.0
        if w.area[s] > 0.0 and not (s == nb.V_BARK and m[ix.M_WRAP_RESISTANCE] > 0.0):
            at = w.guess[NODE[s]]
            full = sat_surface_pa(at) / (R_VAPOUR * (at + ZERO_C))
            k = _vapour_k(w, p, s, full)
            w.vapour[s, 1] = full
            if s != nb.V_COVER_OUT:
                top += k * full
                bottom += k
        w.vapour[s, 0] = k
    inside = top / bottom
    w.scalar[nb.X_VAPOUR] = inside
    for s in range(nb.N_SURFACES):
        k, full = w.vapour[s, 0], w.vapour[s, 1]
        w.vapour_rate[s, 0] = 0.0
        w.vapour_rate[s, 1] = 0.0
        if k <= 0.0:
            continue
        node = NODE[s]
        at = w.guess[node]
        gain = k * ((outside if s == nb.V_COVER_OUT else inside) - full)
        limited = s != nb.V_GROUND and s != nb.V_WET and s != nb.V_BUCKET
        most = w.dew_base[s] / seconds
        if limited and gain < -most:  # no more can dry than lies there
            w.vapour_rate[s, 0] = -most
        else:
            slope = k * full * _relative_slope(at)
            w.vapour_rate[s, 0] = gain + slope * at
            w.vapour_rate[s, 1] = slope
        heat = LATENT_SUBLIMATION if at < 0.0 else LATENT_VAPORISATION
        w.outer_q[node] += heat * w.vapour_rate[s, 0]
        w.outer_g[node] += heat * w.vapour_rate[s, 1]


@njit(cache=True, nogil=True)
def _vapour_k(w: nb.Work, p: Array, s: int, full: float) -> float:
    """Conductance for vapour of a surface [m3/s]; 0 if it is dry and cannot take any. Eq. V1."""
    share = LEWIS_FACTOR / AIR_HEAT * w.area[s]
    if s == nb.V_BUCKET:
        return float(share * p[ix.P_BUCKET_TRANSFER] * (1.0 - p[ix.P_BUCKET_RADIANT_SHARE]))
    share *= w.h[s] * w.shrink[s]
    air = w.now[na.A_VAPOUR] if s == nb.V_COVER_OUT else w.scalar[nb.X_VAPOUR]
    if air < full and w.dew_base[s] <= 0.0 and s != nb.V_WET:
        return share * w.size[nb.S_WETNESS] if s == nb.V_GROUND else 0.0
    return share


@njit(cache=True, nogil=True)
def _relative_slope(temp_c: float) -> float:
    """Slope of the saturation density over itself [1/K]: of the Tetens exponent less that of the ideal gas."""
    if temp_c < 0.0:
        return 21.875 * 265.5 / (temp_c + 265.5) ** 2 - 1.0 / (temp_c + ZERO_C)
    return 17.27 * 237.3 / (temp_c + 237.3) ** 2 - 1.0 / (temp_c + ZERO_C)


@njit(cache=True, nogil=True)
def link_hubs(w: nb.Work, a: int, b: int, g: float) -> None:
    """Join two hubs by a conductance [W/K]; kept below the diagonal."""
    if a > b:
        w.hub[a, b] += g
    else:
        w.hub[b, a] += g
    w.diag[NODE_OF_HUB[a]] += g
    w.diag[NODE_OF_HUB[b]] += g


@njit(cache=True, nogil=True)
def link_satellite(w: nb.Work, s: int, hub: int, g: float) -> None:
    """Join a satellite to a hub by a conductance [W/K]."""
    w.sat[s, hub] += g
    w.diag[NODE_OF_SATELLITE[s]] += g
    w.diag[NODE_OF_HUB[hub]] += g


@njit(cache=True, nogil=True)
def link_outside(w: nb.Work, node: int, g: float, temp_c: float) -> None:
    """Join a node to something outside the model at a known temperature [°C]."""
    w.outer_g[node] += g
    w.outer_q[node] += g * temp_c


@njit(cache=True, nogil=True)
def _link_seeing(w: nb.Work, s: int, satellite: int, hub: int, tau: float, eps_in: float) -> None:
    """Convection and radiation of one surface: air, sky, horizon, cover, ground, inner leaves. Eq. E1 to E5."""
    node = NODE[s]
    at = w.guess[node] + ZERO_C
    sky, horizon = w.now[na.A_SKY], w.now[na.A_HORIZON]
    see = w.see[s]
    f = w.shrink[s]
    link_outside(w, node, f * tau * see[nb.SEE_SKY] * exchange(at, sky), sky - ZERO_C)
    link_outside(w, node, f * tau * see[nb.SEE_HORIZON] * exchange(at, horizon), horizon - ZERO_C)
    to_air = f * w.h[s] * w.area[s]
    out = f * eps_in * (see[nb.SEE_SKY] + see[nb.SEE_HORIZON])
    cover = w.guess[ix.IX_COVER_INSIDE] + ZERO_C
    ground = f * see[nb.SEE_GROUND]
    wet = ground * w.size[nb.S_WET_SHARE]
    dry = (ground - wet) * exchange(at, w.guess[ix.IX_GROUND] + ZERO_C)
    wet *= exchange(at, w.guess[ix.IX_WET_GROUND] + ZERO_C)
    leaves = f * see[nb.SEE_INNER] * exchange(at, w.guess[ix.IX_LEAF_INNER] + ZERO_C)
    if satellite >= 0:
        link_satellite(w, satellite, nb.HUB_AIR, to_air)
        link_satellite(w, satellite, nb.HUB_COVER, out * exchange(at, cover))
        link_satellite(w, satellite, nb.HUB_GROUND, dry)
        link_satellite(w, satellite, nb.HUB_WET, wet)
        link_satellite(w, satellite, nb.HUB_INNER, leaves)
    else:
        link_hubs(w, hub, nb.HUB_AIR, to_air)
        link_hubs(w, hub, nb.HUB_COVER, out * exchange(at, cover))
        if hub != nb.HUB_GROUND and hub != nb.HUB_WET:
            link_hubs(w, hub, nb.HUB_GROUND, dry)
            link_hubs(w, hub, nb.HUB_WET, wet)
        if hub != nb.HUB_INNER:
            link_hubs(w, hub, nb.HUB_INNER, leaves)


@njit(cache=True, nogil=True)
def set_links(w: nb.Work, p: Array, m: Array) -> None:
    """Everything but the heat of vapour: convection, radiation, cover, bucket, lamps, water, sun."""
    tau, eps_in, eps_out = _optics(w, p, m)
    _link_seeing(w, nb.V_LEAF, nb.SAT_LEAF, -1, tau, eps_in)
    _link_seeing(w, nb.V_TWIG, nb.SAT_TWIG, -1, tau, eps_in)
    _link_seeing(w, nb.V_BARK, -1, nb.HUB_BARK, tau, eps_in)
    _link_seeing(w, nb.V_INNER, -1, nb.HUB_INNER, tau, eps_in)
    _link_seeing(w, nb.V_GROUND, -1, nb.HUB_GROUND, tau, eps_in)
    if w.area[nb.V_FRUIT] > 0.0:
        _link_seeing(w, nb.V_FRUIT, nb.SAT_FRUIT, -1, tau, eps_in)
    if w.size[nb.S_WATER] > 0.0:
        _link_seeing(w, nb.V_WET, -1, nb.HUB_WET, tau, eps_in)
        _water(w, p, m)
    link_outside(w, ix.IX_AIR_INSIDE, w.now[na.A_EXCHANGE], w.now[na.A_AIR])
    if w.size[nb.S_COVERED] > 0.0:
        _cover(w, eps_out)
    if w.size[nb.S_BUCKET] > 0.0:
        _bucket(w, p)
    if w.size[nb.S_LAMP] > 0.0:
        _lamps(w, p, m)
    if w.now[na.A_SUN] > 0.0:
        _sun(w, p, m)


@njit(cache=True, nogil=True)
def _optics(w: nb.Work, p: Array, m: Array) -> tuple[float, float, float]:
    """Transmission and emissivities in and out of the cover; a film of dew or frost changes them. Eq. K4."""
    if w.size[nb.S_COVERED] <= 0.0:
        return 1.0, 0.0, 0.0
    full = p[ix.P_WET_FILM] * w.area[nb.V_COVER_IN]
    inside = min(1.0, w.dew_base[nb.V_COVER_IN] / full)
    outside = min(1.0, w.dew_base[nb.V_COVER_OUT] / full)
    dry, wet = m[ix.M_COVER_TAU], m[ix.M_COVER_TAU_WET]
    tau = dry + (wet - dry) * max(inside, outside)
    # what a film no longer lets through it absorbs
    eps_in = min(1.0 - tau, m[ix.M_COVER_EPS_IN] + dry - tau)
    eps_out = m[ix.M_COVER_EPS_OUT] + (m[ix.M_COVER_EPS_OUT_WET] - m[ix.M_COVER_EPS_OUT]) * max(
        outside, inside if dry > wet else 0.0
    )
    return tau, eps_in, eps_out


@njit(cache=True, nogil=True)
def _cover(w: nb.Work, eps_out: float) -> None:
    """Both faces of the cover. Eq. K5."""
    area = w.area[nb.V_COVER_OUT]
    at = w.guess[ix.IX_COVER_OUTSIDE] + ZERO_C
    sky, horizon = w.now[na.A_SKY], w.now[na.A_HORIZON]
    share = w.size[nb.S_COVER_SKY]
    node = ix.IX_COVER_OUTSIDE
    link_outside(w, node, eps_out * area * share * exchange(at, sky), sky - ZERO_C)
    link_outside(w, node, eps_out * area * (1.0 - share) * exchange(at, horizon), horizon - ZERO_C)
    link_outside(w, node, w.h[nb.V_COVER_OUT] * area, w.now[na.A_AIR])
    link_hubs(w, nb.HUB_COVER, nb.HUB_AIR, w.h[nb.V_COVER_IN] * area)


@njit(cache=True, nogil=True)
def _shares(w: nb.Work, p: Array) -> tuple[float, float, float]:
    """Shares of radiated heat that go to canopy, cover (or away) and ground."""
    canopy, cover = p[ix.P_LAMP_ON_CANOPY], p[ix.P_LAMP_ON_COVER]
    return canopy, cover, max(0.0, 1.0 - canopy - cover)


@njit(cache=True, nogil=True)
def _bucket(w: nb.Work, p: Array) -> None:
    """Convection to the air, radiation to leaves, cover and ground, and its foot on the ground. Eq. U2."""
    canopy, cover, ground = _shares(w, p)
    whole = p[ix.P_BUCKET_TRANSFER] * (w.size[nb.S_BUCKET_SIDE] + w.size[nb.S_BUCKET_TOP])
    radiant = whole * p[ix.P_BUCKET_RADIANT_SHARE]
    link_satellite(w, nb.SAT_BUCKET, nb.HUB_AIR, whole - radiant)
    link_satellite(w, nb.SAT_BUCKET, nb.HUB_INNER, radiant * canopy)
    foot = p[ix.P_BUCKET_TRANSFER] * w.size[nb.S_BUCKET_TOP]
    link_satellite(w, nb.SAT_BUCKET, nb.HUB_GROUND, radiant * ground + foot)
    if w.size[nb.S_COVERED] > 0.0:
        link_satellite(w, nb.SAT_BUCKET, nb.HUB_COVER, radiant * cover)
    else:
        link_outside(w, ix.IX_BUCKET, radiant * cover, w.now[na.A_HORIZON] - ZERO_C)


@njit(cache=True, nogil=True)
def _lamps(w: nb.Work, p: Array, m: Array) -> None:
    """Every watt becomes heat; the radiant share is split over canopy, cover and ground. Eq. L1."""
    watts = m[ix.M_LAMP_POWER]
    canopy, cover, ground = _shares(w, p)
    radiant = watts * m[ix.M_LAMP_RADIANT]
    exposed = p[ix.P_LEAF_EXPOSED_SHARE]
    w.outer_q[ix.IX_AIR_INSIDE] += watts - radiant
    w.outer_q[ix.IX_LEAF_EXPOSED] += radiant * canopy * exposed
    w.outer_q[ix.IX_LEAF_INNER] += radiant * canopy * (1.0 - exposed)
    wet = w.size[nb.S_WET_SHARE]
    w.outer_q[ix.IX_GROUND] += radiant * ground * (1.0 - wet)
    w.outer_q[ix.IX_WET_GROUND] += radiant * ground * wet
    if w.size[nb.S_COVERED] > 0.0:
        w.outer_q[ix.IX_COVER_INSIDE] += radiant * cover * (1.0 - m[ix.M_COVER_TAU])


@njit(cache=True, nogil=True)
def set_film(w: nb.Work, p: Array, seconds: float) -> None:
    """Water on the wetted ground at the end of a stage: liquid beyond what the film holds runs off. Eq. W3."""
    film = w.scalar[nb.X_FILM_BASE] + seconds * p[ix.P_WATER_KEPT] * w.scalar[nb.X_RATE]
    ice = min(film, max(0.0, -w.base[ix.IX_WET_GROUND] / LATENT_FUSION))
    drained = max(0.0, (film - ice - w.size[nb.S_FILM_CAP]) / (p[ix.P_WATER_DRAIN_TIME] + seconds))
    w.scalar[nb.X_DRAINED] = drained
    w.scalar[nb.X_FILM_STAGE] = film - seconds * drained
    w.capacity[ix.IX_WET_GROUND] = w.scalar[nb.X_FILM_STAGE] * HEAT_WATER
    w.latent[ix.IX_WET_GROUND] = w.scalar[nb.X_FILM_STAGE] * LATENT_FUSION


@njit(cache=True, nogil=True)
def _water(w: nb.Work, p: Array, m: Array) -> None:
    """Heat of the water that runs in at its temperature and out at that of the film. Eq. W4."""
    to_air = p[ix.P_SPRAY_AIR_SHARE] * m[ix.M_WATER_SPRAY]
    warm = p[ix.P_WATER_KEPT] * w.scalar[nb.X_RATE] * HEAT_WATER * m[ix.M_WATER_TEMP]
    w.outer_q[ix.IX_WET_GROUND] += warm * (1.0 - to_air)
    w.outer_q[ix.IX_AIR_INSIDE] += warm * to_air
    w.outer_g[ix.IX_WET_GROUND] += w.scalar[nb.X_DRAINED] * HEAT_WATER


@njit(cache=True, nogil=True)
def _sun(w: nb.Work, p: Array, m: Array) -> None:
    """Sun of the morning: by level area for crown and ground, by a quarter or a third of the surface for round things.

    Eq. S1.
    """
    sun = w.now[na.A_SUN]
    if w.size[nb.S_COVERED] > 0.0:
        w.outer_q[ix.IX_COVER_OUTSIDE] += sun * p[ix.P_SUN_ON_COVER] * w.size[nb.S_COVER_TOP]
        sun *= m[ix.M_COVER_TAU_SUN]
    leaf, wood = sun * p[ix.P_SUN_ON_LEAF], sun * p[ix.P_SUN_ON_WOOD]
    w.outer_q[ix.IX_LEAF_EXPOSED] += leaf * w.see[nb.V_LEAF, nb.SEE_SKY]
    w.outer_q[ix.IX_LEAF_INNER] += leaf * w.see[nb.V_INNER, nb.SEE_SKY]
    w.outer_q[ix.IX_TWIG] += wood * w.see[nb.V_TWIG, nb.SEE_SKY]
    w.outer_q[ix.IX_BARK] += wood * w.see[nb.V_BARK, nb.SEE_SKY]
    w.outer_q[ix.IX_FRUIT] += leaf * w.see[nb.V_FRUIT, nb.SEE_SKY]
    w.outer_q[ix.IX_GROUND] += sun * p[ix.P_SUN_ON_GROUND] * w.see[nb.V_GROUND, nb.SEE_SKY]
    w.outer_q[ix.IX_WET_GROUND] += sun * p[ix.P_SUN_ON_GROUND] * w.see[nb.V_WET, nb.SEE_SKY]
