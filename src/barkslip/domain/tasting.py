"""Fruit, tasted."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.entry import Entry
from barkslip.domain.when import When


@dataclass(frozen=True, kw_only=True)
class Tasting(Entry):
    """One coded tasting of one variety from one tree.

    Parameters
    ----------
    on : When
    tree : str
        Thing id.
    variety : str
        As written on the sheet.
    campaign : str
        Grafts it came from, if known.
    fruit_n, panel : int or None
        Fruits tasted; people tasting (never named).
    brix : float or None
        Soluble solids as read [°Brix].
    acid_pct : float or None
        Anhydrous citric acid [% of juice].
    score9 : float or None
        Mean liking, 1 to 9.
    seeds_per_fruit : float or None
    note : str
    """

    on: When
    tree: str
    variety: str
    campaign: str = ""
    fruit_n: int | None = None
    panel: int | None = None
    brix: float | None = None
    acid_pct: float | None = None
    score9: float | None = None
    seeds_per_fruit: float | None = None
    note: str = ""
