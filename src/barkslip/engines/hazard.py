"""Discrete-time logistic hazard with partial pooling: Laplace on a grid of spreads, weighted draws about it.

Equations: docs/models/take.md. Checked by tests/engines/test_hazard.py and benchmarks/take_coverage.py.

A graft that is followed lives through windows k. The chance of losing it in window k, if it stood at its beginning, is

    logit h_k = b_k + a0 + d_k + x'beta + u_tree + v_pair                                              (1)

b_k comes from the prior (equation 2 of the docs); everything else is normal about its prior mean. The spreads of u and
v lie on a grid; at each point of it Newton finds the mode and Laplace its evidence. Draws from a wide proposal about
the modes are weighted by target over proposal, so the answer is the posterior and not only Laplace's picture of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import erf, exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from barkslip.engines.hazard_draws import Point, share_out, wide_draws
from barkslip.engines.hazard_mode import FitFailedError, Mode, Rows, find_mode, log_target, precision_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Degrees of freedom of the wide proposal.
T_DF = 8.0
#: A fit with a smaller effective number of draws gives no answer.
LEAST_ESS = 100.0
#: With fewer than this the wide factor is integrated out as well, which costs more and wastes fewer draws.
ENOUGH_ESS = 250.0
#: A fit with a steeper slope at a mode gives no answer.
MOST_GRADIENT = 1e-4
#: With more effects than this the wide factor is integrated out at each draw instead of being drawn.
MOST_DRAWN = 80
#: Cells of a design that is held as one array.
MOST_CELLS = 200_000
#: Points of the grid with less than exp(-this) of the best one's evidence are left out.
CARRIES = 12.0


@dataclass(frozen=True)
class Prior:
    """What is believed beforehand; all numbers come from the knowledge base.

    Parameters
    ----------
    logit_take : (float, float)
        Mean and standard deviation of logit(take) at the end of the last window.
    split : tuple of float, length K
        Share of the cumulative hazard in each window; sums to 1.
    window_sd : float
        Standard deviation of d_k.
    spread_sd : float
        Scale of the half-normal prior of both spreads.
    spreads : tuple of float
        Grid of both spreads, rising, above 0.
    """

    logit_take: tuple[float, float]
    split: tuple[float, ...]
    window_sd: float
    spread_sd: float
    spreads: tuple[float, ...]

    @property
    def base(self) -> Floats:
        """b_k: logit hazards of a graft with the prior's mean logit take, shape (K,). Equation (2)."""
        take = 1.0 / (1.0 + exp(-self.logit_take[0]))
        hazard = -np.expm1(np.asarray(self.split) * log(take))
        return np.asarray(np.log(hazard) - np.log1p(-hazard))

    @property
    def slope(self) -> float:
        """d logit(take) / d a0 where a0 is 0; below zero. Equation (3)."""
        hazard = 1.0 / (1.0 + np.exp(-self.base))
        return float(hazard.sum() / np.expm1(np.log1p(-hazard).sum()))

    @property
    def intercept_sd(self) -> float:
        """Standard deviation of a0: that of the prior of logit(take) over the slope."""
        return self.logit_take[1] / abs(self.slope)

    def common(self, beta: Sequence[tuple[float, float]]) -> tuple[Floats, Floats]:
        """Prior means and precisions of a0, d_k, beta."""
        k = len(self.split)
        mean = np.concatenate([np.zeros(1 + k), [m for m, _ in beta]])
        sd = np.concatenate([[self.intercept_sd], np.full(k, self.window_sd), [s for _, s in beta]])
        return mean, sd**-2.0

    def spread_mass(self) -> Floats:
        """Half-normal mass of the cell about each point of the grid, cells cut halfway; shape (S,)."""
        at = np.asarray(self.spreads)
        edges = [0.0, *((at[1:] + at[:-1]) / 2.0), float("inf")]
        return np.diff([erf(e / (self.spread_sd * sqrt(2.0))) for e in edges])


@dataclass(frozen=True)
class Fit:
    """A posterior as weighted draws.

    Parameters
    ----------
    common : array, shape (D, 1 + K + p)
        Draws of a0, d_k, beta.
    weight : array, shape (D,)
        Sums to 1.
    ess : float
        Effective number of draws.
    gradient : float
        Largest absolute slope at any mode.
    points : tuple of Point
        Of the grid, those that carry something; the best first.
    drawn : bool
        True if all random effects were drawn; False if those of the wide factor were integrated out.
    """

    common: Floats
    weight: Floats
    ess: float
    gradient: float
    points: tuple[Point, ...]
    drawn: bool


def fit(rows: Rows, prior: Prior, beta: Sequence[tuple[float, float]], *, draws: int = 2000, seed: int = 1) -> Fit:
    """The posterior of equation (1).

    Parameters
    ----------
    rows : Rows
    prior : Prior
    beta : sequence of (mean, sd)
        Prior of each column of `rows.patterns`.
    draws, seed : int

    Raises
    ------
    FitFailedError
        If Newton does not arrive, or if too few draws carry the weight: nothing is shown then.
    """
    mean, precision = prior.common(beta)
    base = prior.base[rows.window]
    found: Fit | None = None
    if rows.size <= MOST_DRAWN and rows.size * len(rows.window) <= MOST_CELLS:
        rng = np.random.default_rng(seed)
        whole = np.concatenate([np.zeros(rows.n_few + rows.n_wide), mean])
        points = along_grid(rows, prior, precision, lambda p, s: find_mode(rows, base, whole, p, s))
        found = _fit(points, *_draw(rows, base, whole, points, rng, draws), drawn=True)
        if found.ess >= ENOUGH_ESS or not rows.n_wide:
            return checked(found)
    from barkslip.engines import hazard_large as large

    rng = np.random.default_rng(seed)
    lay = large.Lay(rows, base, mean, precision)
    points = along_grid(rows, prior, precision, lambda p, s: large.find_mode(lay, p, s))
    apart = _fit(points, *large.draw(lay, points, rng, draws, T_DF), drawn=False)
    return checked(found if found is not None and found.ess > apart.ess else apart)


def _fit(points: tuple[Point, ...], common: Floats, log_weight: Floats, *, drawn: bool) -> Fit:
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    ess = float(1.0 / (weight @ weight))
    return Fit(common, weight, ess, max(p.mode.gradient for p in points), points, drawn)


def checked(found: Fit) -> Fit:
    """The fit, if it can be shown.

    Raises
    ------
    FitFailedError
        If a slope is steeper than `MOST_GRADIENT`, or fewer draws than `LEAST_ESS` carry the weight.
    """
    if not found.gradient <= MOST_GRADIENT:
        raise FitFailedError("newton", found.gradient)
    if not found.ess >= LEAST_ESS:
        raise FitFailedError("ess", found.ess)
    return found


def along_grid(
    rows: Rows, prior: Prior, precision: Floats, mode: Callable[[Floats, Floats | None], Mode]
) -> tuple[Point, ...]:
    """Modes over the grid of spreads: from its middle outwards, beyond no point that carries nothing.

    The spread of a factor without levels is in no equation: it has one point.
    """
    mass = np.log(prior.spread_mass())
    n_few = len(mass) if rows.n_few else 1
    n_wide = len(mass) if rows.n_wide else 1
    found: dict[tuple[int, int], Point] = {}
    waiting = [(n_few // 2, n_wide // 2)]
    start: Floats | None = None
    while waiting:
        i, j = waiting.pop()
        few_sd, wide_sd = prior.spreads[i], prior.spreads[j]
        whole = precision_of(rows, precision, few_sd, wide_sd)
        top = mode(whole, start)
        start = top.theta
        log_mass = float((mass[i] if rows.n_few else 0.0) + (mass[j] if rows.n_wide else 0.0))
        found[i, j] = Point(few_sd, wide_sd, whole, top, log_mass)
        if not waiting:
            waiting = _next(found, n_few, n_wide)
    best = sorted(found.values(), key=lambda p: -p.evidence)
    return tuple(p for p in best if p.evidence > best[0].evidence - CARRIES)


def _next(found: dict[tuple[int, int], Point], n_few: int, n_wide: int) -> list[tuple[int, int]]:
    """Neighbours, not yet tried, of points that carry something."""
    best = max(p.evidence for p in found.values())
    out = set()
    for (i, j), point in found.items():
        if point.evidence > best - CARRIES:
            out |= {(i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)}
    return sorted(p for p in out if 0 <= p[0] < n_few and 0 <= p[1] < n_wide and p not in found)


def _draw(
    rows: Rows, base: Floats, mean: Floats, points: Sequence[Point], rng: np.random.Generator, draws: int
) -> tuple[Floats, Floats]:
    """Common effects of draws of all effects, and their log weights."""
    n_random = rows.n_few + rows.n_wide
    common, log_weight = [], []
    for point, n in zip(points, share_out(points, draws), strict=True):
        z, log_q = wide_draws(rng, n, n_random, rows.n_common, T_DF)
        lower = point.mode.lower
        # the last effects are the common ones: drawn from their margin, the random ones given them
        theta = point.mode.theta + np.linalg.solve(lower.T, z.T).T
        log_q = log_q + float(np.log(np.diag(lower)).sum())
        target = log_target(rows, base, mean, point.precision, theta)
        common.append(theta[:, n_random:])
        log_weight.append(target + point.log_mass - log_q - log(n))
    return np.concatenate(common), np.concatenate(log_weight)


def quantiles(values: Floats, weight: Floats, at: Sequence[float]) -> list[float]:
    """Quantiles of weighted draws: halves of their own weight count below each draw."""
    order = np.argsort(values)
    steps = np.cumsum(weight[order]) - 0.5 * weight[order]
    return [float(v) for v in np.interp(at, steps, values[order])]


def shares(
    found: Fit, rows: Rows, prior: Prior, beta: Sequence[tuple[float, float]], contrasts: Floats
) -> list[tuple[float, float, float]]:
    """Parts of an answer that come from the prior, from other grafts, and from the grafts of the contrast itself.

    By precisions at the best mode: V0 of the prior alone, V1 with all but the own grafts, V2 with all. Prior V2 / V0,
    others V2 / V1 - V2 / V0, own 1 - V2 / V1. Equation (7).

    Parameters
    ----------
    contrasts : array, shape (C, p)
        Covariates; own grafts are those with a pattern of 1 in the columns where the contrast is 1. A contrast that
        has none calls all grafts its own.
    """
    _, precision = prior.common(beta)
    point = found.points[0]
    out = []
    for contrast in contrasts:
        c = np.concatenate([[1.0], prior.split, contrast])
        ones = np.flatnonzero(contrast == 1.0)
        own = (
            (rows.patterns[:, ones] == 1.0).all(axis=1)[rows.pattern] if len(ones) else np.ones(len(rows.window), bool)
        )
        v0 = float(c**2 @ (1.0 / precision))
        v2 = left_variance(found, rows, prior, point, c, np.ones(len(rows.window), bool))
        v1 = left_variance(found, rows, prior, point, c, ~own) if len(ones) else v0
        v1, v2 = min(v1, v0), min(v2, v1, v0)
        out.append((v2 / v0, max(v2 / v1 - v2 / v0, 0.0), 1.0 - v2 / v1))
    return out


def left_variance(found: Fit, rows: Rows, prior: Prior, point: Point, c: Floats, keep: NDArray[np.bool_]) -> float:
    """Variance of a contrast of the common effects at a mode, with some rows only."""
    base = prior.base[rows.window]
    theta = point.mode.theta
    if found.drawn:
        hazard = 1.0 / (1.0 + np.exp(-(rows.design @ theta + base)))
        weight = rows.tried * hazard * (1.0 - hazard) * keep
        curve = (rows.design.T * weight) @ rows.design
        curve[np.diag_indices_from(curve)] += point.precision
        lower = np.linalg.cholesky(curve)
        whole = np.concatenate([np.zeros(rows.n_few + rows.n_wide), c])
    else:
        from barkslip.engines import hazard_large as large

        lower, whole = large.left_over(rows, base, point, keep), np.concatenate([np.zeros(rows.n_few), c])
    half = np.linalg.solve(lower, whole)
    return float(half @ half)
