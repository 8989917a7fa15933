"""Heat and covers as plain data: what `barkslip heat --json` and the page's JSON say.

Keys end in the unit of their number. In a °F garden temperatures end in `_f` and differences in `_f_difference`; the
rest stays SI. Degree-minutes are kelvin-minutes over 38 and 44 °C in every garden: their keys name the line.
"""

from __future__ import annotations

from typing import Any

from barkslip.domain.heat import CoverCheck, CoverDay, FaceDay, HeatVerdict, PlotHeat, SunAir, Wrap, WrappedGraft
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import heat, heat_cautions
from barkslip.present.heat_chart import danger_hours, hours
from barkslip.present.heat_steps import clock
from barkslip.present.keyed import Keys, each, said
from barkslip.present.records import record
from barkslip.present.tree import bearing_words


def heat_data(verdict: HeatVerdict, units: UnitChoice = METRIC) -> dict[str, Any]:
    """The whole answer."""
    keys = Keys(units)
    return {
        "verdict": said(heat.headline(verdict)),
        "danger": verdict.danger,
        "graft": _graft(verdict.graft),
        "plot": verdict.plot,
        "air": _air(verdict.air, keys),
        "covers": [_cover(verdict, i, c, keys) for i, c in enumerate(verdict.covers)],
        "choose": verdict.choose,
        "now": verdict.now,
        "target": verdict.target,
        "faces": [_face(f, verdict, keys) for f in verdict.faces],
        "lines": [
            keys.temp("line", temp)
            | {"words": heat.LINE_WORDS.get(round(temp), ("",))[0], "number": record(value, units)}
            for temp, value in verdict.lines
        ],
        "would_change": [
            {"code": code, "chance_now": each(now), "chance_then": each(then)}
            for code, now, then in verdict.would_change
        ],
        "unknowns": [heat_cautions.unknown(code) for code in verdict.unknowns],
        "unknown_codes": list(verdict.unknowns),
        "cautions": [said(heat_cautions.sentence(code, units)) for code in heat_cautions.every(verdict)],
        "caution_codes": list(heat_cautions.every(verdict)),
        "members": verdict.members,
        "seed": verdict.seed,
        "knowledge_hash": verdict.knowledge_hash,
    }


def _graft(graft: WrappedGraft) -> dict[str, Any]:
    return {
        "name": graft.name,
        "species": graft.species,
        "scion_mm": graft.scion_mm,
        "scion_length_mm": graft.scion_length_mm,
        "limb_mm": graft.limb_mm,
        "bearing_deg": graft.bearing_deg,
        "shade_share": graft.shade,
        "whitened": graft.whitened,
        "now": None if graft.now is None else _wrap(graft.now),
    }


def _wrap(wrap: Wrap) -> dict[str, Any]:
    return {
        "cover": wrap.cover,
        "words": heat.cover_words(wrap, how=True),
        "open_below": wrap.open_below,
        "touching": wrap.touching,
    }


def _air(air: SunAir, keys: Keys) -> dict[str, Any]:
    rows = []
    for i, second in enumerate(air.time_s):
        rows.append(
            {"time": clock(air, second)}
            | keys.temp("air", air.air_c[i])
            | keys.temp("dew", air.dew_c[i])
            | {
                "wind_m_s": each(air.wind_m_s[i]),
                "cloud_share": each(air.cloud[i]),
                "ghi_w_m2": each(air.ghi_w_m2[i]),
                "dni_w_m2": each(air.dni_w_m2[i]),
                "dhi_w_m2": each(air.dhi_w_m2[i]),
                "sun_up_deg": each(air.sun_up_deg[i]),
                "sun_from_deg": each(air.sun_from_deg[i]),
            }
        )
    return (
        {"source": air.source, "source_words": air.source_words, "day": air.day, "lat": air.lat, "lon": air.lon,
         "utc_offset_h": air.utc_offset_h, "guessed": list(air.guessed), "wind_here": air.wind_here}
        | keys.temp("high", air.high_c)
        | keys.difference("air_sd", air.air_sd_k)
        | {"hours": rows}
    )  # fmt: skip


def _cover(verdict: HeatVerdict, place: int, cover: CoverDay, keys: Keys) -> dict[str, Any]:
    return (
        _wrap(cover.wrap)
        | {"verdict": cover.verdict, "chosen": place == verdict.choose, "on_now": place == verdict.now}
        | keys.temp("scion_max", cover.scion_max_c)
        | keys.temp("strip_max", cover.strip_max_c)
        | keys.difference("excess_over_air", cover.excess_over_air_k)
        | keys.temp("air_inside_max", cover.air_inside_max_c)
        | keys.temp("low", cover.low_c)
        | {
            "degree_minutes_above_38": each(cover.degree_minutes_above_38.p50),
            "degree_minutes_above_38_range": each(cover.degree_minutes_above_38),
            "degree_minutes_above_44": each(cover.degree_minutes_above_44.p50),
            "degree_minutes_above_44_range": each(cover.degree_minutes_above_44),
            "water_lost_pct_day": each(cover.water_lost_pct_day),
            "heat_dose": each(cover.heat_dose),
            "chance_of_harm": each(cover.chance_of_harm),
            "chance_over_44": each(cover.chance_over_44),
            "hottest_at": cover.hottest_at,
            "learned_days": cover.learned_days,
            "hazards": list(heat_cautions.codes(cover)),
            "series": _hourly(verdict, cover, keys),
        }
    )


def _hourly(verdict: HeatVerdict, cover: CoverDay, keys: Keys) -> list[dict[str, Any]]:
    """Middle of each line hour by hour: [{"time": "14:00", "scion_c": 41.2, ...}]."""
    rows = []
    for i in hours(verdict.times):
        row: dict[str, Any] = {"time": verdict.times[i]}
        for line in cover.series:
            if i < len(line.p50_c):
                row |= keys.temp(line.name, line.p50_c[i])
        rows.append(row)
    return rows


def _face(face: FaceDay, verdict: HeatVerdict, keys: Keys) -> dict[str, Any]:
    over = dict(danger_hours(verdict))
    return (
        {"face": face.face, "hottest_at": face.hottest_at}
        | keys.temp("bark_max", face.bark_max_c)
        | keys.temp("whitened_max", face.whitened_max_c)
        | {
            "chance_over_44": each(face.chance_over_44),
            "chance_over_52": each(face.chance_over_52),
            "over_44_at": over.get(bearing_words(face.face), ""),
        }
        | keys.temps("by_hour", face.by_hour_c)
    )


def danger_data(plots: tuple[PlotHeat, ...], units: UnitChoice = METRIC) -> list[dict[str, Any]]:
    """All plots' hot day."""
    keys = Keys(units)
    return [
        {"plot": p.plot_code, "name": p.plot_name, "day": p.day}
        | keys.temp("air_high", p.high_c)
        | {
            "graft": p.graft_code,
            "cover": p.cover,
            "danger": p.danger,
            "chance_of_harm": each(p.chance),
            "better": p.better,
            "unknown_codes": list(p.words),
        }
        for p in plots
    ]


def check_data(check: CoverCheck, units: UnitChoice = METRIC) -> dict[str, Any]:
    """The model beside the grower's own logger."""
    keys = Keys(units)
    return (
        _wrap(check.wrap)
        | {
            "logger": check.logger,
            "corrections": list(check.corrections),
            "from_h": check.from_h,
            "to_h": check.to_h,
            "days": [
                {"day": d.day} | keys.difference("measured", d.measured_k) | keys.difference("model", d.model_k)
                for d in check.days
            ],
            "left_out": check.left_out,
        }
        | keys.difference("measured", check.measured_k)
        | keys.difference("before", check.before_k)
        | keys.difference("after", check.after_k)
        | {"weight_left": each(check.weight_left), "astray": check.astray}
    )
