"""The ensemble of a night: one set of draws, shared by all sets of measures, so that differences are sharp."""

from __future__ import annotations

import zlib
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.sourced import Value
from barkslip.kernels import draws as quantile

Array = NDArray[np.float64]
Known = Callable[[str], Value]


def middle(value: Value) -> float:
    """Best value, or the middle of the range where only that is known."""
    if isinstance(value.value, (int, float)):
        return float(value.value)
    low = value.low if value.low is not None else value.high
    high = value.high if value.high is not None else value.low
    return 0.5 * (float(low or 0.0) + float(high or 0.0))


class Draws:
    """Named draws of an ensemble; each name has its own stream, so that adding one changes no other.

    Parameters
    ----------
    members : int
    seed : int
    """

    def __init__(self, members: int, seed: int) -> None:
        self.members = members
        self.seed = seed
        self._shares: dict[str, Array] = {}

    def share(self, name: str) -> Array:
        """Uniform draws in 0..1, spread evenly (one in each of `members` equal parts), float64[members]."""
        if name not in self._shares:
            rng = np.random.default_rng([self.seed, zlib.crc32(name.encode())])
            places = (np.arange(self.members) + rng.random(self.members)) / self.members
            self._shares[name] = np.clip(rng.permutation(places), 1e-9, 1 - 1e-9)
        return self._shares[name]

    def of(self, name: str, value: Value, *, log: bool = False, normal: bool = False) -> Array:
        """Members' values of a sourced number, float64[members].

        Parameters
        ----------
        name : str
            Name of the stream.
        log : bool
            Drawn on a logarithmic scale.
        normal : bool
            Low and high are one standard deviation either side.
        """
        best = middle(value)
        if value.low is None and value.high is None:
            return np.full(self.members, best)
        low = best if value.low is None else float(value.low)
        high = best if value.high is None else float(value.high)
        if normal:
            return np.asarray(quantile.normal(self.share(name), best, 0.5 * (high - low)))
        if log and low > 0.0:
            return np.asarray(quantile.two_piece_log(self.share(name), low, best, high))
        return np.asarray(quantile.two_piece(self.share(name), low, best, high))

    def error(self, name: str, sd: float) -> Array:
        """Normal errors about 0 with a standard deviation, float64[members]."""
        return np.asarray(quantile.normal(self.share(name), 0.0, sd))
