"""How cold each organ of one small tree gets through one night, with and without measures.

One lumped heat balance of leaves, twig, trunk, fruit, air, cover, ground, bucket and wetted ground, stepped by a
two-stage diagonally implicit Runge-Kutta method of second order, stable at any step (frost.alexander-1977), each stage
an implicit Euler step in enthalpy. Equations: docs/models/frost.md. Nothing is drawn at random here: members differ by
their parameters.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import night_air as na
from barkslip.kernels import night_body as nb
from barkslip.kernels import night_index as ix
from barkslip.kernels import phase, soil
from barkslip.kernels.constants import HEAT_WATER
from barkslip.kernels.night_solve import stage

Array = NDArray[np.float64]

#: the stage length over the step: 1 - 1/sqrt(2) makes the method stable and stiffly accurate
GAMMA = 1.0 - math.sqrt(0.5)
#: weight by which the second stage starts beyond the first
BEYOND = (1.0 - GAMMA) / GAMMA
#: first part of a step after a jump; each further part is so many times as long as all before it, but at most the third
#: number: 2, 4, 12, 23 and 23 of 64 parts
FIRST_SHARE, GROWTH, LAST_SHARE = 1.0 / 32.0, 2.0, 23.0 / 64.0
#: share of each part of the step after that one: the film of water on the ground follows slowest
SETTLING_SHARE = 0.25
#: water with which the wetted ground starts [kg/m2]: half a millimetre
FIRST_WATER = 0.5


def start(air_c: float, deep_c: float, depth_m: float) -> Array:
    """Temperatures at the first moment: all at the air's, the ground falling off to `deep_c`. Eq. G3.

    Parameters
    ----------
    air_c, deep_c : float
        Air, and ground below the day's wave [°C].
    depth_m : float
        Depth over which the ground comes near `deep_c` [m].

    Returns
    -------
    float64[N_NODES]
    """
    out = np.full(ix.N_NODES, air_c)
    out[ix.IX_SOIL : ix.IX_SOIL + soil.N_LAYERS] = soil.profile_c(air_c, deep_c, depth_m)
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def _set_off(w: Array, p: Array, m: Array, temps: Array) -> None:
    """Begin a member's night."""
    w[:] = 0.0
    w[nb.W_BEFORE + nb.A_WIND] = -1.0
    w[nb.W_AFTER + nb.A_WIND] = -1.0
    w[nb.W_SHRINK : nb.W_SHRINK + nb.N_SURFACES] = 1.0
    w[nb.W_TEMP : nb.W_TEMP + ix.N_NODES] = temps
    nb.set_tree(w, p, m)
    nb.set_place(w, p, m)
    w[nb.W_TEMP + ix.IX_BUCKET] = w[nb.W_TEMP + ix.IX_AIR_INSIDE]
    w[nb.W_TEMP + ix.IX_WET_GROUND] = w[nb.W_TEMP + ix.IX_AIR_INSIDE]


@njit(cache=True, nogil=True, error_model="numpy")
def _lies_within(seconds: float, on: float, off: float) -> bool:
    return seconds >= on and (off <= 0.0 or seconds < off)


@njit(cache=True, nogil=True, error_model="numpy")
def _events(w: Array, p: Array, m: Array, middle: float, past: float) -> int:
    """Put on, take off, place, refill, turn on and off; 0: nothing new, 1: something is, 2: sizes have changed. Eq. M1.

    A measure counts for a step if it is on in the middle of it; `past` is the middle of the step before.
    """
    covered = m[ix.M_COVER] > 0.0 and _lies_within(middle, m[ix.M_COVER_ON], m[ix.M_COVER_OFF])
    flows = m[ix.M_WATER_RATE] > 0.0 and _lies_within(middle, m[ix.M_WATER_ON], m[ix.M_WATER_OFF])
    lit = m[ix.M_LAMP_POWER] > 0.0 and _lies_within(middle, m[ix.M_LAMP_ON], m[ix.M_LAMP_OFF])
    new = 1 if lit != (w[nb.S_LAMP] > 0.0) or flows != (w[nb.X_RATE] > 0.0) else 0
    w[nb.S_LAMP] = 1.0 if lit else 0.0
    w[nb.X_RATE] = m[ix.M_WATER_RATE] if flows else 0.0
    if covered != (w[nb.S_COVERED] > 0.0):
        w[nb.S_COVERED] = 1.0 if covered else 0.0
        for node in (ix.IX_COVER_INSIDE, ix.IX_COVER_OUTSIDE):
            w[nb.W_TEMP + node] = w[nb.W_BEFORE + nb.A_AIR] if covered else w[nb.W_TEMP + ix.IX_AIR_INSIDE]
        w[nb.W_DEW + nb.V_COVER_IN] = 0.0
        w[nb.W_DEW + nb.V_COVER_OUT] = 0.0
        new = 2
    first_water = flows and w[nb.S_WATER] <= 0.0
    if first_water:
        w[nb.S_WATER] = 1.0
        new = 2
    if new == 2:
        ground = w[nb.W_CAPACITY + ix.IX_SOIL]
        nb.set_place(w, p, m)
        grown = w[nb.W_CAPACITY + ix.IX_SOIL] / ground  # a cover shelters more ground, or less
        w[nb.W_HEAT + ix.IX_SOIL] *= grown
        w[nb.W_DEW + nb.V_GROUND] *= grown
    if first_water:
        w[nb.X_FILM] = FIRST_WATER * w[nb.W_AREA + nb.V_WET]
        w[nb.W_CAPACITY + ix.IX_WET_GROUND] = w[nb.X_FILM] * HEAT_WATER
        w[nb.W_HEAT + ix.IX_WET_GROUND] = w[nb.W_CAPACITY + ix.IX_WET_GROUND] * m[ix.M_WATER_TEMP]
        w[nb.W_TEMP + ix.IX_WET_GROUND] = m[ix.M_WATER_TEMP]
    if _hot_water(w, p, m, middle, past):
        new = max(new, 1)
    return new


@njit(cache=True, nogil=True, error_model="numpy")
def _hot_water(w: Array, p: Array, m: Array, middle: float, past: float) -> bool:
    """Place the buckets, or fill them anew; True if that was done."""
    since = middle - m[ix.M_BUCKET_PLACED]
    if m[ix.M_BUCKET_COUNT] <= 0.0 or since < 0.0:
        return False
    if w[nb.S_BUCKET] > 0.0:
        every = m[ix.M_BUCKET_REFILL]
        if every <= 0.0 or math.floor(since / every) == math.floor((past - m[ix.M_BUCKET_PLACED]) / every):
            return False
    w[nb.S_BUCKET] = 1.0
    nb.set_bucket(w, p, m)
    w[nb.W_HEAT + ix.IX_BUCKET] = w[nb.W_CAPACITY + ix.IX_BUCKET] * m[ix.M_BUCKET_TEMP]
    w[nb.W_TEMP + ix.IX_BUCKET] = m[ix.M_BUCKET_TEMP]
    return True


@njit(cache=True, nogil=True, error_model="numpy")
def _store(w: Array, p: Array, first: bool) -> None:
    """Enthalpies of all nodes from temperatures; those that can freeze keep theirs unless it is the first time."""
    for n in range(ix.N_NODES):
        if n == ix.IX_FRUIT or n == ix.IX_SOIL:
            if not first:
                continue
            if n == ix.IX_FRUIT:
                w[nb.W_HEAT + n] = phase.solution_heat(
                    w[nb.W_TEMP + n], w[nb.W_CAPACITY + n], w[nb.W_LATENT + n], p[ix.P_FRUIT_FREEZING]
                )
            else:
                w[nb.W_HEAT + n] = phase.plateau_heat(
                    w[nb.W_TEMP + n], w[nb.W_CAPACITY + n], w[nb.W_CAPACITY + n], w[nb.W_LATENT + n]
                )
        elif n == ix.IX_BUCKET or n == ix.IX_WET_GROUND:
            if w[nb.W_CAPACITY + n] <= 0.0:
                w[nb.W_HEAT + n] = 0.0
        else:
            w[nb.W_HEAT + n] = w[nb.W_CAPACITY + n] * w[nb.W_TEMP + n]


@njit(cache=True, nogil=True, error_model="numpy")
def _copy(w: Array, to: int, of: int, count: int) -> None:
    for i in range(count):
        w[to + i] = w[of + i]


@njit(cache=True, nogil=True, error_model="numpy")
def _step(w: Array, p: Array, m: Array, dt_s: float, begin: float, end: float) -> tuple[float, float]:
    """Both stages of a step, or of its part from `begin` to `end`; returns heat from outside and what is amiss [J].

    Eq. N4.
    """
    dt_s *= end - begin
    short = GAMMA * dt_s
    na.set_between(w, begin + GAMMA * (end - begin))
    _copy(w, nb.W_BASE, nb.W_HEAT, ix.N_NODES)
    _copy(w, nb.W_STAGE, nb.W_HEAT, ix.N_NODES)
    for n in range(ix.N_NODES):
        w[nb.W_GUESS + n] = w[nb.W_TEMP + n] + short * w[nb.W_CHANGE + n]
    _copy(w, nb.W_DEW_BASE, nb.W_DEW, nb.N_SURFACES)
    w[nb.X_FILM_BASE] = w[nb.X_FILM]
    first = stage(w, p, m, short)
    for n in range(ix.N_NODES):
        w[nb.W_BASE + n] = w[nb.W_HEAT + n] + BEYOND * (w[nb.W_STAGE + n] - w[nb.W_HEAT + n])
        w[nb.W_GUESS + n] += BEYOND * (w[nb.W_GUESS + n] - w[nb.W_TEMP + n])
    for s in range(nb.N_SURFACES):
        w[nb.W_DEW_BASE + s] = max(0.0, w[nb.W_DEW + s] + BEYOND * (w[nb.W_DEW_STAGE + s] - w[nb.W_DEW + s]))
    film = w[nb.X_FILM] + BEYOND * (w[nb.X_FILM_STAGE] - w[nb.X_FILM])
    w[nb.X_FILM_BASE] = film
    na.set_between(w, end)
    last = stage(w, p, m, short)
    came = dt_s * ((1.0 - GAMMA) * first + GAMMA * last)
    stored = 0.0
    for n in range(ix.N_NODES):
        stored += w[nb.W_STAGE + n] - w[nb.W_HEAT + n]
        w[nb.W_CHANGE + n] = (w[nb.W_GUESS + n] - w[nb.W_TEMP + n]) / dt_s
    _copy(w, nb.W_HEAT, nb.W_STAGE, ix.N_NODES)
    _copy(w, nb.W_TEMP, nb.W_GUESS, ix.N_NODES)
    _copy(w, nb.W_DEW, nb.W_DEW_STAGE, nb.N_SURFACES)
    w[nb.X_FILM] = w[nb.X_FILM_STAGE]
    return came, stored - came


@njit(cache=True, nogil=True, error_model="numpy")
def _put(w: Array, freezing_c: float, out: Array, error: float) -> None:
    """One row of results; what is not there is NaN."""
    for n in range(ix.N_NODES):
        out[n] = w[nb.W_TEMP + n]
    if w[nb.S_COVERED] <= 0.0:
        out[ix.IX_COVER_INSIDE] = np.nan
        out[ix.IX_COVER_OUTSIDE] = np.nan
    if w[nb.S_BUCKET] <= 0.0:
        out[ix.IX_BUCKET] = np.nan
    if w[nb.S_WATER] <= 0.0:
        out[ix.IX_WET_GROUND] = np.nan
    fruit = w[nb.W_CAPACITY + ix.IX_FRUIT] > 0.0
    if not fruit:
        out[ix.IX_FRUIT] = np.nan
    out[ix.IX_AIR] = w[nb.W_AFTER + nb.A_AIR]
    out[ix.IX_FRUIT_ICE] = phase.solution_ice(w[nb.W_TEMP + ix.IX_FRUIT], freezing_c) if fruit else np.nan
    out[ix.IX_BUCKET_ICE] = phase.plateau_ice(w[nb.W_HEAT + ix.IX_BUCKET], w[nb.W_LATENT + ix.IX_BUCKET])
    ice = phase.plateau_ice(w[nb.W_HEAT + ix.IX_WET_GROUND], w[nb.W_LATENT + ix.IX_WET_GROUND])
    out[ix.IX_GROUND_ICE] = ice * w[nb.X_FILM]
    out[ix.IX_LEAF_DEW] = w[nb.W_DEW + nb.V_LEAF] / (0.5 * w[nb.W_AREA + nb.V_LEAF])
    out[ix.IX_BUDGET_ERROR] = error


@njit(cache=True, nogil=True, error_model="numpy")
def _member(w: Array, forcing: Array, p: Array, m: Array, temps: Array, dt_s: float, out: Array) -> None:
    _set_off(w, p, m, temps)
    na.set_air(w, nb.W_AFTER, nb.W_BEFORE, forcing[0], p, m)
    w[nb.X_VAPOUR] = w[nb.W_AFTER + nb.A_VAPOUR]
    _store(w, p, True)
    moved, wrong = 0.0, 0.0
    settling = False
    _put(w, p[ix.P_FRUIT_FREEZING], out[0], 0.0)
    for i in range(1, forcing.shape[0]):
        _copy(w, nb.W_BEFORE, nb.W_AFTER, nb.N_AIR)
        middle = (i - 0.5) * dt_s
        new = _events(w, p, m, middle, middle - dt_s)
        if new == 2:
            na.set_air(w, nb.W_BEFORE, nb.W_AFTER, forcing[i - 1], p, m)
            _store(w, p, False)
        na.set_air(w, nb.W_AFTER, nb.W_BEFORE, forcing[i], p, m)
        # after a jump the step is split, finest first: leaves and air follow within a minute
        jumped = new > 0 or i == 1
        share = FIRST_SHARE if jumped else (SETTLING_SHARE if settling else 1.0)
        begin = 0.0
        while begin < 1.0:
            end = min(1.0, begin + share)
            came, error = _step(w, p, m, dt_s, begin, end)
            moved += abs(came)
            wrong += error
            if jumped:
                share = min(GROWTH * end, LAST_SHARE)
            begin = end
        settling = jumped
        _put(w, p[ix.P_FRUIT_FREEZING], out[i], wrong / moved if moved > 0.0 else 0.0)


@njit(cache=True, nogil=True, error_model="numpy")
def run_into(
    forcing: Array, params: Array, measures: Array, starts: Array, dt_s: float, out: Array, first: int, last: int
) -> None:
    """Run members `first` to `last` - 1 into `out`: several threads can share the members. As `run` otherwise."""
    w = np.zeros(nb.N_WORK)
    for i in range(first, last):
        _member(
            w,
            forcing[min(i, forcing.shape[0] - 1)],
            params[i],
            measures[min(i, measures.shape[0] - 1)],
            starts[min(i, starts.shape[0] - 1)],
            dt_s,
            out[i],
        )


def run(forcing: Array, params: Array, measures: Array, starts: Array, dt_s: float) -> Array:
    """Temperatures of a night for every member.

    Parameters
    ----------
    forcing : float64[1 or m, n, 5]
        Air [°C], dew point [°C], wind [m/s], cloud [0 to 1], sun on the level [W/m2], `dt_s` apart; straight between.
    params : float64[m, N_PARAMS]
        `night_index.PARAM_NAMES`, in the units of `PARAM_UNITS`.
    measures : float64[1 or m, N_MEASURES]
        `night_index.MEASURE_NAMES`; all 0 is the bare tree.
    starts : float64[1 or m, N_NODES]
        Temperatures at the first row [°C]; see `start`.
    dt_s : float
        Step [s], above 0; 300 to 600 is enough, see docs/models/frost.md.

    Returns
    -------
    float64[m, n, N_STATES]
        `night_index.STATE_NAMES`. What is not there (no cover, no bucket, no fruit) is NaN. `budget_error` is the heat
        gone astray since the first row, over all heat moved.

    Notes
    -----
    Equations E1 to W4 of docs/models/frost.md. Checked by tests/kernels/test_night.py.
    """
    out = np.empty((params.shape[0], forcing.shape[1], ix.N_STATES))
    run_into(forcing, params, measures, starts, dt_s, out, 0, params.shape[0])
    return out
