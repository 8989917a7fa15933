"""What a garden's own takes say about the clock: members of the ensemble weighed by how well they foretell them.

A graft takes if the union links and nothing else goes wrong. How often other things go wrong is the take of its method,
drawn broadly; so one failure says little, and a take where a member saw no link says much.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from barkslip.domain.method import Method
from barkslip.domain.night import Spread
from barkslip.domain.timing import BackCast, ClockLearned, GraftPlan, HealingCurve
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.engines.graft_clock import healed_by
from barkslip.engines.heal_hours import DAY_H, HealHours, Wrapping, wrapping_of
from barkslip.engines.heal_members import Members, members_of
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.timing import outcomes, set_at
from barkslip.engines.timing_year import middle_hours
from barkslip.kernels import healing as kernel

#: Members whose weights are learned.
MEMBERS = 1000
#: Chances of all other causes that are summed over.
TAKES = 41
#: A take without a weight is worth so many grafts: next to nothing.
LEAST_WORTH = 2.0
#: The parameters that are shown, by their place: name -> lowest temperature, days to the first water path.
SHOWN = ("t_min_c", "d_xylem_d")
#: A take between these is always possible: a prior of one's own may be sharper than anybody can know [1].
_TAKE_LOW, _TAKE_HIGH = 0.02, 0.98


@dataclass(frozen=True, eq=False)
class PastGraft:
    """A graft of which it is known whether it took.

    Parameters
    ----------
    code, set_on : str
    plan : GraftPlan
    outcome : str
        "took", "did not take", "waiting"; the last says nothing.
    hours : SunHours or None
        From local midnight of the day it was set; None without weather.
    method : Method or None
    """

    code: str
    set_on: str
    plan: GraftPlan
    outcome: str
    hours: SunHours | None
    method: Method | None = None


def learn(
    curve: HealingCurve, grafts: Sequence[PastGraft], known: Known, *, members: int = MEMBERS, seed: int = 1,
    wrapping: Wrapping | None = None,
) -> ClockLearned:  # fmt: skip
    """Weigh the clock of one kind by own takes.

    Parameters
    ----------
    curve : HealingCurve
    grafts : sequence of PastGraft
        Of this kind only.
    known : callable
        key -> sourced number.
    wrapping : callable or None
        Model of the wrap; it is run at its best values.

    Returns
    -------
    ClockLearned
        `before` and `after` are equal where no graft had both a verdict and weather.
    """
    draws = Draws(members, seed)
    error = middle(known("timing.learn.base_error"))
    likely: dict[str, Array] = {}
    rows: list[BackCast] = []
    counted = took = 0
    seen: dict[tuple[object, ...], tuple[BackCast, Array | None]] = {}
    for graft in grafts:
        # grafts of one campaign often differ in nothing but what became of them
        alike = (graft.plan, graft.method.key if graft.method is not None else "", graft.set_on, id(graft.hours))
        if alike not in seen:
            seen[alike] = _past(graft, curve, draws, known, wrapping)
        row, linked = seen[alike]
        rows.append(replace(row, code=graft.code, outcome=graft.outcome))
        if linked is None or graft.outcome not in ("took", "did not take"):
            continue
        key = graft.method.key if graft.method is not None else ""
        chance = np.outer(error + (1.0 - error) * linked, takes_of(graft.method))
        likely.setdefault(key, np.zeros((members, TAKES)))
        likely[key] += np.log(chance if graft.outcome == "took" else 1.0 - chance)
        counted += 1
        took += graft.outcome == "took"
    weights = _weights(list(likely.values()), members)
    drawn = members_of(_any_plan(grafts, curve), curve, draws, known, None)
    shown = {SHOWN[0]: drawn.params[:, kernel.P_T_MIN], SHOWN[1]: drawn.days[:, 1]}
    even = np.full(members, 1.0 / members)
    return ClockLearned(
        species=curve.species,
        grafts=counted,
        took=took,
        before={name: weighed(values, even) for name, values in shown.items()},
        after={name: weighed(values, weights) for name, values in shown.items()},
        weight_left=float(1.0 / (weights**2).sum() / members),
        rows=tuple(rows),
    )


def takes_of(method: Method | None) -> Array:
    """Chances that nothing else goes wrong [1], float64[TAKES], each as likely as the next: the take of the method, as
    broad as the few grafts that it is worth; any chance alike where none is known."""
    share = (np.arange(TAKES) + 0.5) / TAKES
    prior = method.take_prior if method is not None else None
    weight = method.value("take_prior_weight") if method is not None else None
    if prior is None:
        return np.clip(share, _TAKE_LOW, _TAKE_HIGH)
    from scipy.special import betaincinv  # slow to load, and only needed here

    worth = LEAST_WORTH if weight is None else middle(weight)
    best = min(max(middle(prior), _TAKE_LOW), _TAKE_HIGH)
    return np.asarray(np.clip(betaincinv(best * worth, (1.0 - best) * worth, share), _TAKE_LOW, _TAKE_HIGH))


def _weights(likely: Sequence[Array], members: int) -> Array:
    """Weights of the members, adding to 1, from the logarithms of what each thinks of the takes of each method by the
    chance that nothing else goes wrong; that chance is one for all grafts of a method, and summed over."""
    total = np.zeros(members)
    for part in likely:
        top = part.max(axis=1, keepdims=True)
        total += top[:, 0] + np.log(np.exp(part - top).mean(axis=1))
    weights = np.exp(total - total.max())
    return np.asarray(weights / weights.sum())


def weighed(values: Array, weights: Array) -> Spread:
    """One in ten below, the middle, one in ten above, of weighed members."""
    order = np.argsort(values)
    below = np.cumsum(weights[order]) - 0.5 * weights[order]
    p10, p50, p90 = np.interp([0.1, 0.5, 0.9], below, values[order])
    return Spread(float(p10), float(p50), float(p90))


def _past(
    graft: PastGraft, curve: HealingCurve, draws: Draws, known: Known, wrapping: Wrapping | None
) -> tuple[BackCast, Array | None]:  # fmt: skip
    """One past graft: its row, and for each member whether the union links; None if the hours do not tell."""
    name = graft.method.name if graft.method is not None else graft.plan.method
    drawn = members_of(graft.plan, curve, draws, known, graft.method)
    said = (graft.code, graft.set_on, name, graft.plan.species, graft.plan.cover, graft.outcome)
    if graft.hours is None or not len(graft.hours):
        return BackCast(*said, None, None, None), None
    look_h = int(middle(known("timing.look_days"))) * DAY_H
    run = wrapping or wrapping_of(graft.plan, known)
    air = middle_hours(graft.hours.part(0, look_h), known, run)
    starts = set_at(np.zeros(1, dtype=np.int32), air.count, known)
    found = outcomes(graft.plan, drawn, air, starts, look_h)
    few = _few(drawn, 200)
    early, late = (healed_by(few, _many(air, few), int(starts[0]), days) for days in (21, 45))
    if found.share(kernel.NOT_KNOWN, 0) >= middle(known("timing.named_share")):
        return BackCast(*said, early, late, None), None
    linked = (found.ends[:, 0] == kernel.LINKED).astype(float)
    return BackCast(*said, early, late, float(linked.mean())), linked


def _few(drawn: Members, count: int) -> Members:
    return Members(drawn.params[:count], drawn.days[:count])


def _many(air: HealHours, drawn: Members) -> HealHours:
    """The middle graft's hours once for each member."""
    rows = drawn.params.shape[0]
    return replace(air, union_c=np.repeat(air.union_c, rows, axis=0))


def _any_plan(grafts: Sequence[PastGraft], curve: HealingCurve) -> GraftPlan:
    return grafts[0].plan if grafts else GraftPlan(curve.species)
