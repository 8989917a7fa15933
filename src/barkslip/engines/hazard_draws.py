"""Points of the grid of spreads, and draws about them: what the fits of few and of many grafts share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import lgamma, log, pi

import numpy as np
from numpy.typing import NDArray

from barkslip.engines.hazard_mode import Mode

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Point:
    """One point of the grid: spreads of the few and the wide factor, prior precisions, mode, log evidence."""

    few_sd: float
    wide_sd: float
    precision: Floats
    mode: Mode
    log_mass: float

    @property
    def evidence(self) -> float:
        """Log of the posterior mass of this point but for a constant."""
        return self.mode.evidence + self.log_mass


def share_out(points: Sequence[Point], draws: int) -> list[int]:
    """Draws of each point by its mass, at least one."""
    mass = np.exp([p.evidence - points[0].evidence for p in points])
    return [int(n) for n in np.ceil(draws * mass / mass.sum())]


def wide_draws(rng: np.random.Generator, n: int, normal: int, student: int, df: float) -> tuple[Floats, Floats]:
    """Draws of which the first `normal` are normal and the last `student` jointly Student t, and log densities.

    Powers of 2 pi are left out, as they are in the target.
    """
    z = rng.standard_normal((n, normal + student))
    log_q = -0.5 * (z[:, :normal] ** 2).sum(axis=1)
    stretch = np.sqrt(df / rng.chisquare(df, n))
    z[:, normal:] *= stretch[:, None]
    r2 = (z[:, normal:] ** 2).sum(axis=1)
    const = lgamma((df + student) / 2.0) - lgamma(df / 2.0) - student / 2.0 * (log(df * pi) - log(2.0 * pi))
    return z, log_q + const - (df + student) / 2.0 * np.log1p(r2 / df)
