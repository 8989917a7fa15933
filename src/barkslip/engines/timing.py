"""Which of the coming days are good to graft: whether the union links before drying, heat, cold or frost ends it.

The chance is about weather. Skill, wood and fit are not in it; it is never multiplied by the take of a method.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.method import Method
from barkslip.domain.night import Spread
from barkslip.domain.timing import DateSpread, DaysVerdict, DayToGraft, GraftPlan, HealingCurve, WeekOfYear
from barkslip.engines import bark_rule
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.engines.heal_hours import DAY_H, HealHours, Wrapping, ahead, day_starts, local_start, running
from barkslip.engines.heal_members import Members, members_of
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.timing_reasons import day_reasons, rank, unknowns_of, verdict_of
from barkslip.kernels import healing as kernel

Ints = NDArray[np.int32]
#: Days of the ribbon.
DAYS = 14
#: What ends a graft, by the kernel's code.
ENDS = {
    kernel.TOO_COLD: "too_cold",
    kernel.TOO_HOT: "too_hot",
    kernel.HEAT: "too_hot",
    kernel.DRYING: "drying",
    kernel.FROST_BEFORE: "frost_before_link",
    kernel.FROST_AFTER: "frost_after",
    kernel.BUDS_FIRST: "buds_before_union",
    kernel.NOT_KNOWN: "no_weather",
}
_THREADS = 2


@dataclass(frozen=True, eq=False)
class Outcomes:
    """What became of each member set at each start.

    Parameters
    ----------
    starts : int32[s]
        Hours at which grafts are set.
    ends : int8[members, s]
        Codes of `kernels.healing`.
    link_h, push_h : int32[members, s]
        Hours to the first water path and to the push; -1 where not reached.
    """

    starts: Ints
    ends: NDArray[np.int8]
    link_h: Ints
    push_h: Ints

    def share(self, code: int, s: int) -> float:
        """Share of members that ended so at a start."""
        return float(np.mean(self.ends[:, s] == code))


def assess(
    plan: GraftPlan, curve: HealingCurve | None, hours: SunHours | None, years: Sequence[SunHours], known: Known, *,
    method: Method | None = None, before: SunHours | None = None, days: int = DAYS, members: int = 200, seed: int = 1,
    sources: Sequence[str] = (), source_words: str = "", year: Sequence[WeekOfYear] = (), drought: bool = False,
    unknowns: Sequence[str] = (), knowledge_hash: str = "", wrapping: Wrapping | None = None,
) -> DaysVerdict:  # fmt: skip
    """The verdict on the coming days.

    Parameters
    ----------
    plan : GraftPlan
    curve : HealingCurve or None
        None if nothing is known of the species: the verdict is then "unknown".
    hours : SunHours or None
        From local midnight of the first day, as far as measured, typed or forecast hours go; None or none at all makes
        the verdict "unknown".
    years : sequence of SunHours
        Own years as unbroken stretches of any length; after `hours` each member goes on with the same days of one year.
    known : callable
        key -> sourced number.
    method : Method or None
        Row of the knowledge base; decides whether bark must lift, and the earliest release.
    before : SunHours or None
        The three weeks before the first day, for the bark rule of citrus.
    days : int
        Start days looked at.
    members, seed : int
        Size of the ensemble and where its draws begin.
    sources : sequence of str
        Of each day of `hours`; later days are "own years".
    year : sequence of WeekOfYear
        From `timing_year.year`.
    drought : bool
        The tree is short of water, as the grower told.
    unknowns : sequence of str
        Codes of what else is not known.
    wrapping : callable or None
        Model of the wrap; None takes the program's own.

    Returns
    -------
    DaysVerdict
    """
    if curve is None or hours is None or len(hours) < DAY_H:
        why = "species_unknown" if curve is None else "no_weather"
        return _nothing(plan, curve, why, tuple(year), source_words, unknowns, (members, seed, knowledge_hash))
    look_h = int(middle(known("timing.look_days"))) * DAY_H
    air = ahead(
        plan, hours, years, days * DAY_H + look_h, known, members=members, seed=seed, wrapping=wrapping
    )  # fmt: skip
    drawn = members_of(plan, curve, Draws(members, seed), known, method)
    midnights = day_starts(air.hours, min(air.count, days * DAY_H))[:days]
    found = outcomes(plan, drawn, air, set_at(midnights, air.count, known), look_h)
    ribbon = tuple(
        _day(plan, air, drawn, found, midnights, s, curve, known, sources, drought) for s in range(len(midnights))
    )
    bark_day = bark_rule.worth_testing_from(curve, before, np.median(air.air_c, axis=0), days, known)
    rule = bark_rule.speaks(curve, before, known)
    verdict, best, reasons = verdict_of(plan, ribbon, method, bark_day, rule)
    at = best if best is not None and verdict in ("wait", "today", "ask bark test") else 0
    release, push, link = dates_from(plan, drawn, air, found, at, method)
    codes = (*unknowns, *unknowns_of(plan, curve, air, len(ribbon), look_h, method, known))
    return DaysVerdict(
        plan=plan,
        verdict=verdict,
        best_day=ribbon[best].date if best is not None and verdict == "wait" else "",
        reasons=reasons,
        days=ribbon,
        release_date=release,
        push_date=push,
        link_date=link,
        set_on=ribbon[at].date,
        year=tuple(year),
        years=air.years,
        curve=curve,
        bark_from=ribbon[bark_day].date if bark_day is not None and bark_day < len(ribbon) else "",
        bark_rule=bark_rule.bark_word(plan, method),
        source_words=source_words,
        unknowns=tuple(dict.fromkeys(codes)),
        cautions=_cautions(method),
        members=members,
        seed=seed,
        knowledge_hash=knowledge_hash,
    )


def set_at(midnights: Ints, count: int, known: Known) -> Ints:
    """Hours at which grafts are set, from the midnights of their days, int32[s]; the last one if a day is cut."""
    return np.minimum(midnights + int(middle(known("timing.set_hour"))), count - 1).astype(np.int32)


def outcomes(plan: GraftPlan, drawn: Members, air: HealHours, starts: Ints, look_h: int) -> Outcomes:
    """What becomes of grafts set at some hours; on two threads."""
    members = drawn.params.shape[0]
    ends = np.empty((members, starts.size), dtype=np.int8)
    hours = np.empty((members, starts.size, 2), dtype=np.int32)
    cuts = np.linspace(0, members, _THREADS + 1).astype(int)

    def part(k: int) -> None:
        kernel.outcomes_into(
            air.union_c, air.scion_c, air.growth_c, air.loss_sum, air.dose_sum, drawn.params, starts, look_h,
            plan.path == "growing", int(cuts[k]), int(cuts[k + 1]), ends, hours,
        )  # fmt: skip

    with ThreadPoolExecutor(_THREADS) as pool:
        list(pool.map(part, range(_THREADS)))
    return Outcomes(starts, ends, hours[:, :, 0], hours[:, :, 1])


def healing_of(drawn: Members, air: HealHours) -> Array:
    """Running sums of healing of each member [d], float64[members, n + 1]."""
    return running(
        np.stack([kernel.rates(air.union_c[m], *drawn.curves[m]) for m in range(drawn.params.shape[0])]) / DAY_H
    )


def reached_h(drawn: Members, air: HealHours, need: Array, starts: Ints) -> Ints:
    """Hours from each start until the healing of each member reaches its need, int32[members, s]; -1 where not."""
    members = drawn.params.shape[0]
    out = np.empty((members, 1, starts.size), dtype=np.int32)
    kernel.reached_into(air.union_c, drawn.curves, np.ascontiguousarray(need[:, np.newaxis]), starts, 0, members, out)
    return np.asarray(out[:, 0, :])


def spread(values: Array) -> Spread:
    """One in ten below, the middle, one in ten above."""
    p10, p50, p90 = np.percentile(values, [10, 50, 90])
    return Spread(float(p10), float(p50), float(p90))


def _day(
    plan: GraftPlan, air: HealHours, drawn: Members, found: Outcomes, midnights: Ints, s: int, curve: HealingCurve,
    known: Known, sources: Sequence[str], drought: bool,
) -> DayToGraft:  # fmt: skip
    """One day of the ribbon."""
    begin, start = int(midnights[s]), int(found.starts[s])
    end = min(begin + DAY_H, air.count)
    rows = np.arange(drawn.params.shape[0])
    healing = np.array([kernel.rates(air.union_c[m, begin:end], *drawn.curves[m]).sum() for m in rows]) / DAY_H
    linked = found.link_h[:, s] >= 0
    limit = drawn.params[:, kernel.P_LIMIT_H].astype(int)
    until = np.minimum(start + np.where(linked, np.minimum(found.link_h[:, s], limit), limit), air.count)
    last = min(start + int(middle(known("timing.look_days"))) * DAY_H, air.count)
    frost = (air.air_c[:, start:last] < middle(known("healing.frost.line"))).sum(axis=1)
    ended = ended_by(found, s)
    chance = found.share(kernel.LINKED, s)
    reasons = day_reasons(air, curve, start, chance, ended, known, plan=plan, drought=drought)
    return DayToGraft(
        date=(local_start(air.hours) + timedelta(hours=begin)).date().isoformat(),
        healing_days=spread(healing),
        link_days=spread(found.link_h[linked, s] / DAY_H) if 2 * linked.sum() >= linked.size else None,
        heat_dose=spread(air.dose_sum[rows, until] - air.dose_sum[:, start]),
        water_lost_pct=spread(100.0 * np.minimum(1.0, air.loss_sum[rows, until] - air.loss_sum[:, start])),
        frost_hours=spread(frost.astype(float)),
        chance=chance,
        ended_by=ended,
        reasons=reasons,
        verdict=rank(chance, ended, reasons, known),
        source=sources[s] if s < len(sources) else "own years",
        air_low_c=float(np.median(air.air_c[:, begin:end].min(axis=1))),
        air_high_c=float(np.median(air.air_c[:, begin:end].max(axis=1))),
    )


def ended_by(found: Outcomes, s: int) -> tuple[tuple[str, float], ...]:
    """What ended it otherwise, most often first; with the chance they add to 1."""
    shares: dict[str, float] = {}
    for code, name in ENDS.items():
        share = found.share(code, s)
        if share > 0.0:
            shares[name] = shares.get(name, 0.0) + share
    return tuple(sorted(shares.items(), key=lambda pair: -pair[1]))


def dates_from(
    plan: GraftPlan, drawn: Members, air: HealHours, found: Outcomes, s: int, method: Method | None
) -> tuple[DateSpread, DateSpread, DateSpread]:  # fmt: skip
    """Dates of release, push and first water path of a graft set at a start.

    The binding stays at least as long as the method asks for.
    """
    start = found.starts[s : s + 1]
    release = reached_h(drawn, air, drawn.days[:, 2], start)[:, 0]
    usual = method.unwrap_days if method is not None else None
    if usual is not None and usual.low is not None:
        release = np.where(release >= 0, np.maximum(release, round(usual.low * DAY_H)), release)
    push = found.push_h[:, s] if plan.path == "growing" else np.full(release.shape, -1)
    at = int(start[0])
    return dates(air, at, release), dates(air, at, push), dates(air, at, found.link_h[:, s])


def dates(air: HealHours, start: int, after_h: Ints) -> DateSpread:
    """Days of an event over the ensemble, from hours after a start; -1 is never."""
    begin = local_start(air.hours) + timedelta(hours=start)
    ordered = np.sort(np.where(after_h < 0, np.iinfo(np.int32).max, after_h))

    def day(share: float) -> str | None:
        h = int(ordered[min(int(share * ordered.size), ordered.size - 1)])
        return None if h == np.iinfo(np.int32).max else (begin + timedelta(hours=h)).date().isoformat()

    return DateSpread(day(0.1), day(0.5), day(0.9))


def _cautions(method: Method | None) -> tuple[str, ...]:
    first = ("test_bark",) if method is None or method.bark_must_lift != "no" else ()
    return (*first, "estimate_only", "not_take", "clean_wood", "knife")


def _nothing(
    plan: GraftPlan, curve: HealingCurve | None, why: str, year: tuple[WeekOfYear, ...], words: str,
    unknowns: Sequence[str], made: tuple[int, int, str],
) -> DaysVerdict:  # fmt: skip
    """The verdict where nothing can be said."""
    never = DateSpread(None, None, None)
    codes = ("healing_curve", *unknowns) if why == "species_unknown" else tuple(unknowns)
    return DaysVerdict(
        plan, "unknown", "", (why,), (), never, never, never, "", year, 0, curve, "", "", words,
        tuple(dict.fromkeys(codes)), _cautions(None), *made,
    )  # fmt: skip
