"""What a trial shows: takes by exact counting, measured things by units of their own, never by single readings.

Checked by tests/engines/test_trial.py; equations in docs/models/trials.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.trial_result import ArmResult, Comparison
from barkslip.engines.beta_shares import better, difference_interval, share_interval
from barkslip.engines.power import TIE, fisher_p

Floats = NDArray[np.float64]
Counts = Mapping[str, tuple[int, int]]


@dataclass(frozen=True)
class Lines:
    """The lines somebody had to draw.

    Parameters
    ----------
    alpha : float
        False alarm, both sides and all pairs together [0..1].
    lean : float
        Chance of being better from which a result is called a leaning [0..1].
    worth : float or None
        Difference worth knowing, in the unit of what is looked at.
    """

    alpha: float = 0.05
    lean: float = 0.95
    worth: float | None = None


@dataclass(frozen=True)
class Cell:
    """One unit under one arm: the mean of its readings.

    Parameters
    ----------
    unit, arm, block : str
    value : float
    readings : int
    """

    unit: str
    arm: str
    block: str
    value: float
    readings: int = 1


@dataclass(frozen=True)
class Measured:
    """A measured trial.

    Parameters
    ----------
    replicate : str
        "unit": each stays with its arm; "block": all arms are read within each block, night or unit.
    n_blocks : int
    arms, pairs
        As in `TrialResult`.
    """

    replicate: str
    n_blocks: int
    arms: tuple[ArmResult, ...]
    pairs: tuple[Comparison, ...]


# -- takes -----------------------------------------------------------------------------------------------------------


def shares(
    counts: Counts, blocks: Mapping[str, Counts], lines: Lines
) -> tuple[tuple[ArmResult, ...], tuple[Comparison, ...]]:
    """Arms and pairs of a trial of takes.

    Parameters
    ----------
    counts : mapping of arm to (took, set)
    blocks : mapping of block to such counts
        Empty if arms were not drawn within blocks.
    """
    arms = []
    for arm, (took, n) in counts.items():
        low, high = share_interval(took, n, 1.0 - lines.alpha)
        arms.append(ArmResult(arm, n, n, took / n if n else 0.0, low, high, took))
    arms.sort(key=lambda a: -a.value)
    order = [(a.arm, b.arm) for a, b in combinations([a for a in arms if a.n], 2)]
    level = 1.0 - lines.alpha / max(1, len(order))
    plain = {(a, b): fisher_p(*counts[a], *counts[b]) for a, b in order}
    within = {(a, b): _in_blocks(a, b, blocks) for a, b in order}
    decides = holm([within[p] if within[p] is not None else plain[p] for p in order])  # type: ignore[misc]
    pairs = []
    for (a, b), p in zip(order, decides, strict=True):
        low, high = difference_interval(*counts[a], *counts[b], level)
        chance = better(*counts[a], *counts[b])
        difference = counts[a][0] / counts[a][1] - counts[b][0] / counts[b][1]
        verdict = verdict_of(p, chance, (low, high), lines)
        pairs.append(Comparison(a, b, difference, low, high, plain[a, b], chance, verdict, within[a, b]))
    return tuple(arms), tuple(pairs)


def _in_blocks(a: str, b: str, blocks: Mapping[str, Counts]) -> float | None:
    """p of two arms within blocks; None if no block has both."""
    tables = [(c[a], c[b]) for c in blocks.values() if a in c and b in c and c[a][1] and c[b][1]]
    return blocks_p([(x[0], x[1], y[0], y[1]) for x, y in tables]) if len(tables) > 1 else None


def blocks_p(tables: Sequence[tuple[int, int, int, int]]) -> float:
    """Two-sided p of several two-by-two tables together, each with its own margins; exact.

    Parameters
    ----------
    tables : sequence of (took a, set a, took b, set b)

    Source: Agresti 2013, Categorical Data Analysis, s. 7.3.5 (exact conditional test of several tables).
    """
    from math import comb

    chances = np.ones(1)
    least, own = 0, 0
    for took_a, n_a, took_b, n_b in tables:
        total = took_a + took_b
        first, last = max(0, total - n_b), min(n_a, total)
        part = np.array([float(comb(n_a, k) * comb(n_b, total - k)) for k in range(first, last + 1)])
        chances = np.convolve(chances, part / part.sum())
        least, own = least + first, own + took_a
    return float(min(1.0, chances[chances <= chances[own - least] * (1.0 + TIE)].sum()))


def holm(p_values: Sequence[float]) -> list[float]:
    """p-values for all of several comparisons together. Source: Holm 1979, Scand. J. Statist. 6, 65-70."""
    out = [0.0] * len(p_values)
    most = 0.0
    order = sorted(range(len(p_values)), key=lambda i: p_values[i])
    for rank, i in enumerate(order):
        most = max(most, min(1.0, (len(p_values) - rank) * p_values[i]))
        out[i] = most
    return out


def verdict_of(p: float, chance: float | None, interval: tuple[float, float], lines: Lines) -> str:
    """One of `VERDICTS`: shown needs the test and the interval; a leaning is a chance, no proof."""
    low, high = interval
    if p <= lines.alpha and not low <= 0.0 <= high:
        return "shown"
    if lines.worth and -lines.worth < low and high < lines.worth:
        return "alike"
    if chance is not None and max(chance, 1.0 - chance) >= lines.lean:
        return "leaning"
    return "not shown"


# -- what is measured ------------------------------------------------------------------------------------------------


def cells_of(rows: Sequence[tuple[str, str, str, float]]) -> tuple[Cell, ...]:
    """Single readings (unit, arm, block, value) gathered by unit and arm; by block too where a unit changes its arm."""
    arms_of: dict[str, set[str]] = {}
    for unit, arm, _, _ in rows:
        arms_of.setdefault(unit, set()).add(arm)
    moves = any(len(found) > 1 for found in arms_of.values())
    groups: dict[tuple[str, str, str], list[float]] = {}
    for unit, arm, block, value in rows:
        groups.setdefault((unit, arm, block if moves else ""), []).append(value)
    home = {unit: block for unit, _, block, _ in rows}
    return tuple(Cell(u, a, (b or u) if moves else home[u], sum(v) / len(v), len(v)) for (u, a, b), v in groups.items())


def measured(cells: Sequence[Cell], *, less_is_better: bool | None, lines: Lines) -> Measured:
    """Arms and pairs of something measured.

    Blocks that hold every arm are compared within; otherwise arms are compared by their units without blocks, which is
    right but wider. The spread is that of all arms together; with more than two arms intervals and p hold for all
    pairs together (Tukey and Kramer).
    """
    order = list(dict.fromkeys(c.arm for c in cells))
    blocks: dict[str, dict[str, list[float]]] = {}
    for c in cells:
        blocks.setdefault(c.block, {}).setdefault(c.arm, []).append(c.value)
    whole = {b: held for b, held in blocks.items() if b and len(held) == len(order)}
    count = dict.fromkeys(order, 0)
    for c in cells:
        count[c.arm] += c.readings
    if len(order) > 1 and len(whole) > 1:
        table = np.array([[np.mean(held[arm]) for arm in order] for held in whole.values()])
        values = {arm: table[:, i] for i, arm in enumerate(order)}
        rest = table - table.mean(axis=0) - table.mean(axis=1)[:, None] + table.mean()
        df = (len(order) - 1) * (len(whole) - 1)
        spread = sqrt(float((rest**2).sum()) / df)
        replicate = "block"
    else:
        values = {arm: np.array([c.value for c in cells if c.arm == arm]) for arm in order}
        df = sum(len(v) - 1 for v in values.values())
        square = sum(float(((v - v.mean()) ** 2).sum()) for v in values.values())
        spread = sqrt(square / df) if df else 0.0
        replicate = "unit"
        moves = len({c.unit for c in cells}) < len(cells)
        whole = {} if not moves else whole
    arms = [_arm(arm, values[arm], count[arm], lines.alpha) for arm in order]
    if less_is_better is not None:
        arms.sort(key=lambda a: a.value if less_is_better else -a.value)
    pairs = _pairs(arms, values, spread, df, less_is_better, lines) if df else ()
    return Measured(replicate, len(whole) if replicate == "block" else 0, tuple(arms), pairs)


def _arm(arm: str, values: Floats, readings: int, alpha: float) -> ArmResult:
    from scipy.special import stdtrit

    n = len(values)
    mean = float(values.mean())
    if n < 2:
        return ArmResult(arm, n, readings, mean, None, None)
    reach = float(stdtrit(n - 1, 1.0 - alpha / 2.0)) * float(values.std(ddof=1)) / sqrt(n)
    return ArmResult(arm, n, readings, mean, mean - reach, mean + reach)


def _pairs(
    arms: Sequence[ArmResult],
    values: Mapping[str, Floats],
    spread: float,
    df: int,
    less_is_better: bool | None,
    lines: Lines,
) -> tuple[Comparison, ...]:
    from scipy.special import stdtr

    out = []
    width = _reach(len(arms), df, lines.alpha)
    for a, b in combinations(arms, 2):
        difference = a.value - b.value
        se = spread * sqrt(1.0 / len(values[a.arm]) + 1.0 / len(values[b.arm]))
        t = difference / se if se else float("inf") * (1 if difference > 0 else -1) if difference else 0.0
        p = _p_value(abs(t), len(arms), df)
        above = float(stdtr(df, t))
        chance = None if less_is_better is None else 1.0 - above if less_is_better else above
        interval = (difference - width * se, difference + width * se)
        verdict = verdict_of(p, chance, interval, lines)
        out.append(Comparison(a.arm, b.arm, difference, *interval, p, chance, verdict))
    return tuple(out)


@lru_cache(maxsize=256)
def _reach(arms: int, df: int, alpha: float) -> float:
    """Half width of an interval in standard errors, for all pairs together."""
    if arms == 2:
        from scipy.special import stdtrit

        return float(stdtrit(df, 1.0 - alpha / 2.0))
    from scipy.stats import studentized_range

    return float(studentized_range.ppf(1.0 - alpha, arms, df)) / sqrt(2.0)


def _p_value(t: float, arms: int, df: int) -> float:
    if arms == 2:
        from scipy.special import stdtr

        return float(2.0 * stdtr(df, -t))
    if t == float("inf"):
        return 0.0
    from scipy.stats import studentized_range

    return float(studentized_range.sf(t * sqrt(2.0), arms, df))
