"""Why a day is good or bad to graft, what the verdict is, and what is not known."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barkslip.domain.method import Method
from barkslip.domain.timing import REASONS, DayToGraft, GraftPlan, HealingCurve
from barkslip.engines.bark_rule import needs_bark
from barkslip.engines.frost_draws import Known, middle
from barkslip.engines.heal_hours import DAY_H, HealHours
from barkslip.engines.healing_curve import WEAK
from barkslip.kernels import healing as kernel

Ended = tuple[tuple[str, float], ...]
#: A season is said to go if the air is this much colder at the end of the time looked at [K].
GOING_K = 2.0
#: A later day is worth more words only if its chance is better by this.
BETTER = 0.05


def day_reasons(
    air: HealHours, curve: HealingCurve, start: int, chance: float, ended: Ended, known: Known, *, plan: GraftPlan,
    drought: bool,
) -> tuple[str, ...]:  # fmt: skip
    """Codes of `REASONS` for one day, the weightiest first; "good" alone if nothing speaks against it."""
    least = middle(known("timing.named_share"))
    good = chance >= middle(known("timing.good_chance"))
    out = [code for code, share in ended if share >= least]
    slow = _slow(air, curve, start, known)
    if slow == "too_cold" and (not good or "buds_before_union" in out):
        out.append("too_cold")
    if "too_cold" in out and _going(air, start):
        out.insert(out.index("too_cold") + 1, "late_in_season")
    if "frost_after" in out and not slow:
        out.insert(out.index("frost_after") + 1, "false_spring")
    if extreme_ahead(air, start, known):
        out.append("heat_wave_ahead")
    if drought:
        out.append("drought")
    if good and "too_cold" not in out and "heat_wave_ahead" not in out:
        out.append("good")
    return tuple(dict.fromkeys(c for c in out if c in REASONS))


def rank(chance: float, ended: Ended, reasons: Sequence[str], known: Known) -> str:
    """Verdict on one day: "good", "fair", "poor", or "unknown" where too little of the time ahead is known."""
    if dict(ended).get("no_weather", 0.0) >= middle(known("timing.named_share")):
        return "unknown"
    if chance < middle(known("timing.fair_chance")):
        return "poor"
    if chance < middle(known("timing.good_chance")) or "heat_wave_ahead" in reasons:
        return "fair"
    if "buds_before_union" in reasons and "too_cold" in reasons:
        return "fair"  # how long a pushed bud lives on its own store is a guess: no day leans on it
    return "good"


def _slow(air: HealHours, curve: HealingCurve, start: int, known: Known) -> str:
    """ "too_cold" or "too_hot" if the first two weeks heal at less than half of the best rate, "" if not: by the middle
    of the curve and of the union's hours."""
    end = min(start + 14 * DAY_H, air.count)
    union = np.median(air.union_c[:, start:end], axis=0)
    t_min, t_opt, t_max = (middle(v) for v in (curve.t_min, curve.t_opt, curve.t_max))
    zero = t_min if curve.hard_zero is None else middle(curve.hard_zero)
    rates = kernel.rates(union, t_min, t_opt, t_max, zero)
    if rates.mean() >= middle(known("healing.band.healing_rate")):
        return ""
    missed = 1.0 - rates
    return "too_cold" if missed[union < t_opt].sum() >= missed[union >= t_opt].sum() else "too_hot"


def _going(air: HealHours, start: int) -> bool:
    """Whether it gets colder through the time looked at."""
    if air.count - start < 30 * DAY_H:
        return False
    first = air.air_c[:, start : start + 14 * DAY_H].mean()
    last = air.air_c[:, -14 * DAY_H :].mean()
    return bool(last < first - GOING_K)


def extreme_ahead(air: HealHours, start: int, known: Known) -> bool:
    """Whether a heat extreme stands in the hours at hand within the days before which nothing is grafted."""
    days = int(middle(known("care.no_graft_before_extreme_days")))
    end = min(start + days * DAY_H, air.known_h)
    if end <= start:
        return False
    highest = np.median(air.air_c[:, start:end], axis=0).max()
    return bool(highest >= middle(known("timing.extreme_air")))


def verdict_of(
    plan: GraftPlan, days: Sequence[DayToGraft], method: Method | None, bark_day: int | None, rule: bool
) -> tuple[str, int | None, tuple[str, ...]]:  # fmt: skip
    """Verdict, place of the best day, and its reasons.

    Parameters
    ----------
    days : sequence of DayToGraft
    bark_day : int or None
        Day from which the bark rule would test.
    rule : bool
        Whether the rule could be asked; if not, a test is always worth while.
    """
    good = [i for i, day in enumerate(days) if day.verdict == "good"]
    top = max((days[i].chance for i in good), default=0.0)
    best = next((i for i in good if days[i].chance >= top - BETTER), None)
    if days[0].verdict == "good":
        best = 0
    reasons = days[0].reasons
    if needs_bark(method) and plan.bark == "tears":
        return "not now", best, ("bark_tears", *(c for c in reasons if c != "good"))
    if all(day.verdict == "unknown" for day in days):
        return "unknown", None, ("no_weather", *(c for c in reasons if c != "no_weather"))
    if best is None:
        return "not now", None, tuple(c for c in reasons if c != "good")
    untested = needs_bark(method) and not plan.bark
    # the rule is good to two weeks either way: whenever it speaks within the days looked at, the flap is asked
    if untested and (not rule or plan.flush or bark_day is not None):
        return "ask bark test", best, ("ask_bark_test", *reasons)
    if untested:
        return ("wait" if best else "not now"), best, ("ask_bark_test", *(c for c in reasons if c != "good"))
    return ("today" if best == 0 else "wait"), best, reasons


def unknowns_of(
    plan: GraftPlan, curve: HealingCurve, air: HealHours, days: int, look_h: int, method: Method | None, known: Known
) -> tuple[str, ...]:  # fmt: skip
    """Codes of `UNKNOWNS` that hold for every answer of this kind."""
    out = ["take_other_causes", "kill_point", "union_temperature"]
    if curve.evidence in WEAK:
        out.append("weak_species")
    if plan.path == "growing":
        out.append("push_clock")
    if air.years:
        out.append("after_forecast")
        if air.years < middle(known("timing.few_years")):
            out.append("own_years_few")
    elif air.known_h < days * DAY_H + look_h:
        out.append("no_own_years")
    if needs_bark(method) and not plan.bark:
        out.append("bark_rule")
    return tuple(out)
