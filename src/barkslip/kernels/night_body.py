"""Areas, views and heat capacities of the tree, its ground and its cover, and the arrays the model works in."""

from __future__ import annotations

import math

import numpy as np
from numba import config, njit
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

#: the compiler may join like operations on neighbouring places of the work array: a tenth of the time; it must stand
#: before any function is compiled
config.SLP_VECTORIZE = 1

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

#: places in a block of air: air [°C], sky and surroundings [K], vapour [kg/m3], sun [W/m2], exchange of air [W/K],
#: wind [m/s], covered or not; then the forced coefficient to the power 3.5 of every surface
(
    A_AIR,
    A_SKY,
    A_HORIZON,
    A_VAPOUR,
    A_SUN,
    A_EXCHANGE,
    A_WIND,
    A_COVERED,
    A_FORCED,
) = range(9)
N_AIR = A_FORCED + N_SURFACES

#: places in the work array: sizes, links and switches of a member
(
    S_COVERED,
    S_BUCKET,
    S_WATER,
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
) = range(23)
#: vapour inside [kg/m3], film of water at the start of the step and of the stage and at its end [kg], water flowing in
#: and running off [kg/s]
(X_VAPOUR, X_FILM, X_FILM_BASE, X_FILM_STAGE, X_RATE, X_DRAINED) = range(23, 29)

#: share of the ground that can be wetted: some always stays dry
MOST_WET = 0.9
#: share of the water-holding cylinder: resistance of a core's mean to its face is 1 / (8 pi k) per length
CORE_FORM = 8.0 * math.pi
#: resistance of a sphere's mean to its face is r / (5 k)
SPHERE_FORM = 5.0


#: blocks of the work array that hold a value for each node: heat capacity [J/K], heat of freezing [J], dH/dT at the
#: guess [J/K], temperatures [°C] at the start, guessed and solved, enthalpies [J] at the start of step and stage and at
#: its end, link to what lies outside [W/K] and power from it [W], diagonal and right side, rate of change in the last
#: step [K/s]
(
    W_CAPACITY,
    W_LATENT,
    W_LOCAL,
    W_TEMP,
    W_GUESS,
    W_SOLVED,
    W_HEAT,
    W_BASE,
    W_STAGE,
    W_OUTER_G,
    W_OUTER_Q,
    W_DIAG,
    W_RIGHT,
    W_CHANGE,
) = range(29, 29 + 14 * ix.N_NODES, ix.N_NODES)
_AFTER_NODES = 29 + 14 * ix.N_NODES
#: blocks that hold a value for each surface: area [m2], dew [kg] at the start of step and stage and at its end,
#: convection [W/m2K], share left by what lies between node and surface, conductance for vapour [m3/s], vapour when
#: saturated [kg/m3], the rate of gain: first [kg/s] less second [kg/sK] times the temperature; guessed temperature
#: [°C], relative slope of saturation [1/K], free coefficient to the power 3.5 and the same at 1 K (a fruit's without
#: the power)
(
    W_AREA,
    W_DEW,
    W_DEW_BASE,
    W_DEW_STAGE,
    W_H,
    W_SHRINK,
    W_VAPOUR,
    W_FULL,
    W_GAIN,
    W_GAIN_SLOPE,
    W_AT,
    W_FULL_SLOPE,
    W_FREE,
    W_UNIT,
) = range(_AFTER_NODES, _AFTER_NODES + 14 * N_SURFACES, N_SURFACES)
_AFTER_SURFACES = _AFTER_NODES + 14 * N_SURFACES
#: links between layers of the ground, and from layers to the bark [W/K]
W_LINK = _AFTER_SURFACES
W_SIDE = W_LINK + soil.N_LAYERS
#: area times emissivity times view [m2], four for each surface that sees
W_SEE = W_SIDE + soil.N_LAYERS
#: links between hubs, and from satellites to hubs [W/K]
W_HUB = W_SEE + 4 * N_SEEING
W_SAT = W_HUB + N_HUBS * N_HUBS
#: air at the start and end of the step, and at the stage
W_BEFORE = W_SAT + N_SATELLITES * N_HUBS
W_AFTER = W_BEFORE + N_AIR
W_NOW = W_AFTER + N_AIR
N_WORK = W_NOW + N_AIR


@njit(cache=True, nogil=True, error_model="numpy")
def cover_form(height: float, width: float, skirt: float, gap: float) -> tuple[float, float, float, float]:
    """Top, side and foot [m2] and volume [m3] of a cover: a cylinder, or a cone frustum if it has a skirt. Eq. K1."""
    top_r = 0.5 * width
    foot_r = top_r + skirt
    wall = max(height - gap, 1e-3)
    top = math.pi * top_r**2
    side = math.pi * (top_r + foot_r) * math.sqrt(wall**2 + skirt**2)
    volume = math.pi / 3.0 * height * (top_r**2 + top_r * foot_r + foot_r**2)
    return top, side, math.pi * foot_r**2, volume


@njit(cache=True, nogil=True, error_model="numpy")
def set_tree(w: Array, p: Array, m: Array) -> None:
    """Organs: areas, views, free convection, capacities. Once a member."""
    crown = 0.25 * math.pi * p[ix.P_TREE_WIDTH] ** 2
    leaves = p[ix.P_LEAF_AREA_INDEX] * crown
    exposed = p[ix.P_LEAF_EXPOSED_SHARE] * leaves
    twig_d, trunk_d, r = p[ix.P_TWIG_DIAMETER], p[ix.P_TRUNK_DIAMETER], p[ix.P_FRUIT_RADIUS]
    w[W_AREA + V_LEAF] = 2.0 * exposed
    w[W_AREA + V_INNER] = 2.0 * (leaves - exposed)
    w[W_AREA + V_TWIG] = math.pi * twig_d * p[ix.P_TWIG_LENGTH]
    w[W_AREA + V_BARK] = math.pi * trunk_d * p[ix.P_TRUNK_HEIGHT]
    w[W_AREA + V_FRUIT] = 4.0 * math.pi * r**2 * p[ix.P_FRUIT_COUNT]
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
    w[W_UNIT + V_LEAF] = cv.power_mix(cv.h_of(cv.leaf_free(cv.grashof(1.0, p[ix.P_LEAF_WIDTH])), p[ix.P_LEAF_WIDTH]))
    w[W_UNIT + V_INNER] = w[W_UNIT + V_LEAF]
    w[W_UNIT + V_TWIG] = cv.power_mix(cv.h_of(cv.cylinder_free(cv.grashof(1.0, twig_d)), twig_d))
    w[W_UNIT + V_BARK] = cv.power_mix(cv.h_of(cv.cylinder_free(cv.grashof(1.0, trunk_d)), trunk_d))
    w[S_FRUIT_STILL] = 2.0 * AIR_CONDUCTIVITY / (2.0 * r)
    w[W_UNIT + V_FRUIT] = cv.h_of(cv.sphere_free(cv.rayleigh_per_k(2.0 * r), cv.PRANDTL) - 2.0, 2.0 * r)
    w[S_SHEET] = cv.power_mix(cv.sheet_unit())
    w[W_CAPACITY + ix.IX_LEAF_EXPOSED] = p[ix.P_LEAF_HEAT] * exposed
    w[W_CAPACITY + ix.IX_LEAF_INNER] = p[ix.P_LEAF_HEAT] * (leaves - exposed)
    _set_wood(w, p, m)
    mass = 4.0 / 3.0 * math.pi * r**3 * p[ix.P_FRUIT_COUNT] * p[ix.P_FRUIT_DENSITY]
    w[W_CAPACITY + ix.IX_FRUIT] = mass * p[ix.P_FRUIT_HEAT]
    w[W_LATENT + ix.IX_FRUIT] = mass * p[ix.P_FRUIT_WATER_SHARE] * LATENT_FUSION
    w[S_FRUIT_R] = r / (SPHERE_FORM * p[ix.P_FRUIT_CONDUCTIVITY])


@njit(cache=True, nogil=True, error_model="numpy")
def _set_wood(w: Array, p: Array, m: Array) -> None:
    """Twig, bark and core; a wrap or bank lies on the bark. Eq. T1."""
    volumetric = p[ix.P_WOOD_DENSITY] * p[ix.P_WOOD_HEAT]
    twig_d, length = p[ix.P_TWIG_DIAMETER], p[ix.P_TRUNK_HEIGHT]
    w[W_CAPACITY + ix.IX_TWIG] = volumetric * 0.25 * math.pi * twig_d**2 * p[ix.P_TWIG_LENGTH]
    radius = 0.5 * p[ix.P_TRUNK_DIAMETER]
    share = p[ix.P_TRUNK_BARK_SHARE]  # of the radius
    inner = radius * (1.0 - share)
    middle = radius * (1.0 - 0.5 * share)
    outer_v = math.pi * (radius**2 - inner**2) * length
    w[W_CAPACITY + ix.IX_BARK] = volumetric * outer_v + m[ix.M_WRAP_HEAT] * w[W_AREA + V_BARK]
    w[W_CAPACITY + ix.IX_CORE] = volumetric * math.pi * inner**2 * length
    k = p[ix.P_WOOD_CONDUCTIVITY] * length
    w[S_CORE_LINK] = 1.0 / (math.log(middle / inner) / (2.0 * math.pi * k) + 1.0 / (CORE_FORM * k))
    in_wood = radius * math.log(radius / middle) / p[ix.P_WOOD_CONDUCTIVITY]
    w[S_BARK_R] = in_wood + m[ix.M_WRAP_RESISTANCE]
    w[S_BANK_LINK] = m[ix.M_WRAP_TO_GROUND] * w[W_AREA + V_BARK]


@njit(cache=True, nogil=True, error_model="numpy")
def _see(w: Array, row: int, emissivity: float, sky: float, horizon: float, ground: float, inner: float) -> None:
    a = w[W_AREA + row] * emissivity
    w[W_SEE + 4 * row + SEE_SKY] = a * sky
    w[W_SEE + 4 * row + SEE_HORIZON] = a * horizon
    w[W_SEE + 4 * row + SEE_GROUND] = a * ground
    w[W_SEE + 4 * row + SEE_INNER] = a * inner


@njit(cache=True, nogil=True, error_model="numpy")
def _see_rest(w: Array, row: int, emissivity: float, sky: float, horizon: float, ground: float) -> None:
    _see(w, row, emissivity, sky, horizon, ground, max(0.0, 1.0 - sky - horizon - ground))


@njit(cache=True, nogil=True, error_model="numpy")
def set_place(w: Array, p: Array, m: Array) -> None:
    """Air space, cover and ground, for the switches in `size`. At each change of cover, bucket or water."""
    crown = 0.25 * math.pi * p[ix.P_TREE_WIDTH] ** 2
    covered = w[S_COVERED] > 0.0
    w[S_FRONT] = p[ix.P_TREE_WIDTH] * p[ix.P_TREE_HEIGHT]
    if covered:
        top, side, foot, volume = cover_form(
            m[ix.M_COVER_HEIGHT], m[ix.M_COVER_WIDTH], m[ix.M_COVER_SKIRT], m[ix.M_COVER_GAP]
        )
        area = top + side
        w[S_COVER_SKY] = (p[ix.P_COVER_TOP_SKY_VIEW] * top + p[ix.P_COVER_SIDE_SKY_VIEW] * side) / area
        w[S_COVER_TOP] = top
        w[S_COVER_LINK] = area / max(m[ix.M_COVER_RESISTANCE], 1e-3)
    else:
        area, foot, volume = 0.0, crown, crown * p[ix.P_TREE_HEIGHT]
        w[S_COVER_SKY], w[S_COVER_TOP], w[S_COVER_LINK] = 0.0, 0.0, 0.0
    w[W_AREA + V_COVER_IN] = area
    w[W_AREA + V_COVER_OUT] = area
    w[S_VOLUME] = volume
    w[W_CAPACITY + ix.IX_AIR_INSIDE] = AIR_HEAT * volume
    w[W_CAPACITY + ix.IX_COVER_INSIDE] = 0.5 * m[ix.M_COVER_HEAT] * area
    w[W_CAPACITY + ix.IX_COVER_OUTSIDE] = 0.5 * m[ix.M_COVER_HEAT] * area
    _set_ground(w, p, m, foot, crown)
    set_bucket(w, p, m)


@njit(cache=True, nogil=True, error_model="numpy")
def _set_ground(w: Array, p: Array, m: Array, foot: float, crown: float) -> None:
    """Ground under the cover, or under the crown; the skin, six layers and the wetted part. Eq. G1, G4."""
    w[S_GROUND] = foot
    w[S_WET_SHARE] = min(MOST_WET, m[ix.M_WATER_AREA] / foot) if w[S_WATER] > 0.0 else 0.0
    k, heat, water = p[ix.P_SOIL_CONDUCTIVITY], p[ix.P_SOIL_HEAT], p[ix.P_SOIL_WATER]
    resistance, w[S_WETNESS] = p[ix.P_GROUND_LAYER_RESISTANCE], p[ix.P_SOIL_WETNESS]
    if m[ix.M_SOIL_CHANGED] > 0.0:
        k, heat, water = m[ix.M_SOIL_CONDUCTIVITY], m[ix.M_SOIL_HEAT], m[ix.M_SOIL_WATER]
        resistance, w[S_WETNESS] = m[ix.M_GROUND_LAYER_RESISTANCE], m[ix.M_SOIL_WETNESS]
    wet = w[S_WET_SHARE]
    w[W_AREA + V_GROUND] = foot * (1.0 - wet)
    w[W_AREA + V_WET] = foot * wet
    # a skirt adds ground that the crown does not hide from the cover
    out = p[ix.P_GROUND_SKY_VIEW] + p[ix.P_GROUND_HORIZON_VIEW]
    seen = max(out, 1.0 - (1.0 - out) * crown / foot)
    sky = seen * p[ix.P_GROUND_SKY_VIEW] / out if out > 0.0 else 0.0
    horizon = seen - sky
    _see(w, V_GROUND, p[ix.P_GROUND_EMISSIVITY], sky, horizon, 0.0, 0.0)
    _see(w, V_WET, p[ix.P_GROUND_EMISSIVITY], sky, horizon, 0.0, 0.0)
    skin = resistance + soil.half_resistance(0, k)
    w[S_GROUND_LINK] = w[W_AREA + V_GROUND] / skin
    w[S_WET_LINK] = w[W_AREA + V_WET] / skin
    w[S_FILM_CAP] = p[ix.P_WATER_FILM] * w[W_AREA + V_WET]
    w[W_CAPACITY + ix.IX_GROUND] = p[ix.P_GROUND_LAYER_HEAT] * w[W_AREA + V_GROUND] if resistance > 0.0 else 0.0
    for i in range(soil.N_LAYERS):
        w[W_CAPACITY + ix.IX_SOIL + i] = heat * soil.LAYERS_M[i] * foot
        if i < soil.N_LAYERS - 1:
            w[W_LINK + i] = soil.between(i, k) * foot
    w[W_LATENT + ix.IX_SOIL] = water * soil.LAYERS_M[0] * DENSITY_WATER * LATENT_FUSION * foot


@njit(cache=True, nogil=True, error_model="numpy")
def set_bucket(w: Array, p: Array, m: Array) -> None:
    """Surfaces and heat capacity of the buckets; areas grow with the two-thirds power of the 19 L one. Eq. U1."""
    if w[S_BUCKET] <= 0.0:
        w[W_AREA + V_BUCKET] = 0.0
        w[W_CAPACITY + ix.IX_BUCKET] = 0.0
        return
    grow = (m[ix.M_BUCKET_LITRES] / 19.0) ** (2.0 / 3.0) * m[ix.M_BUCKET_COUNT] if m[ix.M_BUCKET_LITRES] > 0.0 else 0.0
    w[S_BUCKET_SIDE] = p[ix.P_BUCKET_SIDE_AREA] * grow
    w[S_BUCKET_TOP] = p[ix.P_BUCKET_TOP_AREA] * grow
    w[W_AREA + V_BUCKET] = w[S_BUCKET_TOP] * (1.0 - m[ix.M_BUCKET_LID])
    mass = float(m[ix.M_BUCKET_COUNT] * m[ix.M_BUCKET_LITRES] * 1e-3 * DENSITY_WATER)
    w[W_CAPACITY + ix.IX_BUCKET] = mass * HEAT_WATER
    w[W_LATENT + ix.IX_BUCKET] = mass * LATENT_FUSION
