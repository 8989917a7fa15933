"""What is ripe when, what fills the gaps, and which kinds set seeds in each other's fruit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.fits import Kind
from barkslip.domain.sourced import Source, Value

#: Half months of a year: 0 is the first half of January.
HALVES = 24
#: Groups grown for the kitchen rather than to be eaten from the hand: our sorting.
KITCHEN = (
    "lemon", "lemon_hybrid", "lime", "citron", "sour_orange", "calamondin", "papeda_hybrid", "finger_lime",
)  # fmt: skip
#: How near a pollen partner stands, nearest first.
NEAR = ("same tree", "same plot", "same garden")


@dataclass(frozen=True)
class Place:
    """Where a kind grows in the garden.

    Parameters
    ----------
    tree, tree_name, plot : str
        Codes and name.
    how : str
        "graft", "limb" or "top".
    since : str
        ISO day of the oldest graft that lives; "" for what the tree came with.
    """

    tree: str
    tree_name: str
    plot: str
    how: str
    since: str = ""


@dataclass(frozen=True)
class Ripe:
    """One kind in the calendar.

    Parameters
    ----------
    windows : tuple of (int, int)
        Half months, first and last, turned to this garden; the last may lie beyond the year's end (over 23).
    season : Value or None
        The words they were read from.
    open_words : bool
        True if the words are so wide that the window is rough ("summer", "all year").
    first_fruit : str
        Year of the first fruit to be looked for, of the oldest graft; "" if it is no graft.
    """

    kind: Kind
    kitchen: bool
    windows: tuple[tuple[int, int], ...]
    season: Value | None
    places: tuple[Place, ...]
    open_words: bool = False
    first_fruit: str = ""

    def ripe_in(self, half: int) -> bool:
        """True if it is ripe in a half month."""
        return any(first <= half <= last or first <= half + HALVES <= last for first, last in self.windows)


@dataclass(frozen=True)
class Gap:
    """Half months in which nothing of the garden is ripe to be eaten from the hand, and kinds that fill it."""

    first: int
    last: int
    fills: tuple[tuple[Ripe, float], ...]  # (kind, share of the gap it fills)


@dataclass(frozen=True)
class Partner:
    """One kind that gives another pollen.

    Parameters
    ----------
    near : str
        One of `NEAR`.
    places : tuple of Place
    pollen : Value or None
        What is known of its pollen; None if nothing is.
    gives : str
        "yes", "hardly" or "not known".
    """

    kind: Kind
    near: str
    places: tuple[Place, ...]
    pollen: Value | None
    gives: str


@dataclass(frozen=True)
class Seeds:
    """Seeds counted in own fruit of one kind on one tree, and what explains them.

    Parameters
    ----------
    counts : tuple of (str, float)
        ISO day and seeds a fruit, oldest first.
    rose : bool
        True if the newest count is well over an older one.
    explains : Partner or None
        The partner whose first bloom could have come between.
    bloom : str
        Month and year of the bloom the newest fruit came from.
    """

    tree: str
    tree_name: str
    counts: tuple[tuple[str, float], ...]
    rose: bool
    explains: Partner | None
    bloom: str = ""


@dataclass(frozen=True)
class PollenCard:
    """One kind of the garden, its need of pollen, its partners and its seeds.

    Parameters
    ----------
    need : str
        "needs" (bears poorly without), "helps", "none" or "not known".
    seedy : bool
        True if foreign pollen sets seeds in fruit that has few by itself.
    words : tuple of (str, Value)
        What is known: pollination, seeds.
    """

    ripe: Ripe
    need: str
    seedy: bool
    words: tuple[tuple[str, Value], ...]
    partners: tuple[Partner, ...]
    seeds: tuple[Seeds, ...]


@dataclass(frozen=True)
class RipeYear:
    """The year of the garden.

    Parameters
    ----------
    south : bool or None
        Half of the world; None if the garden's place is not known (months are then those of the north).
    """

    south: bool | None
    ripe: tuple[Ripe, ...]
    gaps: tuple[Gap, ...]
    pollen: tuple[PollenCard, ...]
    unknown: tuple[str, ...]
    quality: Value | None = None
    sources: Mapping[str, Source] = field(default_factory=dict)
