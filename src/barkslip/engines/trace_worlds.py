"""Chances of a trace: every world counted where there are few, many drawn where there are not."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.trace import Odds
from barkslip.engines.trace_contacts import CLEAN, Event
from barkslip.kernels import trace as kernel

#: Worlds drawn where they cannot all be counted: chances are good to half a point in a hundred.
WORLDS = 16_384
#: Work below this [contacts times words of worlds] is done by one thread.
_SMALL = 200_000
#: Most steps of counting every world [contacts times worlds].
_MOST_STEPS = 20_000_000
_THREADS = 2
#: Digits of a counted chance: the rest is rounding of many small sums.
_DIGITS = 12


@dataclass(frozen=True)
class Ways:
    """Contacts as the kernel takes them, in the order in which they are gone through.

    Parameters
    ----------
    source, target, coin : int32[contacts]
    day : int64[contacts]
    events : tuple of int
        Place of each in the list it was made from; -1 for the suspicion itself.
    nodes : int
    """

    source: NDArray[np.int32]
    target: NDArray[np.int32]
    coin: NDArray[np.int32]
    day: NDArray[np.int64]
    events: NDArray[np.int64]
    nodes: int

    def only(self, wanted: NDArray[np.bool_]) -> Ways:
        """Those wanted."""
        return Ways(
            self.source[wanted], self.target[wanted], self.coin[wanted], self.day[wanted], self.events[wanted],
            self.nodes,
        )  # fmt: skip


def ways(events: Sequence[Event], nodes: int, origin: int, since: int, *, backward: bool) -> Ways:
    """Contacts with the suspicion put in on its day; backward, all of it in a mirror.

    Parameters
    ----------
    since : int
        Day of the suspicion (ordinal). Backward it stands at the end.
    """
    n = len(events)
    rows = np.array([(e.source, e.target, e.coin, e.day) for e in events], dtype=np.int64).reshape(n, 4)
    source, target, coin, day = rows.T
    place = np.arange(n)
    if backward:
        turned = source >= 0
        source, target = np.where(turned, target, source), np.where(turned, source, target)
        source, target, coin, day, place = (a[::-1] for a in (source, target, coin, -day, place))
        at = 0
    else:
        at = int(np.searchsorted(day, since, side="left"))
    seed = (kernel.SEED, origin, -1, -since if backward else since, -1)
    put = [np.insert(a, at, value) for a, value in zip((source, target, coin, day, place), seed, strict=True)]
    small = [a.astype(np.int32) for a in put[:3]]
    return Ways(small[0], small[1], small[2], put[3].astype(np.int64), put[4], nodes)


def earliest(found: Ways, coins: Sequence[Odds]) -> tuple[NDArray[np.int64], NDArray[np.int32]]:
    """First day of each node (`kernel.NEVER` if it cannot be reached), and the contact in `found` that reached it."""
    high = np.array([*(c.high > 0.0 for c in coins), True])
    clean = np.array([*(c.certain for c in coins), True])
    open_ = np.where(found.source == CLEAN, clean[found.coin], high[found.coin])
    first, by = kernel.earliest(found.source, found.target, found.day, open_, found.nodes)
    return first, by


def reachable(found: Ways, first: NDArray[np.int64]) -> Ways:
    """Contacts that can matter: from something that can have been reached by then; cleanings of such things."""
    by = np.where(found.source >= 0, found.source, found.target)
    return found.only((first[by] <= found.day) | (found.source == kernel.SEED))


@dataclass(frozen=True)
class Chances:
    """Chances of each node: that it was ever reached, and that it carries it at the end.

    Parameters
    ----------
    ever, after : float64[nodes]
    exact : bool
    """

    ever: NDArray[np.float64]
    after: NDArray[np.float64]
    exact: bool


def chances(
    found: Ways, chance: NDArray[np.float64], *, seed: int, worlds: int = WORLDS, exact: bool | None = None
) -> Chances:
    """Chances over all worlds.

    Parameters
    ----------
    chance : float64[coins]
        [0..1]; a cleaning's is that it clears.
    seed : int
        Worlds of one seed have the same throws: a greater chance never wins in fewer of them.
    worlds : int
        Worlds drawn, if they are.
    exact : bool or None
        True counts every world, False draws; None counts where that is little work.

    Raises
    ------
    ValueError
        If every world is to be counted and there are too many coins.
    """
    of = np.where(found.coin >= 0, chance[found.coin], 1.0) if chance.size else np.ones(found.coin.size)
    found = found.only(of > 0.0)
    used = np.unique(found.coin[found.coin >= 0])
    doubtful = used[(chance[used] > 0.0) & (chance[used] < 1.0)]
    few = doubtful.size <= kernel.MOST_EXACT
    if exact and not few:
        raise ValueError(f"{doubtful.size} coins; at most {kernel.MOST_EXACT} can be counted out")
    if exact if exact is not None else few and (found.source.size << int(doubtful.size)) <= _MOST_STEPS:
        slot = np.full(max(chance.size, 1) + 1, -1, np.int32)
        slot[doubtful] = np.arange(doubtful.size, dtype=np.int32)
        ever, after = kernel.every_world(
            found.source, found.target, slot[found.coin], chance[doubtful], found.nodes, int(doubtful.size)
        )
        return Chances(np.round(ever, _DIGITS), np.round(after, _DIGITS), True)
    ever, after = _drawn(found, np.round(chance * 2.0**kernel.PLACES).astype(np.uint64), seed, worlds)
    return Chances(ever / worlds, after / worlds, False)


def _drawn(
    found: Ways, chance: NDArray[np.uint64], seed: int, worlds: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Worlds in which each node was reached, and in which it carries it at the end."""
    words = -(-worlds // kernel.LANES)

    def part(bounds: tuple[int, int]) -> NDArray[np.int64]:
        rows = found.source, found.target, found.coin, chance, found.nodes, seed
        return np.stack(kernel.spread(*rows, *bounds, worlds))

    if words < _THREADS or found.source.size * words < _SMALL:
        ever, after = part((0, words))
        return ever, after
    cuts = [words * i // _THREADS for i in range(_THREADS + 1)]
    with ThreadPoolExecutor(_THREADS) as pool:
        ever, after = np.sum(list(pool.map(part, pairwise(cuts))), axis=0)
    return ever, after
