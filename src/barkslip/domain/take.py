"""What took: lives of grafts, groups that are compared, and how surely anything can be said of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

#: What grafts can be grouped by -> in words.
BY = {
    "method": "method",
    "cover": "cover",
    "heat": "heat in the first weeks",
    "wood": "age of the wood",
    "side": "side of the limb",
    "months": "time of year",
    "season": "growing year",
    "tree": "tree",
    "plot": "plot",
    "variety": "variety",
    "stock": "rootstock",
    "pair": "scion and stock",
    "lot": "wood lot",
    "campaign": "campaign",
    "binding": "binding",
    "arm": "arm of a trial",
}
#: How a graft that is followed can end. "failed": dried or black. "other": broken, eaten or choked.
ENDS = ("", "failed", "other")
#: States that a graft comes to by other causes than its join.
OTHER_STATES = ("broken", "eaten", "choked")
#: Codes of what must be said beside the answer; each is worded in `present`.
NOTES = (
    "fit_failed",
    "typed", "no_grafts", "no_lives", "none_lost", "all_lost", "one_group", "no_ranking", "left_out",
    "heat_unknown",
)  # fmt: skip
UNKNOWN = "not known"
#: Name of small groups put together.
LUMPED = "all others"


@dataclass(frozen=True)
class Life:
    """What the looks at one graft say of its time.

    Parameters
    ----------
    days : float
        From setting to its loss, or to the last look at it alive [d]. A loss is put halfway between the last look that
        saw it alive and the first that saw it lost.
    end : str
        One of `ENDS`.
    push_days : float or None
        Until a shoot grew [d], halfway between two looks; None if none was seen.
    """

    days: float
    end: str = ""
    push_days: float | None = None


@dataclass(frozen=True)
class TakeGraft:
    """One graft, as the question of take needs it.

    Parameters
    ----------
    code : str
    levels : mapping
        Key of `BY` -> what it is for this graft, in words; `UNKNOWN` if the book does not say.
    verdict : str
        One of `domain.graft.VERDICTS`, folded from its looks.
    lost_after : bool
        Took and was lost later.
    life : Life or None
        None if the day it was set is too vague.
    hot, old, sunny : bool or None
        Had heat in its first weeks; its wood was old; on the side of the afternoon sun. None if not known.
    stock_mm : float or None
        Thickness of what it was set on [mm].
    year_due : date
        Day on which it has stood a year.
    alive_year : bool or None
        Alive then; None if the day has not come, or no look tells.
    """

    code: str
    levels: Mapping[str, str]
    verdict: str
    year_due: date
    lost_after: bool = False
    life: Life | None = None
    hot: bool | None = None
    old: bool | None = None
    sunny: bool | None = None
    stock_mm: float | None = None
    alive_year: bool | None = None


@dataclass(frozen=True)
class Range:
    """5 in 100 lie below, half below, 5 in 100 above."""

    p05: float
    p50: float
    p95: float


@dataclass(frozen=True)
class Shares:
    """Where an answer comes from; the three sum to 1.

    Parameters
    ----------
    prior : float
        The published belief.
    others : float
        Other grafts of this garden.
    own : float
        The grafts of the group.
    """

    prior: float
    others: float
    own: float


@dataclass(frozen=True)
class Year:
    """How grafts stood after a year.

    Parameters
    ----------
    alive, known, waiting : int
        Alive of those known; not yet a year old, or no look that tells.
    due : date or None
        Day on which the last that is not yet a year old will be; None if all are.
    """

    alive: int
    known: int
    waiting: int
    due: date | None


@dataclass(frozen=True)
class Curve:
    """A share that grows with time, in steps.

    Parameters
    ----------
    weeks : tuple of float
        Since setting, rising, from 0.
    pushed : tuple of float
        Share that had grown a shoot by then, being lost first counted as never (Aalen-Johansen) [0..1].
    failed, other : tuple of float
        Shares that had dried or gone black, been lost to other causes by then (Aalen-Johansen) [0..1].
    standing : tuple of float
        Share standing, losses of all causes (Kaplan-Meier) [0..1].
    low, high : tuple of float
        5 and 95 in 100 about it, by Greenwood's error on the scale log(-log); by Wilson's where nothing or all is lost.
    at_risk : tuple of int
        Grafts followed at least so long.
    """

    weeks: tuple[float, ...]
    pushed: tuple[float, ...]
    failed: tuple[float, ...]
    other: tuple[float, ...]
    standing: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    at_risk: tuple[int, ...]


@dataclass(frozen=True)
class TakeGroup:
    """One group of grafts.

    Parameters
    ----------
    group : str
    n, took, waiting, lost : int
        Set; took, waiting for a verdict, did not take: counted as the looks say, no model.
    lost_after : int
        Of those that took, lost later.
    take_26w : Range
        Share that joins and stays joined for 26 weeks if no bird, wind, snail or binding takes it, on a tree like the
        others and with what the garden's grafts had on average.
    stands_26w : Range
        The same, with what birds, wind, snails and bindings take.
    shares : Shares
    ranked : bool
        True if enough of its grafts have a verdict to compare it.
    better_than : mapping
        Group -> chance that this one takes better; only of groups that are both ranked.
    needed : int or None
        Grafts of this group still needed for what `needed_for` says; None if more than can be set.
    needed_for : str
        Group that it is to be told from; "" for an interval of a given width.
    year : Year
    curve : Curve or None
    stock_mm : tuple of (low, high) or None
        Thickness of the stocks [mm].
    """

    group: str
    n: int
    took: int
    waiting: int
    lost: int
    lost_after: int
    take_26w: Range
    stands_26w: Range
    shares: Shares
    ranked: bool
    better_than: Mapping[str, float]
    needed: int | None
    needed_for: str
    year: Year
    curve: Curve | None = None
    stock_mm: tuple[float, float] | None = None

    @property
    def decided(self) -> int:
        """Grafts with a verdict."""
        return self.took + self.lost


@dataclass(frozen=True)
class TakePair:
    """Two groups that are both ranked.

    Parameters
    ----------
    better, worse : str
        By the middle of the belief; not yet a verdict.
    chance : float
        That `better` takes better [0..1].
    points : Range
        Its take less that of the other [0..1].
    apart : float
        Chance that they differ by the points asked for, either way [0..1].
    told : bool
        True if the chance reaches the line from which one is called better.
    needed_each : int or None
        Grafts of each group in all, to tell takes as far apart as they seem now; None if more than can be set.
    never_together : tuple of str
        Keys of `BY`, and "thickness": what the two have never shared, so that it may be behind the difference.
    """

    better: str
    worse: str
    chance: float
    points: Range
    apart: float
    told: bool
    needed_each: int | None
    never_together: tuple[str, ...] = ()


@dataclass(frozen=True)
class Alone:
    """Something that goes with a group and with no other.

    Parameters
    ----------
    group : str
    what : str
        Key of `BY`, or "thickness".
    value : str
    """

    group: str
    what: str
    value: str


@dataclass(frozen=True)
class TakeVerdict:
    """What took, group by group.

    Parameters
    ----------
    by : str
        Key of `BY`.
    groups : tuple of TakeGroup
        Ranked ones first, by size; no order says which is better.
    pairs : tuple of TakePair
        Of ranked groups; those told first.
    alone : tuple of Alone
    whole : TakeGroup
        All grafts together.
    notes : tuple of str
        Keys of `NOTES`.
    left_out : int
        Grafts in no interval, as their day is vague or nobody has looked.
    lumped : tuple of str
        Small groups put together as "all others".
    effects : tuple of (str, Range)
        What else was taken into account: factor by which it multiplies the odds of loss.
    as_of : date or None
    rank_from : int
        Grafts with a verdict from which a group is compared.
    seed : int
    draws, ess : float
        Draws, and how many they are worth.
    knowledge_hash : str
    """

    by: str
    groups: tuple[TakeGroup, ...]
    pairs: tuple[TakePair, ...]
    alone: tuple[Alone, ...]
    whole: TakeGroup
    notes: tuple[str, ...] = ()
    left_out: int = 0
    lumped: tuple[str, ...] = ()
    effects: tuple[tuple[str, Range], ...] = field(default=())
    as_of: date | None = None
    rank_from: int = 5
    seed: int = 1
    draws: int = 0
    ess: float = 0.0
    knowledge_hash: str = ""
