"""Rows of a discrete-time hazard, and the mode of its posterior by damped Newton steps.

Equations: docs/models/take.md. Checked by tests/engines/test_hazard.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: A mode has been reached when no slope is steeper; well below what a fit may carry.
SLOPE_END = 1e-7
MOST_STEPS = 60
MOST_HALVINGS = 40
#: A step is taken if it gains at least this share of what its slope promises.
ARMIJO = 1e-4
#: A promised gain that is a smaller share of the target cannot be seen in it.
ROUNDING = 1e-9


class FitFailedError(Exception):
    """A fit that must not be shown.

    Parameters
    ----------
    why : str
        "newton": Newton did not arrive, `value` is the largest gradient. "ess": too few draws carry the weight,
        `value` is their effective number.
    value : float
    """

    def __init__(self, why: str, value: float) -> None:
        self.why = why
        self.value = value
        super().__init__(f"{why}: {value:g}")


@dataclass(frozen=True)
class Rows:
    """Lives through windows, equal ones put together.

    Parameters
    ----------
    patterns : array, shape (Q, p)
        Covariates, centred; one line for each different set.
    pattern : int array, shape (R,)
        Line of `patterns` of each row.
    window : int array, shape (R,)
        From 0.
    few, wide : int array, shape (R,)
        Levels of the two random factors; the one with more levels is `wide`.
    died, lived : array, shape (R,)
        Grafts lost in the window; grafts that lived through it, a part of a window counting as that part.
    n_few, n_wide : int
        Levels; 0 if the factor is left out.
    n_windows : int
    """

    patterns: Floats
    pattern: Ints
    window: Ints
    few: Ints
    wide: Ints
    died: Floats
    lived: Floats
    n_few: int
    n_wide: int
    n_windows: int

    @property
    def n_common(self) -> int:
        """Effects that are no random ones: a0, d_k, beta."""
        return 1 + self.n_windows + int(self.patterns.shape[1])

    @property
    def size(self) -> int:
        """All effects."""
        return self.n_few + self.n_wide + self.n_common

    @cached_property
    def tried(self) -> Floats:
        """Grafts that entered each row."""
        return self.died + self.lived

    @cached_property
    def design(self) -> Floats:
        """Few, wide, then common effects, shape (R, size). For small data only."""
        n = len(self.window)
        out = np.zeros((n, self.size))
        at = np.arange(n)
        if self.n_few:
            out[at, self.few] = 1.0
        if self.n_wide:
            out[at, self.n_few + self.wide] = 1.0
        first = self.n_few + self.n_wide
        out[:, first] = 1.0
        out[at, first + 1 + self.window] = 1.0
        out[:, first + 1 + self.n_windows :] = self.patterns[self.pattern]
        return out


def rows_of(x: Floats, window: Ints, few: Ints, wide: Ints, died: Floats, lived: Floats, n_windows: int) -> Rows:
    """Rows from single lives, equal ones added up.

    Parameters
    ----------
    x : array, shape (N, p)
        Covariates, centred.
    few, wide : int array, shape (N,)
        Levels from 0; all -1 leaves a factor out.
    """
    patterns, pattern = _patterns(x)
    key = np.column_stack([wide, few, pattern, window]).astype(np.int64)
    sizes = [int(column.max(initial=-1)) + 2 for column in key.T]
    flat = np.ravel_multi_index(tuple((key + 1).T), sizes)
    unique, first, back = np.unique(flat, return_index=True, return_inverse=True)
    key = key[first]
    n = len(unique)
    return Rows(
        patterns=patterns,
        pattern=key[:, 2],
        window=key[:, 3],
        few=key[:, 1],
        wide=key[:, 0],
        died=np.bincount(back, died, n).astype(np.float64),
        lived=np.bincount(back, lived, n).astype(np.float64),
        n_few=int(few.max(initial=-1)) + 1,
        n_wide=int(wide.max(initial=-1)) + 1,
        n_windows=n_windows,
    )


def _patterns(x: Floats) -> tuple[Floats, Ints]:
    """Different lines of x, and which of them each line is."""
    code = np.zeros(len(x), np.int64)
    for column in x.T:
        values, level = np.unique(column, return_inverse=True)
        # numbered anew after each column, so that the code never outgrows the lines
        _, code = np.unique(code * len(values) + level, return_inverse=True)
    _, first = np.unique(code, return_index=True)
    return x[first], code


@dataclass(frozen=True)
class Mode:
    """The top of the posterior at one pair of spreads.

    Parameters
    ----------
    theta : array, shape (size,)
        Few, wide, common effects.
    lower : array, shape (size, size)
        Lower Cholesky factor of the negative Hessian there.
    top : float
        Log of likelihood times prior at the mode.
    gradient : float
        Largest absolute slope.
    evidence : float
        Laplace's log evidence at these spreads.
    steps : int
    """

    theta: Floats
    lower: Floats
    top: float
    gradient: float
    evidence: float
    steps: int


def precision_of(rows: Rows, common: Floats, few_sd: float, wide_sd: float) -> Floats:
    """Prior precisions of all effects, in their order."""
    return np.concatenate([np.full(rows.n_few, few_sd**-2.0), np.full(rows.n_wide, wide_sd**-2.0), common])


def softplus(eta: Floats) -> Floats:
    """log(1 + exp(eta)), good to rounding for any eta; several times faster than numpy's logaddexp."""
    out = np.abs(eta)
    np.negative(out, out)
    np.exp(out, out)
    out += 1.0
    np.log(out, out)
    out += np.maximum(eta, 0.0)
    return np.asarray(out)


def log_likelihood(rows: Rows, eta: Floats) -> Floats:
    """Log likelihood of logit hazards of shape (..., R), summed over rows."""
    return np.asarray(eta @ rows.died - softplus(eta) @ rows.tried)


def log_target(rows: Rows, base: Floats, mean: Floats, precision: Floats, theta: Floats) -> Floats:
    """Log of likelihood times normalised prior but for powers of 2 pi; theta of shape (..., size)."""
    eta = theta @ rows.design.T + base
    off = theta - mean
    return np.asarray(log_likelihood(rows, eta) - 0.5 * (off**2) @ precision + 0.5 * np.log(precision).sum())


def find_mode(rows: Rows, base: Floats, mean: Floats, precision: Floats, start: Floats | None = None) -> Mode:
    """Newton with step halving on a concave target.

    Parameters
    ----------
    base : array, shape (R,)
        b_k of each row.
    mean, precision : array, shape (size,)
        Prior of all effects.
    start : array or None

    Raises
    ------
    FitFailedError
        If no step gains although the slope is not flat, or the steps run out.
    """
    design = rows.design
    theta = mean.copy() if start is None else start
    top = float(log_target(rows, base, mean, precision, theta))
    for step in range(MOST_STEPS):
        hazard = 1.0 / (1.0 + np.exp(-(design @ theta + base)))
        slope = design.T @ (rows.died - rows.tried * hazard) - precision * (theta - mean)
        curve = (design.T * (rows.tried * hazard * (1.0 - hazard))) @ design
        curve[np.diag_indices_from(curve)] += precision
        lower = np.asarray(np.linalg.cholesky(curve), dtype=np.float64)
        gradient = float(np.abs(slope).max())
        if gradient <= SLOPE_END:
            logdet = 2.0 * float(np.log(np.diag(lower)).sum())
            return Mode(theta, lower, top, gradient, top - 0.5 * logdet, step)
        move = np.linalg.solve(lower.T, np.linalg.solve(lower, slope))
        theta, top = damped(
            lambda t: float(log_target(rows, base, mean, precision, t)), theta, top, move, float(slope @ move)
        )
    raise FitFailedError("newton", gradient)


def damped(
    target: Callable[[Floats], float], theta: Floats, top: float, move: Floats, gain: float
) -> tuple[Floats, float]:
    """The longest halved step that gains enough, and the target there.

    Parameters
    ----------
    target : callable
    theta, top
        Where it stands and the target there.
    move : array
        Newton's step.
    gain : float
        Slope along it.

    Raises
    ------
    FitFailedError
        If none does.
    """
    length = 1.0
    for _ in range(MOST_HALVINGS):
        tried = theta + length * move
        value = target(tried)
        # near the top a gain drowns in rounding: a full step is taken then
        if value >= top + ARMIJO * length * gain or gain < ROUNDING * max(1.0, abs(top)):
            return tried, value
        length *= 0.5
    raise FitFailedError("newton", float("inf"))
