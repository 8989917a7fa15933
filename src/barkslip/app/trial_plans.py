"""Planning trials, drawing their lot once, and writing down what was read."""

from __future__ import annotations

from dataclasses import replace

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.lines import Fields, already, begin, door, free_code, kept, next_code, old_line
from barkslip.app.plot_offset import number
from barkslip.app.trial_draw import draw_of
from barkslip.app.trials import plans_of
from barkslip.domain.errors import ConflictError, InputError
from barkslip.domain.trial import Logger, Trial, TrialPlan, TrialReading
from barkslip.domain.trial_result import LOOKED_AT, UNITS
from barkslip.fieldbook.writer import Writer

#: Most arms of one trial.
MOST_ARMS = 8


def save_plan(ctx: Context, fields: Fields, *, code: str = "") -> Trial:
    """Plan a trial, or correct the plan of the one called `code`.

    Parameters
    ----------
    fields : mapping
        question, arms (lines or ; between them, the usual way first), code, season, design, note, unit, looked_at,
        stop, min_difference (share, per cent or points), power, seed; and what `trial_draw.draw_of` reads: with blocks
        or a number the lot is drawn at once.

    Raises
    ------
    InputError
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, Trial, fields)
        if sent:
            return sent
        old = old_line(writer, Trial, fields, writer.by_code(Trial, code).thing) if code else None
        plan = plans_of(writer).get(old.thing) if old is not None else None
        arms = _arms(at, fields) if "arms" in fields or plan is None else plan.arms
        if plan is not None and plan.draw and arms != plan.arms:
            raise _drawn_already(code)
        typed = at.text(fields, "code") or (old.code if old else next_code(writer, Trial, "E"))
        trial = Trial(
            **begin(ctx, fields, old),
            code=free_code(writer, Trial, typed, old, "trial"),
            question=kept(fields, old, "question", lambda: at.required(fields, "question", "question of the trial")),
            season=kept(fields, old, "season", lambda: at.text(fields, "season") or _season(at)),
            design=kept(fields, old, "design", lambda: at.text(fields, "design")),
            result=old.result if old is not None else {},
            note=kept(fields, old, "note", lambda: at.text(fields, "note")),
        )
        writer.append(trial)
        new = _plan_line(ctx, at, fields, trial, plan, arms)
        if at.text(fields, "blocks") or at.text(fields, "each"):
            if plan is not None and plan.draw:
                raise _drawn_already(code)
            new = replace(new, draw=draw_of(at, fields, new.arms, new.unit, new.seed, trial.code))
        writer.append(new)
    return trial


def _plan_line(
    ctx: Context, at: Door, fields: Fields, trial: Trial, old: TrialPlan | None, arms: tuple[str, ...]
) -> TrialPlan:
    without_id = {k: v for k, v in fields.items() if k not in ("id", "corrects")}
    usual = number(ctx.knowledge.value, "trials.power")
    return TrialPlan(
        **begin(ctx, without_id, old),
        trial=trial.thing,
        arms=arms,
        unit=kept(fields, old, "unit", lambda: at.choice(fields, "unit", UNITS, "graft")),
        draw=old.draw if old is not None else {},
        seed=kept(fields, old, "seed", lambda: _seed(ctx, at, fields)),
        looked_at=kept(fields, old, "looked_at", lambda: at.text(fields, "looked_at")),
        stop=kept(fields, old, "stop", lambda: at.text(fields, "stop")),
        min_difference=kept(fields, old, "min_difference", lambda: _difference(at, fields)),
        power=kept(fields, old, "power", lambda: wanted_power(at, fields, usual)),
    )


def _arms(at: Door, fields: Fields) -> tuple[str, ...]:
    typed = at.text(fields, "arms").replace(";", "\n").split("\n")
    arms = tuple(dict.fromkeys(" ".join(one.split()) for one in typed if one.strip()))
    if not 2 <= len(arms) <= MOST_ARMS:
        raise InputError(
            "A trial compares at least two ways." if len(arms) < 2 else "Those are too many ways for one trial.",
            given=", ".join(arms) or "(nothing)",
            allowed=f"2 to {MOST_ARMS} different ways, one a line or with ; between them, the usual one first",
            next_step="To learn how good one way is by itself no trial is needed: look at its takes."
            if len(arms) < 2
            else "Take the two or three that matter most: each more way needs as many more grafts.",
            field="arms",
        )
    return arms


def _difference(at: Door, fields: Fields) -> float:
    """Difference worth knowing: 20 %, 20 points or 0.2 are the same; of a measured thing its own unit."""
    typed = at.text(fields, "min_difference")
    plain = typed.lower().removesuffix("points").removesuffix("%").strip()
    value = at.number({"min_difference": plain}, "min_difference", 0.0, 1000.0)
    if value is None:
        return 0.0
    counted = at.text(fields, "unit", "graft") in ("graft", "tree", "")
    return value / 100.0 if plain != typed or (counted and value > 1.0) else value


def share(at: Door, fields: Fields, name: str, default: float | None = None) -> float:
    """A share, typed as 0.8 or 80 %.

    Raises
    ------
    InputError
        If it is missing without a default, or not between 0 and 1.
    """
    typed = at.text(fields, name)
    if not typed:
        if default is not None:
            return default
        raise InputError(
            "A share is missing.",
            given="(nothing)",
            allowed="0 to 1, or 0 to 100 %",
            next_step="Type what share of the grafts you expect to take.",
            field=name,
        )
    plain = typed.rstrip("% ")
    value = at.number({name: plain}, name, 0.0, 100.0)
    value = 0.0 if value is None else value / 100.0 if plain != typed else value
    if not 0.0 <= value <= 1.0:
        raise InputError(
            "That is no share.",
            given=typed,
            allowed="0 to 1, or 0 to 100 %",
            next_step="Type 80 % or 0.8.",
            field=name,
        )
    return value


def wanted_power(at: Door, fields: Fields, default: float) -> float:
    """Wanted chance of seeing the difference: 0.5 to 0.99.

    Raises
    ------
    InputError
    """
    value = share(at, fields, "power", default)
    if not 0.5 <= value <= 0.99:
        raise InputError(
            "Nobody plans a trial for that chance.",
            given=at.text(fields, "power"),
            allowed="0.5 to 0.99; 0.8 is usual",
            next_step="A chance of 1 would need endless grafts, one below a half is a coin.",
            field="power",
        )
    return value


def _seed(ctx: Context, at: Door, fields: Fields) -> int:
    typed = at.count(fields, "seed", most=999_999)
    return typed if typed is not None else ctx.random_bits(20) % 999_999 + 1


def _season(at: Door) -> str:
    south = at.garden.lat is not None and at.garden.lat < 0.0
    if not south:
        return str(at.today.year)
    first = at.today.year if at.today.month >= 7 else at.today.year - 1
    return f"{first}/{(first + 1) % 100:02d}"


def _drawn_already(code: str) -> ConflictError:
    return ConflictError(
        "The lot of this trial has been drawn already.",
        given=code,
        allowed="one draw a trial",
        next_step="A lot that is drawn until it pleases is none. If the trial changes, plan a new one.",
    )


def draw_lot(ctx: Context, code: str, fields: Fields) -> TrialPlan:
    """Draw the lot of a planned trial and write it into its plan. Once only.

    Parameters
    ----------
    fields : mapping
        seed, and what `trial_draw.draw_of` reads.

    Raises
    ------
    ConflictError
        If it has been drawn.
    InputError
        If the trial has no plan.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, TrialPlan, fields)
        if sent:
            return sent
        trial = writer.by_code(Trial, code)
        plan = plans_of(writer).get(trial.thing)
        if plan is None:
            raise InputError(
                "This trial has no plan to draw from.",
                given=code,
                allowed="a trial that was planned before it started",
                next_step=f"Write its plan first: barkslip trial plan --code {trial.code} --edit --arms 'usual; other'",
                field="code",
            )
        if plan.draw:
            raise _drawn_already(code)
        seed = at.count(fields, "seed", most=999_999)
        new = replace(plan, **begin(ctx, fields, plan), seed=plan.seed if seed is None else seed)
        new = replace(new, draw=draw_of(at, fields, new.arms, new.unit, new.seed, trial.code))
        writer.append(new)
    return new


def save_reading(ctx: Context, code: str, fields: Fields) -> TrialReading | Trial:
    """Write down one reading of a trial, or the count of one arm.

    Parameters
    ----------
    fields : mapping
        unit, arm (taken from the draw if the unit was drawn), block, on, value, of, logger, note; with `tried` the
        value is the number that took of so many in the arm, and the trial's own result is corrected.

    Raises
    ------
    InputError
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        trial = writer.by_code(Trial, code)
        plan = plans_of(writer).get(trial.thing)
        if at.text(fields, "tried"):
            return _count_arm(ctx, at, fields, writer, trial, plan)
        sent = already(writer, TrialReading, fields)
        if sent:
            return sent
        unit = at.required(fields, "unit", "unit that was looked at")
        drawn = next((v for k, v in plan.draw.items() if k.lower() == unit.lower()), None) if plan else None
        arm = _arm(at, fields, plan, drawn[1] if drawn else "")
        of = at.text(fields, "of") or ("took" if plan is None or plan.unit in ("graft", "tree") else "number")
        logger = at.text(fields, "logger")
        reading = TrialReading(
            **begin(ctx, fields),
            trial=trial.thing,
            unit=next((k for k in plan.draw if k.lower() == unit.lower()), unit) if plan else unit,
            arm=arm,
            block=at.text(fields, "block") or (drawn[0] if drawn else ""),
            on=at.day(fields, "on", "today"),
            value=_value(at, fields, of),
            of=of,
            logger=writer.by_code(Logger, logger).thing if logger else None,
            note=at.text(fields, "note"),
        )
        writer.append(reading)
    return reading


def _arm(at: Door, fields: Fields, plan: TrialPlan | None, drawn: str) -> str:
    typed = at.text(fields, "arm")
    if drawn and typed and typed.lower() != drawn.lower():
        raise InputError(
            "That unit was drawn for another arm.",
            given=typed,
            allowed=drawn,
            next_step="Leave the arm out. If it really got another treatment, say so in the note and keep the arm.",
            field="arm",
        )
    if drawn:
        return drawn
    if plan is not None:
        return at.choice(fields, "arm", plan.arms)
    return at.required(fields, "arm", "arm of the trial")


def _value(at: Door, fields: Fields, of: str) -> float:
    text = at.text(fields, "value")
    if of == "took":
        word = {"yes": "1", "took": "1", "no": "0", "lost": "0"}.get(text.lower(), text)
        value = at.number({"value": word}, "value", 0, 1)
        if value not in (0.0, 1.0):
            raise InputError(
                "A graft took or it did not.",
                given=text or "(nothing)",
                allowed="yes or no (1 or 0)",
                next_step="Type yes or no; for what is measured name it with --of.",
                field="value",
            )
        return value
    value = at.number(fields, "value", -1000.0, 100_000.0, unit=LOOKED_AT[of][1] if of in LOOKED_AT else "")
    if value is None:
        raise InputError(
            "The number is missing.",
            given="(nothing)",
            allowed="a number",
            next_step="Type what was read.",
            field="value",
        )
    return value


def _count_arm(ctx: Context, at: Door, fields: Fields, writer: Writer, trial: Trial, plan: TrialPlan | None) -> Trial:
    """The count of one arm, written into the trial's own result."""
    sent = already(writer, Trial, fields)
    if sent:
        return sent
    tried = at.count(fields, "tried", most=100_000) or 0
    took = at.count({"value": at.text(fields, "value")}, "value", most=100_000)
    arm = _arm(at, fields, plan, "")
    if took is None or not tried or took > tried:
        raise InputError(
            "More cannot take than were set." if took is not None and tried else "Both counts are needed.",
            given=f"{'nothing' if took is None else took} of {tried}",
            allowed="how many took, of how many set (1 or more)",
            next_step="Count again: --value how many took, --tried how many were set.",
            field="value" if took is None or took > tried else "tried",
        )
    new = replace(trial, **begin(ctx, fields, trial), result=trial.result | {arm: [float(took), float(tried)]})
    writer.append(new)
    return new
