"""The wrapped graft written a second time, as plain differential equations for an outside integrator.

Nothing of the kernels is used but the names of the columns; constants and formulas are written out again from
docs/models/heat.md. Here cover and inside air hold heat of their own, which the kernel leaves out; with little of it
the equations are the kernel's, with all of it what is left out is checked.
"""

from __future__ import annotations

import math

import numpy as np

from barkslip.kernels import wrap_index as ix

SIGMA, ZERO, G = 5.670e-8, 273.15, 9.80665
NU, DH, KA, RHO_CP = 1.33e-5, 1.89e-5, 0.0241, 1297.0
PR = NU / DH
#: heat of a cover [J/m2K]: paper of 80 g/m2 (1400 J/kgK); foil and thin plastic hold less
COVER_HEAT = 112.0


def four(t: float) -> float:
    return SIGMA * (t + ZERO) ** 4


def wind_h(u: float, d: float) -> float:
    re = u * d / NU
    base = 0.62 * re**0.5 * PR ** (1 / 3) / (1 + (0.4 / PR) ** (2 / 3)) ** 0.25
    return (0.3 + base * (1 + (re / 282000) ** 0.625) ** 0.8) * KA / d


def still_h(dt: float, d: float) -> float:
    return 0.48 * (G / ZERO * abs(dt) * d**3 / NU**2) ** 0.25 * KA / d


def mix(forced: float, still: float) -> float:
    return (forced**4 + still**4) ** 0.25


class Wrapped:
    """One member; `hours` and `params` as the kernel reads them."""

    def __init__(self, hours: np.ndarray, params: np.ndarray, cover_heat: float = 1.0) -> None:
        """`cover_heat`: share of its heat that the cover and its air have."""
        self.p = dict(zip(ix.PARAM_NAMES, params, strict=True))
        self.rows = np.array([self._row(dict(zip(ix.HOUR_UNITS, h, strict=True))) for h in hours])
        self.times = 3600.0 * np.arange(len(hours))
        p = self.p
        d, length = p["scion_d"], p["scion_length"]
        self.area_s = math.pi * d * length
        self.heat_s = p["scion_heat"] * math.pi / 4 * d**2 * length
        self.area_l = math.pi * p["limb_d"] * length
        self.heat_l = p["scion_heat"] * math.pi / 4 * p["limb_d"] ** 2 * length
        self.held = p["holds_air"] > 0
        if self.held:
            self.area_c = math.pi * p["cover_d"] * p["cover_length"]
            self.heat_c = cover_heat * COVER_HEAT * self.area_c
            self.heat_i = cover_heat * RHO_CP * math.pi / 4 * p["cover_d"] ** 2 * p["cover_length"]
            # most of a bubble wall is air: a fifth of a paper's heat on either side
            self.heat_o = 0.2 * self.heat_c

    def _row(self, h: dict[str, float]) -> tuple[float, ...]:
        """Air [°C], long-wave from outside [K], mean sun, beam, forced coefficients."""
        p = self.p
        air = h["air"] + p["air_error"]
        sky = min(1.0, (h["sky"] + p["sky_error"]) * h["cloud_factor"]) * (air + ZERO) ** 4
        around = (air + ZERO + p["surroundings_above_air"] + p["surroundings_sun"] * h["level"] / 1000) ** 4
        outside = (p["sky_view"] * sky + (1 - p["sky_view"]) * around) ** 0.25
        beam = h["beam_front"] + p["behind"] * h["beam_behind"]
        mean = beam / math.pi + h["diffuse"] / 2 + p["ground_reflects"] * h["level"] / 2
        u = max(h["wind"] * p["wind_factor"], p["wind_min"])
        outer = p["cover_d"] if p["holds_air"] > 0 else p["scion_d"]
        more = p["enhancement"]
        return (air, outside, p["sun_share"] * mean, p["sun_share"] * beam, more * wind_h(u, outer),
                more * wind_h(u, p["limb_d"]))  # fmt: skip

    def forcing(self, t: float) -> list[float]:
        return [float(np.interp(t, self.times, self.rows[:, i])) for i in range(6)]

    def link(self, h: float) -> float:
        p = self.p
        reach = math.sqrt(p["scion_along"] * p["scion_d"] / 4 / h)
        area = math.pi / 4 * p["scion_d"] ** 2
        return p["scion_along"] * area / reach * math.exp(-p["bud_height"] / reach)

    def bark(self, t: float, y: np.ndarray) -> tuple[float, float, float, float]:
        """Scion's flows: gain from sun and all around it without the limb [W]; loss per kelvin and area near it;
        what it takes from the cover; what it takes from the air."""
        p = self.p
        air, outside, sun, _, h_wind, _ = self.forcing(t)
        ts = y[0]
        long = p["scion_eps"] * SIGMA * ((outside) ** 4 - (ts + ZERO) ** 4)
        long_h = p["scion_eps"] * SIGMA * (outside**2 + (ts + ZERO) ** 2) * (outside + ts + ZERO)
        if not self.held:
            h = mix(h_wind, still_h(ts - air, p["scion_d"]))
            gain = self.area_s * (p["scion_alpha"] * sun + long + h * (air - ts))
            return gain, h + long_h, 0.0, 0.0
        tc, ti = y[2], y[3]
        h = mix(wind_h(p["wind_inside"], p["scion_d"]), still_h(ts - ti, p["scion_d"]))
        between = 1 / p["scion_eps"] + self.area_s / self.area_c * (1 / p["cover_eps_in"] - 1)
        r = (1 - p["cover_tau_long"]) / between
        contact = self.area_s * p["contact_g"] * (air + p["contact_rise"] * (tc - air) - ts)
        from_cover = self.area_s * r * (four(tc) - four(ts)) + contact
        from_air = self.area_s * h * (ti - ts)
        r_h = r * SIGMA * ((tc + ZERO) ** 2 + (ts + ZERO) ** 2) * (tc + ts + 2 * ZERO)
        gain = self.area_s * (p["scion_alpha"] * p["cover_tau"] * sun + p["cover_tau_long"] * long)
        near = h + r_h + p["contact_g"] + p["cover_tau_long"] * long_h
        return gain + from_cover + from_air, near, from_cover, from_air

    def right(self, t: float, y: np.ndarray) -> np.ndarray:
        """Right side of the equations; y = scion, limb and, in a cover, its inner face, its air, its outer face."""
        p = self.p
        air, outside, sun, _, h_wind, h_limb = self.forcing(t)
        ts, tl = y[0], y[1]
        gain, near, from_cover, from_air = self.bark(t, y)
        link = self.link(near) * (tl - ts)
        h = mix(h_limb, still_h(tl - air, p["limb_d"]))
        limb = p["limb_alpha"] * sun + h * (air - tl) + p["limb_eps"] * SIGMA * (outside**4 - (tl + ZERO) ** 4)
        out = [(gain + link) / self.heat_s, (self.area_l * limb - link) / self.heat_l]
        if not self.held:
            return np.array(out)
        tc, ti, to = y[2], y[3], y[4]
        if p["cover_r"] == 0.0:
            to = tc
        h = mix(h_wind, still_h(to - air, p["cover_d"]))
        taken = self.area_c * (
            p["cover_alpha"] * sun + h * (air - to) + p["cover_eps_out"] * SIGMA * (outside**4 - (to + ZERO) ** 4)
        )
        h_in = mix(wind_h(p["wind_inside"], p["cover_d"]), still_h(tc - ti, p["cover_d"]))
        lost = self.area_c * h_in * (tc - ti) + from_cover
        air_in = (self.area_c * h_in * (tc - ti) - from_air + p["vent"] * (air - ti)) / self.heat_i
        if p["cover_r"] == 0.0:
            return np.array([*out, (taken - lost) / self.heat_c, air_in, 0.0])
        through = self.area_c / p["cover_r"] * (to - tc)
        return np.array([*out, (through - lost) / self.heat_o, air_in, (taken - through) / self.heat_o])

    def strip(self, t: float, y: np.ndarray) -> float:
        """Sunny strip [°C]: first and second harmonic of beam and contact round a conducting cylinder."""
        p = self.p
        air, _, _, beam, _, _ = self.forcing(t)
        _, h, _, _ = self.bark(t, y)
        k = p["scion_k"] / (p["scion_d"] / 2)
        seen, touched = p["scion_alpha"] * beam, 0.0
        if self.held:
            seen *= p["cover_tau"] * p["cover_beam"]
            touched = 2 * max(0.0, p["contact_g"] * (air + p["contact_rise"] * (y[2] - air) - y[0]))
        return y[0] + (seen / 2 + touched) / (h + k) + (2 * seen / (3 * math.pi) + touched) / (h + 2 * k)

    def start(self) -> np.ndarray:
        return np.full(5 if self.held else 2, self.rows[0, 0])
