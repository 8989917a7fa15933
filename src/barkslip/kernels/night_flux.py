"""Flows of heat and vapour at one moment, made linear in the temperatures.

Every flow is a conductance between two nodes, or between a node and something outside the model: that keeps the
system diagonally dominant, so that a step is stable at any length and more heat never cools anything.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import convection as cv
from barkslip.kernels import night_body as nb
from barkslip.kernels import night_index as ix
from barkslip.kernels.constants import (
    AIR_HEAT,
    FAST,
    HEAT_WATER,
    LATENT_FUSION,
    LATENT_SUBLIMATION,
    LATENT_VAPORISATION,
    LEWIS_FACTOR,
    STEFAN_BOLTZMANN,
    ZERO_C,
)
from barkslip.kernels.humidity import sat_density
from barkslip.kernels.radiation import exchange

Array = NDArray[np.float64]

#: the fourth root of a difference is rounded off this near to 0 [K], so that noise in the last digit stays there
NEAR_K = 1e-3
#: node of each surface that gains or loses vapour
NODE = np.array(
    [
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
    ]
)
#: hub or satellite of each surface that sees others; the third is the node
NODE_OF_HUB = np.array(
    [
        ix.IX_AIR_INSIDE,
        ix.IX_LEAF_INNER,
        ix.IX_COVER_INSIDE,
        ix.IX_GROUND,
        ix.IX_WET_GROUND,
        ix.IX_BARK,
    ]
)
NODE_OF_SATELLITE = np.array([ix.IX_LEAF_EXPOSED, ix.IX_TWIG, ix.IX_FRUIT, ix.IX_BUCKET])


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def set_convection(w: Array) -> None:
    """Coefficients of all surfaces [W/m2K] at the guessed temperatures. Eq. C9."""
    air = w[nb.W_GUESS + ix.IX_AIR_INSIDE]
    for s in range(nb.N_SURFACES):
        w[nb.W_AT + s] = w[nb.W_GUESS + NODE[s]]
    for s in range(nb.V_FRUIT):
        w[nb.W_FREE + s] = w[nb.W_UNIT + s] * cv.seven_eighths(abs(w[nb.W_AT + s] - air))
    if w[nb.W_AREA + nb.V_FRUIT] > 0.0:
        apart = w[nb.W_AT + nb.V_FRUIT] - air
        root = math.sqrt(math.sqrt(math.sqrt(apart * apart + NEAR_K * NEAR_K)))
        w[nb.W_FREE + nb.V_FRUIT] = cv.power_mix(w[nb.S_FRUIT_STILL] + w[nb.W_UNIT + nb.V_FRUIT] * root)
    sheet = w[nb.S_SHEET]
    for s in (nb.V_GROUND, nb.V_WET):  # over ground colder than the air it lies still
        apart = w[nb.W_AT + s] - air
        w[nb.W_FREE + s] = sheet * cv.seven_sixths(apart) if apart > 0.0 else 0.0
    if w[nb.S_COVERED] > 0.0:
        inside, outside = w[nb.W_AT + nb.V_COVER_IN] - air, w[nb.W_AT + nb.V_COVER_OUT] - w[nb.W_NOW + nb.A_AIR]
        w[nb.W_FREE + nb.V_COVER_IN] = sheet * cv.seven_sixths(abs(inside))
        w[nb.W_FREE + nb.V_COVER_OUT] = sheet * cv.seven_sixths(abs(outside))
    for s in range(nb.N_SURFACES):
        if w[nb.W_AREA + s] > 0.0:
            w[nb.W_H + s] = cv.two_sevenths(w[nb.W_NOW + nb.A_FORCED + s] + w[nb.W_FREE + s], w[nb.W_H + s])


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def set_shrink(w: Array) -> None:
    """Wood, a wrap or the flesh of a fruit lies between node and surface: all links shrink alike. Eq. T2."""
    for s in (nb.V_BARK, nb.V_FRUIT):
        if w[nb.W_AREA + s] <= 0.0:
            continue
        resistance = w[nb.S_BARK_R] if s == nb.V_BARK else w[nb.S_FRUIT_R]
        at = w[nb.W_GUESS + NODE[s]] + ZERO_C
        views = (
            w[nb.W_SEE + 4 * s + 0] + w[nb.W_SEE + 4 * s + 1] + w[nb.W_SEE + 4 * s + 2] + w[nb.W_SEE + 4 * s + 3]
        ) / w[nb.W_AREA + s]
        total = w[nb.W_H + s] + 4.0 * STEFAN_BOLTZMANN * at * at * at * views
        w[nb.W_SHRINK + s] = 1.0 / (1.0 + resistance * total)


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def set_vapour(w: Array, p: Array, m: Array, seconds: float) -> None:
    """Vapour of the air inside, then dew, frost and evaporation of every surface. Eq. V1 to V4."""
    outside = w[nb.W_NOW + nb.A_VAPOUR]
    through = w[nb.W_NOW + nb.A_EXCHANGE] / AIR_HEAT
    top, bottom = through * outside, through
    inside_c = w[nb.W_GUESS + ix.IX_AIR_INSIDE]
    saturated, _ = sat_density(inside_c)
    clear = w[nb.X_VAPOUR] <= saturated
    for s in range(nb.N_SURFACES):
        k = 0.0
        at = w[nb.W_AT + s]
        if (
            w[nb.W_AREA + s] > 0.0
            and not (s == nb.V_BARK and m[ix.M_WRAP_RESISTANCE] > 0.0)
            and _may_take(w, s, at, clear)
        ):
            full, w[nb.W_FULL_SLOPE + s] = sat_density(at)
            w[nb.W_FULL + s] = full
            k = _vapour_k(w, p, s, full)
            if s != nb.V_COVER_OUT:
                top += k * full
                bottom += k
        w[nb.W_VAPOUR + s] = k
    inside = top / bottom
    w[nb.X_VAPOUR] = inside
    for s in range(nb.N_SURFACES):
        k, full = w[nb.W_VAPOUR + s], w[nb.W_FULL + s]
        w[nb.W_GAIN + s] = 0.0
        w[nb.W_GAIN_SLOPE + s] = 0.0
        if k <= 0.0:
            continue
        node = NODE[s]
        at = w[nb.W_AT + s]
        gain = k * ((outside if s == nb.V_COVER_OUT else inside) - full)
        limited = s != nb.V_GROUND and s != nb.V_WET and s != nb.V_BUCKET
        most = w[nb.W_DEW_BASE + s] / seconds
        if limited and gain < -most:  # no more can dry than lies there
            w[nb.W_GAIN + s] = -most
        else:
            slope = k * full * w[nb.W_FULL_SLOPE + s]
            w[nb.W_GAIN + s] = gain + slope * at
            w[nb.W_GAIN_SLOPE + s] = slope
        heat = LATENT_SUBLIMATION if at < 0.0 else LATENT_VAPORISATION
        w[nb.W_OUTER_Q + node] += heat * w[nb.W_GAIN + s]
        w[nb.W_OUTER_G + node] += heat * w[nb.W_GAIN_SLOPE + s]


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _may_take(w: Array, s: int, temp_c: float, clear_inside: bool) -> bool:
    """False for a dry surface no colder than unsaturated air: it takes no dew, and its saturation need not be known."""
    if s >= nb.V_GROUND and s != nb.V_COVER_IN and s != nb.V_COVER_OUT:
        return True
    if w[nb.W_DEW_BASE + s] > 0.0:
        return True
    if s == nb.V_COVER_OUT:
        return temp_c < w[nb.W_NOW + nb.A_AIR]
    return not clear_inside or temp_c < w[nb.W_GUESS + ix.IX_AIR_INSIDE]


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _vapour_k(w: Array, p: Array, s: int, full: float) -> float:
    """Conductance for vapour of a surface [m3/s]; 0 if it is dry and cannot take any. Eq. V1."""
    share = LEWIS_FACTOR / AIR_HEAT * w[nb.W_AREA + s]
    if s == nb.V_BUCKET:
        return float(share * p[ix.P_BUCKET_TRANSFER] * (1.0 - p[ix.P_BUCKET_RADIANT_SHARE]))
    share *= w[nb.W_H + s] * w[nb.W_SHRINK + s]
    air = w[nb.W_NOW + nb.A_VAPOUR] if s == nb.V_COVER_OUT else w[nb.X_VAPOUR]
    if air < full and w[nb.W_DEW_BASE + s] <= 0.0 and s != nb.V_WET:
        return share * w[nb.S_WETNESS] if s == nb.V_GROUND else 0.0
    return share


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def link_hubs(w: Array, a: int, b: int, g: float) -> None:
    """Join two hubs by a conductance [W/K]; kept below the diagonal."""
    if a > b:
        w[nb.W_HUB + nb.N_HUBS * a + b] += g
    else:
        w[nb.W_HUB + nb.N_HUBS * b + a] += g
    w[nb.W_DIAG + NODE_OF_HUB[a]] += g
    w[nb.W_DIAG + NODE_OF_HUB[b]] += g


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def link_satellite(w: Array, s: int, hub: int, g: float) -> None:
    """Join a satellite to a hub by a conductance [W/K]."""
    w[nb.W_SAT + nb.N_HUBS * s + hub] += g
    w[nb.W_DIAG + NODE_OF_SATELLITE[s]] += g
    w[nb.W_DIAG + NODE_OF_HUB[hub]] += g


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def link_outside(w: Array, node: int, g: float, temp_c: float) -> None:
    """Join a node to something outside the model at a known temperature [°C]."""
    w[nb.W_OUTER_G + node] += g
    w[nb.W_OUTER_Q + node] += g * temp_c


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _link(w: Array, satellite: int, hub: int, to: int, g: float) -> None:
    """Join a satellite, or a hub if there is none, to a hub."""
    if satellite >= 0:
        link_satellite(w, satellite, to, g)
    else:
        link_hubs(w, hub, to, g)


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _link_seeing(w: Array, s: int, satellite: int, hub: int, tau: float, eps_in: float) -> None:
    """Convection and radiation of one surface: air, sky, horizon, cover, ground, inner leaves. Eq. E1 to E5."""
    node = NODE[s]
    at = w[nb.W_AT + s] + ZERO_C
    sees = nb.W_SEE + 4 * s
    f = w[nb.W_SHRINK + s]
    if tau > 0.0:
        sky, horizon = w[nb.W_NOW + nb.A_SKY], w[nb.W_NOW + nb.A_HORIZON]
        link_outside(w, node, f * tau * w[sees + nb.SEE_SKY] * exchange(at, sky), sky - ZERO_C)
        link_outside(w, node, f * tau * w[sees + nb.SEE_HORIZON] * exchange(at, horizon), horizon - ZERO_C)
    _link(w, satellite, hub, nb.HUB_AIR, f * w[nb.W_H + s] * w[nb.W_AREA + s])
    if eps_in > 0.0:
        out = f * eps_in * (w[sees + nb.SEE_SKY] + w[sees + nb.SEE_HORIZON])
        _link(w, satellite, hub, nb.HUB_COVER, out * exchange(at, w[nb.W_GUESS + ix.IX_COVER_INSIDE] + ZERO_C))
    ground = f * w[sees + nb.SEE_GROUND]
    if ground > 0.0 and hub != nb.HUB_GROUND and hub != nb.HUB_WET:
        wet = ground * w[nb.S_WET_SHARE]
        dry = (ground - wet) * exchange(at, w[nb.W_GUESS + ix.IX_GROUND] + ZERO_C)
        _link(w, satellite, hub, nb.HUB_GROUND, dry)
        if wet > 0.0:
            _link(w, satellite, hub, nb.HUB_WET, wet * exchange(at, w[nb.W_GUESS + ix.IX_WET_GROUND] + ZERO_C))
    inner = f * w[sees + nb.SEE_INNER]
    if inner > 0.0 and hub != nb.HUB_INNER:
        _link(w, satellite, hub, nb.HUB_INNER, inner * exchange(at, w[nb.W_GUESS + ix.IX_LEAF_INNER] + ZERO_C))


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def set_links(w: Array, p: Array, m: Array) -> None:
    """Everything but the heat of vapour: convection, radiation, cover, bucket, lamps, water, sun."""
    tau, eps_in, eps_out = _optics(w, p, m)
    _link_seeing(w, nb.V_LEAF, nb.SAT_LEAF, -1, tau, eps_in)
    _link_seeing(w, nb.V_TWIG, nb.SAT_TWIG, -1, tau, eps_in)
    _link_seeing(w, nb.V_BARK, -1, nb.HUB_BARK, tau, eps_in)
    _link_seeing(w, nb.V_INNER, -1, nb.HUB_INNER, tau, eps_in)
    _link_seeing(w, nb.V_GROUND, -1, nb.HUB_GROUND, tau, eps_in)
    if w[nb.W_AREA + nb.V_FRUIT] > 0.0:
        _link_seeing(w, nb.V_FRUIT, nb.SAT_FRUIT, -1, tau, eps_in)
    if w[nb.S_WATER] > 0.0:
        _link_seeing(w, nb.V_WET, -1, nb.HUB_WET, tau, eps_in)
        _water(w, p, m)
    link_outside(w, ix.IX_AIR_INSIDE, w[nb.W_NOW + nb.A_EXCHANGE], w[nb.W_NOW + nb.A_AIR])
    if w[nb.S_COVERED] > 0.0:
        _cover(w, eps_out)
    if w[nb.S_BUCKET] > 0.0:
        _bucket(w, p)
    if w[nb.S_LAMP] > 0.0:
        _lamps(w, p, m)
    if w[nb.W_NOW + nb.A_SUN] > 0.0:
        _sun(w, p, m)


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _optics(w: Array, p: Array, m: Array) -> tuple[float, float, float]:
    """Transmission and emissivities in and out of the cover; a film of dew or frost changes them. Eq. K4."""
    if w[nb.S_COVERED] <= 0.0:
        return 1.0, 0.0, 0.0
    full = p[ix.P_WET_FILM] * w[nb.W_AREA + nb.V_COVER_IN]
    inside = min(1.0, w[nb.W_DEW_BASE + nb.V_COVER_IN] / full)
    outside = min(1.0, w[nb.W_DEW_BASE + nb.V_COVER_OUT] / full)
    dry, wet = m[ix.M_COVER_TAU], m[ix.M_COVER_TAU_WET]
    tau = dry + (wet - dry) * max(inside, outside)
    # what a film no longer lets through it absorbs
    eps_in = min(1.0 - tau, m[ix.M_COVER_EPS_IN] + dry - tau)
    eps_out = m[ix.M_COVER_EPS_OUT] + (m[ix.M_COVER_EPS_OUT_WET] - m[ix.M_COVER_EPS_OUT]) * max(
        outside, inside if dry > wet else 0.0
    )
    return tau, eps_in, eps_out


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _cover(w: Array, eps_out: float) -> None:
    """Both faces of the cover. Eq. K5."""
    area = w[nb.W_AREA + nb.V_COVER_OUT]
    at = w[nb.W_GUESS + ix.IX_COVER_OUTSIDE] + ZERO_C
    sky, horizon = w[nb.W_NOW + nb.A_SKY], w[nb.W_NOW + nb.A_HORIZON]
    share = w[nb.S_COVER_SKY]
    node = ix.IX_COVER_OUTSIDE
    link_outside(w, node, eps_out * area * share * exchange(at, sky), sky - ZERO_C)
    link_outside(w, node, eps_out * area * (1.0 - share) * exchange(at, horizon), horizon - ZERO_C)
    link_outside(w, node, w[nb.W_H + nb.V_COVER_OUT] * area, w[nb.W_NOW + nb.A_AIR])
    link_hubs(w, nb.HUB_COVER, nb.HUB_AIR, w[nb.W_H + nb.V_COVER_IN] * area)


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _shares(w: Array, p: Array) -> tuple[float, float, float]:
    """Shares of radiated heat that go to canopy, cover (or away) and ground."""
    canopy, cover = p[ix.P_LAMP_ON_CANOPY], p[ix.P_LAMP_ON_COVER]
    return canopy, cover, max(0.0, 1.0 - canopy - cover)


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _bucket(w: Array, p: Array) -> None:
    """Convection to the air, radiation to leaves, cover and ground, and its foot on the ground. Eq. U2."""
    canopy, cover, ground = _shares(w, p)
    whole = p[ix.P_BUCKET_TRANSFER] * (w[nb.S_BUCKET_SIDE] + w[nb.S_BUCKET_TOP])
    radiant = whole * p[ix.P_BUCKET_RADIANT_SHARE]
    link_satellite(w, nb.SAT_BUCKET, nb.HUB_AIR, whole - radiant)
    link_satellite(w, nb.SAT_BUCKET, nb.HUB_INNER, radiant * canopy)
    foot = p[ix.P_BUCKET_TRANSFER] * w[nb.S_BUCKET_TOP]
    link_satellite(w, nb.SAT_BUCKET, nb.HUB_GROUND, radiant * ground + foot)
    if w[nb.S_COVERED] > 0.0:
        link_satellite(w, nb.SAT_BUCKET, nb.HUB_COVER, radiant * cover)
    else:
        link_outside(w, ix.IX_BUCKET, radiant * cover, w[nb.W_NOW + nb.A_HORIZON] - ZERO_C)


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _lamps(w: Array, p: Array, m: Array) -> None:
    """Every watt becomes heat; the radiant share is split over canopy, cover and ground. Eq. L1."""
    watts = m[ix.M_LAMP_POWER]
    canopy, cover, ground = _shares(w, p)
    radiant = watts * m[ix.M_LAMP_RADIANT]
    exposed = p[ix.P_LEAF_EXPOSED_SHARE]
    w[nb.W_OUTER_Q + ix.IX_AIR_INSIDE] += watts - radiant
    w[nb.W_OUTER_Q + ix.IX_LEAF_EXPOSED] += radiant * canopy * exposed
    w[nb.W_OUTER_Q + ix.IX_LEAF_INNER] += radiant * canopy * (1.0 - exposed)
    wet = w[nb.S_WET_SHARE]
    w[nb.W_OUTER_Q + ix.IX_GROUND] += radiant * ground * (1.0 - wet)
    w[nb.W_OUTER_Q + ix.IX_WET_GROUND] += radiant * ground * wet
    if w[nb.S_COVERED] > 0.0:
        w[nb.W_OUTER_Q + ix.IX_COVER_INSIDE] += radiant * cover * (1.0 - m[ix.M_COVER_TAU])


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def set_film(w: Array, p: Array, seconds: float) -> None:
    """Water on the wetted ground at the end of a stage: liquid beyond what the film holds runs off. Eq. W3."""
    film = w[nb.X_FILM_BASE] + seconds * p[ix.P_WATER_KEPT] * w[nb.X_RATE]
    ice = min(film, max(0.0, -w[nb.W_BASE + ix.IX_WET_GROUND] / LATENT_FUSION))
    drained = max(0.0, (film - ice - w[nb.S_FILM_CAP]) / (p[ix.P_WATER_DRAIN_TIME] + seconds))
    w[nb.X_DRAINED] = drained
    w[nb.X_FILM_STAGE] = film - seconds * drained
    w[nb.W_CAPACITY + ix.IX_WET_GROUND] = w[nb.X_FILM_STAGE] * HEAT_WATER
    w[nb.W_LATENT + ix.IX_WET_GROUND] = w[nb.X_FILM_STAGE] * LATENT_FUSION


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _water(w: Array, p: Array, m: Array) -> None:
    """Heat of the water that runs in at its temperature and out at that of the film. Eq. W4."""
    to_air = p[ix.P_SPRAY_AIR_SHARE] * m[ix.M_WATER_SPRAY]
    warm = p[ix.P_WATER_KEPT] * w[nb.X_RATE] * HEAT_WATER * m[ix.M_WATER_TEMP]
    w[nb.W_OUTER_Q + ix.IX_WET_GROUND] += warm * (1.0 - to_air)
    w[nb.W_OUTER_Q + ix.IX_AIR_INSIDE] += warm * to_air
    w[nb.W_OUTER_G + ix.IX_WET_GROUND] += w[nb.X_DRAINED] * HEAT_WATER


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _sun(w: Array, p: Array, m: Array) -> None:
    """Sun of the morning: by level area for crown and ground, by a quarter or a third of the surface for round things.

    Eq. S1.
    """
    sun = w[nb.W_NOW + nb.A_SUN]
    if w[nb.S_COVERED] > 0.0:
        w[nb.W_OUTER_Q + ix.IX_COVER_OUTSIDE] += sun * p[ix.P_SUN_ON_COVER] * w[nb.S_COVER_TOP]
        sun *= m[ix.M_COVER_TAU_SUN]
    leaf, wood = sun * p[ix.P_SUN_ON_LEAF], sun * p[ix.P_SUN_ON_WOOD]
    w[nb.W_OUTER_Q + ix.IX_LEAF_EXPOSED] += leaf * w[nb.W_SEE + 4 * nb.V_LEAF + nb.SEE_SKY]
    w[nb.W_OUTER_Q + ix.IX_LEAF_INNER] += leaf * w[nb.W_SEE + 4 * nb.V_INNER + nb.SEE_SKY]
    w[nb.W_OUTER_Q + ix.IX_TWIG] += wood * w[nb.W_SEE + 4 * nb.V_TWIG + nb.SEE_SKY]
    w[nb.W_OUTER_Q + ix.IX_BARK] += wood * w[nb.W_SEE + 4 * nb.V_BARK + nb.SEE_SKY]
    w[nb.W_OUTER_Q + ix.IX_FRUIT] += leaf * w[nb.W_SEE + 4 * nb.V_FRUIT + nb.SEE_SKY]
    w[nb.W_OUTER_Q + ix.IX_GROUND] += sun * p[ix.P_SUN_ON_GROUND] * w[nb.W_SEE + 4 * nb.V_GROUND + nb.SEE_SKY]
    w[nb.W_OUTER_Q + ix.IX_WET_GROUND] += sun * p[ix.P_SUN_ON_GROUND] * w[nb.W_SEE + 4 * nb.V_WET + nb.SEE_SKY]
