"""How many are needed before a trial starts, and what a trial of a given size can show."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class StopRule:
    """Looking before the end without fooling oneself.

    Parameters
    ----------
    looks : tuple of int
        In each arm, how many are in at each look.
    bound : float
        Stop as soon as the chance that one arm is better reaches this (flat beliefs beforehand) [0..1].
    error : float
        Chance of stopping on arms that are equal, over all looks together, at the take where it is highest [0..1].
    error_at : float
        That take [0..1].
    power : float or None
        Chance of stopping for the better arm, if two takes were given [0..1].
    mean_n : float or None
        In each arm, how many are set on average before it stops.
    """

    looks: tuple[int, ...]
    bound: float
    error: float
    error_at: float
    power: float | None = None
    mean_n: float | None = None


@dataclass(frozen=True)
class TakePower:
    """How many grafts tell two takes apart.

    Parameters
    ----------
    a, b : float
        Shares that take [0..1].
    alpha, wanted : float
        False alarm, both sides together; wanted chance of seeing the difference [0..1].
    normal : float
        In each arm, by the usual approximation, not rounded.
    fleiss : int
        In each arm, approximation with the correction for counts.
    fisher : int or None
        In each arm, by Fisher's test, counted exactly; None if more than `MOST_EACH`.
    at : tuple of (n, chance)
        Chance of seeing it with so many in each arm, exact.
    own_n : int or None
        The number in each arm that was asked about.
    own_power : float or None
        Chance of seeing it with that number.
    per_tree : int
        Grafts of a tree that all stand in the same arm; 1 where arms share trees.
    icc : float
        Likeness of grafts on one tree [0..1].
    inflation : float
        By what the numbers grow because of it.
    with_trees : int or None
        In each arm, Fisher's number grown by it.
    stop : StopRule or None
    """

    a: float
    b: float
    alpha: float
    wanted: float
    normal: float
    fleiss: int
    fisher: int | None
    at: tuple[tuple[int, float], ...]
    own_n: int | None = None
    own_power: float | None = None
    per_tree: int = 1
    icc: float = 0.0
    inflation: float = 1.0
    with_trees: int | None = None
    stop: StopRule | None = None


@dataclass(frozen=True)
class MeasuredPower:
    """How many readings tell a difference of something measured.

    Parameters
    ----------
    difference, sd : float
        The difference looked for, and the spread: of the differences within a pair, or of single units; same unit.
    paired : bool
        True if both arms are read in each night, tree or place.
    alpha, wanted : float
        [0..1]
    needed : int
        Pairs, or units in each arm.
    at : tuple of (n, chance)
    own_n, own_power
        As in `TakePower`.
    """

    difference: float
    sd: float
    paired: bool
    alpha: float
    wanted: float
    needed: int
    at: tuple[tuple[int, float], ...]
    own_n: int | None = None
    own_power: float | None = None


@dataclass(frozen=True)
class SizeRow:
    """What a planned size sees from one usual take.

    Parameters
    ----------
    usual : float
        Take of the usual way [0..1].
    other : float
        Take that would be seen [0..1].
    power : float
        Chance of seeing it [0..1].
    needed : int or None
        In each arm, for the wanted chance.
    """

    usual: float
    other: float
    power: float
    needed: int | None
