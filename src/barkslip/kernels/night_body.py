"""Areas, views and heat capacities of the tree, its ground and its cover, and the arrays the model works in."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import convection as cv
from barkslip.kernels import night_index as ix
from barkslip.kernels import soil
from barkslip.kernels.constants import (
    AIR_CONDUCTIVITY,
    AIR_HEAT,
    DENSITY_WATER,
    HEAT_WATER,
    LATENT_FUSION,
)

Array = NDArray[np.float64]

#: surfaces that gain or lose vapour; the first seven are also those that see sky, horizon, ground and inner leaves
(V_LEAF, V_INNER, V_TWIG, V_BARK, V_FRUIT, V_GROUND, V_WET, V_COVER_IN, V_COVER_OUT, V_BUCKET) = range(10)
N_SURFACES = 10
N_SEEING = 7
#: columns of `see`
(SEE_SKY, SEE_HORIZON, SEE_GROUND, SEE_INNER) = range(4)

#: nodes that everything else hangs on
(HUB_AIR, HUB_INNER, HUB_COVER, HUB_GROUND, HUB_WET, HUB_BARK) = range(6)
N_HUBS = 6
#: nodes that hang on hubs only
(SAT_LEAF, SAT_TWIG, SAT_FRUIT, SAT_BUCKET) = range(4)
N_SATELLITES = 4

#: places in `size`
(
    S_COVERED,
    S_BUCKET,
    S_WATER,
    S_FREE_LEAF,
    S_FREE_TWIG,
    S_FREE_TRUNK,
    S_FREE_FRUIT,
    S_FRUIT_STILL,
    S_SHEET,
    S_BARK_R,
    S_FRUIT_R,
    S_COVER_SKY,
    S_COVER_TOP,
    S_VOLUME,
    S_FRONT,
    S_GROUND,
    S_WET_SHARE,
    S_GROUND_LINK,
    S_WET_LINK,
    S_CORE_LINK,
    S_BANK_LINK,
    S_COVER_LINK,
    S_BUCKET_SIDE,
    S_BUCKET_TOP,
    S_FILM_CAP,
    S_WETNESS,
    S_LAMP,
) = range(27)
N_SIZE = 27

#: places in `scalar`
(X_VAPOUR, X_FILM, X_FILM_BASE, X_FILM_STAGE, X_RATE, X_DRAINED) = range(6)
N_SCALAR = 6
#: share of the ground that can be wetted: some always stays dry
MOST_WET = 0.9
#: share of the water-holding cylinder: resistance of a core's mean to its face is 1 / (8 pi k) per length
CORE_FORM = 8.0 * math.pi
#: resistance of a sphere's mean to its face is r / (5 k)
SPHERE_FORM = 5.0


class Work(NamedTuple):
    """Arrays the model works in, one set per run."""

    size: Array  # [N_SIZE] areas, links and switches of this member
    area: Array  # [N_SURFACES] m2
    see: Array  # [N_SEEING, 4] area times emissivity times view, m2
    capacity: Array  # [N_NODES] J/K
    latent: Array  # [N_NODES] J
    local: Array  # [N_NODES] J/K, dH/dT at the guess
    link: Array  # [N_LAYERS] W/K between soil layers
    temp: Array  # [N_NODES] °C at the start of the step
    guess: Array  # [N_NODES] °C about which fluxes are made linear
    solved: Array  # [N_NODES] °C
    heat: Array  # [N_NODES] J at the start of the step
    base: Array  # [N_NODES] J from which a stage starts
    stage: Array  # [N_NODES] J at the end of a stage
    dew: Array  # [N_SURFACES] kg
    dew_base: Array  # [N_SURFACES]
    dew_stage: Array  # [N_SURFACES]
    vapour: Array  # [N_SURFACES, 2] m3/s, and kg/m3 when saturated
    vapour_rate: Array  # [N_SURFACES, 2] kg/s and kg/sK: rate = first - second * temp
    before: Array  # [N_AIR] air at the start of the step
    after: Array  # [N_AIR] at its end
    now: Array  # [N_AIR] at the stage
    h: Array  # [N_SURFACES] W/m2K
    shrink: Array  # [N_SURFACES] share left by what lies between node and surface
    outer_g: Array  # [N_NODES] W/K to what lies outside the model
    outer_q: Array  # [N_NODES] W from it
    diag: Array  # [N_NODES]
    right: Array  # [N_NODES]
    hub: Array  # [N_HUBS, N_HUBS] W/K
    sat: Array  # [N_SATELLITES, N_HUBS] W/K
    side: Array  # [N_LAYERS] W/K from soil layers to the bark
    scalar: Array  # [N_SCALAR]


@njit(cache=True, nogil=True)
def work(n_air: int) -> Work:
    """A set of empty arrays."""
    nodes = ix.N_NODES
    return Work(
        np.zeros(N_SIZE),
        np.zeros(N_SURFACES),
        np.zeros((N_SEEING, 4)),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(soil.N_LAYERS),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(N_SURFACES),
        np.zeros(N_SURFACES),
        np.zeros(N_SURFACES),
        np.zeros((N_SURFACES, 2)),
        np.zeros((N_SURFACES, 2)),
        np.zeros(n_air),
        np.zeros(n_air),
        np.zeros(n_air),
        np.zeros(N_SURFACES),
        np.ones(N_SURFACES),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros(nodes),
        np.zeros((N_HUBS, N_HUBS)),
        np.zeros((N_SATELLITES, N_HUBS)),
        np.zeros(soil.N_LAYERS),
        np.zeros(N_SCALAR),
    )


@njit(cache=True, nogil=True)
def cover_form(height: float, width: float, skirt: float, gap: float) -> tuple[float, float, float, float]:
    """Top, side and foot [m2] and volume [m3] of a cover: a cylinder, or a cone frustum if it has a skirt. Eq. K1."""
    top_r = 0.5 * width
    foot_r = top_r + skirt
    wall = max(height - gap, 1e-3)
    top = math.pi * top_r**2
    side = math.pi * (top_r + foot_r) * math.sqrt(wall**2 + skirt**2)
    volume = math.pi / 3.0 * height * (top_r**2 + top_r * foot_r + foot_r**2)
    return top, side, math.pi * foot_r**2, volume


@njit(cache=True, nogil=True)
def set_tree(w: Work, p: Array, m: Array) -> None:
    """Organs: areas, views, free convection, capacities. Once a member."""
    crown = 0.25 * math.pi * p[ix.P_TREE_WIDTH] ** 2
    leaves = p[ix.P_LEAF_AREA_INDEX] * crown
    exposed = p[ix.P_LEAF_EXPOSED_SHARE] * leaves
    twig_d, trunk_d, r = p[ix.P_TWIG_DIAMETER], p[ix.P_TRUNK_DIAMETER], p[ix.P_FRUIT_RADIUS]
    w.area[V_LEAF] = 2.0 * exposed
    w.area[V_INNER] = 2.0 * (leaves - exposed)
    w.area[V_TWIG] = math.pi * twig_d * p[ix.P_TWIG_LENGTH]
    w.area[V_BARK] = math.pi * trunk_d * p[ix.P_TRUNK_HEIGHT]
    w.area[V_FRUIT] = 4.0 * math.pi * r**2 * p[ix.P_FRUIT_COUNT]
    _see(w, V_LEAF, p[ix.P_LEAF_EMISSIVITY], 0.5 * p[ix.P_LEAF_SKY_VIEW], 0.5 - 0.5 * p[ix.P_LEAF_SKY_VIEW],
         0.5 * p[ix.P_LEAF_GROUND_VIEW], 0.5 - 0.5 * p[ix.P_LEAF_GROUND_VIEW])  # fmt: skip
    _see(w, V_INNER, p[ix.P_LEAF_EMISSIVITY], p[ix.P_INNER_SKY_VIEW], p[ix.P_INNER_HORIZON_VIEW],
         p[ix.P_INNER_GROUND_VIEW], 0.0)  # fmt: skip
    _see_rest(w, V_TWIG, p[ix.P_WOOD_EMISSIVITY], p[ix.P_TWIG_SKY_VIEW], p[ix.P_TWIG_HORIZON_VIEW],
              p[ix.P_TWIG_GROUND_VIEW])  # fmt: skip
    _see_rest(w, V_BARK, p[ix.P_WOOD_EMISSIVITY], p[ix.P_TRUNK_SKY_VIEW], p[ix.P_TRUNK_HORIZON_VIEW],
              p[ix.P_TRUNK_GROUND_VIEW])  # fmt: skip
    _see_rest(w, V_FRUIT, p[ix.P_LEAF_EMISSIVITY], p[ix.P_FRUIT_SKY_VIEW], p[ix.P_FRUIT_HORIZON_VIEW],
              p[ix.P_FRUIT_GROUND_VIEW])  # fmt: skip
    w.size[S_FREE_LEAF] = cv.power_mix(cv.h_of(cv.leaf_free(cv.grashof(1.0, p[ix.P_LEAF_WIDTH])), p[ix.P_LEAF_WIDTH]))
    w.size[S_FREE_TWIG] = cv.power_mix(cv.h_of(cv.cylinder_free(cv.grashof(1.0, twig_d)), twig_d))
    w.size[S_FREE_TRUNK] = cv.power_mix(cv.h_of(cv.cylinder_free(cv.grashof(1.0, trunk_d)), trunk_d))
    w.size[S_FRUIT_STILL] = 2.0 * AIR_CONDUCTIVITY / (2.0 * r)
    w.size[S_FREE_FRUIT] = cv.h_of(cv.sphere_free(cv.rayleigh_per_k(2.0 * r), cv.PRANDTL) - 2.0, 2.0 * r)
    w.size[S_SHEET] = cv.power_mix(cv.sheet_unit())
    w.capacity[ix.IX_LEAF_EXPOSED] = p[ix.P_LEAF_HEAT] * exposed
    w.capacity[ix.IX_LEAF_INNER] = p[ix.P_LEAF_HEAT] * (leaves - exposed)
    _set_wood(w, p, m)
    mass = 4.0 / 3.0 * math.pi * r**3 * p[ix.P_FRUIT_COUNT] * p[ix.P_FRUIT_DENSITY]
    w.capacity[ix.IX_FRUIT] = mass * p[ix.P_FRUIT_HEAT]
    w.latent[ix.IX_FRUIT] = mass * p[ix.P_FRUIT_WATER_SHARE] * LATENT_FUSION
    w.size[S_FRUIT_R] = r / (SPHERE_FORM * p[ix.P_FRUIT_CONDUCTIVITY])


@njit(cache=True, nogil=True)
def _set_wood(w: Work, p: Array, m: Array) -> None:
    """Twig, bark and core; a wrap or bank lies on the bark. Eq. T1."""
    volumetric = p[ix.P_WOOD_DENSITY] * p[ix.P_WOOD_HEAT]
    twig_d, length = p[ix.P_TWIG_DIAMETER], p[ix.P_TRUNK_HEIGHT]
    w.capacity[ix.IX_TWIG] = volumetric * 0.25 * math.pi * twig_d**2 * p[ix.P_TWIG_LENGTH]
    radius = 0.5 * p[ix.P_TRUNK_DIAMETER]
    share = p[ix.P_TRUNK_BARK_SHARE]  # of the radius
    inner = radius * (1.0 - share)
    middle = radius * (1.0 - 0.5 * share)
    outer_v = math.pi * (radius**2 - inner**2) * length
    w.capacity[ix.IX_BARK] = volumetric * outer_v + m[ix.M_WRAP_HEAT] * w.area[V_BARK]
    w.capacity[ix.IX_CORE] = volumetric * math.pi * inner**2 * length
    k = p[ix.P_WOOD_CONDUCTIVITY] * length
    w.size[S_CORE_LINK] = 1.0 / (math.log(middle / inner) / (2.0 * math.pi * k) + 1.0 / (CORE_FORM * k))
    in_wood = radius * math.log(radius / middle) / p[ix.P_WOOD_CONDUCTIVITY]
    w.size[S_BARK_R] = in_wood + m[ix.M_WRAP_RESISTANCE]
    w.size[S_BANK_LINK] = m[ix.M_WRAP_TO_GROUND] * w.area[V_BARK]


@njit(cache=True, nogil=True)
def _see(w: Work, row: int, emissivity: float, sky: float, horizon: float, ground: float, inner: float) -> None:
    a = w.area[row] * emissivity
    w.see[row, SEE_SKY] = a * sky
    w.see[row, SEE_HORIZON] = a * horizon
    w.see[row, SEE_GROUND] = a * ground
    w.see[row, SEE_INNER] = a * inner


@njit(cache=True, nogil=True)
def _see_rest(w: Work, row: int, emissivity: float, sky: float, horizon: float, ground: float) -> None:
    _see(w, row, emissivity, sky, horizon, ground, max(0.0, 1.0 - sky - horizon - ground))


@njit(cache=True, nogil=True)
def set_place(w: Work, p: Array, m: Array) -> None:
    """Air space, cover and ground, for the switches in `size`. At each change of cover, bucket or water."""
    size = w.size
    crown = 0.25 * math.pi * p[ix.P_TREE_WIDTH] ** 2
    covered = size[S_COVERED] > 0.0
    size[S_FRONT] = p[ix.P_TREE_WIDTH] * p[ix.P_TREE_HEIGHT]
    if covered:
        top, side, foot, volume = cover_form(
            m[ix.M_COVER_HEIGHT], m[ix.M_COVER_WIDTH], m[ix.M_COVER_SKIRT], m[ix.M_COVER_GAP]
        )
        area = top + side
        size[S_COVER_SKY] = (p[ix.P_COVER_TOP_SKY_VIEW] * top + p[ix.P_COVER_SIDE_SKY_VIEW] * side) / area
        size[S_COVER_TOP] = top
        size[S_COVER_LINK] = area / max(m[ix.M_COVER_RESISTANCE], 1e-3)
    else:
        area, foot, volume = 0.0, crown, crown * p[ix.P_TREE_HEIGHT]
        size[S_COVER_SKY], size[S_COVER_TOP], size[S_COVER_LINK] = 0.0, 0.0, 0.0
    w.area[V_COVER_IN] = area
    w.area[V_COVER_OUT] = area
    size[S_VOLUME] = volume
    w.capacity[ix.IX_AIR_INSIDE] = AIR_HEAT * volume
    w.capacity[ix.IX_COVER_INSIDE] = 0.5 * m[ix.M_COVER_HEAT] * area
    w.capacity[ix.IX_COVER_OUTSIDE] = 0.5 * m[ix.M_COVER_HEAT] * area
    _set_ground(w, p, m, foot, crown)
    set_bucket(w, p, m)


@njit(cache=True, nogil=True)
def _set_ground(w: Work, p: Array, m: Array, foot: float, crown: float) -> None:
    """Ground under the cover, or under the crown; the skin, six layers and the wetted part. Eq. G1, G4."""
    size = w.size
    size[S_GROUND] = foot
    size[S_WET_SHARE] = min(MOST_WET, m[ix.M_WATER_AREA] / foot) if size[S_WATER] > 0.0 else 0.0
    k, heat, water = p[ix.P_SOIL_CONDUCTIVITY], p[ix.P_SOIL_HEAT], p[ix.P_SOIL_WATER]
    resistance, size[S_WETNESS] = p[ix.P_GROUND_LAYER_RESISTANCE], p[ix.P_SOIL_WETNESS]
    if m[ix.M_SOIL_CHANGED] > 0.0:
        k, heat, water = m[ix.M_SOIL_CONDUCTIVITY], m[ix.M_SOIL_HEAT], m[ix.M_SOIL_WATER]
        resistance, size[S_WETNESS] = m[ix.M_GROUND_LAYER_RESISTANCE], m[ix.M_SOIL_WETNESS]
    wet = size[S_WET_SHARE]
    w.area[V_GROUND] = foot * (1.0 - wet)
    w.area[V_WET] = foot * wet
    # a skirt adds ground that the crown does not hide from the cover
    out = p[ix.P_GROUND_SKY_VIEW] + p[ix.P_GROUND_HORIZON_VIEW]
    seen = max(out, 1.0 - (1.0 - out) * crown / foot)
    sky = seen * p[ix.P_GROUND_SKY_VIEW] / out if out > 0.0 else 0.0
    horizon = seen - sky
    _see(w, V_GROUND, p[ix.P_GROUND_EMISSIVITY], sky, horizon, 0.0, 0.0)
    _see(w, V_WET, p[ix.P_GROUND_EMISSIVITY], sky, horizon, 0.0, 0.0)
    skin = resistance + soil.half_resistance(0, k)
    size[S_GROUND_LINK] = w.area[V_GROUND] / skin
    size[S_WET_LINK] = w.area[V_WET] / skin
    size[S_FILM_CAP] = p[ix.P_WATER_FILM] * w.area[V_WET]
    w.capacity[ix.IX_GROUND] = p[ix.P_GROUND_LAYER_HEAT] * w.area[V_GROUND] if resistance > 0.0 else 0.0
    for i in range(soil.N_LAYERS):
        w.capacity[ix.IX_SOIL + i] = heat * soil.LAYERS_M[i] * foot
        if i < soil.N_LAYERS - 1:
            w.link[i] = soil.between(i, k) * foot
    w.latent[ix.IX_SOIL] = water * soil.LAYERS_M[0] * DENSITY_WATER * LATENT_FUSION * foot


@njit(cache=True, nogil=True)
def set_bucket(w: Work, p: Array, m: Array) -> None:
    """Surfaces and heat capacity of the buckets; areas grow with the two-thirds power of the 19 L one. Eq. U1."""
    if w.size[S_BUCKET] <= 0.0:
        w.area[V_BUCKET] = 0.0
        w.capacity[ix.IX_BUCKET] = 0.0
        return
    grow = (m[ix.M_BUCKET_LITRES] / 19.0) ** (2.0 / 3.0) * m[ix.M_BUCKET_COUNT] if m[ix.M_BUCKET_LITRES] > 0.0 else 0.0
    w.size[S_BUCKET_SIDE] = p[ix.P_BUCKET_SIDE_AREA] * grow
    w.size[S_BUCKET_TOP] = p[ix.P_BUCKET_TOP_AREA] * grow
    w.area[V_BUCKET] = w.size[S_BUCKET_TOP] * (1.0 - m[ix.M_BUCKET_LID])
    mass = float(m[ix.M_BUCKET_COUNT] * m[ix.M_BUCKET_LITRES] * 1e-3 * DENSITY_WATER)
    w.capacity[ix.IX_BUCKET] = mass * HEAT_WATER
    w.latent[ix.IX_BUCKET] = mass * LATENT_FUSION
