"""Measures against a cold night: what the model is told, when each is done, and what each costs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from barkslip.domain.errors import InputError
from barkslip.domain.night import Measures, NightTree
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.kernels import night_index as ix

_COVER_FIELDS = (
    "tau", "tau_wet", "tau_sun", "eps_out", "eps_out_wet", "eps_in", "resistance", "heat", "leak", "leak_wind",
)  # fmt: skip
_HOUR = 3600.0


def sized(measures: Measures, tree: NightTree, known: Known) -> Measures:
    """The set with the tent's size filled in.

    Raises
    ------
    InputError
        If the cover is smaller than the tree.
    """
    if not measures.cover:
        return measures
    height = measures.cover_height_m or tree.height_m + middle(known("measures.room.height"))
    width = measures.cover_width_m or tree.width_m + middle(known("measures.room.width"))
    if height < tree.height_m or width < tree.width_m:
        raise InputError(
            "The cover is smaller than the tree.",
            given=f"cover {height:g} m high and {width:g} m wide, tree {tree.height_m:g} and {tree.width_m:g} m",
            allowed="at least the size of the tree",
            next_step="Correct the size, or leave it out to take one that fits.",
            field="cover_height",
        )
    return replace(measures, cover_height_m=height, cover_width_m=width)


def rows(measures: Measures, draws: Draws, known: Known, times_s: dict[str, float], tree: NightTree) -> Array:
    """What the model is told, float64[members, N_MEASURES].

    Parameters
    ----------
    times_s : dict
        Seconds after sunset: "cover_off", "lamp_on", "lamp_off", "bucket_placed", "water_on", "water_off".
    tree : NightTree
        For its soil and what grows on it.
    """
    out = np.zeros((draws.members, ix.N_MEASURES))

    def put(name: str, value: float | Array) -> None:
        out[:, ix.MEASURE_NAMES.index(name)] = value

    if measures.cover:
        put("cover", 1.0)
        put("cover_off", times_s["cover_off"])
        put("cover_height", measures.cover_height_m)
        put("cover_width", measures.cover_width_m)
        put("cover_skirt", measures.skirt_m)
        put("cover_gap", measures.gap_m)
        for field in _COVER_FIELDS:
            value = known(f"covers.{measures.cover}.{field}")
            log = field in ("leak", "leak_wind", "resistance")
            put(f"cover_{field}", draws.of(f"covers.{measures.cover}.{field}", value, log=log))
    if measures.lamp_w > 0:
        put("lamp_power", measures.lamp_w)
        put("lamp_radiant", draws.of("lamp_radiant", known(f"frost.lamp_radiant.{measures.lamp}")))
        put("lamp_on", times_s["lamp_on"])
        put("lamp_off", times_s["lamp_off"])
    if measures.bucket_l > 0:
        put("bucket_count", measures.buckets)
        put("bucket_litres", measures.bucket_l)
        put("bucket_temp", measures.bucket_c)
        put("bucket_lid", 1.0 if measures.lid else 0.0)
        put("bucket_placed", times_s["bucket_placed"])
        left = max(times_s["sunrise"] - times_s["bucket_placed"], _HOUR)
        put("bucket_refill", left / (measures.refills + 1) if measures.refills else 0.0)
    if measures.water_l_h > 0:
        put("water_rate", measures.water_l_h / _HOUR)
        put("water_temp", measures.water_c)
        put("water_area", np.pi * 0.25 * max(measures.cover_width_m, 1.0) ** 2)
        put("water_spray", 1.0 if measures.spray else 0.0)
        put("water_on", times_s["water_on"])
        put("water_off", times_s["water_off"])
    if measures.wrap:
        put("wrap_resistance", draws.of("wrap", known(f"frost.wrap_resistance.{measures.wrap}")))
        if measures.wrap == "bank":
            put("wrap_heat", draws.of("bank_heat", known("frost.bank_heat")))
            put("wrap_to_ground", draws.of("bank_to_ground", known("frost.bank_to_ground")))
    if measures.watered or measures.bared:
        _ground(measures, draws, known, tree.soil, tree.ground, put)
    return out


def _ground(
    measures: Measures,
    draws: Draws,
    known: Known,
    soil: str,
    ground: str,
    put: Callable[[str, float | Array], None],
) -> None:
    spread = draws.of("soil_conductivity_spread", known("frost.soil_conductivity_spread"))
    put("soil_changed", 1.0)
    put("soil_conductivity", middle(known(f"frost_soil.{soil}_moist.conductivity")) * spread)
    put("soil_heat", 1e6 * middle(known(f"frost_soil.{soil}_moist.heat")))
    put("soil_water", middle(known(f"frost_soil.{soil}_moist.water")))
    wet = "frost.soil_wetness_wet" if measures.watered else "frost.soil_wetness"
    put("soil_wetness", draws.of("soil_wetness", known(wet)))
    # watered grass keeps its layer; bared ground has none
    layer = 0.0 if measures.bared or ground != "grass" else middle(known("frost.grass_resistance"))
    put("ground_layer_resistance", layer)


def work_min(measures: Measures, known: Known) -> float:
    """Minutes of work of a set [min]."""
    total = 0.0
    for part in measures.parts:
        if part == "wrap":
            total += middle(known("measures.work.bank" if measures.wrap == "bank" else "measures.work.wrap"))
        elif part == "bucket":
            total += middle(known("measures.work.bucket")) * measures.buckets * (measures.refills + 1)
        else:
            total += middle(known(f"measures.work.{part}"))
    return total


def hazards(measures: Measures) -> tuple[str, ...]:
    """Codes of the cautions that go with a set."""
    out: list[str] = []
    if measures.cover:
        out += ["anchor_and_open", "no_flame"]
        if measures.cover in ("clear_pe", "thermal_film", "pvc", "polyester"):
            out.append("plastic_touching")
    if measures.lamp_w > 0:
        out += ["electric_outdoors", "lamp_fire"]
        if measures.water_l_h > 0:
            out.append("water_and_electricity")
    if measures.bucket_l > 0 and measures.bucket_c >= 45.0:
        out.append("scald")
    if measures.water_l_h > 0 and measures.spray:
        out.append("ice_load")
    if measures.wrap:
        out.append("wrap_and_bank")
    return tuple(out)


def usual_sets(tree: NightTree, known: Known) -> tuple[Measures, ...]:
    """Sets that are offered when the grower names none: what a home has, least work first."""
    skirt = middle(known("measures.offer.skirt"))
    watts = middle(known("measures.offer.lamp"))
    litres = middle(known("measures.offer.bucket"))
    warm = middle(known("measures.offer.bucket_temp"))
    blanket = Measures(cover="blanket")
    bucket = replace(blanket, bucket_l=litres, bucket_c=warm)
    out = [
        Measures(cover="fleece_17"),
        blanket,
        replace(blanket, skirt_m=skirt),
        replace(blanket, lamp_w=watts),
        replace(blanket, skirt_m=skirt, lamp_w=watts),
        bucket,
        replace(bucket, skirt_m=skirt),
        replace(bucket, skirt_m=skirt, lamp_w=watts),
        Measures(cover="clear_pe"),
        Measures(wrap="bank"),
    ]
    if tree.soil_state == "dry":
        out.append(Measures(watered=True))
    if tree.ground == "grass":
        out.append(Measures(bared=True))
    return tuple(out)


def own_sets(given: Measures) -> tuple[Measures, ...]:
    """Every combination of what the grower names, each alone and together; never lamps with running water."""
    parts = given.parts
    out: list[Measures] = []
    for chosen in range(1, 2 ** len(parts)):
        names = {p for i, p in enumerate(parts) if chosen >> i & 1}
        if {"lamp", "water"} <= names:
            continue  # electricity and running water are never offered together
        one = given
        if "cover" not in names:
            one = replace(one, cover="", cover_height_m=0.0, cover_width_m=0.0, skirt_m=0.0, gap_m=0.0)
        if "lamp" not in names:
            one = replace(one, lamp_w=0.0)
        if "bucket" not in names:
            one = replace(one, bucket_l=0.0)
        if "water" not in names:
            one = replace(one, water_l_h=0.0)
        if "wrap" not in names:
            one = replace(one, wrap="")
        one = replace(one, watered=one.watered and "watered" in names, bared=one.bared and "bared" in names)
        out.append(one)
    return tuple(out)
