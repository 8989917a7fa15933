"""Contacts in order of time: who can have been reached, how early, and in how many of many worlds.

Equations C1 to C5: docs/models/trace.md. A contact hands on what its source carries at that moment if its coin falls
so; a coin may be shared by several contacts. A world is one throw of all coins. Sixty-four worlds lie in one machine
word: a contact is one look at two words. Coins are not stored: each is reckoned from seed, coin and world whenever it
is asked for. So any order of asking gives the same worlds, and a coin with a greater chance falls well in every world
in which one with a smaller chance does.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Ints = NDArray[np.int32]
Days = NDArray[np.int64]
Array = NDArray[np.float64]
Words = NDArray[np.uint64]

#: In place of a source: the target carries it from here on; the target is cleaned, if the coin falls so.
SEED, CLEAN = -1, -2
#: Worlds in a word, and most coins whose throws are all counted.
LANES, MOST_EXACT = 64, 16
#: Binary places of a chance that count: chances are kept to 2**-32.
PLACES = 32
#: No day.
NEVER = np.int64(2**62)

_ALL = np.uint64(0xFFFFFFFFFFFFFFFF)
_NONE = np.uint64(0)
_ONE = np.uint64(1)


@njit(cache=True, nogil=True, inline="always")
def _mixed(x: np.uint64) -> np.uint64:
    """One word from another, every bit leaning on every bit: the finalizer of SplitMix64 (trace.splitmix)."""
    x = x + np.uint64(0x9E3779B97F4A7C15)
    x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return x ^ (x >> np.uint64(31))


@njit(cache=True, nogil=True, inline="always")
def _coin(chance: np.uint64, key: np.uint64, needed: np.uint64) -> np.uint64:
    """The lanes of `needed` in which a coin falls well. Eq. C3.

    Each lane draws the binary places of a number from 0 to 1 until it differs from the chance: two places are needed on
    the average.

    Parameters
    ----------
    chance : uint64
        Chance times 2**PLACES; 2**PLACES for certain.
    key : uint64
        Word of the coin and of the 64 worlds.
    needed : uint64
        Lanes that are asked for.
    """
    if chance >= _ONE << np.uint64(PLACES):
        return needed
    won = _NONE
    place = np.uint64(PLACES)
    while needed != _NONE and place > _NONE:
        place -= _ONE
        rest = chance & ((_ONE << (place + _ONE)) - _ONE)
        if rest == _NONE:
            break
        drawn = _mixed(key + place)
        if (chance >> place) & _ONE:
            won |= needed & ~drawn
            needed &= drawn
        else:
            needed &= ~drawn
    return won


@njit(cache=True, nogil=True, inline="always")
def _ones(x: np.uint64) -> np.int64:
    """Bits that are set in a word."""
    x = x - ((x >> _ONE) & np.uint64(0x5555555555555555))
    x = (x & np.uint64(0x3333333333333333)) + ((x >> np.uint64(2)) & np.uint64(0x3333333333333333))
    x = (x + (x >> np.uint64(4))) & np.uint64(0x0F0F0F0F0F0F0F0F)
    return np.int64((x * np.uint64(0x0101010101010101)) >> np.uint64(56))


@njit(cache=True, nogil=True)
def spread(
    source: Ints, target: Ints, coin: Ints, chance: Words, nodes: int, seed: int, first: int, last: int, worlds: int
) -> tuple[Days, Days]:
    """Count worlds in which each node was reached, and in which it carries it at the end. Eq. C1 to C3.

    Parameters
    ----------
    source, target, coin : int32[contacts]
        In order of time; a source of `SEED` or `CLEAN` is no contact.
    chance : uint64[coins]
        Chance times 2**PLACES.
    nodes : int
    seed : int
    first, last : int
        Words of 64 worlds to go through: first <= word < last.
    worlds : int
        Worlds in all; lanes beyond are left out.

    Returns
    -------
    (int64[nodes], int64[nodes])
        Worlds in which it ever carried it; worlds in which it does at the end.
    """
    ever = np.zeros(nodes, np.int64)
    after = np.zeros(nodes, np.int64)
    state = np.empty(nodes, np.uint64)
    marked = np.empty(nodes, np.uint64)
    for word in range(first, last):
        state[:] = _NONE
        marked[:] = _NONE
        lanes = worlds - word * LANES
        whole = _ALL if lanes >= LANES else (_ONE << np.uint64(lanes)) - _ONE
        root = _mixed(np.uint64(seed) ^ _mixed(np.uint64(word)))
        for i in range(source.size):
            u, v = source[i], target[i]
            if u >= 0:
                needed = state[u] & ~state[v]
            elif u == SEED:
                needed = whole & ~state[v]
            else:
                needed = state[v]
            if needed == _NONE:
                continue
            c = coin[i]
            if c >= 0:
                needed = _coin(chance[c], _mixed(root + np.uint64(c)) << np.uint64(6), needed)
            if u == CLEAN:
                state[v] &= ~needed
            else:
                state[v] |= needed
                marked[v] |= needed
        for v in range(nodes):
            ever[v] += _ones(marked[v])
            after[v] += _ones(state[v])
    return ever, after


@njit(cache=True, nogil=True)
def every_world(source: Ints, target: Ints, coin: Ints, chance: Array, nodes: int, coins: int) -> tuple[Array, Array]:
    """Chances by counting all throws of at most `MOST_EXACT` coins. Eq. C4.

    Parameters
    ----------
    source, target, coin : int32[contacts]
        As in `spread`; a coin below 0 is certain.
    chance : float64[coins]
        [0..1]
    nodes, coins : int

    Returns
    -------
    (float64[nodes], float64[nodes])
        Chance that it ever carried it; that it does at the end.
    """
    ever = np.zeros(nodes)
    after = np.zeros(nodes)
    state = np.empty(nodes, np.bool_)
    marked = np.empty(nodes, np.bool_)
    for world in range(1 << coins):
        weight = 1.0
        for c in range(coins):
            weight *= chance[c] if (world >> c) & 1 else 1.0 - chance[c]
        if weight == 0.0:
            continue
        state[:] = False
        marked[:] = False
        for i in range(source.size):
            u, v, c = source[i], target[i], coin[i]
            if c >= 0 and not (world >> c) & 1:
                continue
            if u == CLEAN:
                state[v] = False
            elif u == SEED or state[u]:
                state[v] = True
                marked[v] = True
        for v in range(nodes):
            if marked[v]:
                ever[v] += weight
            if state[v]:
                after[v] += weight
    return ever, after


@njit(cache=True, nogil=True)
def earliest(source: Ints, target: Ints, day: Days, open_: NDArray[np.bool_], nodes: int) -> tuple[Days, Ints]:
    """First day on which each node can have been reached, and the contact that did it. Eq. C5.

    Parameters
    ----------
    source, target : int32[contacts]
        As in `spread`.
    day : int64[contacts]
        Not falling.
    open_ : bool[contacts]
        True for what can happen at all; of a cleaning, true if it leaves nothing for certain.
    nodes : int

    Returns
    -------
    (int64[nodes], int32[nodes])
        Day, `NEVER` if it cannot be; place of the contact, -1 if there is none.
    """
    found = np.full(nodes, NEVER, np.int64)
    by = np.full(nodes, -1, np.int32)
    state = np.zeros(nodes, np.bool_)
    for i in range(source.size):
        u, v = source[i], target[i]
        if not open_[i]:
            continue
        if u == CLEAN:
            state[v] = False
        elif (u == SEED or state[u]) and not state[v]:
            state[v] = True
            if found[v] == NEVER:
                found[v] = day[i]
                by[v] = i
    return found, by
