"""One implicit stage: heat balance of all nodes, solved by taking out the satellites and the layers of the ground."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import night_body as nb
from barkslip.kernels import night_flux as nf
from barkslip.kernels import night_index as ix
from barkslip.kernels import phase, soil
from barkslip.kernels.constants import FAST, HEAT_ICE, HEAT_WATER

Array = NDArray[np.float64]

#: layer of the ground that a bank of soil is joined to: 3 to 7 cm deep
BANK_LAYER = 2
#: nodes that freeze: their enthalpy is the state
FREEZING = (ix.IX_FRUIT, ix.IX_SOIL, ix.IX_BUCKET, ix.IX_WET_GROUND)
#: a stage is repeated while the guess was off by more [K], so many times at most
TOLERANCE_K = 0.05
MOST_ROUNDS = 6


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def point(w: Array, p: Array, node: int, heat: float) -> tuple[float, float]:
    """Temperature [°C] and local heat capacity [J/K] of a node that can freeze, at an enthalpy [J]."""
    above, latent = w[nb.W_CAPACITY + node], w[nb.W_LATENT + node]
    if node == ix.IX_FRUIT:
        return phase.solution_point(heat, above, latent, p[ix.P_FRUIT_FREEZING])
    below = above if node == ix.IX_SOIL else above * HEAT_ICE / HEAT_WATER
    return phase.plateau_point(heat, above, below, latent)


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _begin(w: Array, p: Array) -> None:
    """Empty the system; temperatures of what can freeze follow from its enthalpy in `stage`."""
    for i in range(nb.W_OUTER_G, nb.W_CHANGE):
        w[i] = 0.0
    for i in range(nb.W_HUB, nb.W_BEFORE):
        w[i] = 0.0
    for n in range(ix.N_NODES):
        w[nb.W_LOCAL + n] = w[nb.W_CAPACITY + n]
    for i in range(soil.N_LAYERS):
        w[nb.W_SIDE + i] = 0.0
    for node in FREEZING:
        if w[nb.W_CAPACITY + node] > 0.0:
            w[nb.W_GUESS + node], w[nb.W_LOCAL + node] = point(w, p, node, w[nb.W_STAGE + node])


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _add_storage(w: Array, seconds: float) -> None:
    """Storage and what lies outside; nodes that are not there take the air's temperature and no part. Eq. N2."""
    rate = 1.0 / seconds
    air = w[nb.W_GUESS + ix.IX_AIR_INSIDE]
    for node in FREEZING:
        w[nb.W_RIGHT + node] += (w[nb.W_LOCAL + node] * w[nb.W_GUESS + node] - w[nb.W_STAGE + node]) * rate
    for n in range(ix.N_NODES):
        diagonal = w[nb.W_DIAG + n] + w[nb.W_OUTER_G + n] + w[nb.W_LOCAL + n] * rate
        right = w[nb.W_RIGHT + n] + w[nb.W_OUTER_Q + n] + w[nb.W_BASE + n] * rate
        absent = diagonal == 0.0
        w[nb.W_DIAG + n] = 1.0 if absent else diagonal
        w[nb.W_RIGHT + n] = air if absent else right
        w[nb.W_GUESS + n] = air if absent else w[nb.W_GUESS + n]  # or it would call for another round


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _take_out_ground(w: Array) -> None:
    """Layers from the lowest up; the bank's link to the bark is carried along. Eq. N3."""
    bark = ix.IX_BARK
    if w[nb.S_BANK_LINK] > 0.0:
        g = w[nb.S_BANK_LINK]
        w[nb.W_SIDE + BANK_LAYER] = g
        w[nb.W_DIAG + ix.IX_SOIL + BANK_LAYER] += g
        w[nb.W_DIAG + bark] += g
    for i in range(soil.N_LAYERS - 1, 0, -1):
        n = ix.IX_SOIL + i
        g = w[nb.W_LINK + i - 1]
        w[nb.W_DIAG + n] += g  # the link to the layer above; that to the layer below is already in
        w[nb.W_DIAG + n - 1] += g
        over = g / w[nb.W_DIAG + n]
        w[nb.W_DIAG + n - 1] -= over * g
        w[nb.W_RIGHT + n - 1] += over * w[nb.W_RIGHT + n]
        if w[nb.W_SIDE + i] > 0.0:
            b = w[nb.W_SIDE + i]
            w[nb.W_SIDE + i - 1] += over * b
            w[nb.W_DIAG + bark] -= b * b / w[nb.W_DIAG + n]
            w[nb.W_RIGHT + bark] += b * w[nb.W_RIGHT + n] / w[nb.W_DIAG + n]
    n = ix.IX_SOIL
    up, wet, b = w[nb.S_GROUND_LINK], w[nb.S_WET_LINK], w[nb.W_SIDE + 0]
    w[nb.W_DIAG + n] += up + wet
    w[nb.W_DIAG + ix.IX_GROUND] += up
    w[nb.W_DIAG + ix.IX_WET_GROUND] += wet
    _take_out(w, n, up, wet, b)


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _take_out(w: Array, n: int, ground: float, wet: float, bark: float) -> None:
    over = 1.0 / w[nb.W_DIAG + n]
    w[nb.W_DIAG + ix.IX_GROUND] -= ground * ground * over
    w[nb.W_DIAG + ix.IX_WET_GROUND] -= wet * wet * over
    w[nb.W_DIAG + ix.IX_BARK] -= bark * bark * over
    w[nb.W_RIGHT + ix.IX_GROUND] += ground * w[nb.W_RIGHT + n] * over
    w[nb.W_RIGHT + ix.IX_WET_GROUND] += wet * w[nb.W_RIGHT + n] * over
    w[nb.W_RIGHT + ix.IX_BARK] += bark * w[nb.W_RIGHT + n] * over
    w[nb.W_HUB + nb.N_HUBS * nb.HUB_WET + nb.HUB_GROUND] += ground * wet * over
    w[nb.W_HUB + nb.N_HUBS * nb.HUB_BARK + nb.HUB_GROUND] += ground * bark * over
    w[nb.W_HUB + nb.N_HUBS * nb.HUB_BARK + nb.HUB_WET] += wet * bark * over


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _take_out_pair(w: Array, node: int, kept: int, g: float) -> None:
    """A node with one link, into the node it hangs on."""
    w[nb.W_DIAG + node] += g
    w[nb.W_DIAG + kept] += g
    over = g / w[nb.W_DIAG + node]
    w[nb.W_DIAG + kept] -= over * g
    w[nb.W_RIGHT + kept] += over * w[nb.W_RIGHT + node]


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _take_out_satellites(w: Array) -> None:
    for s in range(nb.N_SATELLITES):
        n = nf.NODE_OF_SATELLITE[s]
        if w[nb.W_SAT + nb.N_HUBS * s + nb.HUB_AIR] == 0.0:
            continue  # it is not there
        over = 1.0 / w[nb.W_DIAG + n]
        for a in range(nb.N_HUBS - 1):  # none is joined to the bark
            g = w[nb.W_SAT + nb.N_HUBS * s + a]
            if g == 0.0:
                continue
            node = nf.NODE_OF_HUB[a]
            w[nb.W_DIAG + node] -= g * g * over
            w[nb.W_RIGHT + node] += g * w[nb.W_RIGHT + n] * over
            for b in range(a):
                w[nb.W_HUB + nb.N_HUBS * a + b] += g * w[nb.W_SAT + nb.N_HUBS * s + b] * over


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _solve_hubs(w: Array) -> None:
    """Hubs from the last to the first, and back."""
    for a in range(nb.N_HUBS - 1, -1, -1):
        n = nf.NODE_OF_HUB[a]
        over = 1.0 / w[nb.W_DIAG + n]
        for b in range(a):
            g = w[nb.W_HUB + nb.N_HUBS * a + b]
            if g == 0.0:
                continue
            node = nf.NODE_OF_HUB[b]
            w[nb.W_DIAG + node] -= g * g * over
            w[nb.W_RIGHT + node] += g * w[nb.W_RIGHT + n] * over
            for c in range(b):
                w[nb.W_HUB + nb.N_HUBS * b + c] += g * w[nb.W_HUB + nb.N_HUBS * a + c] * over
    for a in range(nb.N_HUBS):
        n = nf.NODE_OF_HUB[a]
        total = w[nb.W_RIGHT + n]
        for b in range(a):
            total += w[nb.W_HUB + nb.N_HUBS * a + b] * w[nb.W_SOLVED + nf.NODE_OF_HUB[b]]
        w[nb.W_SOLVED + n] = total / w[nb.W_DIAG + n]


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _back(w: Array) -> None:
    """Satellites, core, outer face of the cover and layers, from the hubs."""
    for s in range(nb.N_SATELLITES):
        n = nf.NODE_OF_SATELLITE[s]
        total = w[nb.W_RIGHT + n]
        for a in range(nb.N_HUBS - 1):
            total += w[nb.W_SAT + nb.N_HUBS * s + a] * w[nb.W_SOLVED + nf.NODE_OF_HUB[a]]
        w[nb.W_SOLVED + n] = total / w[nb.W_DIAG + n]
    w[nb.W_SOLVED + ix.IX_CORE] = (w[nb.W_RIGHT + ix.IX_CORE] + w[nb.S_CORE_LINK] * w[nb.W_SOLVED + ix.IX_BARK]) / w[
        nb.W_DIAG + ix.IX_CORE
    ]
    outside = ix.IX_COVER_OUTSIDE
    w[nb.W_SOLVED + outside] = (w[nb.W_RIGHT + outside] + w[nb.S_COVER_LINK] * w[nb.W_SOLVED + ix.IX_COVER_INSIDE]) / w[
        nb.W_DIAG + outside
    ]
    n = ix.IX_SOIL
    total = (
        w[nb.W_RIGHT + n]
        + w[nb.S_GROUND_LINK] * w[nb.W_SOLVED + ix.IX_GROUND]
        + w[nb.S_WET_LINK] * w[nb.W_SOLVED + ix.IX_WET_GROUND]
    )
    w[nb.W_SOLVED + n] = (total + w[nb.W_SIDE + 0] * w[nb.W_SOLVED + ix.IX_BARK]) / w[nb.W_DIAG + n]
    for i in range(1, soil.N_LAYERS):
        n = ix.IX_SOIL + i
        w[nb.W_SOLVED + n] = (
            w[nb.W_RIGHT + n]
            + w[nb.W_LINK + i - 1] * w[nb.W_SOLVED + n - 1]
            + w[nb.W_SIDE + i] * w[nb.W_SOLVED + ix.IX_BARK]
        ) / w[nb.W_DIAG + n]


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _settle(w: Array, p: Array) -> bool:
    """Enthalpies from the solution, a new guess, and whether the old one was near enough."""
    for node in FREEZING:
        if w[nb.W_CAPACITY + node] > 0.0:
            w[nb.W_STAGE + node] += w[nb.W_LOCAL + node] * (w[nb.W_SOLVED + node] - w[nb.W_GUESS + node])
            w[nb.W_GUESS + node], w[nb.W_LOCAL + node] = point(w, p, node, w[nb.W_STAGE + node])
    far = 0.0
    for n in range(ix.N_NODES):
        off = abs(w[nb.W_SOLVED + n] - w[nb.W_GUESS + n])
        far += 1.0 if off >= TOLERANCE_K else 0.0
    for n in range(ix.N_NODES):
        if n != ix.IX_FRUIT and n != ix.IX_SOIL and n != ix.IX_BUCKET and n != ix.IX_WET_GROUND:
            w[nb.W_STAGE + n] = w[nb.W_CAPACITY + n] * w[nb.W_SOLVED + n]
            w[nb.W_GUESS + n] = w[nb.W_SOLVED + n]
    for node in FREEZING:
        if w[nb.W_CAPACITY + node] <= 0.0:
            w[nb.W_STAGE + node] = 0.0
            w[nb.W_GUESS + node] = w[nb.W_SOLVED + node]
    return far == 0.0


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def _finish(w: Array, seconds: float) -> float:
    for s in range(nb.N_SURFACES):
        rate = w[nb.W_GAIN + s] - w[nb.W_GAIN_SLOPE + s] * w[nb.W_SOLVED + nf.NODE[s]]
        w[nb.W_DEW_STAGE + s] = max(0.0, w[nb.W_DEW_BASE + s] + seconds * rate)
    power = 0.0
    for n in range(ix.N_NODES):
        power += w[nb.W_OUTER_Q + n] - w[nb.W_OUTER_G + n] * w[nb.W_SOLVED + n]
    return power


@njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)
def stage(w: Array, p: Array, m: Array, seconds: float) -> float:
    """Implicit Euler from `base` over some seconds, at the air in `now`; returns the power from outside [W]. Eq. N1.

    `guess` holds a first guess of the temperatures and `stage` of the enthalpies; afterwards they hold the result,
    `solved` the temperatures with which all flows were reckoned, and `dew_stage` the dew.
    """
    nf.set_film(w, p, seconds)
    for _ in range(MOST_ROUNDS):
        _begin(w, p)
        nf.set_convection(w)
        nf.set_shrink(w)
        nf.set_vapour(w, p, m, seconds)
        nf.set_links(w, p, m)
        _add_storage(w, seconds)
        _take_out_ground(w)
        _take_out_pair(w, ix.IX_CORE, ix.IX_BARK, w[nb.S_CORE_LINK])
        if w[nb.S_COVERED] > 0.0:
            _take_out_pair(w, ix.IX_COVER_OUTSIDE, ix.IX_COVER_INSIDE, w[nb.S_COVER_LINK])
        _take_out_satellites(w)
        _solve_hubs(w)
        _back(w)
        if _settle(w, p):
            break
    return _finish(w, seconds)
