"""One implicit stage: heat balance of all nodes, solved by taking out the satellites and the layers of the ground."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import night_body as nb
from barkslip.kernels import night_flux as nf
from barkslip.kernels import night_index as ix
from barkslip.kernels import phase, soil
from barkslip.kernels.constants import HEAT_ICE, HEAT_WATER

Array = NDArray[np.float64]

#: layer of the ground that a bank of soil is joined to: 3 to 7 cm deep
BANK_LAYER = 2
#: nodes that freeze: their enthalpy is the state
FREEZING = (ix.IX_FRUIT, ix.IX_SOIL, ix.IX_BUCKET, ix.IX_WET_GROUND)
#: a stage is repeated while the guess was off by more [K], so many times at most
TOLERANCE_K = 0.02
MOST_ROUNDS = 6


@njit(cache=True, nogil=True)
def point(w: nb.Work, p: Array, node: int, heat: float) -> tuple[float, float]:
    """Temperature [°C] and local heat capacity [J/K] of a node that can freeze, at an enthalpy [J]."""
    above, latent = w.capacity[node], w.latent[node]
    if node == ix.IX_FRUIT:
        return phase.solution_point(heat, above, latent, p[ix.P_FRUIT_FREEZING])
    below = above if node == ix.IX_SOIL else above * HEAT_ICE / HEAT_WATER
    return phase.plateau_point(heat, above, below, latent)


@njit(cache=True, nogil=True)
def _begin(w: nb.Work, p: Array) -> None:
    """Empty the system; temperatures of what can freeze follow from its enthalpy in `stage`."""
    for n in range(ix.N_NODES):
        w.diag[n] = 0.0
        w.right[n] = 0.0
        w.outer_g[n] = 0.0
        w.outer_q[n] = 0.0
        w.local[n] = w.capacity[n]
    for a in range(nb.N_HUBS):
        for b in range(a):
            w.hub[a, b] = 0.0
        for s in range(nb.N_SATELLITES):
            w.sat[s, a] = 0.0
    for i in range(soil.N_LAYERS):
        w.side[i] = 0.0
    for node in FREEZING:
        if w.capacity[node] > 0.0:
            w.guess[node], w.local[node] = point(w, p, node, w.stage[node])


@njit(cache=True, nogil=True)
def _add_storage(w: nb.Work, seconds: float) -> None:
    """Storage and what lies outside; nodes that are not there take the air's temperature and no part. Eq. N2."""
    for n in range(ix.N_NODES):
        capacity = w.local[n]
        w.diag[n] += w.outer_g[n] + capacity / seconds
        w.right[n] += w.outer_q[n] + w.base[n] / seconds
        if n == ix.IX_FRUIT or n == ix.IX_SOIL or n == ix.IX_BUCKET or n == ix.IX_WET_GROUND:
            w.right[n] += (capacity * w.guess[n] - w.stage[n]) / seconds
        if (w.diag[n] == 0.0 and n < ix.IX_SOIL) or (n == ix.IX_BUCKET and capacity == 0.0):
            w.diag[n] = 1.0
            w.right[n] = w.guess[ix.IX_AIR_INSIDE]
    if w.size[nb.S_WATER] <= 0.0:
        w.diag[ix.IX_WET_GROUND] = 1.0
        w.right[ix.IX_WET_GROUND] = w.guess[ix.IX_AIR_INSIDE]


@njit(cache=True, nogil=True)
def _take_out_ground(w: nb.Work) -> None:
    """Layers from the lowest up; the bank's link to the bark is carried along. Eq. N3."""
    bark = ix.IX_BARK
    if w.size[nb.S_BANK_LINK] > 0.0:
        g = w.size[nb.S_BANK_LINK]
        w.side[BANK_LAYER] = g
        w.diag[ix.IX_SOIL + BANK_LAYER] += g
        w.diag[bark] += g
    for i in range(soil.N_LAYERS - 1, 0, -1):
        n = ix.IX_SOIL + i
        g = w.link[i - 1]
        w.diag[n] += g  # the link to the layer above; that to the layer below is already in
        w.diag[n - 1] += g
        over = g / w.diag[n]
        w.diag[n - 1] -= over * g
        w.right[n - 1] += over * w.right[n]
        if w.side[i] > 0.0:
            b = w.side[i]
            w.side[i - 1] += over * b
            w.diag[bark] -= b * b / w.diag[n]
            w.right[bark] += b * w.right[n] / w.diag[n]
    n = ix.IX_SOIL
    up, wet, b = w.size[nb.S_GROUND_LINK], w.size[nb.S_WET_LINK], w.side[0]
    w.diag[n] += up + wet
    w.diag[ix.IX_GROUND] += up
    w.diag[ix.IX_WET_GROUND] += wet
    _take_out(w, n, up, wet, b)


@njit(cache=True, nogil=True)
def _take_out(w: nb.Work, n: int, ground: float, wet: float, bark: float) -> None:
    over = 1.0 / w.diag[n]
    w.diag[ix.IX_GROUND] -= ground * ground * over
    w.diag[ix.IX_WET_GROUND] -= wet * wet * over
    w.diag[ix.IX_BARK] -= bark * bark * over
    w.right[ix.IX_GROUND] += ground * w.right[n] * over
    w.right[ix.IX_WET_GROUND] += wet * w.right[n] * over
    w.right[ix.IX_BARK] += bark * w.right[n] * over
    w.hub[nb.HUB_WET, nb.HUB_GROUND] += ground * wet * over
    w.hub[nb.HUB_BARK, nb.HUB_GROUND] += ground * bark * over
    w.hub[nb.HUB_BARK, nb.HUB_WET] += wet * bark * over


@njit(cache=True, nogil=True)
def _take_out_pair(w: nb.Work, node: int, kept: int, g: float) -> None:
    """A node with one link, into the node it hangs on."""
    w.diag[node] += g
    w.diag[kept] += g
    over = g / w.diag[node]
    w.diag[kept] -= over * g
    w.right[kept] += over * w.right[node]


@njit(cache=True, nogil=True)
def _take_out_satellites(w: nb.Work) -> None:
    for s in range(nb.N_SATELLITES):
        n = nf.NODE_OF_SATELLITE[s]
        over = 1.0 / w.diag[n]
        for a in range(nb.N_HUBS - 1):  # none is joined to the bark
            g = w.sat[s, a]
            if g == 0.0:
                continue
            node = nf.NODE_OF_HUB[a]
            w.diag[node] -= g * g * over
            w.right[node] += g * w.right[n] * over
            for b in range(a):
                w.hub[a, b] += g * w.sat[s, b] * over


@njit(cache=True, nogil=True)
def _solve_hubs(w: nb.Work) -> None:
    """Hubs from the last to the first, and back."""
    for a in range(nb.N_HUBS - 1, -1, -1):
        n = nf.NODE_OF_HUB[a]
        over = 1.0 / w.diag[n]
        for b in range(a):
            g = w.hub[a, b]
            if g == 0.0:
                continue
            node = nf.NODE_OF_HUB[b]
            w.diag[node] -= g * g * over
            w.right[node] += g * w.right[n] * over
            for c in range(b):
                w.hub[b, c] += g * w.hub[a, c] * over
    for a in range(nb.N_HUBS):
        n = nf.NODE_OF_HUB[a]
        total = w.right[n]
        for b in range(a):
            total += w.hub[a, b] * w.solved[nf.NODE_OF_HUB[b]]
        w.solved[n] = total / w.diag[n]


@njit(cache=True, nogil=True)
def _back(w: nb.Work) -> None:
    """Satellites, core, outer face of the cover and layers, from the hubs."""
    t = w.solved
    for s in range(nb.N_SATELLITES):
        n = nf.NODE_OF_SATELLITE[s]
        total = w.right[n]
        for a in range(nb.N_HUBS - 1):
            total += w.sat[s, a] * t[nf.NODE_OF_HUB[a]]
        t[n] = total / w.diag[n]
    t[ix.IX_CORE] = (w.right[ix.IX_CORE] + w.size[nb.S_CORE_LINK] * t[ix.IX_BARK]) / w.diag[ix.IX_CORE]
    outside = ix.IX_COVER_OUTSIDE
    t[outside] = (w.right[outside] + w.size[nb.S_COVER_LINK] * t[ix.IX_COVER_INSIDE]) / w.diag[outside]
    n = ix.IX_SOIL
    total = w.right[n] + w.size[nb.S_GROUND_LINK] * t[ix.IX_GROUND] + w.size[nb.S_WET_LINK] * t[ix.IX_WET_GROUND]
    t[n] = (total + w.side[0] * t[ix.IX_BARK]) / w.diag[n]
    for i in range(1, soil.N_LAYERS):
        n = ix.IX_SOIL + i
        t[n] = (w.right[n] + w.link[i - 1] * t[n - 1] + w.side[i] * t[ix.IX_BARK]) / w.diag[n]


@njit(cache=True, nogil=True)
def _settle(w: nb.Work, p: Array) -> float:
    """Enthalpies from the solution, a new guess, and by how much the old one was off [K]."""
    worst = 0.0
    for n in range(ix.N_NODES):
        t = w.solved[n]
        if (n == ix.IX_FRUIT or n == ix.IX_SOIL or n == ix.IX_BUCKET or n == ix.IX_WET_GROUND) and w.capacity[n] > 0.0:
            w.stage[n] += w.local[n] * (t - w.guess[n])
            w.guess[n], _ = point(w, p, n, w.stage[n])
        else:
            w.stage[n] = w.capacity[n] * t
            worst = max(worst, abs(t - w.guess[n]))
            w.guess[n] = t
            continue
        worst = max(worst, abs(t - w.guess[n]))
    return worst


@njit(cache=True, nogil=True)
def _finish(w: nb.Work, seconds: float) -> float:
    for s in range(nb.N_SURFACES):
        rate = w.vapour_rate[s, 0] - w.vapour_rate[s, 1] * w.solved[nf.NODE[s]]
        w.dew_stage[s] = max(0.0, w.dew_base[s] + seconds * rate)
    power = 0.0
    for n in range(ix.N_NODES):
        power += w.outer_q[n] - w.outer_g[n] * w.solved[n]
    return power


@njit(cache=True, nogil=True)
def stage(w: nb.Work, p: Array, m: Array, seconds: float) -> float:
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
        _take_out_pair(w, ix.IX_CORE, ix.IX_BARK, w.size[nb.S_CORE_LINK])
        if w.size[nb.S_COVERED] > 0.0:
            _take_out_pair(w, ix.IX_COVER_OUTSIDE, ix.IX_COVER_INSIDE, w.size[nb.S_COVER_LINK])
        _take_out_satellites(w)
        _solve_hubs(w)
        _back(w)
        if _settle(w, p) < TOLERANCE_K:
            break
    return _finish(w, seconds)
