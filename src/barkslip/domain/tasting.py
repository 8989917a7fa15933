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
    crop : int or None
        Which crop of this variety on this tree it is, from 1.
    juice_pct : float or None
        Juice, share of the fruit's mass [%].
    fruit_g : float or None
        Mean mass of a fruit [g].
    dry_n : int or None
        Fruits of those tasted that were dry inside.
    temp_c : float or None
        Temperature of the juice when it was read [°C].
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
    crop: int | None = None
    juice_pct: float | None = None
    fruit_g: float | None = None
    dry_n: int | None = None
    temp_c: float | None = None
