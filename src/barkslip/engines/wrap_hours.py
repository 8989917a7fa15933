"""A wrapped graft through hours or years of weather: temperatures, loss of water and heat dose of an ensemble."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.heat import HOLDING_AIR, Wrap, WrappedGraft
from barkslip.domain.sourced import Value
from barkslip.engines.frost_draws import Draws, Known, middle
from barkslip.engines.sun_hours import SunHours
from barkslip.kernels import dose
from barkslip.kernels import wrap as kernel
from barkslip.kernels import wrap_index as ix
from barkslip.kernels.constants import ZERO_C
from barkslip.kernels.humidity import sat_water_pa
from barkslip.kernels.radiation import clear_sky_emissivity

Array = NDArray[np.float64]
_MOL = 1e-3
_MM = 1e-3
#: covers through which the graft and its limb get less sun and wind: what hides the sky from both
_OVER_ALL = ("shade_cloth", "nurse_leaves", "clear_plastic_shade")
_THREADS = 2
#: a cover is at least so much wider than the scion in it
_ROOM = 1.2


@dataclass(frozen=True, eq=False)
class WrapHours:
    """Hours of a wrapped graft, float64[members, n].

    Parameters
    ----------
    union_c, scion_c, strip_c : Array
        The limb under the graft, where the union is; the scion, mean of its girth; the strip of its bark that is turned
        to the sun, at the hour [°C].
    loss_per_h : Array
        Share of the scion's full water that is lost in the hour that begins then [0..1].
    dose_per_h : Array
        Heat dose of the sunny strip in the hour that begins then, net of repair [1].
    inside_c, cover_c : Array
        Air in the cover and the cover [°C]; NaN where none is held.
    over_38, over_44 : Array
        Degree-minutes of the scion above the lines in the hour that begins then [K min].
    """

    union_c: Array
    scion_c: Array
    strip_c: Array
    loss_per_h: Array
    dose_per_h: Array
    inside_c: Array
    cover_c: Array
    over_38: Array
    over_44: Array


def wrap_hours(
    hours: SunHours,
    graft: WrappedGraft,
    wrap: Wrap,
    known: Known,
    *,
    members: int,
    seed: int,
    middle: bool = False,
    steps: int = kernel.STEPS,
) -> WrapHours:
    """The graft under one cover through all hours.

    Parameters
    ----------
    hours : SunHours
    graft : WrappedGraft
    wrap : Wrap
    known : callable
        key -> sourced number.
    members, seed : int
        Size of the ensemble and where its draws begin; the same seed gives all covers the same draws.
    middle : bool
        One member with the best values instead, for decades of hours.
    steps : int
        Of the model in an hour.

    Returns
    -------
    WrapHours
        Of one member if `middle`.
    """
    draws = Draws(1 if middle else members, seed)
    params = member_params(graft, wrap, draws, known, hours, best=middle)
    return run(hour_rows(hours, graft, known), params, steps)


def run(rows: Array, params: Array, steps: int = kernel.STEPS) -> WrapHours:
    """The model on two threads; rows and params as in `kernels.wrap_index`."""
    members = params.shape[0]
    out = np.empty((members, rows.shape[0], ix.N_OUT))
    cuts = np.linspace(0, members, min(_THREADS, members) + 1).astype(int)

    def part(k: int) -> None:
        kernel.run_into(rows, params, out, int(cuts[k]), int(cuts[k + 1]), steps)

    if len(cuts) == 2:
        part(0)
    else:
        with ThreadPoolExecutor(_THREADS) as pool:
            list(pool.map(part, range(len(cuts) - 1)))
    columns = (
        ix.O_UNION, ix.O_SCION, ix.O_STRIP, ix.O_LOSS, ix.O_DOSE, ix.O_AIR_INSIDE, ix.O_COVER, ix.O_OVER_38,
        ix.O_OVER_44,
    )  # fmt: skip
    return WrapHours(*(out[:, :, c] for c in columns))


def hour_rows(hours: SunHours, graft: WrappedGraft, known: Known) -> Array:
    """Hours as the model reads them, float64[n, N_HOUR]; the beam is split by the graft's side of the tree."""
    out = np.zeros((len(hours), ix.N_HOUR))
    share = middle(known("frost.sky_prata_share"))
    air, dew = hours.air_c, np.minimum(hours.dew_c, hours.air_c)
    vapour = np.array([sat_water_pa(t) for t in dew])
    out[:, ix.F_AIR] = air
    out[:, ix.F_VAPOUR] = vapour
    out[:, ix.F_WIND] = hours.wind_m_s
    out[:, ix.F_SKY] = [clear_sky_emissivity(e / 100.0, t + ZERO_C, share) for e, t in zip(vapour, air, strict=True)]
    out[:, ix.F_CLOUD_FACTOR] = 1.0 + 0.22 * hours.cloud**2.75
    beam = np.where(hours.sun_up_deg > 0.0, hours.dni_w_m2 * np.cos(np.radians(hours.sun_up_deg)), 0.0)
    front = np.ones(len(hours), dtype=bool)
    if graft.bearing_deg is not None:
        off = (hours.sun_from_deg - graft.bearing_deg + 180.0) % 360.0 - 180.0
        front = np.abs(off) <= 90.0
    out[:, ix.F_BEAM_FRONT] = np.where(front, beam, 0.0)
    out[:, ix.F_BEAM_BEHIND] = np.where(front, 0.0, beam)
    out[:, ix.F_DIFFUSE] = hours.dhi_w_m2
    out[:, ix.F_LEVEL] = hours.ghi_w_m2
    return out


Take = Callable[..., Array | float]


def member_params(
    graft: WrappedGraft, wrap: Wrap, draws: Draws, known: Known, hours: SunHours, *, best: bool = False
) -> Array:
    """Members' parameters, float64[members, N_PARAMS]; each number has its own stream, the same for all covers."""

    def take(key: str, *, log: bool = False, normal: bool = False) -> Array | float:
        value: Value = known(key)
        return middle(value) if best else draws.of(key, value, log=log, normal=normal)

    out = np.zeros((draws.members, ix.N_PARAMS))

    def put(**columns: Array | float) -> None:
        for name, value in columns.items():
            out[:, ix.PARAM_NAMES.index(name)] = value

    error: Array | float = 0.0 if best or hours.air_sd_k <= 0.0 else draws.error("air", hours.air_sd_k)
    put(air_error=error, wind_factor=1.0 if hours.wind_here else take("frost.wind_site_factor"))
    put(**_place(take, known), **_graft(graft, wrap, take), **_water(graft, wrap, take), **_dose(take, known))
    over = wrap.cover if wrap.cover in _OVER_ALL else ""
    if over:
        put(sun_share=take(f"wrap.{over}.sun_share"))
        out[:, ix.P_SKY_VIEW] *= 1.0 - take(f"wrap.{over}.sky_hidden")
        if over != "clear_plastic_shade":
            out[:, ix.P_WIND_FACTOR] *= take(f"wrap.{over}.wind_share")
    out[:, ix.P_SUN_SHARE] *= 1.0 - graft.shade
    if wrap.cover in HOLDING_AIR:
        put(**_cover(graft, wrap, take))
    return out


def _place(take: Take, known: Known) -> dict[str, Array | float]:
    return {
        "wind_min": middle(known("frost.wind_min")),
        "enhancement": take("frost.enhancement"),
        "sky_error": take("frost.sky_emissivity_error", normal=True),
        "sky_view": take("wrap.sky_view"),
        "surroundings_above_air": take("frost.surroundings_above_air"),
        "surroundings_sun": take("wrap.surroundings_sun"),
        "ground_reflects": take("wrap.ground_reflects"),
        "behind": take("wrap.behind"),
        "sun_share": 1.0,
    }


def _graft(graft: WrappedGraft, wrap: Wrap, take: Take) -> dict[str, Array | float]:
    d = graft.scion_mm * _MM
    painted = wrap.cover == "white_paint"
    return {
        "scion_d": d,
        "scion_length": graft.scion_length_mm * _MM,
        "scion_alpha": take("wrap.white_paint.alpha" if painted else "wrap.scion.alpha"),
        "scion_eps": take("wrap.white_paint.eps" if painted else "wrap.scion.eps"),
        "scion_heat": take("wrap.scion.heat") * 1e6,
        "scion_k": take("frost.wood_conductivity"),
        "scion_along": take("wrap.scion.along"),
        # a short scion carries its buds lower
        "bud_height": np.minimum(take("wrap.scion.bud_height"), 0.5 * graft.scion_length_mm) * _MM,
        "limb_d": graft.limb_mm * _MM,
        "limb_alpha": take("wrap.limb.white_alpha" if graft.whitened else "wrap.limb.alpha"),
        "limb_eps": take("frost.wood_emissivity"),
    }


def _cover(graft: WrappedGraft, wrap: Wrap, take: Take) -> dict[str, Array | float]:
    kind = "clear_plastic" if wrap.cover == "clear_plastic_shade" else wrap.cover
    clear = kind == "clear_plastic"
    opaque = kind in ("foil_sleeve", "foil_pouch")
    eps_in = "covers.clear_pe.eps_in" if clear else f"wrap.{kind}.eps_in"
    wide = np.maximum(take(f"wrap.{kind}.width") * _MM, _ROOM * graft.scion_mm * _MM)
    out: dict[str, Array | float] = {
        "holds_air": 1.0,
        "cover_d": wide,
        "cover_length": (graft.scion_length_mm + take("wrap.cover.more_length")) * _MM,
        "cover_alpha": take(f"wrap.{kind}.alpha"),
        "cover_tau": take(f"wrap.{kind}.tau"),
        "cover_beam": 0.0 if opaque else take(f"wrap.{kind}.beam"),
        "cover_eps_out": take("covers.clear_pe.eps_out" if clear else f"wrap.{kind}.eps_out"),
        "cover_eps_in": take(eps_in, log=kind == "foil_pouch"),
        "cover_tau_long": take("covers.clear_pe.tau") if clear else 0.0,
        "cover_r": take("wrap.foil_pouch.resistance") if kind == "foil_pouch" else 0.0,
        "vent": take("wrap.vent_open" if wrap.open_below else "wrap.vent_closed", log=True),
        "wind_inside": take("frost.wind_inside", log=True),
    }
    if wrap.touching:
        out["contact_g"] = take("wrap.contact.conductance", log=True) * take("wrap.contact.share")
        out["contact_rise"] = take("wrap.contact.rise", normal=True)
    return out


def _water(graft: WrappedGraft, wrap: Wrap, take: Take) -> dict[str, Array | float]:
    d = graft.scion_mm * _MM
    end = 0.25 * d / (graft.scion_length_mm * _MM)  # area of the tip over that of the bark
    return {
        "bark_g": take("wrap.bark.conductance", log=True) * _MOL,
        "bark_hot_share": take("wrap.bark.hot_share"),
        "leaky_factor": take("wrap.bark.leaky_factor", log=True),
        "leaky_line": take("healing.heat.cuticle"),
        "sustained_line": take("healing.heat.sustained"),
        "film_g": 0.0 if wrap.cover == "none" else take("wrap.film.conductance") * _MOL,
        "open_share": take("wrap.film.open_share"),
        "cut_g": take("wrap.cut.conductance", log=True) * _MOL * end,
        "water": take("wrap.scion.water") * 0.25 * d,
    }


def _dose(take: Take, known: Known) -> dict[str, Array | float]:
    enthalpy = middle(known("healing.heat.dose_enthalpy"))
    slope, offset = middle(known("healing.heat.dose_entropy_slope")), middle(known("healing.heat.dose_entropy_offset"))
    return {
        "dose_enthalpy": enthalpy,
        "dose_entropy": dose.entropy(enthalpy, slope, offset),
        "dose_shift": take("healing.heat.species_shift", normal=True),
        "dose_repair": take("healing.heat.dose_repair", log=True),
    }
