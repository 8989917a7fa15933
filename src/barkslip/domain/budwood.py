"""Wood lots: where scion wood came from, how it was kept, and what it turned out to be."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.entry import Entry
from barkslip.domain.when import When

#: Where wood can come from; the order is from the safest down.
SOURCE_CLASSES = (
    "official clean-wood scheme",
    "registered nursery",
    "own tree",
    "neighbour",
    "club exchange",
    "bought fruit tree",
    "inside a regulated area",
    "not known",
)
LOT_STATES = ("in store", "used", "refused", "thrown away")


@dataclass(frozen=True, kw_only=True)
class WoodLot(Entry):
    """Sticks cut from one source on one day.

    Multi-crop passport (MCPD V.2.1) fields are given where they fit.

    Parameters
    ----------
    code : str
        Lot number, unique, never used again (ACCENUMB).
    name : str
        Cultivar as claimed by the giver (ACCENAME).
    source_class : str
        One of `SOURCE_CLASSES`.
    source : str
        Giver or place in free words (DONORNAME, COLLSITE).
    from_tree, from_limb, from_graft : str or None
        Thing ids when it was cut in this garden.
    cut : When
        Day of cutting (COLLDATE).
    received : When or None
        Day it came in (ACQDATE).
    sticks : int or None
    state : str
        How the wood looked, in words (REMARKS).
    storage : str
        How it is kept: where, how warm, how wet.
    paper : str
        What paper came with it (certificate numbers go to OTHERNUMB).
    genus, species, crop : str
        GENUS, SPECIES, CROPNAME.
    lot_state : str
        One of `LOT_STATES`.
    note : str
    """

    code: str
    name: str
    cut: When
    source_class: str = "not known"
    source: str = ""
    from_tree: str | None = None
    from_limb: str | None = None
    from_graft: str | None = None
    received: When | None = None
    sticks: int | None = None
    state: str = ""
    storage: str = ""
    paper: str = ""
    genus: str = ""
    species: str = ""
    crop: str = ""
    lot_state: str = "in store"
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class LotFind(Entry):
    """What a lot turned out to be: the claimed name, or another one.

    Parameters
    ----------
    lot : str
        Thing id.
    found : str
        Name found.
    how : str
        By what ("fruit", "leaf", "test report").
    on : When
    """

    lot: str
    found: str
    how: str
    on: When
