"""Keep, rework or replace: years of good fruit that each way of going on with a tree brings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.fruit import OwnTasting
from barkslip.domain.sourced import Value

#: Ways, the one that changes least first: of equal ones the earlier is chosen.
WAYS = ("keep", "wait", "trial", "rework", "replace")
#: Numbers that can be typed -> (lowest, highest).
LIMITS: dict[str, tuple[float, float]] = {
    "years": (1, 40), "discount": (0, 0.5), "score": (1, 9), "score_to": (1, 9), "score_new": (1, 9),
    "crop": (0, 1), "dry": (0, 1), "take": (0, 1), "bears_now": (1, 20), "bears": (1, 20), "bears_new": (1, 20),
    "stands": (0, 1), "give_out": (0, 0.9), "share": (0.01, 0.9), "cost_trial": (0, 1e9), "cost_rework": (0, 1e9),
    "cost_replace": (0, 1e9), "upkeep": (0, 1e9), "upkeep_new": (0, 1e9), "fruit_year": (0, 1e9),
}  # fmt: skip
#: What has been seen at the union.
UNIONS = ("not looked", "sound", "crease")


@dataclass(frozen=True)
class Belief:
    """What is believed of one quantity: values with weights that add up to 1."""

    values: tuple[float, ...]
    weights: tuple[float, ...]

    @property
    def mean(self) -> float:
        """Expected value."""
        return sum(v * w for v, w in zip(self.values, self.weights, strict=True))


def sure(value: float) -> Belief:
    """One value, without doubt."""
    return Belief((value,), (1.0,))


@dataclass(frozen=True)
class WorthNumbers:
    """All that the reckoning needs.

    Parameters
    ----------
    years : float
        Years looked ahead.
    d : float
        What next year's fruit is worth beside this year's [0..1].
    now, rework, replace : Belief
        Good fruit in a bearing year: of what stands, of the kind put on it, of a new tree [year of good fruit].
    take : float
        Chance that a graft takes [0..1]; one that fails is set again once.
    bears, bears_new : float
        Year from which grafts, a new tree bear fruit as it should be.
    bears_now : float
        Year from which what stands bears fruit as it should be: 1 if it does already.
    stands : float
        Chance that a new tree lives to bear [0..1].
    give_out, give_out_new : float
        Chance each year that this tree, a new one gives out [0..1].
    share : float
        Share of the crown that a trial limb takes [0..1].
    cost_trial, cost_rework, cost_replace : float
        [year of good fruit].
    upkeep, upkeep_new : float
        Of each year: this tree, a new one [year of good fruit].
    crop_spread : float
        How far one crop lies from what the tree will go on bearing, one standard deviation [year of good fruit];
        infinite if a crop teaches nothing new.
    """

    years: float
    d: float
    now: Belief
    rework: Belief
    replace: Belief
    take: float
    bears: float
    bears_new: float
    bears_now: float = 1.0
    stands: float = 1.0
    give_out: float = 0.0
    give_out_new: float = 0.0
    share: float = 0.1
    cost_trial: float = 0.0
    cost_rework: float = 0.0
    cost_replace: float = 0.0
    upkeep: float = 0.0
    upkeep_new: float = 0.0
    crop_spread: float = 0.0


@dataclass(frozen=True)
class WorthInput:
    """One number as it went in.

    Parameters
    ----------
    key : str
        Key of `LIMITS`.
    value, low, high : float or None
        Middle and range; None if it is not known and counts for nothing.
    how : str
        "typed", "own" (of this garden), "table", "chosen", "not known".
    source, status : str
        Of what comes from a table.
    note : str
        Counts behind it: tastings; took and judged; limbs.
    """

    key: str
    value: float | None
    low: float | None
    high: float | None
    how: str
    source: str = ""
    status: str = ""
    note: str = ""


@dataclass(frozen=True)
class Way:
    """One way of going on.

    Parameters
    ----------
    code : str
        One of `WAYS`.
    value : float
        Years of good fruit ahead, expected; costs taken off.
    low, high : float
        One in ten below, one in ten above.
    more : float
        Share of the draws in which it brings more than the best way [0..1].
    barred : str
        Code of what speaks against it whatever it brings; "" if nothing does.
    """

    code: str
    value: float
    low: float
    high: float
    more: float
    barred: str = ""


@dataclass(frozen=True)
class Turn:
    """How far one number must go for another way to be the best.

    Parameters
    ----------
    key : str
        Key of `LIMITS`.
    at : float
        Where it turns, all other numbers as they are.
    becomes : str
        The way that is best beyond it.
    within : bool
        True if that lies within the number's own range.
    """

    key: str
    at: float
    becomes: str
    within: bool


@dataclass(frozen=True)
class Bearing:
    """When a tree came, or will come, into bearing.

    Parameters
    ----------
    tree, name, what : str
        Code and name; "grafts G01" or "planted".
    since : str
        Day or year from which it is counted, ISO.
    first_crop : str
        Day of the first tasting; "" if there was none yet.
    years : float or None
        From the one to the other [year].
    expected : (int, int) or None
        Years of the calendar in which its first crop is to be looked for.
    source, status : str
        Of the times behind `expected`.
    """

    tree: str
    name: str
    what: str
    since: str
    first_crop: str = ""
    years: float | None = None
    expected: tuple[int, int] | None = None
    source: str = ""
    status: str = ""


@dataclass(frozen=True)
class WorthAnswer:
    """What each way brings, and what would turn the answer.

    Parameters
    ----------
    tree, name : str
        Code and name; "" without a tree of the book.
    kind, to : str
        What it bears now; what would be put on it ("" if it was not said).
    ways : tuple of Way
        In the order of `WAYS`.
    best : str
        Code of the best way that nothing bars.
    close : str
        Code of a way too close to it to call; "".
    known : float
        Value of knowing all qualities before choosing [year of good fruit].
    known_by : mapping
        The same for each quality alone: "score", "score_to", "score_new".
    turns : tuple of Turn
        Those within a number's own range first.
    inputs : tuple of WorthInput
    tastings : tuple of OwnTasting
        Of the kind it bears now, on this tree.
    trend : str
        "rising", "falling" or "".
    bearing : tuple of Bearing
    join : str
        What is recorded of the worst join that stands: "", "recorded_bad", "mixed".
    join_share : float
        Belief that the join is of that kind [0..1].
    again : str
        Verdict of the present kind set on this chain anew; "".
    union : str
        One of `UNIONS`.
    fit : str
        Verdict of `to` on this chain; "".
    notes : tuple of str
        Codes; each is worded in `present`.
    seeds : (float, float) or None
        Seeds in a fruit of the last two tastings, if they rose much.
    kinds : tuple of str
        All that the tree bears.
    margin : float
        Differences below it are not told apart [year of good fruit].
    values : mapping
        Numbers of the knowledge base that were used, by key.
    """

    tree: str
    name: str
    kind: str
    to: str
    ways: tuple[Way, ...]
    best: str
    close: str
    known: float
    known_by: Mapping[str, float]
    turns: tuple[Turn, ...]
    inputs: tuple[WorthInput, ...]
    tastings: tuple[OwnTasting, ...] = ()
    trend: str = ""
    bearing: tuple[Bearing, ...] = ()
    join: str = ""
    join_share: float = 0.0
    again: str = ""
    union: str = "not looked"
    fit: str = ""
    notes: tuple[str, ...] = ()
    seeds: tuple[float, float] | None = None
    kinds: tuple[str, ...] = ()
    margin: float = 0.0
    values: Mapping[str, Value] = field(default_factory=dict)

    def way(self, code: str) -> Way:
        """The way of that code."""
        return next(w for w in self.ways if w.code == code)
