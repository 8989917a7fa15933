"""Lives of grafts cut into windows, with their covariates, as the hazard takes them.

Checked by tests/engines/test_take_rows.py.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.errors import InputError
from barkslip.domain.sourced import Value
from barkslip.domain.take import UNKNOWN, TakeGraft
from barkslip.engines.hazard import Prior
from barkslip.engines.hazard_mode import Rows, rows_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Known = Callable[[str], Value]

#: Ends of the windows [d]: 2, 4, 8, 16 and 26 weeks.
ENDS_D = (14.0, 28.0, 56.0, 112.0, 182.0)
#: Points at which the spread between trees, and between pairs, is tried.
SPREADS = (0.05, 0.25, 0.5, 0.8, 1.2)
NO_COVER = "no cover"


@dataclass(frozen=True)
class TakeRules:
    """The declared numbers behind an answer.

    Parameters
    ----------
    take, other : Prior
        Of joining and staying joined; of standing in spite of other causes.
    cover, heat, old_wood, sunny_side, level : (float, float)
        Mean and standard deviation of effects on the log odds of loss in a window.
    rank_from : int
        Verdicts from which a group is compared.
    tell, points, width, power, alpha : float
    """

    take: Prior
    other: Prior
    cover: tuple[float, float]
    heat: tuple[float, float]
    old_wood: tuple[float, float]
    sunny_side: tuple[float, float]
    level: tuple[float, float]
    rank_from: int
    tell: float
    points: float
    width: float
    power: float
    alpha: float


def rules(known: Known) -> TakeRules:
    """The rules, from the knowledge base.

    Raises
    ------
    InputError
        If somebody's own numbers cannot be: parts that do not sum to 1, no spread.
    """

    def one(key: str) -> float:
        value = known(key).value
        return float(value) if isinstance(value, (int, float)) else 0.0

    def spread(key: str) -> tuple[float, float]:
        value = known(key)
        return one(key), (float(value.high or 0.0) - float(value.low or 0.0)) / 2.0

    split = tuple(one(f"take.window.w{i}") for i in range(1, len(ENDS_D) + 1))
    if min(split) <= 0.0 or abs(sum(split) - 1.0) > 1e-6:
        raise InputError(
            "The parts of the losses in the windows do not add up.",
            given=" + ".join(f"{s:g}" for s in split),
            allowed="five parts above 0 that sum to 1",
            next_step="Correct take.window in your own knowledge folder.",
        )
    window, factor = one("take.spread.window"), one("take.spread.factor")
    # birds and wind do not care for the join: their losses are spread evenly in time
    even = tuple(np.diff((0.0, *ENDS_D)) / ENDS_D[-1])
    return TakeRules(
        take=Prior(spread("take.prior.logit"), split, window, factor, SPREADS),
        other=Prior(spread("take.prior.other_logit"), even, window, factor, SPREADS),
        cover=spread("take.effect.cover"),
        heat=spread("take.effect.heat"),
        old_wood=spread("take.effect.old_wood"),
        sunny_side=spread("take.effect.sunny_side"),
        level=spread("take.effect.level"),
        rank_from=round(one("take.rank_from")),
        tell=one("take.tell"),
        points=one("take.points"),
        width=one("take.width"),
        power=one("trials.power"),
        alpha=one("trials.alpha"),
    )


@dataclass(frozen=True)
class Design:
    """Covariates of grafts.

    Parameters
    ----------
    x : array, shape (N, p)
        Centred, so that a graft with nothing but zeros is the middle of the garden; columns of groups are 0 or 1.
    beta : tuple of (mean, sd), length p
    names : tuple of str, length p
        "cover", "heat", "wood", "side"; "method:bark graft" and the like for levels.
    groups : tuple of str
        Groups in the order of `of_group`.
    of_group : int array, shape (N,)
    """

    x: Floats
    beta: tuple[tuple[float, float], ...]
    names: tuple[str, ...]
    groups: tuple[str, ...]
    of_group: Ints

    def column(self, group: str) -> int | None:
        """Column of a group; None if there is one group only."""
        name = f"group:{group}"
        return self.names.index(name) if name in self.names else None


def design(grafts: Sequence[TakeGraft], labels: Sequence[str], by: str, rule: TakeRules) -> Design:
    """Covariates: the groups asked for, then method, cover, heat, wood, side and months where they are not those."""
    groups = tuple(dict.fromkeys(labels))
    of_group = np.array([groups.index(label) for label in labels], dtype=np.int64)
    columns: list[Floats] = []
    beta: list[tuple[float, float]] = []
    names: list[str] = []
    if len(groups) > 1:
        for i, group in enumerate(groups):
            columns.append((of_group == i).astype(float))
            covered = by == "cover" and group not in (NO_COVER, UNKNOWN)
            beta.append((rule.cover[0] if covered else 0.0, rule.level[1]))
            names.append(f"group:{group}")
    for name, values, prior in (
        ("cover", [_yes(g.levels.get("cover", UNKNOWN), NO_COVER) for g in grafts], rule.cover),
        ("heat", [g.hot for g in grafts], rule.heat),
        ("wood", [g.old for g in grafts], rule.old_wood),
        ("side", [g.sunny for g in grafts], rule.sunny_side),
    ):
        if name == by:
            continue
        column = _centred(values)
        if column is not None:
            columns.append(column)
            beta.append(prior)
            names.append(name)
    for name in ("method", "months"):
        if name != by:
            _levels(name, [g.levels.get(name, UNKNOWN) for g in grafts], rule, columns, beta, names)
    x = np.column_stack(columns) if columns else np.zeros((len(grafts), 0))
    return Design(x, tuple(beta), tuple(names), groups, of_group)


def _yes(level: str, none: str) -> bool | None:
    return None if level == UNKNOWN else level != none


def _centred(values: Sequence[bool | None]) -> Floats | None:
    """1 and 0 about their mean, what is not known at it; None if nothing varies."""
    known = [v for v in values if v is not None]
    if not any(known) or all(known):
        return None
    mean = sum(known) / len(known)
    return np.array([0.0 if v is None else v - mean for v in values])


def _levels(
    name: str,
    values: Sequence[str],
    rule: TakeRules,
    columns: list[Floats],
    beta: list[tuple[float, float]],
    names: list[str],
) -> None:
    levels = sorted({v for v in values if v != UNKNOWN})
    known = np.array([v != UNKNOWN for v in values])
    if len(levels) < 2:
        return
    for level in levels:
        here = np.array([v == level for v in values], dtype=float)
        columns.append(np.where(known, here - here[known].mean(), 0.0))
        beta.append((0.0, rule.level[1]))
        names.append(f"{name}:{level}")


@dataclass(frozen=True)
class Windows:
    """Windows that grafts lived in, one line for each graft and window.

    Parameters
    ----------
    graft, window : int array, shape (M,)
    failed, other : array, shape (M,)
        1 where the graft was lost so in the window.
    lived : array, shape (M,)
        1 where it lived through the window, the part that is known where it was not followed to its end.
    """

    graft: Ints
    window: Ints
    failed: Floats
    other: Floats
    lived: Floats


def windows(grafts: Sequence[TakeGraft]) -> Windows:
    """The windows of all lives."""
    days = np.array([g.life.days if g.life else 0.0 for g in grafts])
    ends = np.array([g.life.end if g.life else "" for g in grafts])
    failed, other = ends == "failed", ends == "other"
    starts = (0.0, *ENDS_D[:-1])
    parts: list[tuple[Ints, Ints, Floats, Floats, Floats]] = []
    for k, (start, end) in enumerate(zip(starts, ENDS_D, strict=True)):
        gone = (days >= start) & (days < end) & (failed | other)
        part = np.clip((days - start) / (end - start), 0.0, 1.0)
        here = np.flatnonzero((part > 0.0) | gone)
        parts.append(
            (
                here,
                np.full(len(here), k, dtype=np.int64),
                (gone & failed)[here].astype(float),
                (gone & other)[here].astype(float),
                part[here],
            )
        )
    graft, window, lost_f, lost_o, lived = (np.concatenate(column) for column in zip(*parts, strict=True))
    return Windows(graft, window, lost_f, lost_o, lived)


def take_rows(lived: Windows, x: Floats, trees: Ints, pairs: Ints) -> Rows:
    """Rows of the hazard of failing; a graft lost to other causes is followed until then."""
    few, wide = (pairs, trees) if pairs.max(initial=-1) <= trees.max(initial=-1) else (trees, pairs)
    at, failed = lived.graft, lived.failed
    rest = np.where(failed > 0.0, 0.0, lived.lived)
    return rows_of(x[at], lived.window, few[at], wide[at], failed, rest, len(ENDS_D))


def other_rows(lived: Windows, x: Floats) -> Rows:
    """Rows of the hazard of being lost to other causes, given that it did not fail; no trees, no pairs."""
    at, other = lived.graft, lived.other
    rest = np.where(other > 0.0, 0.0, lived.lived)
    none = np.full(len(at), -1, dtype=np.int64)
    return rows_of(x[at], lived.window, none, none, other, rest, len(ENDS_D))


def coded(labels: Sequence[str]) -> Ints:
    """Labels as numbers from 0; all -1 if there is one only, over which nothing can be pooled."""
    if len(set(labels)) < 2:
        return np.full(len(labels), -1, dtype=np.int64)
    number = {label: i for i, label in enumerate(dict.fromkeys(labels))}
    return np.array([number[label] for label in labels], dtype=np.int64)
