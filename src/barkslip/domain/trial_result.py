"""What a trial shows: its arms, how far they lie apart, what was put right first, and what stays open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from barkslip.domain.power import SizeRow
from barkslip.domain.trial import Trial, TrialPlan, TrialReading

#: What a comparison comes to. "alike": the interval lies within the difference worth knowing.
VERDICTS = ("shown", "leaning", "not shown", "alike")
#: What is looked at -> (words, unit, whether less is better; None if neither).
LOOKED_AT: dict[str, tuple[str, str, bool | None]] = {
    "took": ("grafts that took", "1", False),
    "excess_k": ("wood over the air", "K", True),
    "gain_k": ("gain over bare", "K", False),
    "shoot_mm": ("length of the shoot", "mm", False),
    "days": ("days until it pushed", "d", True),
    "brix": ("soluble solids", "°Brix", False),
    "score9": ("liking, 1 to 9", "1", False),
    "number": ("number", "1", None),
}
UNITS = ("graft", "tree", "night", "placement")


@dataclass(frozen=True)
class ArmResult:
    """One arm.

    Parameters
    ----------
    arm : str
    n : int
        Units of their own (grafts, scions, nights): what counts.
    readings : int
        Single readings behind them.
    value : float
        Share that took [0..1], or mean of the units.
    low, high : float or None
        19 times in 20; None if there is one unit only.
    took : int or None
        Of grafts, how many took.
    """

    arm: str
    n: int
    readings: int
    value: float
    low: float | None
    high: float | None
    took: int | None = None


@dataclass(frozen=True)
class Comparison:
    """Two arms.

    Parameters
    ----------
    arm, against : str
    difference : float
        Arm less the other.
    low, high : float
        19 times in 20; with more than two arms, for all pairs together.
    p_value : float
        Two-sided; with more than two arms, for all pairs together.
    better : float or None
        Chance that `arm` is the better one, flat beliefs beforehand [0..1]; None if neither more nor less is better.
    verdict : str
        One of `VERDICTS`.
    in_blocks_p : float or None
        Of takes: two-sided p of the comparison within blocks.
    """

    arm: str
    against: str
    difference: float
    low: float
    high: float
    p_value: float
    better: float | None
    verdict: str
    in_blocks_p: float | None = None


@dataclass(frozen=True)
class Correction:
    """What was taken off the readings of a logger.

    Parameters
    ----------
    logger : str
    error_k : float or None
        Reading less the truth in ice water [K]; None if it was never checked: nothing was taken off.
    readings : int
    arms : tuple of str
        Arms that it read.
    first, last : date
    """

    logger: str
    error_k: float | None
    readings: int
    arms: tuple[str, ...]
    first: date
    last: date


@dataclass(frozen=True)
class Tied:
    """Something that goes with an arm, so that the two cannot be told apart.

    Parameters
    ----------
    what : str
        "logger", "tree", "lot", "day", "thickness", "side".
    arm : str
    value : str
        "D", "T01", "W03", "thinner" ...
    """

    what: str
    arm: str
    value: str


@dataclass(frozen=True)
class BlockRow:
    """One block of a trial of takes: took and set, by arm."""

    block: str
    counts: dict[str, tuple[int, int]]


@dataclass(frozen=True)
class LaterState:
    """The state after a year.

    Parameters
    ----------
    arm : str
    alive, known, n : int
        Grafts known to be alive after a year, of those whose state is known, of all.
    due : date or None
        First day on which all have stood a year, if that has not come yet.
    """

    arm: str
    alive: int
    known: int
    n: int
    due: date | None = None


@dataclass(frozen=True)
class TrialResult:
    """A trial as far as it has come.

    Parameters
    ----------
    kind : str
        "share", "measured" or "none": nothing has been read.
    of : str
        What was looked at, a key of `LOOKED_AT` or the trial's own word.
    replicate : str
        What counts as one: "graft", "unit", "night", "block".
    n_blocks : int
        Blocks in which every arm was read; 0 if the comparison does without.
    nights : str
        Of night trials: "still", "windy", "not known" or "".
    arms : tuple of ArmResult
        Best first.
    pairs : tuple of Comparison
        Better arm first in each.
    as_read : tuple of Comparison
        The same before corrections, if any were made.
    corrections : tuple of Correction
    tied : tuple of Tied
    blocks : tuple of BlockRow
    later : tuple of LaterState
    apart : tuple of TrialResult
        Nights of another kind, kept apart.
    sizes : tuple of SizeRow
        Of takes: what a trial of this size sees of the difference worth knowing.
    worth_knowing : float or None
    notes : tuple of str
        Keys of sentences.
    against_typed : tuple of (arm, took, tried)
        Counts typed into the trial, where the grafts of the book say otherwise.
    """

    kind: str
    of: str = ""
    replicate: str = ""
    n_blocks: int = 0
    nights: str = ""
    arms: tuple[ArmResult, ...] = ()
    pairs: tuple[Comparison, ...] = ()
    as_read: tuple[Comparison, ...] = ()
    corrections: tuple[Correction, ...] = ()
    tied: tuple[Tied, ...] = ()
    blocks: tuple[BlockRow, ...] = ()
    later: tuple[LaterState, ...] = ()
    apart: tuple[TrialResult, ...] = ()
    sizes: tuple[SizeRow, ...] = ()
    worth_knowing: float | None = None
    notes: tuple[str, ...] = ()
    against_typed: tuple[tuple[str, int, int], ...] = ()


@dataclass(frozen=True)
class Beside:
    """Another trial that asked the same in other nights, and is not mixed in."""

    code: str
    nights: str
    n: int
    arm: str
    value: float


@dataclass(frozen=True)
class TrialStory:
    """One trial with everything about it.

    Parameters
    ----------
    trial : Trial
    plan : TrialPlan or None
    result : TrialResult
    beside : tuple of Beside
    sizes : tuple of SizeRow
        Before anything is read: what the planned size sees.
    planned_each : int or None
        In each arm, as drawn.
    readings : tuple of TrialReading
        Newest first, at most a few.
    n_readings : int
    """

    trial: Trial
    plan: TrialPlan | None
    result: TrialResult
    beside: tuple[Beside, ...] = ()
    sizes: tuple[SizeRow, ...] = ()
    planned_each: int | None = None
    readings: tuple[TrialReading, ...] = ()
    n_readings: int = 0
