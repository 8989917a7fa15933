"""How hot and how dry a wrapped graft gets, hour by hour, at steps of some minutes.

Scion with its film and the limb under it hold heat; the cover and the air in it hold almost none and are solved at each
step from the balance of that moment. Coefficients are those of the end of the step before; nothing is iterated. Two
members differ by their parameters only: nothing is drawn at random here. Equations: docs/models/heat.md.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from barkslip.kernels import dose, drying
from barkslip.kernels import wrap_flux as wf
from barkslip.kernels import wrap_index as ix
from barkslip.kernels.constants import ZERO_C
from barkslip.kernels.humidity import sat_water_pa

Array = NDArray[np.float64]
Hour = tuple[float, float, float, float, float, float]

#: what a step carries on
N_S = 13
(
    S_SCION,
    S_LIMB,
    S_COVER,
    S_FACE,
    S_INSIDE,
    S_COVER_LAST,
    S_FACE_LAST,
    S_INSIDE_LAST,
    S_STRIP,
    S_SCION_AIM,
    S_LIMB_AIM,
    S_LINK,
    S_NEAR,
) = range(N_S)
#: steps in an hour: of five minutes
STEPS = 12
#: in the dark, where all moves slowly, so many times fewer
NIGHT = 2
#: how far into a step the coefficients of cover and inside air are drawn on, in steps
AHEAD = 0.5
#: steps with the first hour's air before the run begins
SETTLE = 24


@njit(cache=True, nogil=True, error_model="numpy")
def _hour(hour: Array, p: Array) -> Hour:
    """Air, outside as a black body [K], sun and beam on the graft, forced coefficients of what meets the wind."""
    air = hour[ix.F_AIR] + p[ix.P_AIR_ERROR]
    sun, beam = wf.sun_on_cylinder(hour, p)
    wind = max(hour[ix.F_WIND] * p[ix.P_WIND_FACTOR], p[ix.P_WIND_MIN])
    more = p[ix.P_ENHANCEMENT]
    outer = p[ix.P_COVER_D] if p[ix.P_HOLDS_AIR] > 0.0 else p[ix.P_SCION_D]
    return (
        air,
        wf.outside_k(hour, p, air + ZERO_C),
        sun,
        beam,
        more * wf.forced(wind, outer),
        more * wf.forced(wind, p[ix.P_LIMB_D]),
    )


@njit(cache=True, nogil=True, error_model="numpy")
def _open(w: Array, p: Array, ts: float, air: float, out_k: float, sun: float, h_wind: float) -> tuple[float, float]:
    """Gain [W] over the air of a scion in the open, and what it loses per kelvin [W/K]. Eq. G6."""
    h2 = h_wind * h_wind
    h = wf.mixed(h2 * h2, w[wf.W_SCION_FREE4], ts - air)
    long = w[wf.W_TO_OUTSIDE] * wf.exchange(ts + ZERO_C, out_k)
    gain = w[wf.W_SCION_A] * p[ix.P_SCION_ALPHA] * sun + long * (out_k - ZERO_C - air)
    return gain, w[wf.W_SCION_A] * h + long


@njit(cache=True, nogil=True, error_model="numpy")
def _covered(
    w: Array, p: Array, s: Array, air: float, out_k: float, sun: float, h_wind: float
) -> tuple[float, float, float, float, float, float, float, float, float]:
    """The cover and its air, solved for any temperature of the scion. Eq. G7.

    Returns
    -------
    gain, loss : float
        Of the scion over the air outside [W], [W/K].
    near : float
        What the bark itself loses per kelvin [W/K].
    h_long : float
        Long waves of the outer face [W/m2K].
    by_taken, by_scion : float
        Cover over the air outside: by_taken times what the outer face takes up, by_scion times the scion's excess
        [K m2/W], [1].
    air_b, air_c : float
        Air inside over the air outside: air_b times the cover's and air_c times the scion's [1].
    shrink : float
        Outer face over the air outside: shrink times (what it takes up times the resistance, and the inner face's) [1].
    """
    ts = s[S_SCION]
    # drawn on from the last two steps: coefficients of the step before would lag at sunrise
    tc = s[S_COVER] + AHEAD * (s[S_COVER] - s[S_COVER_LAST])
    ti = s[S_INSIDE] + AHEAD * (s[S_INSIDE] - s[S_INSIDE_LAST])
    to = s[S_FACE] + AHEAD * (s[S_FACE] - s[S_FACE_LAST])
    h2 = h_wind * h_wind
    out = out_k - ZERO_C - air
    h_long = p[ix.P_COVER_EPS_OUT] * wf.exchange(to + ZERO_C, out_k)
    outer = wf.mixed(h2 * h2, w[wf.W_COVER_FREE4], to - air) + h_long
    shrink = 1.0 / (1.0 + outer * p[ix.P_COVER_R])
    area = shrink * w[wf.W_COVER_A]
    b = w[wf.W_COVER_A] * wf.mixed(w[wf.W_COVER_INSIDE4], w[wf.W_COVER_FREE4], tc - ti)
    c = w[wf.W_SCION_A] * wf.mixed(w[wf.W_SCION_INSIDE4], w[wf.W_SCION_FREE4], ts - ti)
    r = w[wf.W_CAVITY] * wf.exchange(tc + ZERO_C, ts + ZERO_C)
    long = w[wf.W_TO_OUTSIDE] * wf.exchange(ts + ZERO_C, out_k)
    g, rise = w[wf.W_CONTACT], p[ix.P_CONTACT_RISE]
    over_d = 1.0 / (b + c + p[ix.P_VENT])
    air_b, air_c = b * over_d, c * over_d
    over_m = 1.0 / (area * outer + b + r + g * rise - b * air_b)
    by_taken = area * over_m
    by_scion = (r + g + c * air_b) * over_m
    take = r + g * rise + c * air_b
    near = c + r + g + long
    gain = w[wf.W_SCION_A] * p[ix.P_SCION_ALPHA] * p[ix.P_COVER_TAU] * sun + long * out
    gain += take * by_taken * (p[ix.P_COVER_ALPHA] * sun + h_long * out)
    return gain, near - c * air_c - take * by_scion, near, h_long, by_taken, by_scion, air_b, air_c, shrink


@njit(cache=True, nogil=True, error_model="numpy")
def _limb(w: Array, p: Array, tl: float, air: float, out_k: float, sun: float, h_wind: float) -> tuple[float, float]:
    """Gain [W] over the air of the limb, and what it loses per kelvin [W/K]. Eq. G6."""
    h2 = h_wind * h_wind
    h = wf.mixed(h2 * h2, w[wf.W_LIMB_FREE4], tl - air)
    h_long = p[ix.P_LIMB_EPS] * wf.exchange(tl + ZERO_C, out_k)
    return w[wf.W_LIMB_A] * (p[ix.P_LIMB_ALPHA] * sun + h_long * (out_k - ZERO_C - air)), w[wf.W_LIMB_A] * (h + h_long)


@njit(cache=True, nogil=True, error_model="numpy")
def _set_cover(s: Array, air: float, cover: float, inside: float, face: float) -> None:
    """Cover, inside air and outer face from what they are over the air outside."""
    s[S_COVER] = air + cover
    s[S_INSIDE] = air + inside
    s[S_FACE] = air + face


@njit(cache=True, nogil=True, error_model="numpy")
def _step_limb(w: Array, p: Array, s: Array, now: Hour, more: Hour, at: float, part: float, dt_s: float) -> None:
    x = at + s[S_LIMB_AIM] * part
    air, link = now[0] + x * more[0], s[S_LINK]
    gain, loss = _limb(w, p, s[S_LIMB], air, now[1] + x * more[1], now[2] + x * more[2], now[5] + x * more[5])
    loss += link
    z = dt_s * loss / w[wf.W_LIMB_C]
    s[S_LIMB] = wf.forward(s[S_LIMB], air + (gain + link * (s[S_SCION] - air)) / loss, z)
    s[S_LIMB_AIM] = wf.aim_at(z)


@njit(cache=True, nogil=True, error_model="numpy")
def _step(w: Array, p: Array, s: Array, now: Hour, more: Hour, at: float, part: float, dt_s: float) -> None:
    """One step of `dt_s` from the place `at` [0..1] in the hour; `more` is what the hour adds to `now`. Eq. G8, G9."""
    limb, link = s[S_LIMB], s[S_LINK]
    _step_limb(w, p, s, now, more, at, part, dt_s)
    x, end = at + s[S_SCION_AIM] * part, at + part
    air = now[0] + x * more[0]
    out_k, sun, h_wind = now[1] + x * more[1], now[2] + x * more[2], now[4] + x * more[4]
    contact = 0.0
    if p[ix.P_HOLDS_AIR] > 0.0:
        gain, loss, near, h_long, by_taken, by_scion, air_b, air_c, shrink = _covered(w, p, s, air, out_k, sun, h_wind)
    else:
        gain, loss = _open(w, p, s[S_SCION], air, out_k, sun, h_wind)
        near = loss
    loss += link
    z = dt_s * loss / w[wf.W_SCION_C]
    s[S_SCION] = wf.forward(s[S_SCION], air + (gain + link * (limb - air)) / loss, z)
    s[S_SCION_AIM] = wf.aim_at(z)
    if p[ix.P_HOLDS_AIR] > 0.0:
        air = now[0] + end * more[0]
        over = s[S_SCION] - air
        s[S_COVER_LAST], s[S_INSIDE_LAST], s[S_FACE_LAST] = s[S_COVER], s[S_INSIDE], s[S_FACE]
        taken = p[ix.P_COVER_ALPHA] * (now[2] + end * more[2]) + h_long * (now[1] + end * more[1] - ZERO_C - air)
        cover = by_taken * taken + by_scion * over
        _set_cover(s, air, cover, air_b * cover + air_c * over, shrink * (taken * p[ix.P_COVER_R] + cover))
        contact = max(0.0, w[wf.W_CONTACT] * (p[ix.P_CONTACT_RISE] * cover - over))
    _set_strip(w, s, now[3] + end * more[3], near, contact)


@njit(cache=True, nogil=True, error_model="numpy")
def _set_strip(w: Array, s: Array, beam: float, near: float, contact: float) -> None:
    """The sunny strip over the mean of the girth, from beam [W/m2] and contact [W]. Eq. G11."""
    over_a = 1.0 / w[wf.W_SCION_A]
    h, k, touched = near * over_a, w[wf.W_FIRST_K], 2.0 * contact * over_a
    s[S_NEAR] = h
    first = (w[wf.W_BEAM_1] * beam + touched) / (h + k)
    s[S_STRIP] = s[S_SCION] + first + (w[wf.W_BEAM_2] * beam + touched) / (h + 2.0 * k)


@njit(cache=True, nogil=True, error_model="numpy")
def _refresh(w: Array, p: Array, s: Array, now: Hour) -> None:
    """Cover, its air and its outer face in balance with the hour's own air, sun and wind."""
    air, taken_sun = now[0], p[ix.P_COVER_ALPHA] * now[2]
    _, _, _, h_long, by_taken, by_scion, air_b, air_c, shrink = _covered(w, p, s, air, now[1], now[2], now[4])
    taken = taken_sun + h_long * (now[1] - ZERO_C - air)
    over = s[S_SCION] - air
    cover = by_taken * taken + by_scion * over
    _set_cover(s, air, cover, air_b * cover + air_c * over, shrink * (taken * p[ix.P_COVER_R] + cover))


@njit(cache=True, nogil=True, error_model="numpy")
def _over_the_hour(w: Array, p: Array, s: Array, now: Hour, more: Hour, steps: int, borne: float, row: Array) -> float:
    """All steps of an hour; dose and degree-minutes into `row`; the hottest strip is returned [°C].

    `borne` is the temperature below which no dose is got.
    """
    part = 1.0 / steps
    dt_s = 3600.0 * part
    shift, repair = p[ix.P_DOSE_SHIFT], p[ix.P_DOSE_REPAIR]
    enthalpy, entropy = p[ix.P_DOSE_ENTHALPY], p[ix.P_DOSE_ENTROPY]
    got, over_38, over_44, hottest = 0.0, 0.0, 0.0, s[S_STRIP]
    before = s[S_SCION]
    for k in range(steps):
        _step(w, p, s, now, more, k * part, part, dt_s)
        strip = s[S_STRIP]
        hottest = max(hottest, strip)
        if strip > borne:
            got += dose.net_rate(strip, enthalpy, entropy, shift, repair)
        middle = 0.5 * (before + s[S_SCION])
        before = s[S_SCION]
        over_38 += max(0.0, middle - p[ix.P_SUSTAINED_LINE])
        over_44 += max(0.0, middle - p[ix.P_LEAKY_LINE])
    row[ix.O_DOSE] = got * dt_s
    row[ix.O_OVER_38] = over_38 * dt_s / 60.0
    row[ix.O_OVER_44] = over_44 * dt_s / 60.0
    return hottest


@njit(cache=True, nogil=True, error_model="numpy")
def run_member(hours: Array, p: Array, w: Array, s: Array, out: Array, steps: int) -> None:
    """One member through all hours; `out` float64[n, N_OUT]. The last hour keeps its air."""
    wf.set_sizes(w, p)
    n = hours.shape[0]
    now = _hour(hours[0], p)
    none = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    s[:] = now[0]
    if p[ix.P_HOLDS_AIR] <= 0.0:
        s[S_COVER] = np.nan
        s[S_INSIDE] = np.nan
    s[S_SCION_AIM] = 0.6
    s[S_LIMB_AIM] = 0.6
    s[S_LINK] = 0.0
    for _ in range(SETTLE):
        _step(w, p, s, now, none, 0.0, 1.0 / STEPS, 3600.0 / STEPS)
        s[S_LINK] = wf.link_w_k(p, s[S_NEAR])
    leaky = False
    borne = p[ix.P_DOSE_SHIFT] + dose.borne_c(p[ix.P_DOSE_ENTHALPY], p[ix.P_DOSE_ENTROPY], p[ix.P_DOSE_REPAIR])
    full = sat_water_pa(s[S_SCION])
    for i in range(n):
        row = out[i]
        row[ix.O_UNION] = s[S_LIMB]
        row[ix.O_SCION] = s[S_SCION]
        row[ix.O_STRIP] = s[S_STRIP]
        row[ix.O_AIR_INSIDE] = s[S_INSIDE]
        row[ix.O_COVER] = s[S_COVER]
        j = min(i + 1, n - 1)
        then = _hour(hours[j], p)
        more = (
            then[0] - now[0], then[1] - now[1], then[2] - now[2], then[3] - now[3], then[4] - now[4], then[5] - now[5],
        )  # fmt: skip
        start = s[S_SCION]
        s[S_LINK] = wf.link_w_k(p, s[S_NEAR])
        dark = hours[i, ix.F_LEVEL] <= 0.0 and hours[j, ix.F_LEVEL] <= 0.0
        hottest = _over_the_hour(w, p, s, now, more, max(steps // NIGHT, 1) if dark else steps, borne, row)
        leaky = leaky or hottest >= p[ix.P_LEAKY_LINE]
        if p[ix.P_HOLDS_AIR] > 0.0:
            _refresh(w, p, s, then)
        full_then = sat_water_pa(s[S_SCION])
        bark = drying.bark_at(p[ix.P_BARK_G], p[ix.P_BARK_HOT_SHARE], 0.5 * (start + s[S_SCION]))
        if leaky:
            bark *= p[ix.P_LEAKY_FACTOR]
        g = drying.whole(bark, p[ix.P_FILM_G], p[ix.P_OPEN_SHARE], p[ix.P_CUT_G])
        deficit = 0.5 * (full + full_then - hours[i, ix.F_VAPOUR] - hours[j, ix.F_VAPOUR])
        row[ix.O_LOSS] = min(1.0, 3600.0 * drying.lost_kg_m2_s(g, deficit) / p[ix.P_WATER])
        full = full_then
        now = then


@njit(cache=True, nogil=True, error_model="numpy")
def run_into(hours: Array, params: Array, out: Array, first: int, last: int, steps: int) -> None:
    """Members first <= m < last, so that threads can share them.

    Parameters
    ----------
    hours : float64[n, N_HOUR]
        Hourly; see `wrap_index.HOUR_UNITS`.
    params : float64[members, N_PARAMS]
    out : float64[members, n, N_OUT]
        Filled.
    steps : int
        In an hour.
    """
    w = np.zeros(wf.N_W)
    s = np.zeros(N_S)
    for m in range(first, last):
        run_member(hours, params[m], w, s, out[m], steps)
