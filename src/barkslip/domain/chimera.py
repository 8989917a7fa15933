"""Graft chimeras: a shoot out of the very join whose layers come from two kinds."""

from __future__ import annotations

from dataclasses import dataclass

LAYERS = ("L1", "L2", "L3")
#: Tissue -> layer that builds it (None where none is known to), and key of the row that says so.
TISSUES: dict[str, tuple[str | None, str]] = {
    "juice sacs": ("L1", "l1_parts"),
    "skin of the peel": ("L1", "l1_parts"),
    "colour of the juice": ("L1", "l1_zaohong"),
    "sugar, acid and size of fruit": ("L1", "l1_pull"),
    "rind: colour and scent": ("L2", "l2_zaohong"),
    "shape of leaf and fruit, the navel": ("L2", "l2_zaohong"),
    "seed": ("L2", "l2_parts"),
    "seedlings": ("L2", "l2_seed"),
    "wood and pith": ("L3", "l3_parts"),
    "shoots out of roots": ("L3", "l3_parts"),
    "months of ripening": (None, "ripens_earlier"),
}
#: Rows that stand against a picture of strict layers -> tissues they touch.
AGAINST: dict[str, tuple[str, ...]] = {
    "layers_mixed": ("juice sacs", "colour of the juice", "sugar, acid and size of fruit", "seed"),
    "unstable": ("juice sacs", "skin of the peel", "rind: colour and scent"),
    "l1_pull": ("shape of leaf and fruit, the navel",),
}
#: Where a union stands -> words.
PLACES = {"graft": "graft", "scion": "top", "framework": "framework", "interstock": "piece between"}


@dataclass(frozen=True)
class ChimeraFact:
    """One line of the knowledge base.

    Parameters
    ----------
    key, topic, layer, text : str
    source, citation, status, applies_to, note : str
    """

    key: str
    topic: str
    layer: str
    text: str
    source: str
    citation: str
    status: str
    applies_to: str = ""
    note: str = ""


@dataclass(frozen=True)
class Tissue:
    """What one tissue would be like.

    Parameters
    ----------
    name : str
        Key of `TISSUES`.
    layer : str
        Layer that builds it; "" if none is known.
    donor : str
        Kind it would be like; "" if that is not known.
    fact : str
        Key of the fact that says so.
    against : tuple of str
        Keys of facts against it.
    known : str
        What is known of the donor there ("seedless"); "" if nothing.
    """

    name: str
    layer: str
    donor: str
    fact: str
    against: tuple[str, ...] = ()
    known: str = ""


@dataclass(frozen=True)
class Arrangement:
    """One way two kinds can lie in three layers.

    Parameters
    ----------
    layers : (str, str, str)
        Kind in L1, L2 and L3.
    written : str
        With the plus sign of the Code.
    tissues : tuple of Tissue
    """

    layers: tuple[str, str, str]
    written: str
    tissues: tuple[Tissue, ...]


@dataclass(frozen=True)
class Join:
    """A union at which a shoot could arise.

    Parameters
    ----------
    upper, lower : str
        Kinds above and below it; "?" if not known.
    place : str
        Key of `PLACES`.
    where : str
        Code of the graft, or of the tree.
    lives : bool
        False for a graft that did not take or still waits.
    """

    upper: str
    lower: str
    place: str
    where: str
    lives: bool = True


@dataclass(frozen=True)
class Odds:
    """How rare it is, from what was seen.

    Parameters
    ----------
    unions, seen : int
        Unions watched and chimeras seen at them.
    sure : float
        How sure the bounds are [0..1].
    low, high : float
        Exact two-sided limits of the share (Clopper and Pearson) [0..1].
    upper : float
        Exact one-sided upper limit [0..1].
    three : float or None
        3 / unions, the rule of three; None if one was seen or too few unions for the rule.
    for_even_chance : int or None
        Fewest unions for an even chance of one if the share were the upper limit; None if there is no limit.
    """

    unions: int
    seen: int
    sure: float
    low: float
    high: float
    upper: float
    three: float | None
    for_even_chance: int | None


@dataclass(frozen=True)
class Cost:
    """One thing that trying costs: what it is, how long it takes [year], and how that is known."""

    code: str
    low_y: float | None
    high_y: float | None
    source: str
    status: str


@dataclass(frozen=True)
class ChimeraAnswer:
    """All there is to say about a graft chimera of two kinds.

    Parameters
    ----------
    one, other : str
        The two kinds; "" if none was named.
    arrangements : tuple of Arrangement
    chosen : Arrangement or None
        The one that was asked about.
    tree : str
        Code of the tree whose unions are listed.
    joins : tuple of Join
    odds : Odds or None
        None if no union was watched.
    odds_from : {"typed", "book"}
    costs : tuple of Cost
    facts : tuple of ChimeraFact
    knowledge_hash : str
    """

    one: str
    other: str
    arrangements: tuple[Arrangement, ...]
    chosen: Arrangement | None
    tree: str
    joins: tuple[Join, ...]
    odds: Odds | None
    odds_from: str
    costs: tuple[Cost, ...]
    facts: tuple[ChimeraFact, ...]
    knowledge_hash: str = ""
