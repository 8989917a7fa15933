"""Trees, their limbs and what they stand on."""

from __future__ import annotations

import re
from dataclasses import dataclass

from barkslip.domain.entry import Entry
from barkslip.domain.errors import InputError
from barkslip.domain.when import When

#: From the roots up. "own roots" stands where a rootstock would.
LEVELS = ("rootstock", "own roots", "interstock", "framework", "scion")
LEVEL_HELP = {
    "rootstock": "roots and lower trunk that carry the rest",
    "own roots": "not grafted: a cutting, a layer or a seedling",
    "interstock": "a piece of another variety between rootstock and top",
    "framework": "old limbs kept to carry new grafts",
    "scion": "the top that was bought or grown with the tree",
}
UNKNOWN = "unknown"
BEARINGS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
BEARING_DEG = {name: 45.0 * i for i, name in enumerate(BEARINGS)} | {"C": 0.0}
BANDS = {"L": "low", "M": "middle", "H": "high"}
_ADDRESS = re.compile(r"^(C|N|NE|E|SE|S|SW|W|NW)-([LMH])(?:-([A-Z0-9]+))?$")
#: Rounding allowed when beliefs are added [1].
BELIEF_ROUNDING = 1e-6


@dataclass(frozen=True, kw_only=True)
class Tree(Entry):
    """A tree, or a batch of equal ones (`count`).

    Parameters
    ----------
    code : str
        Short name used in commands ("T01").
    name : str
        What the grower calls it.
    plot : str
        Thing id of its plot.
    fruit : str
        Kind of fruit tree in plain words ("citrus", "apple", "persimmon").
    planted : When or None
    count : int
    walk_order : int
        Place in the walk-round within the plot.
    union_mm : float or None
        Height of the lowest union over the soil [mm].
    bench_mm : float or None
        Height of a bench (step in girth) [mm].
    height_mm, spread_mm : float or None
        Size of the tree [mm].
    note : str
    """

    code: str
    name: str
    plot: str
    fruit: str = "citrus"
    planted: When | None = None
    count: int = 1
    walk_order: int = 0
    union_mm: float | None = None
    bench_mm: float | None = None
    height_mm: float | None = None
    spread_mm: float | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Limb(Entry):
    """A limb found without any tag: bearing, height band, path.

    Parameters
    ----------
    tree : str
        Thing id.
    bearing : str
        One of `BEARINGS`, or "C" for the leader in the middle; as seen from the trunk.
    band : {"L", "M", "H"}
        Low, middle or high on the tree.
    path : str
        What tells it from its neighbours ("L", "1", "2A"); may be empty.
    label : str
        Any other name in use ("L2").
    base_mm, tip_mm : float or None
        Height over the soil where it leaves the trunk and where it ends [mm].
    since : When or None
        Day from which this address or name holds.
    carries : str
        What grows on it, if known and not from a graft in this book ("Eureka lemon").
    proved : bool
        True when fruit or a look has shown what it is; an unproved limb is "do not cut yet".
    note : str
    """

    tree: str
    bearing: str
    band: str
    path: str = ""
    label: str = ""
    base_mm: float | None = None
    tip_mm: float | None = None
    since: When | None = None
    carries: str = ""
    proved: bool = False
    note: str = ""

    @property
    def address(self) -> str:
        """ "NW-M-L": bearing, height band, path."""
        return "-".join(part for part in (self.bearing, self.band, self.path) if part)


def parse_address(text: str) -> tuple[str, str, str]:
    """Bearing, band and path from "NW-M-L" (any case; "NW M L" and "NW-ML" are read too).

    Raises
    ------
    InputError
    """
    word = re.sub(r"[\s_./-]+", "-", text.strip().upper()).strip("-")
    match = _ADDRESS.match(word) or _ADDRESS.match(re.sub(r"^(C|[NS][EW]?|[EW])-([LMH])(?=[A-Z0-9])", r"\1-\2-", word))
    if not match:
        raise InputError(
            "Not a limb's address.",
            given=text or "(nothing)",
            allowed="bearing-height-path: N, NE, E, SE, S, SW, W, NW or C; L, M or H; then any letters, as in NW-M-L",
            next_step="Stand at the trunk, take the bearing of the limb and its height on the tree.",
            field="limb",
        )
    return match[1], match[2], match[3] or ""


@dataclass(frozen=True)
class Candidate:
    """One answer to "what is this part of the tree?" with its belief (0..1) and evidence."""

    taxon: str
    belief: float
    evidence: str = ""


@dataclass(frozen=True, kw_only=True)
class ChainLink(Entry):
    """What one level of a tree (or of one limb) is, as believed from a day on.

    Parameters
    ----------
    tree : str
        Thing id.
    limb : str or None
        Thing id of the limb it holds for; None for the whole tree.
    level : str
        One of `LEVELS`.
    candidates : tuple of Candidate
        Beliefs sum to 1 or less; what is missing to 1 is unknown, and shown so.
    on : When
        When this was believed.
    """

    tree: str
    level: str
    candidates: tuple[Candidate, ...]
    on: When
    limb: str | None = None

    @property
    def best(self) -> Candidate:
        """The likeliest candidate, unknown counted among them."""
        return max(complete(self.candidates), key=lambda c: c.belief)


def complete(candidates: tuple[Candidate, ...]) -> tuple[Candidate, ...]:
    """Candidates with what is missing to 1 added as unknown, likeliest first."""
    named = sum(c.belief for c in candidates)
    rest = 1.0 - named
    out = list(candidates)
    if rest > BELIEF_ROUNDING:
        unknown = [c for c in out if c.taxon == UNKNOWN]
        out = [c for c in out if c.taxon != UNKNOWN]
        held = sum(c.belief for c in unknown)
        out.append(Candidate(UNKNOWN, held + rest, unknown[0].evidence if unknown else ""))
    return tuple(sorted(out, key=lambda c: (-c.belief, c.taxon == UNKNOWN, c.taxon)))


def check_candidates(level: str, candidates: tuple[Candidate, ...]) -> None:
    """Refuse what no belief can be.

    Raises
    ------
    InputError
    """
    if level not in LEVELS:
        raise InputError(
            "No such level of a chain.",
            given=level,
            allowed=", ".join(LEVELS),
            next_step="Choose one from the list.",
            field="level",
        )
    if not candidates:
        raise InputError(
            "A link of the chain needs at least one answer.",
            allowed="a name, or unknown",
            next_step="Write unknown: it is a full answer.",
            field="taxon",
        )
    for one in candidates:
        if not 0.0 <= one.belief <= 1.0:
            raise InputError(
                "A belief is a share.",
                given=f"{one.taxon}: {one.belief:g}",
                allowed="0 to 1 (or 0 to 100 %)",
                next_step="Correct the belief.",
                field="belief",
            )
    names = [" ".join(c.taxon.lower().split()) for c in candidates]
    if len(set(names)) < len(names):
        raise InputError(
            "The same answer stands twice in one link.",
            given=", ".join(c.taxon for c in candidates),
            allowed="each name once",
            next_step="Add the two beliefs up and keep one line.",
            field="taxon",
        )
    total = sum(c.belief for c in candidates)
    if total > 1.0 + BELIEF_ROUNDING:
        raise InputError(
            "Beliefs add up to more than certainty.",
            given=f"{' + '.join(f'{c.belief:g}' for c in candidates)} = {total:g}",
            allowed="a sum of 1 at most; what is missing to 1 is shown as unknown",
            next_step="Lower one of them.",
            field="belief",
        )
