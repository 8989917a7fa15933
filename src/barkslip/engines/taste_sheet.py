"""A coded tasting: three figures for each sample by lot, and an order of its own for each taster."""

from __future__ import annotations

from collections.abc import Sequence

from barkslip.domain.taste import TasteSheet
from barkslip.engines.lot_draw import Lot


def sheet(samples: Sequence[str], tasters: int, seed: int) -> TasteSheet:
    """Codes and orders.

    Orders come from Williams squares (rows and their mirror), so that over all tasters of a round each sample stands in
    each place as often, and follows each other sample as often.

    Parameters
    ----------
    samples : sequence of str
        Two or more, each once.
    tasters : int
    seed : int
    """
    lot = Lot(seed)
    codes: list[str] = []
    while len(codes) < len(samples):
        code = str(100 + lot.below(900))
        if code not in codes:
            codes.append(code)
    rows = williams(len(samples))
    turns: list[list[int]] = []
    while len(turns) < tasters:
        turns += lot.shuffled(rows)
    orders = tuple(tuple(codes[i] for i in row) for row in turns[:tasters])
    return TasteSheet(tuple(zip(codes, samples, strict=True)), orders, seed)


def williams(n: int) -> list[list[int]]:
    """Orders of n samples in which each follows each other equally often.

    Source: Williams 1949, Aust. J. Sci. Res. A2, 149-168.
    """
    first = [0]
    for k in range(1, n):
        first.append((k + 1) // 2 if k % 2 else n - k // 2)
    rows = [[(x + shift) % n for x in first] for shift in range(n)]
    return rows if n % 2 == 0 else [*rows, *(row[::-1] for row in rows)]
