"""How many sticks to ask for, in words and as plain data."""

from __future__ import annotations

from typing import Any

from barkslip.domain.sticks import StickPlan, Take
from barkslip.present import counts
from barkslip.present import units as u

#: What a count of sticks leaves out -> words.
DOUBTS = {
    "one_fate": "Sticks of one lot share their fate: if the parcel cooks or the lot is not what it is called, all of "
    "them fail. Two lots, cut on two days, are worth more than one big one.",
    "few_grafts": "Fewer than five grafts of your own by this method are in it: it is nearly all judgement.",
    "stick_buds": "Only good buds count: plump, at rest, from round wood. Blind buds at the foot and soft wood at the "
    "tip do not.",
    "buds_per_graft": "One bud is counted for each graft. A scion of several buds takes more: say how many.",
    "other_setting": "The take comes from other hands and places, or from all your grafts by this method together, "
    "whatever the tree and the weather.",
}


def headline(plan: StickPlan) -> str:
    """ "Ask for 4 sticks: 15 grafts set give 6 living ones with a chance of 97 %."."""
    of = f"{counts.many(plan.grafts, 'graft')} set, at least {plan.wanted} alive with a chance of {share(plan.chance)}"
    return f"Ask for {counts.many(plan.sticks, 'stick')}: {of}."


def share(value: float) -> str:
    """A chance that is never rounded to certain: "over 99 %", "under 1 %"."""
    if 0.995 <= value < 1.0:
        return f"over{u.NBSP}99{u.NBSP}%"
    if 0.0 < value < 0.005:
        return f"under{u.NBSP}1{u.NBSP}%"
    return u.percent(value)


def sum_text(plan: StickPlan) -> str:
    """How the sticks come about."""
    per = plan.buds_per_stick // plan.buds_per_graft
    buds = "one bud" if plan.buds_per_graft == 1 else f"{plan.buds_per_graft} buds"
    return (
        f"{counts.many(plan.buds_per_stick, 'good bud')} a stick, {buds} a graft: {counts.many(per, 'graft')} a stick. "
        f"Wanted: at least {plan.wanted} alive, {u.percent(plan.sure)} sure."
    )


def take_text(take: Take) -> str:
    """What the take is and where it comes from."""
    if take.weight is None:
        return f"Take {u.percent(take.mean)}, as typed and taken as sure."
    span = f"{u.percent(take.mean)} (8 in 10: {u.percent(take.low)} to {u.percent(take.high)})"
    worth = f"worth {counts.many(round(take.weight), 'graft')}"
    if take.status == "typed":
        return f"Take {span}, as typed, {worth}."
    own = take.took + take.lost
    mine = f"; {take.took} of {counts.many(own, 'graft')} of this book took" if own else "; no graft of this book"
    of = f", {take.applies_to}" if take.applies_to else ""
    return f"Take by {take.method} {span}, {worth}: {take.status} ({take.source}){of}{mine}."


def doubt_text(plan: StickPlan) -> str:
    """What it would be if the take is only a guess; "" if it is in doubt already."""
    if plan.take.weight is not None:
        return ""
    worth = "a guess worth five grafts of your own"
    if plan.doubt is None:
        return (
            f"If that take is {worth}, no garden's worth of sticks would make it so sure." if plan.take.mean < 1 else ""
        )
    take = plan.doubt.take
    worth = f"a guess worth {counts.many(round(take.weight or 0), 'graft')} of your own"
    return (
        f"If that take is {worth} (8 in 10: {u.percent(take.low)} to {u.percent(take.high)}), ask for "
        f"{counts.many(plan.doubt.sticks, 'stick')}: {counts.many(plan.doubt.grafts, 'graft')} to set."
    )


def step_rows(plan: StickPlan) -> list[tuple[str, str, str, str]]:
    """Sticks, grafts, chance of as many as wanted, chance of one."""
    return [(str(s.sticks), str(s.grafts), share(s.chance), share(s.chance_of_one)) for s in plan.steps]


def sticks_data(plan: StickPlan) -> dict[str, Any]:
    """The whole answer."""
    out = _plain(plan)
    out["with_doubt"] = _plain(plan.doubt) if plan.doubt is not None else None
    out["unknowns"] = [DOUBTS[code] for code in plan.unknowns]
    out["unknown_codes"] = list(plan.unknowns)
    return out


def _plain(plan: StickPlan) -> dict[str, Any]:
    take = plan.take
    return {
        "sticks": plan.sticks,
        "grafts_to_set": plan.grafts,
        "buds": plan.buds,
        "chance": round(plan.chance, 6),
        "grafts_wanted": plan.wanted,
        "sure": plan.sure,
        "buds_per_stick": plan.buds_per_stick,
        "buds_per_graft": plan.buds_per_graft,
        "take": {
            "mean": round(take.mean, 6),
            "worth_grafts": take.weight,
            "alpha": None if take.weight is None else round(take.weight * take.mean, 6),
            "beta": None if take.weight is None else round(take.weight * (1.0 - take.mean), 6),
            "p10": round(take.low, 6),
            "p90": round(take.high, 6),
            "took": take.took,
            "lost": take.lost,
            "method": take.method,
            "status": take.status,
            "source": take.source,
        },
        "steps": [
            {
                "sticks": s.sticks,
                "grafts": s.grafts,
                "chance": round(s.chance, 6),
                "chance_of_one": round(s.chance_of_one, 6),
            }
            for s in plan.steps
        ],
    }
