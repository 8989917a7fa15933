"""Trials with their results, and what a planned size can see."""

from __future__ import annotations

from datetime import date

from barkslip.app.context import Context
from barkslip.app.plot_offset import number
from barkslip.app.trial_results import result_of
from barkslip.domain.power import SizeRow
from barkslip.domain.trial import Trial, TrialPlan, TrialReading
from barkslip.domain.trial_result import Beside, TrialResult, TrialStory
from barkslip.fieldbook.reader import Reader

#: Single readings listed with a trial.
READINGS_SHOWN = 20


def all_trials(ctx: Context) -> list[TrialStory]:
    """Every trial with its result, newest first."""
    today = ctx.today(ctx.garden())
    with ctx.book.read() as reader:
        found = reader.every(Trial, order="season DESC, code")
        plans = plans_of(reader)
        return [TrialStory(t, plans.get(t.thing), result_of(ctx, reader, t, plans.get(t.thing), today)) for t in found]


def trial_story(ctx: Context, code: str) -> TrialStory:
    """One trial with everything about it.

    Raises
    ------
    NotFoundError
    """
    today = ctx.today(ctx.garden())
    with ctx.book.read() as reader:
        trial = reader.by_code(Trial, code)
        plans = plans_of(reader)
        plan = plans.get(trial.thing)
        result = result_of(ctx, reader, trial, plan, today)
        last = reader.every(
            TrialReading, "trial = :trial", order=f"on_first DESC, id DESC LIMIT {READINGS_SHOWN}", trial=trial.thing
        )
        n = reader.rows(
            "SELECT count(*) FROM trial_reading WHERE trial = :trial AND current AND NOT withdrawn", trial=trial.thing
        )[0][0]
        return TrialStory(
            trial=trial,
            plan=plan,
            result=result,
            beside=_beside(ctx, reader, trial, result, plans, today),
            sizes=_sizes(ctx, plan, result),
            planned_each=_each(plan),
            readings=tuple(last),
            n_readings=int(n),
        )


def plans_of(reader: Reader) -> dict[str, TrialPlan]:
    """Plans by the thing id of their trial."""
    return {p.trial: p for p in reader.every(TrialPlan)}


def _each(plan: TrialPlan | None) -> int | None:
    """Units drawn for the smallest arm."""
    if plan is None or not plan.draw:
        return None
    drawn = [arm for _, arm in plan.draw.values()]
    return min(drawn.count(arm) for arm in plan.arms)


def _sizes(ctx: Context, plan: TrialPlan | None, result: TrialResult) -> tuple[SizeRow, ...]:
    """What the planned size sees, as long as nothing has been read."""
    n = _each(plan)
    if plan is None or n is None or plan.unit not in ("graft", "tree") or result.kind == "measured":
        return ()
    if not 0.0 < plan.min_difference < 1.0 or n > 200:
        return ()
    from barkslip.engines.power import size_rows

    alpha = number(ctx.knowledge.value, "trials.alpha")
    return size_rows(n, plan.min_difference, alpha=alpha, wanted=plan.power)


def _beside(
    ctx: Context, reader: Reader, trial: Trial, result: TrialResult, plans: dict[str, TrialPlan], today: date
) -> tuple[Beside, ...]:
    """Trials of the same covers in nights of another kind: told, never mixed in."""
    if result.nights in ("", "not known"):
        return ()
    arms = {a.arm for a in result.arms}
    out = []
    for other in reader.every(Trial, "thing <> :thing", order="code", thing=trial.thing):
        there = result_of(ctx, reader, other, plans.get(other.thing), today)
        for part in (there, *there.apart):
            if part.nights in ("", "not known", result.nights):
                continue
            out += [Beside(other.code, part.nights, a.n, a.arm, a.value) for a in part.arms if a.arm in arms]
    return tuple(out)
