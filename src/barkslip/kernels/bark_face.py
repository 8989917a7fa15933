"""Bark of an upright limb by the side of the tree: eight columns from bark to core, joined round the limb.

Each column is a wedge of some rings. Heat goes in and out through the bark, along the radius (solved at each step,
implicit Euler) and round the limb to the next wedges (as they were the step before). All columns share a core. The sun
falls on each side by the angle between its bearing and the sun's, so the hemispheres come out by themselves.
Eq. B1 to B4: docs/models/heat.md.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import wrap_flux as wf
from barkslip.kernels import wrap_index as ix
from barkslip.kernels.constants import ZERO_C

Array = NDArray[np.float64]

N_FACES = 8
#: outer edges of the rings as shares of the radius, from the bark in; what is left is the core
EDGES = (1.0, 0.94, 0.84, 0.66, 0.40)
N_RINGS = 4
#: steps in an hour
STEPS = 12

#: columns of `hours` beside those of the wrap: direct sun, height and bearing of the sun
N_SUN = 3
(U_DIRECT, U_UP_DEG, U_FROM_DEG) = range(N_SUN)


@njit(cache=True, nogil=True, error_model="numpy")
def sun_on_face(direct: float, up_deg: float, from_deg: float, bearing_deg: float) -> float:
    """Direct sun on an upright face [W/m2]. Eq. B1."""
    if up_deg <= 0.0 or direct <= 0.0:
        return 0.0
    off = math.cos(math.radians(from_deg - bearing_deg))
    return direct * math.cos(math.radians(up_deg)) * max(0.0, off)


@njit(cache=True, nogil=True, error_model="numpy")
def _links(p: Array, heat: Array, inward: Array, around: Array) -> tuple[float, float, float]:
    """Per metre of height and wedge: heat [J/K], links inward and round [W/K]; the core's heat, skin and half ring."""
    radius, k, c = 0.5 * p[ix.P_LIMB_D], p[ix.P_SCION_K], p[ix.P_SCION_HEAT]
    angle = 2.0 * math.pi / N_FACES
    for i in range(N_RINGS):
        out, low = EDGES[i] * radius, EDGES[i + 1] * radius
        middle = 0.5 * (out + low)
        heat[i] = c * 0.5 * angle * (out * out - low * low)
        around[i] = k * (out - low) / (angle * middle)
        # to the middle of the next ring; from the last one half way into the core
        then = 0.5 * (low + EDGES[i + 2] * radius) if i + 2 < N_RINGS + 1 else 0.5 * low
        inward[i] = k * angle / math.log(middle / then)
    skin = angle * radius
    half = k * angle / math.log(1.0 / (0.5 * (1.0 + EDGES[1])))
    core = c * math.pi * (EDGES[N_RINGS] * radius) ** 2
    return core, skin, half


@njit(cache=True, nogil=True, error_model="numpy")
def _column(
    temps: Array, left: Array, right: Array, core: float, heat: Array, inward: Array, around: Array, skin_g: float,
    skin_q: float, dt_s: float, diag: Array,
) -> None:  # fmt: skip
    """One wedge over one step, in place; `skin_g` and `skin_q` are what the bark passes on [W/K], [W]. Eq. B3."""
    for i in range(N_RINGS):
        own = heat[i] / dt_s
        above = skin_g if i == 0 else inward[i - 1]
        diag[i] = own + above + inward[i] + 2.0 * around[i]
        temps[i] = own * temps[i] + around[i] * (left[i] + right[i]) + (skin_q if i == 0 else 0.0)
    temps[N_RINGS - 1] += inward[N_RINGS - 1] * core
    for i in range(1, N_RINGS):
        share = inward[i - 1] / diag[i - 1]
        diag[i] -= share * inward[i - 1]
        temps[i] += share * temps[i - 1]
    temps[N_RINGS - 1] /= diag[N_RINGS - 1]
    for i in range(N_RINGS - 2, -1, -1):
        temps[i] = (temps[i] + inward[i] * temps[i + 1]) / diag[i]


@njit(cache=True, nogil=True, error_model="numpy")
def run_member(hours: Array, suns: Array, p: Array, alpha: float, out: Array, settle_h: int) -> None:
    """Bark by side, one member; `out` float64[n, N_FACES] [°C] at the hours.

    Parameters
    ----------
    hours : float64[n, N_HOUR]
        As the wrap reads them.
    suns : float64[n, N_SUN]
    p : float64[N_PARAMS]
        Of the wrap.
    alpha : float
        Sun that the bark takes up.
    settle_h : int
        Hours with the first hour's air and sun before the run begins.
    """
    n = hours.shape[0]
    heat, inward, around, diag = np.empty(N_RINGS), np.empty(N_RINGS), np.empty(N_RINGS), np.empty(N_RINGS)
    core_heat, skin, half = _links(p, heat, inward, around)
    core = hours[0, ix.F_AIR] + p[ix.P_AIR_ERROR]
    temps, before = np.full((N_FACES, N_RINGS), core), np.full((N_FACES, N_RINGS), core)
    bark = np.full(N_FACES, core)
    free = wf.free4(p[ix.P_LIMB_D])
    dt_s = 3600.0 / STEPS
    for i in range(-settle_h, n):
        now, then = max(i, 0), min(max(i + 1, 0), n - 1)
        if i >= 0:
            out[i] = bark
        for step in range(STEPS):
            x = (step + 1.0) / STEPS
            air, out_k, level, h_wind = _between(hours[now], hours[then], p, x)
            before[:] = temps
            h_wind2 = h_wind * h_wind
            flow = 0.0
            for f in range(N_FACES):
                sun = p[ix.P_SUN_SHARE] * ((1.0 - x) * _beam(suns[now], f) + x * _beam(suns[then], f)) + level
                at = bark[f]
                h = wf.mixed(h_wind2 * h_wind2, free, at - air)
                h_long = p[ix.P_LIMB_EPS] * wf.exchange(at + ZERO_C, out_k)
                # the skin holds no heat: what comes in goes out or in through half the first ring
                taken = skin * (alpha * sun + h * air + h_long * (out_k - ZERO_C))
                share = half / (half + skin * (h + h_long))
                _column(
                    temps[f], before[f - 1], before[(f + 1) % N_FACES], core, heat, inward, around,
                    share * skin * (h + h_long), share * taken, dt_s, diag,
                )  # fmt: skip
                bark[f] = (taken + half * temps[f, 0]) / (half + skin * (h + h_long))
                flow += inward[N_RINGS - 1] * temps[f, N_RINGS - 1]
            joined = N_FACES * inward[N_RINGS - 1]
            core = (core_heat / dt_s * core + flow) / (core_heat / dt_s + joined)


@njit(cache=True, nogil=True, error_model="numpy")
def _beam(sun: Array, face: int) -> float:
    return sun_on_face(sun[U_DIRECT], sun[U_UP_DEG], sun[U_FROM_DEG], face * 360.0 / N_FACES)


@njit(cache=True, nogil=True, error_model="numpy")
def _between(now: Array, then: Array, p: Array, x: float) -> tuple[float, float, float, float]:
    """Air [°C], long waves from outside [K], sun of sky and ground [W/m2], forced coefficient. Eq. B2."""
    air = (1.0 - x) * now[ix.F_AIR] + x * then[ix.F_AIR] + p[ix.P_AIR_ERROR]
    out_k = (1.0 - x) * wf.outside_k(now, p, now[ix.F_AIR] + p[ix.P_AIR_ERROR] + ZERO_C) + x * wf.outside_k(
        then, p, then[ix.F_AIR] + p[ix.P_AIR_ERROR] + ZERO_C
    )
    diffuse = (1.0 - x) * now[ix.F_DIFFUSE] + x * then[ix.F_DIFFUSE]
    level = (1.0 - x) * now[ix.F_LEVEL] + x * then[ix.F_LEVEL]
    wind = ((1.0 - x) * now[ix.F_WIND] + x * then[ix.F_WIND]) * p[ix.P_WIND_FACTOR]
    h = p[ix.P_ENHANCEMENT] * wf.forced(max(wind, p[ix.P_WIND_MIN]), p[ix.P_LIMB_D])
    return air, out_k, p[ix.P_SUN_SHARE] * 0.5 * (diffuse + p[ix.P_GROUND_REFLECTS] * level), h


@njit(cache=True, nogil=True, error_model="numpy")
def run_into(
    hours: Array, suns: Array, params: Array, alphas: Array, out: Array, settle_h: int, first: int, last: int
) -> None:
    """Members first <= m < last; `out` float64[members, n, N_FACES]."""
    for m in range(first, last):
        run_member(hours, suns, params[m], alphas[m], out[m], settle_h)
