"""Where the heat of a wrapped graft comes from and goes to, reckoned from its temperatures with the full laws."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from independent_wrap import SIGMA, ZERO, Wrapped, mix, still_h

from barkslip.kernels import wrap
from barkslip.kernels import wrap_flux as wf


def trace(rows: np.ndarray, p: np.ndarray, steps: int = wrap.STEPS) -> np.ndarray:
    """Scion, limb, cover, inside air and outer face after each step [°C], from the kernel's own steps."""
    w, s = np.zeros(wf.N_W), np.zeros(wrap.N_S)
    wf.set_sizes(w, p)
    hours = [np.array(wrap._hour(row, p)) for row in rows]
    s[:] = hours[0][0]
    s[wrap.S_SCION_AIM] = s[wrap.S_LIMB_AIM] = 0.6
    s[wrap.S_LINK] = 0.0
    none = (0.0,) * 6
    for _ in range(wrap.SETTLE):
        wrap._step(w, p, s, tuple(hours[0]), none, 0.0, 1.0 / steps, 3600.0 / steps)
        s[wrap.S_LINK] = wf.link_w_k(p, s[wrap.S_NEAR])
    out = [s.copy()]
    for now, then in pairwise(hours):
        s[wrap.S_LINK] = wf.link_w_k(p, s[wrap.S_NEAR])
        for k in range(steps):
            wrap._step(w, p, s, tuple(now), tuple(then - now), k / steps, 1.0 / steps, 3600.0 / steps)
            out.append(s.copy())
    pick = [wrap.S_SCION, wrap.S_LIMB, wrap.S_COVER, wrap.S_INSIDE, wrap.S_FACE]
    return np.array(out)[:, pick]


def budget(rows: np.ndarray, p: np.ndarray, steps: int = wrap.STEPS) -> tuple[float, float, float]:
    """Sun taken up, net gain from all outside, and heat stored over the run [J]."""
    one = Wrapped(rows, p)
    temps = trace(rows, p, steps)
    dt = 3600.0 / steps
    sun, net = [], []
    for i, y in enumerate(temps):
        got, all_in = _gain(one, i * dt, y)
        sun.append(got)
        net.append(all_in)
    stored = one.heat_s * (temps[-1, 0] - temps[0, 0]) + one.heat_l * (temps[-1, 1] - temps[0, 1])
    return float(np.trapezoid(sun, dx=dt)), float(np.trapezoid(net, dx=dt)), float(stored)


def _gain(one: Wrapped, t: float, y: np.ndarray) -> tuple[float, float]:
    """Sun taken up by scion, cover and limb, and the net gain of all from outside [W]."""
    p = one.p
    air, outside, sun, _, h_wind, h_limb = one.forcing(t)
    ts, tl, _, ti, to = y

    def long(eps: float, temp: float) -> float:
        return eps * SIGMA * (outside**4 - (temp + ZERO) ** 4)

    h = mix(h_limb, still_h(tl - air, p["limb_d"]))
    taken = one.area_l * p["limb_alpha"] * sun
    net = one.area_l * (h * (air - tl) + long(p["limb_eps"], tl))
    if not one.held:
        taken += one.area_s * p["scion_alpha"] * sun
        h = mix(h_wind, still_h(ts - air, p["scion_d"]))
        return taken, taken + net + one.area_s * (h * (air - ts) + long(p["scion_eps"], ts))
    taken += one.area_s * p["scion_alpha"] * p["cover_tau"] * sun + one.area_c * p["cover_alpha"] * sun
    h = mix(h_wind, still_h(to - air, p["cover_d"]))
    net += one.area_c * (h * (air - to) + long(p["cover_eps_out"], to)) + p["vent"] * (air - ti)
    return taken, taken + net + one.area_s * p["cover_tau_long"] * long(p["scion_eps"], ts)
