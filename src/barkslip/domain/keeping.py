"""How long wood keeps: what several sources say of wood kept like this lot, never one number."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.when import When

#: Where wood is kept -> words.
STORES = {"fridge": "in a refrigerator", "cold": "in a cold store", "room": "at room temperature"}
#: What a source says: how long it keeps, when half of the buds are dead, or how many lived after so long.
SAYINGS = ("keeps", "half dead", "alive")
#: Where a lot stands against all sources.
KEEPING_STATES = ("within", "between", "past", "no source", "not cut yet")
#: What is written about the store that shortens keeping.
STORE_SIGNS = ("wet", "warm", "cold", "fruit")


@dataclass(frozen=True)
class KeepSource:
    """What one source says.

    Parameters
    ----------
    key, words : str
        Row of the knowledge base, and what it is about.
    says : str
        One of `SAYINGS`.
    low_d, high_d : float
        Fewest and most days; equal where one number is given.
    alive_low, alive_high : float or None
        Share of buds alive then [0..1], for "alive".
    applies_to, note, source, citation, status : str
    here : bool
        True if it speaks of wood kept like this lot; False if of another store, for comparison.
    """

    key: str
    words: str
    says: str
    low_d: float
    high_d: float
    alive_low: float | None = None
    alive_high: float | None = None
    applies_to: str = ""
    note: str = ""
    source: str = ""
    citation: str = ""
    status: str = ""
    here: bool = True


@dataclass(frozen=True)
class KeepVerdict:
    """How long the wood of one lot keeps.

    Parameters
    ----------
    lot, name : str
    kind : str
        "citrus", "deciduous", "mango" or "" if not known.
    store : str
        Key of `STORES`; "" if nothing is written about it.
    store_words : str
        As the grower wrote it.
    store_c : float or None
        Temperature of the store, if it is written [°C].
    cut : When
    on : str
        ISO day of the answer.
    age_d : (int, int)
        Fewest and most days since it was cut.
    sources : tuple of KeepSource
        Those of the lot's own store first.
    shortest_d, longest_d : float or None
        Over all that say how long it keeps in such a store.
    first_until, last_until : str
        ISO days at which the shortest and the longest run out; "" if none is known.
    state : str
        One of `KEEPING_STATES`.
    alive_low, alive_high : float or None
        Share of buds alive by the curve of room temperature [0..1].
    half_alive : float or None
        Chance that more than half of the buds live, in a refrigerator [0..1].
    signs : tuple of str
        `STORE_SIGNS` that are written about the store.
    used_d : (int, int) or None
        Age of the wood when grafts were set from it, youngest and oldest [d].
    lot_state : str
    """

    lot: str
    name: str
    kind: str
    store: str
    store_words: str
    store_c: float | None
    cut: When
    on: str
    age_d: tuple[int, int]
    sources: tuple[KeepSource, ...]
    shortest_d: float | None
    longest_d: float | None
    first_until: str
    last_until: str
    state: str
    alive_low: float | None = None
    alive_high: float | None = None
    half_alive: float | None = None
    signs: tuple[str, ...] = ()
    used_d: tuple[int, int] | None = None
    lot_state: str = "in store"
