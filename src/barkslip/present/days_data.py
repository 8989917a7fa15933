"""Days to graft as plain data: what `barkslip days --json` and the page's JSON say. Keys end in the unit."""

from __future__ import annotations

from typing import Any

from barkslip.domain.night import Spread
from barkslip.domain.timing import (
    BackCast,
    ClockLearned,
    DateSpread,
    DaysVerdict,
    DayToGraft,
    GraftClock,
    GraftPlan,
    HealingCurve,
    WeekOfYear,
)
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import days, days_words
from barkslip.present.keyed import Keys, each, said
from barkslip.present.records import record


def days_data(verdict: DaysVerdict, units: UnitChoice = METRIC) -> dict[str, Any]:
    """The whole answer."""
    keys = Keys(units)
    return {
        "verdict": verdict.verdict,
        "words": said(days.headline(verdict)),
        "best_day": verdict.best_day or None,
        "reasons": list(verdict.reasons),
        "plan": _plan(verdict.plan),
        "days": [_day(one, keys) for one in verdict.days],
        "set_on": verdict.set_on or None,
        "link_date": date_data(verdict.link_date),
        "push_date": date_data(verdict.push_date),
        "release_date": date_data(verdict.release_date),
        "bark": {
            "rule": verdict.bark_rule,
            "test_from": verdict.bark_from or None,
            "words": said(days.bark_text(verdict)),
        },
        "year": [_week(one) for one in verdict.year],
        "years": verdict.years,
        "curve": None if verdict.curve is None else _curve(verdict.curve, units),
        "source": verdict.source_words,
        "unknowns": [days_words.unknown(code) for code in verdict.unknowns],
        "unknown_codes": list(verdict.unknowns),
        "cautions": [days_words.caution(code) for code in days.shown_cautions(verdict)],
        "caution_codes": list(days.shown_cautions(verdict)),
        "members": verdict.members,
        "seed": verdict.seed,
        "knowledge_hash": verdict.knowledge_hash,
    }


def _plan(plan: GraftPlan) -> dict[str, Any]:
    return {
        "species": plan.species,
        "method": plan.method,
        "path": plan.path,
        "cover": plan.cover,
        "buds": plan.buds,
        "bark": plan.bark or None,
        "flush": plan.flush,
        "tree": plan.tree or None,
        "plot": plan.plot or None,
        "limb_mm": plan.limb_mm,
        "scion_mm": plan.scion_mm,
        "bearing_deg": plan.bearing_deg,
        "shade_share": plan.shade,
    }


def _day(one: DayToGraft, keys: Keys) -> dict[str, Any]:
    return {
        "date": one.date,
        "healing_days": each(one.healing_days),
        "heat_dose": each(one.heat_dose),
        "water_lost_pct": each(one.water_lost_pct),
        "frost_hours": each(one.frost_hours),
        "chance": each(one.chance),
        "link_days": each(one.link_days),
        "ended_by": {code: each(share) for code, share in one.ended_by},
        "reasons": list(one.reasons),
        "verdict": one.verdict,
        "source": one.source,
        **keys.temp("air_low", one.air_low_c),
        **keys.temp("air_high", one.air_high_c),
    }


def date_data(spread: DateSpread | None) -> dict[str, str | None]:
    """Early, middle and late day; null where it is not reached."""
    if spread is None:
        return {"p10": None, "p50": None, "p90": None}
    return {"p10": spread.p10, "p50": spread.p50, "p90": spread.p90}


def _week(one: WeekOfYear) -> dict[str, Any]:
    return {
        "from": one.month_day,
        "chance": each(one.chance),
        "worked": one.worked,
        "years": one.years,
        "ended_by": one.ended_by or None,
        "false_spring_years": one.false_spring,
    }


def _curve(curve: HealingCurve, units: UnitChoice) -> dict[str, Any]:
    names = ("t_min", "t_opt", "t_max", "d_bridge", "d_xylem", "d_unwrap")
    return {
        "species": curve.species,
        "evidence": curve.evidence,
        **{name: record(getattr(curve, name), units) for name in names},
        "hard_zero": None if curve.hard_zero is None else record(curve.hard_zero, units),
    }


def clock_data(clock: GraftClock) -> dict[str, Any]:
    """The healing clock of one graft."""
    return {
        "graft": clock.code,
        "set_on": clock.set_on,
        "as_of": clock.as_of,
        "species": clock.species or None,
        "healing_days_so_far": each(clock.so_far),
        "bridge_date": date_data(clock.bridge),
        "link_date": date_data(clock.link),
        "release_date": date_data(clock.release),
        "push_date": date_data(clock.push),
        "chance_bridge": each(clock.chance_bridge),
        "chance_link": each(clock.chance_link),
        "latest_release": clock.latest_release or None,
        "measured_share": each(clock.measured_share),
        "ahead": clock.ahead or None,
        "unknowns": [days_words.unknown(code) for code in clock.words],
    }


def learned_data(found: ClockLearned) -> dict[str, Any]:
    """What own takes say about the clock."""
    return {
        "species": found.species,
        "grafts": found.grafts,
        "took": found.took,
        "before": _spreads(found.before),
        "after": _spreads(found.after),
        "weight_left": each(found.weight_left),
        "rows": [_back(one) for one in found.rows],
    }


def _spreads(found: dict[str, Spread]) -> dict[str, Any]:
    return {name: each(value) for name, value in found.items()}


def _back(one: BackCast) -> dict[str, Any]:
    return {
        "graft": one.code,
        "set_on": one.set_on,
        "method": one.method,
        "species": one.species,
        "cover": one.cover,
        "outcome": one.outcome,
        "healing_days_21": each(one.healing_21),
        "healing_days_45": each(one.healing_45),
        "chance": each(one.chance),
    }
