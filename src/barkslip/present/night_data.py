"""A cold night as plain data: what `barkslip night --json` and the page's JSON say.

Keys end in the unit of their number. In a °F garden temperatures end in `_f` and differences in `_f_difference`; the
rest stays SI.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from barkslip.domain.night import (
    AfterFreeze,
    MeasureNight,
    NightAir,
    NightVerdict,
    Offset,
    OrganNight,
    PlotTonight,
)
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import cautions, night
from barkslip.present.keyed import Keys, each, said
from barkslip.present.night_measures import clock, set_words, steps
from barkslip.present.records import record


def night_data(verdict: NightVerdict, units: UnitChoice = METRIC) -> dict[str, Any]:
    """The whole answer."""
    keys = Keys(units)
    return {
        "verdict": said(night.headline(verdict)),
        "night": said(night.night_text(verdict.air.day)),
        "frost": verdict.frost,
        "tree": record(verdict.tree),
        "plot": verdict.plot,
        "air": _air(verdict.air, keys) | keys.temp("low", verdict.air_low_c),
        "organs": [_organ(o, verdict, keys, units) for o in verdict.organs],
        "series": hourly(verdict, units),
        "measures": [_measure(verdict, i, r, keys, units) for i, r in enumerate(verdict.ladder)],
        "least": night.least_place(verdict),
        "runner_up": night.runner_place(verdict),
        "target": verdict.target,
        "would_change": [
            {"code": code, "chance_now": each(now), "chance_then": each(then)}
            for code, now, then in verdict.would_change
        ],
        "unknowns": [cautions.unknown(code) for code in verdict.unknowns],
        "unknown_codes": list(verdict.unknowns),
        "cautions": [cautions.sentence(code) for code in night.caution_codes(verdict)],
        "caution_codes": list(night.caution_codes(verdict)),
        "members": verdict.members,
        "seed": verdict.seed,
        "knowledge_hash": verdict.knowledge_hash,
    }


def _air(air: NightAir, keys: Keys) -> dict[str, Any]:
    return {
        "source": air.source,
        "source_words": air.source_words,
        "day": air.day,
        "sunset": clock(air, air.sunset_s),
        "sunrise": clock(air, air.sunrise_s),
        "utc_offset_h": air.utc_offset_h,
        "guessed": list(air.guessed),
        "offset": _offset(air.offset, keys),
    } | keys.difference("low_sd", air.low_sd_k) | keys.difference("site_sd", air.site_sd_k)  # fmt: skip


def _offset(offset: Offset | None, keys: Keys) -> dict[str, Any] | None:
    if offset is None:
        return None
    parts = []
    for part in offset.parts:
        row: dict[str, Any] = {"kind": part.kind, "nights": part.nights}
        for name in ("mean", "low", "high", "sd"):
            row |= keys.difference(name, getattr(part, f"{name}_k"))
        parts.append(row)
    row = {"plot": offset.plot, "site": offset.site, "used": offset.used, "parts": parts}
    return row | keys.difference("used", offset.used_k)


def _organ(organ: OrganNight, verdict: NightVerdict, keys: Keys, units: UnitChoice) -> dict[str, Any]:
    return (
        {"organ": organ.organ, "words": night.organ_words(organ.organ, verdict.tree)}
        | keys.temp("low", organ.low_c)
        | keys.temp("air_low", verdict.air_low_c.p50)
        | {
            "hours_below_critical": each(organ.hours_below_critical.p50),
            "hours_below_critical_range": each(organ.hours_below_critical),
            "chance_of_harm": each(organ.chance),
            "status": organ.critical.status,
            "stand_in": organ.stand_in,
            "coldest_at": organ.coldest_at,
            "critical": record(organ.critical, units),
        }
        | keys.difference("margin", organ.margin_k)
        | keys.difference("hardening", organ.hardening_k)
    )


def hourly(verdict: NightVerdict, units: UnitChoice = METRIC) -> list[dict[str, Any]]:
    """Middle of each line hour by hour: [{"time": "18:00", "air_c": 5.0, ...}]; None where a line has no number."""
    keys = Keys(units)
    rows = []
    for i in hours(verdict.times):
        row: dict[str, Any] = {"time": verdict.times[i]}
        for line in verdict.series:
            row |= keys.temp(line.name, line.p50_c[i])
        rows.append(row)
    return rows


def hours(times: tuple[str, ...]) -> list[int]:
    """Places of the first time within each hour."""
    return [i for i, at in enumerate(times) if i == 0 or at[:2] != times[i - 1][:2]]


def _measure(verdict: NightVerdict, place: int, rung: MeasureNight, keys: Keys, units: UnitChoice) -> dict[str, Any]:
    spec: dict[str, Any] = {}
    for one in fields(rung.measures):
        value = getattr(rung.measures, one.name)
        if one.name.endswith("_c"):
            spec |= keys.temp(one.name.removesuffix("_c"), value)
        else:
            spec[one.name] = value
    return (
        {"words": said(set_words(rung.measures, units)), "parts": list(rung.measures.parts), "set": spec}
        | keys.difference("gain", rung.gain_k)
        | {
            "chance_of_harm": each(rung.chance),
            "chances": {organ: each(chance) for organ, chance in rung.chances.items()},
            "lamp_w": rung.watts,
            "water_l": each(rung.litres),
            "energy_kwh": each(rung.kwh),
            "work_min": rung.work_min,
            "hazards": list(cautions.codes(rung)),
            "times": dict(rung.times),
            "steps": [{"at": at, "words": words} for at, words in steps(verdict, rung)],
            "colder_than_nothing": rung.worse,
            "least": place == night.least_place(verdict),
            "runner_up": place == night.runner_place(verdict),
        }
    )


def tonight_data(plots: tuple[PlotTonight, ...], units: UnitChoice = METRIC) -> list[dict[str, Any]]:
    """All plots' nights."""
    keys = Keys(units)
    return [
        {"plot": p.plot_code, "name": p.plot_name, "frost": p.frost}
        | keys.temp("air_low", p.low)
        | {
            "worst_organ": p.worst_organ,
            "chance_of_harm": each(p.chance),
            "tree": p.tree_code,
            "unknown_codes": list(p.words),
        }
        for p in plots
    ]


def after_data(after: AfterFreeze, units: UnitChoice = METRIC) -> dict[str, Any]:
    """What was likely hurt, and what to wait for."""
    trees = [
        {
            "code": t.code,
            "name": t.name,
            "plot": t.plot_name,
            "organs": [{"organ": organ, "chance_of_harm": each(chance)} for organ, chance in t.organs],
        }
        for t in after.trees
    ]
    waits = [
        {"code": code, "from_day": first, "until_day": last, "number": record(value, units)}
        for code, first, last, value in after.waits
    ]
    low = Keys(units).temp("air_low", after.low_c)
    return {"day": after.day, **low, "source": after.source_words, "trees": trees, "waits": waits}
