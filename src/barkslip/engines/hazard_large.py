"""The same hazard for many grafts: the effects of the wide factor are integrated out one by one.

With hundreds of trees a draw of all effects never hits: each tree adds a little skew. Given everything else the trees
are independent, so each is integrated by itself (adaptive Gauss-Hermite; with one node that is Laplace), and only the
few effects that are left are drawn. Newton's steps use that the block of the wide factor is diagonal.

Equations: docs/models/take.md. Checked by tests/engines/test_hazard.py against drawing all effects.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from barkslip.engines.hazard_mode import MOST_STEPS, FitFailedError, Mode, Rows, damped, softplus

if TYPE_CHECKING:
    from barkslip.engines.hazard_draws import Point

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Nodes of each tree's integral; and the rows from which one node is enough, as trees have many grafts then.
NODES = 3
MANY_ROWS = 8_000
#: Draws: each costs several passes over all rows.
DRAWS, DRAWS_MANY = 600, 300
#: A logit hazard of a draw far out is held there, so that its odds stay numbers.
MOST_ETA = 500.0
#: Joint modes lean: the mode of what is left after integrating is found by so many steps of the same curve.
LEAN_STEPS = 8
#: A slope that many rows add up to is rounded; it has arrived below this.
SLOPE_END = 1e-6


class Lay:
    """Rows laid out for sums over levels of the wide factor.

    Parameters
    ----------
    rows : Rows
        Sorted by the wide factor, as `rows_of` makes them.
    base : array, shape (R,)
    mean, precision : array
        Prior of the common effects.
    """

    def __init__(self, rows: Rows, base: Floats, mean: Floats, precision: Floats) -> None:
        self.rows, self.base = rows, base
        self.mean, self.precision = mean, precision
        self.starts = np.searchsorted(rows.wide, np.arange(rows.n_wide))
        self.each = np.diff(np.append(self.starts, len(rows.wide)))
        cell = rows.pattern * rows.n_windows + rows.window
        kinds, self.kind = np.unique(cell, return_inverse=True)
        self.n_kinds = len(kinds)
        head = np.ones((self.n_kinds, 1 + rows.n_windows))
        head[:, 1:] = np.eye(rows.n_windows)[kinds % rows.n_windows]
        self.faces = np.column_stack([head, rows.patterns[kinds // rows.n_windows]])
        #: Few and common effects, which are drawn.
        self.n_drawn = rows.n_few + rows.n_common

    def by_wide(self, values: Floats) -> Floats:
        """Sums of rows over levels of the wide factor."""
        return np.add.reduceat(values, self.starts)

    def to_rows(self, wide: Floats) -> Floats:
        """A number of each level of the wide factor, at each row."""
        return np.repeat(wide, self.each)

    def fixed(self, drawn: Floats) -> Floats:
        """Logit hazards of all rows without the wide factor."""
        few = self.rows.n_few
        out = self.base + (self.faces @ drawn[few:])[self.kind]
        return out + drawn[:few][self.rows.few] if few else out

    def eta(self, drawn: Floats, wide: Floats) -> Floats:
        """Logit hazards of all rows."""
        return self.fixed(drawn) + self.to_rows(wide)

    def gather(self, values: Floats) -> Floats:
        """Sums of rows over columns of few and common effects, shape (n_drawn,)."""
        rows = self.rows
        common = np.bincount(self.kind, values, self.n_kinds) @ self.faces
        return np.concatenate([np.bincount(rows.few, values, rows.n_few), common]) if rows.n_few else common

    def square(self, weight: Floats) -> Floats:
        """Weighted cross products of few and common effects, shape (n_drawn, n_drawn)."""
        rows, few = self.rows, self.rows.n_few
        out = np.zeros((self.n_drawn, self.n_drawn))
        kinds = np.bincount(self.kind, weight, self.n_kinds)
        out[few:, few:] = (self.faces.T * kinds) @ self.faces
        if few:
            out[np.arange(few), np.arange(few)] = np.bincount(rows.few, weight, few)
            cells = np.bincount(rows.few * self.n_kinds + self.kind, weight, few * self.n_kinds)
            out[:few, few:] = cells.reshape(few, self.n_kinds) @ self.faces
            out[few:, :few] = out[:few, few:].T
        return out

    def cross(self, weight: Floats) -> Floats:
        """Weighted products of the wide factor with few and common effects, shape (n_wide, n_drawn)."""
        from scipy.sparse import csr_matrix

        rows, few = self.rows, self.rows.n_few
        edge = np.append(self.starts, len(rows.wide))
        common = csr_matrix((weight, self.kind, edge), shape=(rows.n_wide, self.n_kinds)) @ self.faces
        if not few:
            return np.asarray(common)
        beside = np.bincount(rows.wide * few + rows.few, weight, rows.n_wide * few).reshape(rows.n_wide, few)
        return np.column_stack([beside, common])


@dataclass(frozen=True)
class LargeMode(Mode):
    """A mode whose Hessian is kept in blocks; `lower` is the factor of what is left after the wide block.

    Parameters
    ----------
    diagonal : array, shape (n_wide,)
        Negative Hessian of the wide block.
    beside : array, shape (n_wide, n_drawn)
        Its block with the few and common effects.
    """

    diagonal: Floats
    beside: Floats


def _split(lay: Lay, theta: Floats) -> tuple[Floats, Floats]:
    few, wide = lay.rows.n_few, lay.rows.n_wide
    return np.concatenate([theta[:few], theta[few + wide :]]), theta[few : few + wide]


def _join(lay: Lay, drawn: Floats, wide: Floats) -> Floats:
    few = lay.rows.n_few
    return np.concatenate([drawn[:few], wide, drawn[few:]])


def find_mode(lay: Lay, precision: Floats, start: Floats | None) -> Mode:
    """The joint mode by damped Newton, then moved to where the posterior without the wide effects has its own.

    Raises
    ------
    FitFailedError
        If no step gains although the slope is not flat, or the steps run out.
    """
    rows, few = lay.rows, lay.rows.n_few
    mean = np.concatenate([np.zeros(few + rows.n_wide), lay.mean])
    theta = mean.copy() if start is None else start
    top = _top(lay, mean, precision, theta)
    p_drawn, p_wide = _split(lay, precision)
    for steps in range(MOST_STEPS):
        drawn, wide = _split(lay, theta)
        hazard = 1.0 / (1.0 + np.exp(-lay.eta(drawn, wide)))
        rest = rows.died - rows.tried * hazard
        s_drawn, s_wide = _split(lay, -precision * (theta - mean))
        s_drawn, s_wide = s_drawn + lay.gather(rest), s_wide + lay.by_wide(rest)
        diagonal, beside, lower = _blocks(lay, rows.tried * hazard * (1.0 - hazard), p_drawn, p_wide)
        gradient = float(max(np.abs(s_drawn).max(), np.abs(s_wide).max()))
        if gradient <= SLOPE_END:
            return _left_alone(lay, mean, precision, theta, lower, gradient, steps)
        d_drawn = _solve(lower, s_drawn - beside.T @ (s_wide / diagonal))
        d_wide = (s_wide - beside @ d_drawn) / diagonal
        gain = float(s_drawn @ d_drawn + s_wide @ d_wide)
        move = _join(lay, d_drawn, d_wide)
        theta, top = damped(lambda t: _top(lay, mean, precision, t), theta, top, move, gain)
    raise FitFailedError("newton", gradient)


def _top(lay: Lay, mean: Floats, precision: Floats, theta: Floats) -> float:
    """Log of likelihood times normalised prior but for powers of 2 pi."""
    eta = lay.eta(*_split(lay, theta))
    prior = -0.5 * float((theta - mean) ** 2 @ precision) + 0.5 * float(np.log(precision).sum())
    return float(eta @ lay.rows.died - softplus(eta) @ lay.rows.tried) + prior


def _left_alone(
    lay: Lay, mean: Floats, precision: Floats, theta: Floats, lower: Floats, gradient: float, steps: int
) -> LargeMode:
    """The mode of what is left when the wide effects are integrated out, from the joint one."""
    p_drawn, p_wide = _split(lay, precision)
    m_drawn, _ = _split(lay, mean)
    drawn, wide = _lean(lay, m_drawn, p_drawn, p_wide, *_split(lay, theta), lower)
    hazard = 1.0 / (1.0 + np.exp(-lay.eta(drawn, wide)))
    diagonal, beside, lower = _blocks(lay, lay.rows.tried * hazard * (1.0 - hazard), p_drawn, p_wide)
    theta = _join(lay, drawn, wide)
    top = _top(lay, mean, precision, theta)
    evidence = top - 0.5 * float(np.log(diagonal).sum()) - float(np.log(np.diag(lower)).sum())
    return LargeMode(theta, lower, top, gradient, evidence, steps, diagonal, beside)


def _solve(lower: Floats, right: Floats) -> Floats:
    return np.asarray(np.linalg.solve(lower.T, np.linalg.solve(lower, right)))


def _blocks(lay: Lay, weight: Floats, p_drawn: Floats, p_wide: Floats) -> tuple[Floats, Floats, Floats]:
    """Wide block, its cross block, and the Cholesky factor of what is left after it."""
    diagonal = lay.by_wide(weight) + p_wide
    beside = lay.cross(weight)
    left = lay.square(weight) - (beside.T / diagonal) @ beside
    left[np.diag_indices_from(left)] += p_drawn
    lower = np.asarray(np.linalg.cholesky(left), dtype=np.float64)
    return diagonal, beside, lower


def _lean(
    lay: Lay, mean: Floats, p_drawn: Floats, p_wide: Floats, drawn: Floats, wide: Floats, lower: Floats
) -> tuple[Floats, Floats]:
    """Steps from the joint mode to that of the few and common effects alone, by Laplace's volume of the wide ones."""
    rows = lay.rows
    for _ in range(LEAN_STEPS):
        fixed = lay.fixed(drawn)
        for _ in range(2):
            wide = _wide_step(lay, fixed, wide, p_wide)
        hazard = 1.0 / (1.0 + np.exp(-(fixed + lay.to_rows(wide))))
        weight = rows.tried * hazard * (1.0 - hazard)
        diagonal = lay.by_wide(weight) + p_wide
        third = weight * (1.0 - 2.0 * hazard)
        beside = lay.cross(weight)
        volume = lay.gather(third / lay.to_rows(diagonal)) - (lay.by_wide(third) / diagonal**2) @ beside
        slope = lay.gather(rows.died - rows.tried * hazard) - p_drawn * (drawn - mean) - 0.5 * volume
        step = _solve(lower, slope)
        drawn = drawn + step
        wide = wide - beside @ step / diagonal
        if float(slope @ step) < 1e-3:
            break
    return drawn, wide


def _wide_step(lay: Lay, fixed: Floats, wide: Floats, p_wide: Floats) -> Floats:
    """One Newton step of each wide effect, the others given."""
    hazard = 1.0 / (1.0 + np.exp(-(fixed + lay.to_rows(wide))))
    lost = lay.rows.tried * hazard
    curve = lay.by_wide(lost * (1.0 - hazard)) + p_wide
    return wide + (lay.by_wide(lay.rows.died - lost) - p_wide * wide) / curve


def draw(lay: Lay, points: Sequence[Point], rng: np.random.Generator, draws: int, df: float) -> tuple[Floats, Floats]:
    """Common effects of draws, and their log weights with the wide effects integrated out."""
    from barkslip.engines.hazard_draws import share_out, wide_draws

    few = lay.rows.n_few
    many = len(lay.rows.wide) > MANY_ROWS
    draws = min(draws, DRAWS_MANY if many else DRAWS)
    common, log_weight = [], []
    for point, n in zip(points, share_out(points, draws), strict=True):
        mode: Any = point.mode
        z, log_q = wide_draws(rng, n, few, lay.rows.n_common, df)
        log_q = log_q + float(np.log(np.diag(mode.lower)).sum())
        middle, wide = _split(lay, mode.theta)
        move = np.linalg.solve(mode.lower.T, z.T).T
        beside = mode.beside / mode.diagonal[:, None]
        n_nodes = 1 if many else NODES
        target = np.array([_integrated(lay, point, middle + m, wide - beside @ m, n_nodes) for m in move])
        common.append((middle + move)[:, few:])
        log_weight.append(target + point.log_mass - log_q - log(n))
    return np.concatenate(common), np.concatenate(log_weight)


def _integrated(lay: Lay, point: Point, drawn: Floats, wide: Floats, n_nodes: int) -> float:
    """Log of likelihood times prior with each wide effect integrated out about its mode."""
    rows = lay.rows
    p_drawn, p_wide = _split(lay, point.precision)
    fixed = lay.fixed(drawn)
    for _ in range(1 if n_nodes == 1 else 2):
        wide = _wide_step(lay, fixed, wide, p_wide)
    eta = fixed + lay.to_rows(wide)
    odds = np.exp(np.minimum(eta, MOST_ETA))
    one = 1.0 + odds
    curve = lay.by_wide(rows.tried * odds / one**2) + p_wide
    mean = np.concatenate([np.zeros(rows.n_few), lay.mean])
    out = -0.5 * float((drawn - mean) ** 2 @ p_drawn) + 0.5 * float(np.log(point.precision).sum())
    out -= 0.5 * float(np.log(curve).sum())
    if n_nodes == 1:
        return out + float(eta @ rows.died - np.log(one) @ rows.tried) - 0.5 * float(wide**2 @ p_wide)
    nodes, logs = _nodes(n_nodes)
    parts = []
    for x, log_w in zip(nodes, logs, strict=True):
        at = wide + x / np.sqrt(curve)
        eta = fixed + lay.to_rows(at)
        likely = lay.by_wide(eta * rows.died - softplus(eta) * rows.tried)
        parts.append(likely - 0.5 * p_wide * at**2 + log_w)
    return out + float(np.logaddexp.reduce(parts, axis=0).sum())


def _nodes(n: int) -> tuple[Floats, Floats]:
    """Nodes about a mode in units of its spread, and logs of their weights over the normal there."""
    x, w = np.polynomial.hermite_e.hermegauss(n)
    return x, np.log(w) + 0.5 * x**2 - 0.5 * log(2.0 * np.pi)


def left_over(rows: Rows, base: Floats, point: Point, keep: NDArray[np.bool_]) -> Floats:
    """Cholesky factor of the precision of few and common effects at a mode, with some rows only."""
    size = rows.n_few + rows.n_wide
    lay = Lay(rows, base, point.mode.theta[size:], point.precision[size:])
    drawn, wide = _split(lay, point.mode.theta)
    p_drawn, p_wide = _split(lay, point.precision)
    hazard = 1.0 / (1.0 + np.exp(-lay.eta(drawn, wide)))
    return _blocks(lay, rows.tried * hazard * (1.0 - hazard) * keep, p_drawn, p_wide)[2]
