"""Drawing by lot: arms within blocks, Latin squares, nights that change over. One seed draws one lot, for ever.

The lot is a stream of SHA-256 hashes, so that it hangs on no library's generator. Checked by
tests/engines/test_lot_draw.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from typing import TypeVar

T = TypeVar("T")


class Lot:
    """Whole numbers drawn from a seed."""

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.count = 0

    def below(self, n: int) -> int:
        """A number from 0 to n - 1, each as likely."""
        most = 2**64 - 2**64 % n
        while True:
            digest = sha256(f"{self.seed} {self.count}".encode()).digest()
            self.count += 1
            drawn = int.from_bytes(digest[:8], "big")
            if drawn < most:
                return drawn % n

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """The items in an order drawn by lot."""
        out = list(items)
        for i in range(len(out) - 1, 0, -1):
            j = self.below(i + 1)
            out[i], out[j] = out[j], out[i]
        return out


def in_blocks(arms: Sequence[str], sizes: Sequence[int], seed: int) -> list[list[str]]:
    """Arms for the places of each block.

    A block whose places are a multiple of the arms holds each as often. What is left over is filled from one bag of all
    arms, so that a block holds none twice while another is missing, and all are used as often as can be.

    Parameters
    ----------
    sizes : sequence of int
        Places of each block.
    """
    lot = Lot(seed)
    bag: list[str] = []
    out = []
    for size in sizes:
        whole, rest = divmod(size, len(arms))
        picked = list(arms) * whole
        extra: list[str] = []
        while len(extra) < rest:
            fresh = [a for a in bag if a not in extra]
            if not fresh:
                bag += lot.shuffled(arms)
                fresh = [a for a in bag if a not in extra]
            bag.remove(fresh[0])
            extra.append(fresh[0])
        out.append(lot.shuffled(picked + extra))
    return out


def latin_square(arms: Sequence[str], seed: int) -> list[list[str]]:
    """Each arm once in every row and every column: the cyclic square with rows, columns and arms drawn by lot."""
    lot = Lot(seed)
    n = len(arms)
    rows, columns, signs = lot.shuffled(range(n)), lot.shuffled(range(n)), lot.shuffled(arms)
    return [[signs[(r + c) % n] for c in columns] for r in rows]


def is_latin(square: Sequence[Sequence[str]]) -> bool:
    """True if every arm stands once in each row and each column."""
    arms = set(square[0])
    return len(arms) == len(square) and all(
        set(line) == arms and len(line) == len(arms) for line in (*square, *zip(*square, strict=True))
    )


def crossover(arms: Sequence[str], trees: int, nights: int, seed: int) -> list[list[str]]:
    """Arms of each night for each tree: shape nights x trees.

    As many trees as arms: one Latin square after the other, so that every tree has every arm as often. Otherwise each
    night is a block of its own.
    """
    if trees != len(arms):
        return in_blocks(arms, [trees] * nights, seed)
    out: list[list[str]] = []
    turn = 0
    while len(out) < nights:
        out += latin_square(arms, seed + 7919 * turn)
        turn += 1
    return out[:nights]
