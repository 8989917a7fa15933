"""Results of trials: grafts, counts and readings of the book brought to the engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.plot_offset import number
from barkslip.app.trial_grafts import blocks, counts, later, tied, trial_grafts
from barkslip.app.trial_readings import corrected, lines_for, night_kinds
from barkslip.domain.power import SizeRow
from barkslip.domain.trial import Trial, TrialPlan, TrialReading
from barkslip.domain.trial_result import LOOKED_AT, BlockRow, Correction, TrialResult
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.engines.trial import Measured

#: Readings of nights, whose day is that of the dawn.
NIGHTLY = ("gain_k",)


def result_of(ctx: Context, reader: Reader, trial: Trial, plan: TrialPlan | None, today: date) -> TrialResult:
    """What a trial shows so far."""
    readings = reader.every(TrialReading, "trial = :trial", order="on_first, id", trial=trial.thing)
    measured = [r for r in readings if r.of != "took"]
    if measured:
        return _measured(ctx, reader, plan, measured)
    return _takes(ctx, reader, trial, plan, readings, today)


# -- takes -----------------------------------------------------------------------------------------------------------


def _takes(
    ctx: Context,
    reader: Reader,
    trial: Trial,
    plan: TrialPlan | None,
    readings: Sequence[TrialReading],
    today: date,
) -> TrialResult:
    from barkslip.engines.trial import shares

    known, garden = ctx.knowledge.value, ctx.garden()
    south = garden.lat is not None and garden.lat < 0.0
    days, year = (round(number(known, f"trials.{k}")) for k in ("take_days", "year_days"))
    grafts = trial_grafts(reader, trial, plan, today=today, south=south, days=days, year=year)
    typed = {arm: (round(took), round(n)) for arm, (took, n) in trial.result.items()}
    seen = counts(grafts)
    notes: list[str] = [] if plan is not None else ["no_plan"]
    rows: tuple[BlockRow, ...] = ()
    from_readings = _of_readings(readings)
    if from_readings:
        used, rows = from_readings, _blocks_of_readings(readings)
    elif grafts and (not typed or seen == typed):
        used, rows = seen, blocks(grafts)
    else:
        used = typed
    if any(g.alive is None for g in grafts) and not from_readings:
        notes.append("not_all_known")
    if not used:
        return TrialResult("none", "took", "graft", notes=tuple(notes))
    worth = plan.min_difference if plan is not None and plan.min_difference else number(known, "trials.worth_knowing")
    lines = lines_for(ctx, worth)
    arms, pairs = shares(used, {r.block: r.counts for r in rows}, lines)
    return TrialResult(
        kind="share",
        of="took",
        replicate="graft",
        n_blocks=sum(len(r.counts) > 1 for r in rows),
        arms=arms,
        pairs=pairs,
        tied=tied(reader, grafts),
        blocks=rows,
        later=later(grafts, today),
        sizes=_size(ctx, [n for _, n in used.values()], [t for t, _ in used.values()], worth, plan),
        worth_knowing=worth,
        notes=tuple(notes),
        against_typed=tuple((a, *seen.get(a, (0, 0))) for a in typed) if seen and typed and seen != typed else (),
    )


def _of_readings(readings: Sequence[TrialReading]) -> dict[str, tuple[int, int]]:
    """Took and set from readings of 1 and 0; the newest of a unit counts."""
    newest = {(r.block, r.unit): r for r in readings}
    out: dict[str, tuple[int, int]] = {}
    for r in newest.values():
        took, n = out.get(r.arm, (0, 0))
        out[r.arm] = (took + (r.value >= 0.5), n + 1)
    return out


def _blocks_of_readings(readings: Sequence[TrialReading]) -> tuple[BlockRow, ...]:
    by_block: dict[str, list[TrialReading]] = {}
    for r in readings:
        by_block.setdefault(r.block, []).append(r)
    if "" in by_block:
        return ()
    rows = tuple(BlockRow(block, _of_readings(held)) for block, held in sorted(by_block.items()))
    return rows if any(len(row.counts) > 1 for row in rows) else ()


def _size(
    ctx: Context, sizes: Sequence[int], took: Sequence[int], worth: float, plan: TrialPlan | None
) -> tuple[SizeRow, ...]:
    """What this size sees of the difference worth knowing, about the take that all arms had together."""
    from barkslip.engines.power import fisher_n, fisher_power

    if not 0.0 < worth < 1.0 or not sum(sizes):
        return ()
    known = ctx.knowledge.value
    alpha = number(known, "trials.alpha")
    wanted = plan.power if plan is not None and plan.power else number(known, "trials.power")
    middle = round(20.0 * sum(took) / sum(sizes)) / 20.0
    low = round(20.0 * min(max(middle - worth / 2.0, 0.05), 0.95 - worth)) / 20.0
    low = max(low, 0.05)
    high = round(min(low + worth, 0.99), 4)
    n = min(sizes)
    return (SizeRow(low, high, fisher_power(n, low, high, alpha), fisher_n(low, high, alpha, wanted)),)


# -- what is measured ------------------------------------------------------------------------------------------------


def _measured(ctx: Context, reader: Reader, plan: TrialPlan | None, readings: list[TrialReading]) -> TrialResult:
    newest: dict[tuple[str, str, str, str, date], TrialReading] = {
        (r.of, r.unit, r.arm, r.block, r.on.first): r for r in readings
    }
    kinds = [r.of for r in newest.values()]
    of = max(dict.fromkeys(kinds), key=kinds.count)
    rows = [r for r in newest.values() if r.of == of]
    right, corrections, alone = corrected(reader, rows)
    notes = () if plan is not None else ("no_plan",)
    if of not in NIGHTLY:
        one = _compared(ctx, plan, of, right, rows, corrections)
        return replace(one, tied=alone, notes=(*notes, *one.notes))
    by_kind = _by_night(ctx, reader, right)
    parts = [
        replace(_compared(ctx, plan, of, held, held, ()), nights=kind)
        for kind, held in sorted(by_kind.items(), key=lambda item: ("still", "windy", "not known").index(item[0]))
    ]
    return replace(parts[0], apart=tuple(parts[1:]), tied=alone, notes=(*notes, *parts[0].notes))


def _by_night(ctx: Context, reader: Reader, readings: Sequence[TrialReading]) -> dict[str, list[TrialReading]]:
    kinds = night_kinds(ctx, reader, sorted({r.on.first for r in readings}))
    out: dict[str, list[TrialReading]] = {}
    for r in readings:
        out.setdefault(kinds[r.on.first], []).append(r)
    return out


def _compared(
    ctx: Context,
    plan: TrialPlan | None,
    of: str,
    rows: Sequence[TrialReading],
    as_read: Sequence[TrialReading],
    corrections: tuple[Correction, ...],
) -> TrialResult:
    from barkslip.engines.trial import cells_of, measured

    less = LOOKED_AT[of][2] if of in LOOKED_AT else None
    lines = lines_for(ctx, plan.min_difference if plan is not None and plan.min_difference else None)

    nightly = of in NIGHTLY and _changed_over(rows)

    def compare(held: Sequence[TrialReading]) -> Measured:
        return measured(cells_of([_cell(r, nightly) for r in held]), less_is_better=less, lines=lines)

    found = compare(rows)
    before = compare(as_read).pairs if any(c.error_k for c in corrections) else ()
    notes = ["one_unit"] if all(a.n < 2 for a in found.arms) else []
    if len(found.arms) > 1 and found.replicate == "unit" and any(r.block for r in rows):
        notes.append("blocks_not_whole")
    if len(found.arms) > 1 and not found.pairs:
        notes.append("no_spread")
    return TrialResult(
        kind="measured",
        of=of,
        replicate="night" if nightly else found.replicate,
        n_blocks=found.n_blocks,
        arms=found.arms,
        pairs=found.pairs,
        as_read=before,
        corrections=corrections,
        worth_knowing=lines.worth,
        notes=tuple(notes),
    )


def _changed_over(rows: Sequence[TrialReading]) -> bool:
    """True if covers changed from tree to tree, or if there is one only: then the night is what counts.

    Trees that keep their cover all along are what counts otherwise, however many nights are read.
    """
    arms_of: dict[str, set[str]] = {}
    for r in rows:
        arms_of.setdefault(r.unit, set()).add(r.arm)
    return len({r.arm for r in rows}) == 1 or any(len(arms) > 1 for arms in arms_of.values())


def _cell(reading: TrialReading, nightly: bool) -> tuple[str, str, str, float]:
    """Unit, arm, block and value for the engine."""
    night = reading.on.first.isoformat()
    if nightly:
        return night, reading.arm, night, reading.value
    return reading.unit, reading.arm, reading.block, reading.value
