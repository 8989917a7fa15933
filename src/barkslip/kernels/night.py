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
#: water with which the wetted ground starts [kg/m2]: half a millimetre
FIRST_WATER = 0.5


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
def _set_off(w: nb.Work, p: Array, m: Array, temps: Array) -> None:
    """Begin a member's night."""
    w.size[:] = 0.0
    w.dew[:] = 0.0
    w.scalar[:] = 0.0
    w.before[na.A_WIND] = -1.0
    w.after[na.A_WIND] = -1.0
    w.shrink[:] = 1.0
    w.temp[:] = temps
    w.capacity[:] = 0.0
    w.latent[:] = 0.0
    nb.set_tree(w, p, m)
    nb.set_place(w, p, m)
    w.temp[ix.IX_BUCKET] = w.temp[ix.IX_AIR_INSIDE]
    w.temp[ix.IX_WET_GROUND] = w.temp[ix.IX_AIR_INSIDE]


@njit(cache=True, nogil=True)
def _lies_within(seconds: float, on: float, off: float) -> bool:
    return seconds >= on and (off <= 0.0 or seconds < off)


@njit(cache=True, nogil=True)
def _events(w: nb.Work, p: Array, m: Array, at: float, middle: float, past: float) -> bool:
    """Put on, take off, place, refill, turn on and off; True if the sizes have changed. Eq. M1.

    A measure counts for a step if it is on in the middle of it.
    """
    size = w.size
    covered = m[ix.M_COVER] > 0.0 and _lies_within(middle, m[ix.M_COVER_ON], m[ix.M_COVER_OFF])
    placed = m[ix.M_BUCKET_COUNT] > 0.0 and middle >= m[ix.M_BUCKET_PLACED]
    flows = m[ix.M_WATER_RATE] > 0.0 and _lies_within(middle, m[ix.M_WATER_ON], m[ix.M_WATER_OFF])
    lit = m[ix.M_LAMP_POWER] > 0.0 and _lies_within(middle, m[ix.M_LAMP_ON], m[ix.M_LAMP_OFF])
    size[nb.S_LAMP] = 1.0 if lit else 0.0
    w.scalar[nb.X_RATE] = m[ix.M_WATER_RATE] if flows else 0.0
    changed = False
    if covered != (size[nb.S_COVERED] > 0.0):
        size[nb.S_COVERED] = 1.0 if covered else 0.0
        for node in (ix.IX_COVER_INSIDE, ix.IX_COVER_OUTSIDE):
            w.temp[node] = w.before[na.A_AIR] if covered else w.temp[ix.IX_AIR_INSIDE]
        w.dew[nb.V_COVER_IN] = 0.0
        w.dew[nb.V_COVER_OUT] = 0.0
        changed = True
    water = size[nb.S_WATER] > 0.0
    if flows and not water:
        size[nb.S_WATER] = 1.0
        changed = True
    if changed:
        ground = w.capacity[ix.IX_SOIL]
        nb.set_place(w, p, m)
        grown = w.capacity[ix.IX_SOIL] / ground  # a cover shelters more ground, or less
        w.heat[ix.IX_SOIL] *= grown
        w.dew[nb.V_GROUND] *= grown
    if flows and not water:
        w.scalar[nb.X_FILM] = FIRST_WATER * w.area[nb.V_WET]
        w.capacity[ix.IX_WET_GROUND] = w.scalar[nb.X_FILM] * HEAT_WATER
        w.heat[ix.IX_WET_GROUND] = w.capacity[ix.IX_WET_GROUND] * m[ix.M_WATER_TEMP]
        w.temp[ix.IX_WET_GROUND] = m[ix.M_WATER_TEMP]
    fresh = placed and size[nb.S_BUCKET] <= 0.0
    if placed and m[ix.M_BUCKET_REFILL] > 0.0 and not fresh:
        every = m[ix.M_BUCKET_REFILL]
        since, until = past - m[ix.M_BUCKET_PLACED], middle - m[ix.M_BUCKET_PLACED]
        fresh = math.floor(until / every) > math.floor(since / every)
    if fresh:
        size[nb.S_BUCKET] = 1.0
        nb.set_bucket(w, p, m)
        w.heat[ix.IX_BUCKET] = w.capacity[ix.IX_BUCKET] * m[ix.M_BUCKET_TEMP]
        w.temp[ix.IX_BUCKET] = m[ix.M_BUCKET_TEMP]
    return changed


@njit(cache=True, nogil=True)
def _store(w: nb.Work, p: Array, first: bool) -> None:
    """Enthalpies of all nodes from temperatures; those that can freeze keep theirs unless it is the first time."""
    for n in range(ix.N_NODES):
        if n == ix.IX_FRUIT or n == ix.IX_SOIL:
            if not first:
                continue
            if n == ix.IX_FRUIT:
                w.heat[n] = phase.solution_heat(w.temp[n], w.capacity[n], w.latent[n], p[ix.P_FRUIT_FREEZING])
            else:
                w.heat[n] = phase.plateau_heat(w.temp[n], w.capacity[n], w.capacity[n], w.latent[n])
        elif n == ix.IX_BUCKET or n == ix.IX_WET_GROUND:
            if w.capacity[n] <= 0.0:
                w.heat[n] = 0.0
        else:
            w.heat[n] = w.capacity[n] * w.temp[n]


@njit(cache=True, nogil=True)
def _step(w: nb.Work, p: Array, m: Array, dt_s: float) -> tuple[float, float]:
    """Both stages of a step, from `heat` and `temp`; returns heat from outside and error of the budget [J]. Eq. N4."""
    short = GAMMA * dt_s
    na.set_between(w.now, w.before, w.after, GAMMA)
    w.base[:] = w.heat
    w.stage[:] = w.heat
    w.guess[:] = w.temp
    w.dew_base[:] = w.dew
    w.scalar[nb.X_FILM_BASE] = w.scalar[nb.X_FILM]
    first = stage(w, p, m, short)
    for n in range(ix.N_NODES):
        w.base[n] = w.heat[n] + BEYOND * (w.stage[n] - w.heat[n])
        w.guess[n] += BEYOND * (w.guess[n] - w.temp[n])
    for s in range(nb.N_SURFACES):
        w.dew_base[s] = max(0.0, w.dew[s] + BEYOND * (w.dew_stage[s] - w.dew[s]))
    film = w.scalar[nb.X_FILM] + BEYOND * (w.scalar[nb.X_FILM_STAGE] - w.scalar[nb.X_FILM])
    w.scalar[nb.X_FILM_BASE] = film
    na.set_between(w.now, w.before, w.after, 1.0)
    last = stage(w, p, m, short)
    came = dt_s * ((1.0 - GAMMA) * first + GAMMA * last)
    stored = 0.0
    for n in range(ix.N_NODES):
        stored += w.stage[n] - w.heat[n]
    w.heat[:] = w.stage
    w.temp[:] = w.guess
    w.dew[:] = w.dew_stage
    w.scalar[nb.X_FILM] = w.scalar[nb.X_FILM_STAGE]
    return came, stored - came


@njit(cache=True, nogil=True)
def _put(w: nb.Work, out: Array, error: float) -> None:
    """One row of results; what is not there is NaN."""
    for n in range(ix.N_NODES):
        out[n] = w.temp[n]
    if w.size[nb.S_COVERED] <= 0.0:
        out[ix.IX_COVER_INSIDE] = np.nan
        out[ix.IX_COVER_OUTSIDE] = np.nan
    if w.size[nb.S_BUCKET] <= 0.0:
        out[ix.IX_BUCKET] = np.nan
    if w.size[nb.S_WATER] <= 0.0:
        out[ix.IX_WET_GROUND] = np.nan
    fruit = w.capacity[ix.IX_FRUIT] > 0.0
    if not fruit:
        out[ix.IX_FRUIT] = np.nan
    out[ix.IX_AIR] = w.after[na.A_AIR]
    held = w.heat[ix.IX_FRUIT] - w.capacity[ix.IX_FRUIT] * w.temp[ix.IX_FRUIT]
    out[ix.IX_FRUIT_ICE] = max(0.0, -held / w.latent[ix.IX_FRUIT]) if fruit else np.nan
    out[ix.IX_BUCKET_ICE] = phase.plateau_ice(w.heat[ix.IX_BUCKET], w.latent[ix.IX_BUCKET])
    ice = phase.plateau_ice(w.heat[ix.IX_WET_GROUND], w.latent[ix.IX_WET_GROUND])
    out[ix.IX_GROUND_ICE] = ice * w.scalar[nb.X_FILM]
    out[ix.IX_LEAF_DEW] = w.dew[nb.V_LEAF] / (0.5 * w.area[nb.V_LEAF])
    out[ix.IX_BUDGET_ERROR] = error


@njit(cache=True, nogil=True)
def _member(w: nb.Work, forcing: Array, p: Array, m: Array, temps: Array, dt_s: float, out: Array) -> None:
    _set_off(w, p, m, temps)
    na.set_air(w.after, w.before, forcing[0], p, m, w.size)
    w.scalar[nb.X_VAPOUR] = w.after[na.A_VAPOUR]
    _store(w, p, True)
    moved, wrong = 0.0, 0.0
    for i in range(forcing.shape[0]):
        if i > 0:
            w.before[:] = w.after
            at = (i - 1) * dt_s
            if _events(w, p, m, at, at + 0.5 * dt_s, at - 0.5 * dt_s):
                na.set_air(w.before, w.after, forcing[i - 1], p, m, w.size)
                _store(w, p, False)
            na.set_air(w.after, w.before, forcing[i], p, m, w.size)
            came, error = _step(w, p, m, dt_s)
            moved += abs(came)
            wrong += error
        _put(w, out[i], wrong / moved if moved > 0.0 else 0.0)


@njit(cache=True, nogil=True)
def run_into(
    forcing: Array, params: Array, measures: Array, starts: Array, dt_s: float, out: Array, first: int, last: int
) -> None:
    """Run members `first` to `last` - 1 into `out`: several threads can share the members. As `run` otherwise."""
    w = nb.work(na.N_AIR)
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


@njit(cache=True, nogil=True)
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
