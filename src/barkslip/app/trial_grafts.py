"""Grafts of a trial: which they are, how many took after the trial's days, after a year, and what went with an arm."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from barkslip.domain.budwood import WoodLot
from barkslip.domain.graft import Graft, Look, alive_on
from barkslip.domain.tree import Tree
from barkslip.domain.trial import Trial, TrialPlan
from barkslip.domain.trial_result import BlockRow, LaterState, Tied
from barkslip.fieldbook.reader import Reader

_SEASON = re.compile(r"^(\d{4})(?:/(\d{2}|\d{4}))?$")


@dataclass(frozen=True)
class TrialGraft:
    """One graft of a trial.

    Parameters
    ----------
    graft : Graft
    arm, block : str
    alive, alive_year : bool or None
        After the trial's days, and after a year; None if the looks cannot tell, or the day has not come.
    year_due : date
        First day on which it has stood a year.
    """

    graft: Graft
    arm: str
    block: str
    alive: bool | None
    alive_year: bool | None
    year_due: date


def season_days(season: str, *, south: bool) -> tuple[date, date] | None:
    """First and last day of a season: "2023/24" runs from July to June, "2024" is the calendar's year in the north."""
    found = _SEASON.match(season.strip())
    if found is None:
        return None
    year = int(found[1])
    if found[2] or south:
        return date(year, 7, 1), date(year + 1, 6, 30)
    return date(year, 1, 1), date(year, 12, 31)


def trial_grafts(
    reader: Reader, trial: Trial, plan: TrialPlan | None, *, today: date, south: bool, days: int, year: int
) -> tuple[TrialGraft, ...]:
    """The grafts of a trial, by the plan's draw or by the arm written on them.

    Without a draw: grafts that carry the name of one of the trial's arms, set within its season; of the campaigns that
    its design names, if it names any.
    """
    arms = arms_of(trial, plan)
    if not arms:
        return ()
    keys = {f"a{i}": arm for i, arm in enumerate(arms)}
    found = reader.every(Graft, f"arm IN ({', '.join(':' + k for k in keys)})", order="code", **keys)
    drawn = {unit.upper(): (block, arm) for unit, (block, arm) in plan.draw.items()} if plan is not None else {}
    by_code = [g for g in found if g.code.upper() in drawn]
    grafts = by_code or _of_season(found, trial, south)
    if not grafts:
        return ()
    trees = reader.many(Tree, [g.tree for g in grafts])
    looks = _looks(reader, grafts)
    out = []
    for g in grafts:
        block = drawn.get(g.code.upper(), ("", ""))[0] or trees[g.tree].code
        due = g.set_on.last + timedelta(days=year)
        at = g.set_on.last + timedelta(days=days)
        out.append(
            TrialGraft(
                graft=g,
                arm=next(a for a in arms if a == g.arm),
                block=block,
                alive=alive_on(looks.get(g.thing, ()), at) if at <= today else _lost(looks.get(g.thing, ()), today),
                alive_year=alive_on(looks.get(g.thing, ()), due) if due <= today else None,
                year_due=due,
            )
        )
    return tuple(out)


def arms_of(trial: Trial, plan: TrialPlan | None) -> tuple[str, ...]:
    """Names of the arms: as planned, else as the result has them."""
    return plan.arms if plan is not None else tuple(trial.result)


def _of_season(grafts: Sequence[Graft], trial: Trial, south: bool) -> list[Graft]:
    span = season_days(trial.season, south=south)
    kept = [g for g in grafts if span is None or span[0] <= g.set_on.first <= span[1]]
    words = set(re.findall(r"[A-Za-z0-9]+", f"{trial.design} {trial.note}"))
    named = [g for g in kept if g.campaign and g.campaign in words]
    return named or kept


def _looks(reader: Reader, grafts: Sequence[Graft]) -> dict[str, list[Look]]:
    out: dict[str, list[Look]] = {}
    for i in range(0, len(grafts), 500):
        keys = {f"g{j}": g.thing for j, g in enumerate(grafts[i : i + 500])}
        for look in reader.every(Look, f"graft IN ({', '.join(':' + k for k in keys)})", **keys):
            out.setdefault(look.graft, []).append(look)
    return out


def _lost(looks: Sequence[Look], today: date) -> bool | None:
    """Before its days are over a graft is lost at most, never taken."""
    return False if alive_on(looks, today) is False else None


def counts(grafts: Sequence[TrialGraft]) -> dict[str, tuple[int, int]]:
    """Took and known, by arm."""
    out: dict[str, tuple[int, int]] = {}
    for g in grafts:
        if g.alive is not None:
            took, n = out.get(g.arm, (0, 0))
            out[g.arm] = (took + g.alive, n + 1)
    return out


def blocks(grafts: Sequence[TrialGraft]) -> tuple[BlockRow, ...]:
    """The same, block by block; none if no block holds two arms."""
    by_block: dict[str, list[TrialGraft]] = {}
    for g in grafts:
        by_block.setdefault(g.block, []).append(g)
    rows = tuple(BlockRow(block, counts(held)) for block, held in sorted(by_block.items()))
    return rows if any(len(row.counts) > 1 for row in rows) else ()


def later(grafts: Sequence[TrialGraft], today: date) -> tuple[LaterState, ...]:
    """State after a year, by arm."""
    by_arm: dict[str, list[TrialGraft]] = {}
    for g in grafts:
        by_arm.setdefault(g.arm, []).append(g)
    out = []
    for arm, held in by_arm.items():
        known = [g.alive_year for g in held if g.alive_year is not None]
        due = max(g.year_due for g in held)
        out.append(LaterState(arm, sum(known), len(known), len(held), due if due > today else None))
    return tuple(out)


def tied(reader: Reader, grafts: Sequence[TrialGraft]) -> tuple[Tied, ...]:
    """What goes with an arm all along: tree, lot, day, side, thickness of the stock."""
    by_arm: dict[str, list[Graft]] = {}
    for g in grafts:
        by_arm.setdefault(g.arm, []).append(g.graft)
    if len(by_arm) < 2:
        return ()
    trees = {k: v.code for k, v in reader.many(Tree, [g.graft.tree for g in grafts]).items()}
    lots = {k: v.code for k, v in reader.many(WoodLot, [g.graft.lot for g in grafts if g.graft.lot]).items()}
    out: list[Tied] = []
    for what, of in (
        ("tree", {a: {trees[g.tree] for g in held} for a, held in by_arm.items()}),
        ("lot", {a: {lots[g.lot] for g in held if g.lot} for a, held in by_arm.items()}),
        ("day", {a: {g.set_on.iso() for g in held} for a, held in by_arm.items()}),
        ("side", {a: {g.side for g in held if g.side} for a, held in by_arm.items()}),
    ):
        out += _apart(what, of)
    return (*out, *_thickness(by_arm))


def _apart(what: str, of: Mapping[str, set[str]]) -> list[Tied]:
    """An arm whose values no other arm has, where every arm has some."""
    if any(not values for values in of.values()):
        return []
    out = []
    for arm, values in of.items():
        others = set().union(*(v for a, v in of.items() if a != arm))
        if not values & others:
            out.append(Tied(what, arm, ", ".join(sorted(values))))
    return out


def _thickness(by_arm: Mapping[str, Sequence[Graft]]) -> list[Tied]:
    """Arms whose stocks are all thinner, or all thicker, than those of another arm."""
    spans = {}
    for arm, held in by_arm.items():
        known = [g.stock_mm for g in held if g.stock_mm is not None]
        if len(known) > 1:
            spans[arm] = (min(known), max(known))
    out = []
    for arm, (low, _) in spans.items():
        if len(spans) == len(by_arm) and any(low > high for a, (_, high) in spans.items() if a != arm):
            out.append(Tied("thickness", arm, "thicker"))
    return out
