"""What took, group by group: the hazard's answer beside raw counts, and how much of it is the garden's own.

Equations: docs/models/take.md. Checked by tests/engines/test_take.py and benchmarks/take_coverage.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.graft import VERDICTS
from barkslip.domain.take import (
    LUMPED,
    UNKNOWN,
    Range,
    Shares,
    TakeGraft,
    TakeGroup,
    TakePair,
    TakeVerdict,
    Year,
)
from barkslip.engines import hazard
from barkslip.engines.hazard_mode import FitFailedError
from barkslip.engines.power import MOST_EACH, fleiss_n
from barkslip.engines.take_counts import beta_of, more_for_width
from barkslip.engines.take_curves import curve
from barkslip.engines.take_rows import (
    Design,
    Known,
    TakeRules,
    coded,
    design,
    other_rows,
    rules,
    take_rows,
    windows,
)
from barkslip.engines.take_tied import alone, never_together

Floats = NDArray[np.float64]
DRAWS = 2000
#: Groups of their own; what is smaller is put together.
MOST_GROUPS = 40
#: Ranked groups that are compared with each other.
MOST_COMPARED = 12
AT = (0.05, 0.5, 0.95)
EFFECTS = ("cover", "heat", "wood", "side")


@dataclass(frozen=True)
class Draws:
    """Take of each group, draw by draw.

    Parameters
    ----------
    take, stands : array, shape (D, G + 1)
        Of the groups, and last of a graft of the middle of the garden.
    weight : array, shape (D,)
    shares : tuple of Shares
        Of the groups, and last of the whole.
    effects : tuple of (name, Range)
    ess : float
    """

    take: Floats
    stands: Floats
    weight: Floats
    shares: tuple[Shares, ...]
    effects: tuple[tuple[str, Range], ...]
    ess: float


def assess(
    grafts: Sequence[TakeGraft],
    by: str,
    known: Known,
    *,
    seed: int = 1,
    draws: int = DRAWS,
    as_of: date | None = None,
    knowledge_hash: str = "",
) -> TakeVerdict:
    """What took, by one key of `domain.take.BY`.

    A fit that did not arrive, or that too few draws carry, is not shown: each group is then answered alone by its bare
    count and the note "fit_failed" says so.
    """
    rule = rules(known)
    labels, lumped = _labels(grafts, by)
    plan = design(grafts, labels, by, rule)
    held = _held(grafts, labels, plan.groups)
    notes: tuple[str, ...] = ()
    try:
        found = draw(grafts, plan, by, rule, seed=seed, draws=draws)
        ranked = _ranked(plan.groups, held, rule)
    except FitFailedError:
        # never a number of a fit that failed: each group alone, by its bare count, and nothing is compared
        found = by_counts([*held, list(grafts)], rule, seed=seed)
        ranked, notes = [False] * len(held), ("fit_failed",)
    verdict = _verdict(grafts, by, plan.groups, held, ranked, found, rule)
    return replace(
        verdict,
        notes=notes + tuple(n for n in verdict.notes if not (notes and n == "no_ranking")),
        lumped=lumped,
        as_of=as_of,
        seed=seed,
        knowledge_hash=knowledge_hash,
    )


def assess_counts(
    counted: Sequence[tuple[str, int, int]], known: Known, *, seed: int = 1, knowledge_hash: str = ""
) -> TakeVerdict:
    """What bare counts say: each group alone with the prior as a Beta, and compared.

    Parameters
    ----------
    counted : sequence of (name, took, set)
    """
    rule = rules(known)
    never = date.max
    held = [
        [TakeGraft("", {"arm": name}, "took" if i < took else "did not take", never) for i in range(n)]
        for name, took, n in counted
    ]
    names = tuple(name for name, _, _ in counted)
    found = by_counts([*held, [g for one in held for g in one]], rule, seed=seed)
    grafts = [g for one in held for g in one]
    verdict = _verdict(grafts, "arm", names, held, _ranked(names, held, rule), found, rule)
    none = Year(0, 0, 0, None)
    return replace(
        verdict,
        groups=tuple(replace(g, year=none) for g in verdict.groups),
        whole=replace(verdict.whole, year=none),
        notes=("typed", *(n for n in verdict.notes if n in ("one_group", "no_ranking"))),
        left_out=0,
        seed=seed,
        knowledge_hash=knowledge_hash,
    )


def _held(grafts: Sequence[TakeGraft], labels: Sequence[str], groups: Sequence[str]) -> list[list[TakeGraft]]:
    out: dict[str, list[TakeGraft]] = {group: [] for group in groups}
    for graft, label in zip(grafts, labels, strict=True):
        out[label].append(graft)
    return list(out.values())


def _ranked(groups: Sequence[str], held: Sequence[Sequence[TakeGraft]], rule: TakeRules) -> list[bool]:
    """Groups with enough verdicts to be compared."""
    return [
        group != LUMPED and sum(g.verdict != "waiting" for g in one) >= rule.rank_from
        for group, one in zip(groups, held, strict=True)
    ]


def _verdict(
    grafts: Sequence[TakeGraft],
    by: str,
    names: Sequence[str],
    held: Sequence[Sequence[TakeGraft]],
    ranked: Sequence[bool],
    found: Draws,
    rule: TakeRules,
) -> TakeVerdict:
    """Groups, pairs and notes from draws."""
    decided = [sum(g.verdict != "waiting" for g in one) for one in held]
    order = sorted(range(len(held)), key=lambda i: (not ranked[i], names[i] == LUMPED, -len(held[i]), names[i]))
    compared = [i for i in order if ranked[i]][:MOST_COMPARED]
    middle = [hazard.quantiles(found.take[:, i], found.weight, (0.5,))[0] for i in range(found.take.shape[1])]
    groups = []
    for i in order:
        better = {names[j]: _chance(found, i, j) for j in compared if j != i and i in compared}
        other = next((j for j in compared if j != i), None)
        needed = _needed(found, i, other, middle[i], middle[other or 0], decided[i], rule)
        name = names[other] if other is not None else ""
        groups.append(_group(names[i], held[i], found, i, ranked[i], better, needed, name))
    needed = _needed(found, -1, None, middle[-1], 0.0, sum(decided), rule)
    pairs = [_pair(names, held, found, i, j, middle, rule, by) for i, j in combinations(compared, 2)]
    return TakeVerdict(
        by=by,
        groups=tuple(groups),
        pairs=tuple(sorted(pairs, key=lambda p: -p.chance)),
        alone=alone(dict(zip(names, held, strict=True)), by),
        whole=_group("", list(grafts), found, -1, False, {}, needed, ""),
        notes=_notes(grafts, groups),
        left_out=sum(g.life is None or g.life.days <= 0.0 for g in grafts),
        effects=found.effects,
        rank_from=rule.rank_from,
        draws=len(found.weight),
        ess=found.ess,
    )


def _labels(grafts: Sequence[TakeGraft], by: str) -> tuple[list[str], tuple[str, ...]]:
    """Group of each graft; the smallest put together if there are very many."""
    labels = [g.levels.get(by) or UNKNOWN for g in grafts]
    count: dict[str, int] = {}
    for label in labels:
        count[label] = count.get(label, 0) + 1
    if len(count) <= MOST_GROUPS:
        return labels, ()
    small = sorted(count, key=lambda k: (-count[k], k))[MOST_GROUPS:]
    gone = set(small)
    return [LUMPED if label in gone else label for label in labels], tuple(small)


def draw(
    grafts: Sequence[TakeGraft], plan: Design, by: str, rule: TakeRules, *, seed: int = 1, draws: int = DRAWS
) -> Draws:
    """The posterior takes of the groups of a design.

    Raises
    ------
    FitFailedError
    """
    lived = windows(grafts)
    none = np.full(len(grafts), -1, dtype=np.int64)
    trees = none if by == "tree" else coded([g.levels.get("tree", UNKNOWN) for g in grafts])
    pairs = none if by == "pair" else coded([g.levels.get("pair", UNKNOWN) for g in grafts])
    rows = take_rows(lived, plan.x, trees, pairs)
    fit = hazard.fit(rows, rule.take, plan.beta, draws=draws, seed=seed)
    # what birds and wind take is learned for each group, but not for the covariates of the join
    here = [plan.names.index(f"group:{g}") for g in plan.groups if plan.column(g) is not None]
    beta = [(0.0, rule.level[1])] * len(here)
    other = hazard.fit(other_rows(lived, plan.x[:, here]), rule.other, beta, draws=draws, seed=seed + 1)
    contrasts = _contrasts(plan)
    take = _standing(fit.common, rule.take, contrasts)
    spared = _standing(other.common, rule.other, contrasts[:, here])
    # two independent posteriors: each draw of the one meets a draw of the other picked by its weight
    rng = np.random.default_rng(seed + 2)
    met = rng.choice(len(other.weight), len(fit.weight), p=other.weight)
    k = len(rule.take.split)
    effects = tuple(
        (name, _range(np.exp(fit.common[:, 1 + k + i]), fit.weight))
        for i, name in enumerate(plan.names)
        if name in EFFECTS
    )
    shares = hazard.shares(fit, rows, rule.take, plan.beta, contrasts)
    return Draws(
        take, take * spared[met], fit.weight, tuple(Shares(*s) for s in shares), effects, min(fit.ess, other.ess)
    )


def by_counts(held: Sequence[Sequence[TakeGraft]], rule: TakeRules, *, seed: int = 1, draws: int = 10 * DRAWS) -> Draws:
    """Takes of groups by bare counts of verdicts with the prior as a Beta; nothing is pooled."""
    prior = beta_of(*rule.take.logit_take)
    rng = np.random.default_rng(seed)
    worth = prior.a + prior.b
    take, shares = [], []
    for one in held:
        took, lost = (sum(g.verdict == word for g in one) for word in ("took", "did not take"))
        take.append(rng.beta(prior.a + took, prior.b + lost, draws))
        part = worth / (worth + took + lost)
        shares.append(Shares(part, 0.0, 1.0 - part))
    weight = np.full(draws, 1.0 / draws)
    found = np.stack(take, axis=1)
    return Draws(found, found, weight, tuple(shares), (), float(draws))


def _contrasts(plan: Design) -> Floats:
    """Covariates of a graft of each group, and last of the middle of the garden; shape (G + 1, p)."""
    out = np.zeros((len(plan.groups) + 1, plan.x.shape[1]))
    for i, group in enumerate(plan.groups):
        column = plan.column(group)
        if column is not None:
            out[i, column] = 1.0
            out[-1, column] = float((plan.of_group == i).mean())
    return out


def _standing(common: Floats, prior: hazard.Prior, contrasts: Floats) -> Floats:
    """Share that stands after all windows, shape (D, G + 1): the product of 1 - h_k with u = v = 0."""
    k = len(prior.split)
    windows_of = prior.base + common[:, :1] + common[:, 1 : 1 + k]
    out = np.ones((len(common), len(contrasts)))
    for i, contrast in enumerate(contrasts):
        eta = windows_of + (common[:, 1 + k :] @ contrast)[:, None]
        out[:, i] = np.exp(-np.logaddexp(0.0, eta).sum(axis=1))
    return out


def _range(values: Floats, weight: Floats) -> Range:
    return Range(*hazard.quantiles(values, weight, AT))


def _chance(found: Draws, i: int, j: int) -> float:
    return float(found.weight @ (found.take[:, i] > found.take[:, j]))


def _group(
    name: str,
    held: Sequence[TakeGraft],
    found: Draws,
    i: int,
    ranked: bool,
    better: dict[str, float],
    needed: int | None,
    needed_for: str,
) -> TakeGroup:
    took, waiting, lost = (sum(g.verdict == word for g in held) for word in VERDICTS)
    thick = [g.stock_mm for g in held if g.stock_mm is not None]
    return TakeGroup(
        group=name,
        n=len(held),
        took=took,
        waiting=waiting,
        lost=lost,
        lost_after=sum(g.lost_after for g in held),
        take_26w=_range(found.take[:, i], found.weight),
        stands_26w=_range(found.stands[:, i], found.weight),
        shares=found.shares[i],
        ranked=ranked,
        better_than=better,
        needed=needed,
        needed_for=needed_for,
        year=_year(held),
        curve=curve(held),
        stock_mm=(min(thick), max(thick)) if thick else None,
    )


def _year(held: Sequence[TakeGraft]) -> Year:
    known = [g.alive_year for g in held if g.alive_year is not None]
    open_ones = [g.year_due for g in held if g.alive_year is None]
    return Year(sum(known), len(known), len(held) - len(known), max(open_ones, default=None))


def _needed(
    found: Draws, i: int, other: int | None, mine: float, theirs: float, have: int, rule: TakeRules
) -> int | None:
    """Grafts that a group still needs: to be told from another, or for an interval of the width aimed at."""
    if other is not None:
        each = _each(mine, theirs, rule)
        return None if each is None else max(each - have, rule.rank_from - have, 0)
    low, high = hazard.quantiles(found.take[:, i], found.weight, (0.05, 0.95))
    if high - low <= rule.width:
        return 0
    mean = float(found.weight @ found.take[:, i])
    spread = float(found.weight @ (found.take[:, i] - mean) ** 2)
    held = mean * (1.0 - mean) / spread - 1.0
    return max(more_for_width(mean, held, rule.width), 1)


def _each(a: float, b: float, rule: TakeRules) -> int | None:
    """Grafts in each of two groups that tell takes so far apart; None if more than can be set."""
    a, b = (min(max(p, 0.01), 0.99) for p in (a, b))
    if abs(a - b) < 0.01:
        return None
    n = fleiss_n(a, b, rule.alpha, rule.power)
    return n if n <= MOST_EACH else None


def _pair(
    names: Sequence[str],
    held: Sequence[Sequence[TakeGraft]],
    found: Draws,
    i: int,
    j: int,
    middle: Sequence[float],
    rule: TakeRules,
    by: str,
) -> TakePair:
    if _chance(found, i, j) < 0.5:
        i, j = j, i
    difference = found.take[:, i] - found.take[:, j]
    chance = _chance(found, i, j)
    return TakePair(
        better=names[i],
        worse=names[j],
        chance=chance,
        points=_range(difference, found.weight),
        apart=float(found.weight @ (np.abs(difference) > rule.points)),
        told=chance >= rule.tell,
        needed_each=_each(middle[i], middle[j], rule),
        never_together=never_together(held[i], held[j], by),
    )


def _notes(grafts: Sequence[TakeGraft], groups: Sequence[TakeGroup]) -> tuple[str, ...]:
    """Codes of what must be said beside the answer."""
    lives = [g.life for g in grafts if g.life is not None and g.life.days > 0.0]
    lost = sum(life.end != "" for life in lives)
    return tuple(
        code
        for code, there in (
            ("no_grafts", not grafts),
            ("no_lives", bool(grafts) and not lives),
            ("none_lost", bool(lives) and not lost),
            ("all_lost", bool(lives) and lost == len(lives)),
            ("one_group", len(groups) == 1),
            ("no_ranking", len(groups) > 1 and sum(g.ranked for g in groups) < 2),
            ("left_out", len(lives) < len(grafts)),
            ("heat_unknown", any(g.hot is None for g in grafts)),
        )
        if there
    )
