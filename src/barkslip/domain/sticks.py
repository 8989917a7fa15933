"""How many sticks to ask for: grafts wanted alive, what takes, and how sure it shall be."""

from __future__ import annotations

from dataclasses import dataclass

#: What a count of sticks leaves out.
STICK_DOUBTS = ("one_fate", "few_grafts", "stick_buds", "buds_per_graft", "other_setting")


@dataclass(frozen=True)
class Take:
    """The share of grafts that take, with how well it is known.

    Parameters
    ----------
    mean : float
        Expected share [0..1].
    weight : float or None
        Grafts it is worth: it is then a Beta with `weight * mean` for and `weight * (1 - mean)` against; None if it
        is taken as sure.
    low, high : float
        One chance in ten lies below, one above [0..1].
    took, lost : int
        Own grafts in it.
    method : str
        Name of the method; "" if none was named.
    applies_to, source, status : str
        Where the share comes from before own grafts; status "typed" if the grower typed it.
    """

    mean: float
    weight: float | None
    low: float
    high: float
    took: int = 0
    lost: int = 0
    method: str = ""
    applies_to: str = ""
    source: str = ""
    status: str = "typed"


@dataclass(frozen=True)
class StickStep:
    """What so many sticks give.

    Parameters
    ----------
    sticks, grafts : int
        Grafts that can be set from them.
    chance : float
        Chance of at least as many living grafts as wanted [0..1].
    chance_of_one : float
        Chance of at least one [0..1].
    """

    sticks: int
    grafts: int
    chance: float
    chance_of_one: float


@dataclass(frozen=True)
class StickPlan:
    """How many sticks to ask for.

    Parameters
    ----------
    wanted : int
        Living grafts wanted.
    sure : float
        Wanted chance of at least so many [0..1].
    buds_per_stick, buds_per_graft : int
    take : Take
    grafts : int
        Fewest grafts to set.
    buds : int
        Buds in them.
    sticks : int
        Whole sticks that hold them.
    chance : float
        Chance of at least `wanted` with `grafts` [0..1].
    steps : tuple of StickStep
        Fewer and more sticks, for comparison.
    doubt : StickPlan or None
        The same question with the take as a guess, if it was taken as sure.
    unknowns : tuple of str
        Codes of `STICK_DOUBTS`.
    """

    wanted: int
    sure: float
    buds_per_stick: int
    buds_per_graft: int
    take: Take
    grafts: int
    buds: int
    sticks: int
    chance: float
    steps: tuple[StickStep, ...]
    doubt: StickPlan | None = None
    unknowns: tuple[str, ...] = ()
