"""The night model written a second time, as plain differential equations for an outside integrator.

Nothing of the kernels is used but the names of the columns; constants and formulas are written out again from
docs/models/frost.md. Measures that start in the middle of a night are left to the kernel's own tests.
"""

from __future__ import annotations

import math

import numpy as np

from barkslip.kernels import night_index as ix

SIGMA, ZERO, G, RV = 5.670e-8, 273.15, 9.80665, 8.314462618 / 0.01801528
RHO_CP, NU, DH, KA = 1297.0, 1.33e-5, 1.89e-5, 0.0241
LV, LF, CW, CI = 2.501e6, 0.334e6, 4186.0, 2100.0
PR = NU / DH
LAYERS = np.array([0.01, 0.02, 0.04, 0.08, 0.16, 0.32])


def sat_density(t: float) -> float:
    a, b = (21.875, 265.5) if t < 0 else (17.27, 237.3)
    return 610.8 * math.exp(a * t / (t + b)) / (RV * (t + ZERO))


def four(t: float) -> float:
    return SIGMA * (t + ZERO) ** 4


def mix(forced: float, free: float) -> float:
    return (forced**3.5 + free**3.5) ** (2 / 7)


def bernstein(re: float) -> float:
    return (
        0.3 + 0.62 * re**0.5 * PR ** (1 / 3) / (1 + (0.4 / PR) ** (2 / 3)) ** 0.25 * (1 + (re / 282000) ** 0.625) ** 0.8
    )


def gr(dt: float, d: float) -> float:
    return G / ZERO * abs(dt) * d**3 / NU**2


class Night:
    """One member with measures that last all night."""

    def __init__(self, params: np.ndarray, measures: np.ndarray, forcing: np.ndarray, dt_s: float) -> None:
        self.p = dict(zip(ix.PARAM_NAMES, params, strict=True))
        self.m = dict(zip(ix.MEASURE_NAMES, measures, strict=True))
        self.rows, self.times = forcing, np.arange(forcing.shape[0]) * dt_s
        p, m = self.p, self.m
        self.covered = m["cover"] > 0
        self.crown = math.pi / 4 * p["tree_width"] ** 2
        if self.covered:
            r0, r1 = m["cover_width"] / 2, m["cover_width"] / 2 + m["cover_skirt"]
            wall = m["cover_height"] - m["cover_gap"]
            self.top = math.pi * r0**2
            self.skin = self.top + math.pi * (r0 + r1) * math.hypot(wall, m["cover_skirt"])
            self.foot = math.pi * r1**2
            self.volume = math.pi / 3 * m["cover_height"] * (r0 * r0 + r0 * r1 + r1 * r1)
            side = self.skin - self.top
            self.sky_of_cover = (p["cover_top_sky_view"] * self.top + p["cover_side_sky_view"] * side) / self.skin
        else:
            self.top, self.skin, self.foot, self.volume = 0.0, 0.0, self.crown, self.crown * p["tree_height"]
        leaves = p["leaf_area_index"] * self.crown
        self.area = {
            "leaf": 2 * leaves * p["leaf_exposed_share"],
            "inner": 2 * leaves * (1 - p["leaf_exposed_share"]),
            "twig": math.pi * p["twig_diameter"] * p["twig_length"],
            "bark": math.pi * p["trunk_diameter"] * p["trunk_height"],
            "fruit": 4 * math.pi * p["fruit_radius"] ** 2 * p["fruit_count"],
            "cin": self.skin,
            "cout": self.skin,
        }
        wet = min(0.9, m["water_area"] / self.foot) if m["water_rate"] > 0 else 0.0
        self.wet_share = wet
        self.area["ground"], self.area["wet"] = self.foot * (1 - wet), self.foot * wet
        self._views()
        self._heat()

    def _views(self) -> None:
        p = self.p
        el, ew, eg = p["leaf_emissivity"], p["wood_emissivity"], p["ground_emissivity"]
        s, g = p["leaf_sky_view"] / 2, p["leaf_ground_view"] / 2
        view = {"leaf": (el, s, 0.5 - s, g, 0.5 - g)}
        organs = (("inner", "inner", el), ("twig", "twig", ew), ("bark", "trunk", ew), ("fruit", "fruit", el))
        for name, of, e in organs:
            sky, hor, gro = (p[f"{of}_{w}_view"] for w in ("sky", "horizon", "ground"))
            view[name] = (e, sky, hor, gro, 0.0 if name == "inner" else max(0.0, 1 - sky - hor - gro))
        out = p["ground_sky_view"] + p["ground_horizon_view"]
        seen = max(out, 1 - (1 - out) * self.crown / self.foot)
        sky = seen * p["ground_sky_view"] / out
        view["ground"] = view["wet"] = (eg, sky, seen - sky, 0.0, 0.0)
        self.view = view

    def _heat(self) -> None:
        p, m = self.p, self.m
        rc = p["wood_density"] * p["wood_heat"]
        r, share, length = p["trunk_diameter"] / 2, p["trunk_bark_share"], p["trunk_height"]
        inner, middle = r * (1 - share), r * (1 - share / 2)
        self.cap = {
            "leaf": p["leaf_heat"] * self.area["leaf"] / 2,
            "inner": p["leaf_heat"] * self.area["inner"] / 2,
            "twig": rc * math.pi / 4 * p["twig_diameter"] ** 2 * p["twig_length"],
            "bark": rc * math.pi * (r * r - inner * inner) * length + m["wrap_heat"] * self.area["bark"],
            "core": rc * math.pi * inner**2 * length,
            "air": RHO_CP * self.volume,
        }
        k = 2 * math.pi * p["wood_conductivity"] * length
        self.core_link = 1 / (math.log(middle / inner) / k + 1 / (4 * k))
        self.bark_r = r * math.log(r / middle) / p["wood_conductivity"] + m["wrap_resistance"]
        self.fruit_mass = 4 / 3 * math.pi * p["fruit_radius"] ** 3 * p["fruit_count"] * p["fruit_density"]
        changed = m["soil_changed"] > 0
        pick = lambda name: (m if changed else p)[name]  # noqa: E731
        self.k, self.c, self.theta = pick("soil_conductivity"), pick("soil_heat"), pick("soil_water")
        self.skin_r, self.wetness = pick("ground_layer_resistance"), pick("soil_wetness")
        self.soil_link = self.k / ((LAYERS[:-1] + LAYERS[1:]) / 2) * self.foot
        self.bucket_kg = m["bucket_count"] * m["bucket_litres"]
        grow = (m["bucket_litres"] / 19) ** (2 / 3) * m["bucket_count"]
        self.bucket_side, self.bucket_top = p["bucket_side_area"] * grow, p["bucket_top_area"] * grow

    # -- enthalpy ----------------------------------------------------------------------------------------------

    def fruit_temp(self, heat: float) -> float:
        c = self.fruit_mass * self.p["fruit_heat"]
        lat, tf = self.fruit_mass * self.p["fruit_water_share"] * LF, self.p["fruit_freezing"]
        if heat >= c * tf:
            return heat / c
        low, high = -60.0, tf
        for _ in range(60):
            t = (low + high) / 2
            if c * t - lat * (1 - tf / t) > heat:
                high = t
            else:
                low = t
        return (low + high) / 2

    @staticmethod
    def water_temp(heat: float, above: float, below: float, latent: float) -> float:
        if heat > 0:
            return heat / above
        return 0.0 if heat > -latent else (heat + latent) / below

    # -- the right side ----------------------------------------------------------------------------------------

    def start(self, temps: np.ndarray) -> np.ndarray:
        t = temps
        cf = self.fruit_mass * self.p["fruit_heat"]
        y = np.zeros(25)
        y[:5] = t[:5]
        y[5] = cf * t[ix.IX_FRUIT]
        y[6:9] = t[6:9]
        y[9] = t[ix.IX_GROUND]
        y[10] = self.c * LAYERS[0] * self.foot * t[ix.IX_SOIL]
        assert t[ix.IX_SOIL] >= 0 and t[ix.IX_FRUIT] >= self.p["fruit_freezing"]
        y[11:16] = t[ix.IX_SOIL + 1 : ix.IX_SOIL + 6]
        y[16] = self.bucket_kg * CW * self.m["bucket_temp"]
        y[18] = 0.5 * self.area["wet"]
        y[17] = y[18] * CW * self.m["water_temp"]
        return y

    def temps(self, y: np.ndarray) -> dict[str, float]:
        t = dict(zip(("leaf", "inner", "twig", "bark", "core"), y[:5], strict=True))
        t["fruit"] = self.fruit_temp(y[5]) if self.fruit_mass > 0 else y[6]
        t["air"], t["cin"], t["cout"], t["ground"] = y[6:10]
        cs = self.c * LAYERS[0] * self.foot
        t["soil1"] = self.water_temp(y[10], cs, cs, self.theta * LAYERS[0] * 1000 * LF * self.foot)
        kg = self.bucket_kg
        t["bucket"] = self.water_temp(y[16], kg * CW, kg * CI, kg * LF) if kg > 0 else y[6]
        t["wet"] = self.water_temp(y[17], y[18] * CW, y[18] * CI, y[18] * LF) if y[18] > 0 else y[6]
        return t

    def outside(self, at: float) -> tuple[float, float, float, float, float]:
        """Air, sky [W/m2], vapour, wind, sun."""
        p = self.p
        air, dew, wind, cloud, sun = (np.interp(at, self.times, self.rows[:, i]) for i in range(5))
        ta = air + ZERO
        e = min(610.8 * math.exp(17.27 * dew / (dew + 237.3)), sat_density(air) * RV * ta)
        x = 46.5 * e / 100 / ta
        prata = 1 - (1 + x) * math.exp(-math.sqrt(1.2 + 3 * x))
        idso = 0.70 + 5.95e-5 * e / 100 * math.exp(1500 / ta)
        s = p["sky_prata_share"]
        eps = min(1.0, (s * prata + (1 - s) * idso + p["sky_emissivity_error"]) * (1 + 0.22 * cloud**2.75))
        return air, eps * four(air), e / (RV * ta), max(wind * p["wind_site_factor"], p["wind_min"]), sun

    def h_of(self, t: dict[str, float], wind: float, air: float) -> dict[str, float]:
        p, m = self.p, self.m
        u, more = (p["wind_inside"], 1.0) if self.covered else (wind, p["enhancement"])
        inside = t["air"]
        d, h = p["leaf_width"], {}
        for name in ("leaf", "inner"):
            re = u * d / NU
            forced = more * max(0.60 * re**0.5, 0.032 * re**0.8)
            h[name] = mix(forced * KA / d, 0.365 * gr(t[name] - inside, d) ** 0.25 * KA / d)
        for name, d in (("twig", p["twig_diameter"]), ("bark", p["trunk_diameter"])):
            free = 0.48 * gr(t[name] - inside, d) ** 0.25
            h[name] = mix(more * bernstein(u * d / NU) * KA / d, free * KA / d)
        d = 2 * p["fruit_radius"]
        form = 1 + (0.469 / PR) ** (9 / 16)
        # the kernel takes the turbulent factor at 1 K, where it is 1 to four digits
        free = 2 + 0.589 * (gr(t["fruit"] - inside, d) * PR) ** 0.25 / form ** (4 / 9)
        h["fruit"] = mix(more * 0.37 * (u * d / NU) ** 0.6 * KA / d, free * KA / d)
        sheet = 0.13 * KA * (G / ZERO / (NU * DH)) ** (1 / 3)
        near = u if self.covered else u * p["ground_wind_share"]
        d = p["tree_width"]
        forced = more * 0.664 * (near * d / NU) ** 0.5 * PR ** (1 / 3) * KA / d
        for name in ("ground", "wet"):
            dt = t[name] - inside
            h[name] = mix(forced, sheet * dt ** (1 / 3)) if dt > 0 else forced
        if self.covered:
            d = m["cover_width"]
            forced = 0.664 * (u * d / NU) ** 0.5 * PR ** (1 / 3) * KA / d
            h["cin"] = mix(forced, sheet * abs(t["cin"] - inside) ** (1 / 3))
            forced = p["enhancement"] * bernstein(wind * d / NU) * KA / d
            h["cout"] = mix(forced, sheet * abs(t["cout"] - air) ** (1 / 3))
        return h

    def shrink(self, name: str, h: float, t: float) -> float:
        r = {"bark": self.bark_r, "fruit": self.p["fruit_radius"] / (5 * self.p["fruit_conductivity"])}.get(name, 0.0)
        e, *views = self.view[name]
        return 1 / (1 + r * (h + 4 * SIGMA * (t + ZERO) ** 3 * e * sum(views)))

    def vapour(self, t, h, dew, out, exchange) -> tuple[dict[str, float], float]:  # type: ignore[no-untyped-def]
        """Gain of water of each surface [kg/s], and the vapour inside."""
        p, m = self.p, self.m
        through = exchange / RHO_CP
        inside = out
        names = [n for n in (*self.area, "bucket") if n == "bucket" or self.area[n] > 0]
        gains: dict[str, float] = {}
        for _ in range(30):
            top, bottom, live = through * out, through, {}
            for n in names:
                if n == "bark" and m["wrap_resistance"] > 0:
                    continue
                if n == "bucket":
                    area = self.bucket_top * (1 - m["bucket_lid"])
                    hc = p["bucket_transfer"] * (1 - p["bucket_radiant_share"])
                else:
                    area, hc = self.area[n], h[n]
                    if n in ("bark", "fruit"):
                        hc *= self.shrink(n, h[n], t[n])
                k = 0.93 * hc / RHO_CP * area
                full = sat_density(t[n])
                air = out if n == "cout" else inside
                if air < full and n not in ("wet", "bucket") and dew.get(n, 0.0) <= 1e-9:
                    if n != "ground":
                        continue
                    k *= self.wetness
                live[n] = (k, full)
                if n != "cout":
                    top, bottom = top + k * full, bottom + k
            new = top / bottom
            gains = {n: k * ((out if n == "cout" else new) - full) for n, (k, full) in live.items()}
            if abs(new - inside) < 1e-12:
                break
            inside = new
        return gains, inside

    def right(self, at: float, y: np.ndarray) -> np.ndarray:
        p, m = self.p, self.m
        t = self.temps(y)
        air, sky, vap, wind, sun = self.outside(at)
        if self.skin_r <= 0:  # bare ground: its skin has no heat of its own
            t["ground"] = self._skin(t, y, air, sky, vap, wind, sun)
        q, dew_rates, drained = self._powers(t, y, air, sky, vap, wind, sun)
        out = np.zeros(25)
        for i, n in enumerate(("leaf", "inner", "twig", "bark", "core")):
            out[i] = q[n] / self.cap[n]
        out[5], out[6] = q["fruit"], q["air"] / self.cap["air"]
        if self.covered:
            half = m["cover_heat"] * self.skin / 2
            out[7], out[8] = q["cin"] / half, q["cout"] / half
        if self.skin_r > 0:
            out[9] = q["ground"] / (p["ground_layer_heat"] * self.area["ground"])
        out[10] = q["soil"][0]
        out[11:16] = np.array(q["soil"][1:]) / (self.c * LAYERS[1:] * self.foot)
        out[16], out[17] = q["bucket"], q["wet"]
        out[18] = p["water_kept"] * m["water_rate"] - drained
        for i, n in enumerate(("leaf", "inner", "twig", "bark", "fruit", "cin")):
            out[19 + i] = dew_rates.get(n, 0.0)
        return out

    def _skin(self, t, y, air, sky, vap, wind, sun) -> float:  # type: ignore[no-untyped-def]
        low, high = t["soil1"] - 25, t["soil1"] + 25
        for _ in range(40):
            t["ground"] = (low + high) / 2
            if self._powers(t, y, air, sky, vap, wind, sun)[0]["ground"] > 0:
                low = t["ground"]
            else:
                high = t["ground"]
        return (low + high) / 2

    def _powers(self, t, y, air, sky, vap, wind, sun):  # type: ignore[no-untyped-def]
        p, m = self.p, self.m
        h = self.h_of(t, wind, air)
        horizon = four(air + p["surroundings_above_air"])
        dew = dict(zip(("leaf", "inner", "twig", "bark", "fruit", "cin"), y[19:25], strict=True))
        if self.covered:
            leak = m["cover_leak"] + m["cover_leak_wind"] * wind
            gap = p["cover_gap_flow"] * wind * m["cover_gap"] * m["cover_width"]
            exchange = RHO_CP * (self.volume * leak / 3600 + gap)
            film = min(1.0, dew["cin"] / (p["wet_film"] * self.skin))
            tau = m["cover_tau"] + (m["cover_tau_wet"] - m["cover_tau"]) * film
            eps_in = min(1 - tau, m["cover_eps_in"] + m["cover_tau"] - tau)
            change = m["cover_eps_out_wet"] - m["cover_eps_out"]
            eps_out = m["cover_eps_out"] + change * (film if m["cover_tau"] > m["cover_tau_wet"] else 0.0)
        else:
            exchange = RHO_CP * p["crown_exchange"] * wind * p["tree_width"] * p["tree_height"]
            tau, eps_in, eps_out = 1.0, 0.0, 0.0
        names = ("leaf", "inner", "twig", "bark", "fruit", "ground", "wet")
        q = dict.fromkeys((*names, "core", "air", "cin", "cout", "bucket"), 0.0)
        q["air"] += exchange * (air - t["air"])
        for n in names:
            a = self.area[n]
            if a <= 0:
                continue
            f = self.shrink(n, h[n], t[n]) if n in ("bark", "fruit") else 1.0
            e, s, hz, g, inner = self.view[n]
            mine = four(t[n])

            def give(to: str, power: float, n: str = n) -> None:
                q[n] -= power
                q[to] += power

            q[n] -= f * a * e * tau * (s * (mine - sky) + hz * (mine - horizon))
            give("air", f * a * h[n] * (t[n] - t["air"]))
            give("cin", f * a * e * (s + hz) * eps_in * (mine - four(t["cin"])))
            give("ground", f * a * e * g * (1 - self.wet_share) * (mine - four(t["ground"])))
            give("wet", f * a * e * g * self.wet_share * (mine - four(t["wet"])))
            give("inner", f * a * e * inner * (mine - four(t["inner"])))
        gains, _ = self.vapour(t, h, dew, vap, exchange)
        for n, gain in gains.items():
            q[n] += gain * (LV + LF if t[n] < 0 else LV)
        flow = self.core_link * (t["bark"] - t["core"])
        q["bark"], q["core"] = q["bark"] - flow, q["core"] + flow
        if self.covered:
            own = four(t["cout"])
            share = self.sky_of_cover
            q["cout"] -= eps_out * self.skin * (own - share * sky - (1 - share) * horizon)
            q["cout"] -= h["cout"] * self.skin * (t["cout"] - air)
            flow = h["cin"] * self.skin * (t["cin"] - t["air"])
            q["cin"], q["air"] = q["cin"] - flow, q["air"] + flow
            flow = self.skin / max(m["cover_resistance"], 1e-3) * (t["cin"] - t["cout"])
            q["cin"], q["cout"] = q["cin"] - flow, q["cout"] + flow
        self._devices(q, t, air)
        drained = self._water(q, t, y)
        if sun > 0:
            self._sun(q, sun)
        q["soil"] = self._soil(q, t, y)
        return q, gains, drained

    def _devices(self, q, t, air) -> None:  # type: ignore[no-untyped-def]
        p, m = self.p, self.m
        canopy, cover = p["lamp_on_canopy"], p["lamp_on_cover"]
        ground = 1 - canopy - cover
        rad = m["lamp_power"] * m["lamp_radiant"]
        q["air"] += m["lamp_power"] - rad
        q["leaf"] += rad * canopy * p["leaf_exposed_share"]
        q["inner"] += rad * canopy * (1 - p["leaf_exposed_share"])
        q["ground"] += rad * ground * (1 - self.wet_share)
        q["wet"] += rad * ground * self.wet_share
        if self.covered:
            q["cin"] += rad * cover * (1 - m["cover_tau"])
        if self.bucket_kg > 0:
            whole = p["bucket_transfer"] * (self.bucket_side + self.bucket_top)
            rad = whole * p["bucket_radiant_share"]
            foot = p["bucket_transfer"] * self.bucket_top
            for to, g in (("air", whole - rad), ("inner", rad * canopy), ("ground", rad * ground + foot)):
                q["bucket"] -= g * (t["bucket"] - t[to])
                q[to] += g * (t["bucket"] - t[to])
            if self.covered:
                q["bucket"] -= rad * cover * (t["bucket"] - t["cin"])
                q["cin"] += rad * cover * (t["bucket"] - t["cin"])
            else:
                q["bucket"] -= rad * cover * (t["bucket"] - air - p["surroundings_above_air"])

    def _water(self, q, t, y) -> float:  # type: ignore[no-untyped-def]
        p, m = self.p, self.m
        if m["water_rate"] <= 0:
            return 0.0
        warm = p["water_kept"] * m["water_rate"] * CW * m["water_temp"]
        to_air = p["spray_air_share"] * m["water_spray"]
        ice = min(y[18], max(0.0, -y[17] / LF))
        drained = max(0.0, (y[18] - ice - p["water_film"] * self.area["wet"]) / p["water_drain_time"])
        q["wet"] += warm * (1 - to_air) - drained * CW * t["wet"]
        q["air"] += warm * to_air
        return drained

    def _sun(self, q, sun) -> None:  # type: ignore[no-untyped-def]
        p, m = self.p, self.m
        if self.covered:
            q["cout"] += sun * p["sun_on_cover"] * self.top
            sun *= m["cover_tau_sun"]
        for n in ("leaf", "inner", "twig", "bark", "fruit", "ground", "wet"):
            e, s, *_ = self.view[n]
            on = {"twig": "wood", "bark": "wood", "ground": "ground", "wet": "ground"}.get(n, "leaf")
            q[n] += sun * p[f"sun_on_{on}"] * self.area[n] * e * s

    def _soil(self, q, t, y) -> list[float]:  # type: ignore[no-untyped-def]
        temps = [t["soil1"], *y[11:16]]
        flow = [0.0] * 6
        for i in range(5):
            f = self.soil_link[i] * (temps[i] - temps[i + 1])
            flow[i] -= f
            flow[i + 1] += f
        skin = self.skin_r + LAYERS[0] / (2 * self.k)
        for n in ("ground", "wet"):
            f = self.area[n] / skin * (t[n] - temps[0])
            q[n] -= f
            flow[0] += f
        f = self.m["wrap_to_ground"] * self.area["bark"] * (temps[2] - t["bark"])
        q["bark"] += f
        flow[2] -= f
        return flow
