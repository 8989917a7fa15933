"""Small experiments and the loggers they lean on."""

from __future__ import annotations

from dataclasses import dataclass, field

from barkslip.domain.entry import Entry
from barkslip.domain.when import When


@dataclass(frozen=True, kw_only=True)
class Trial(Entry):
    """A question asked of the garden.

    Parameters
    ----------
    code, season, question, design : str
    result : dict
        Per arm [successes, tried].
    note : str
    """

    code: str
    question: str
    season: str = ""
    design: str = ""
    result: dict[str, list[float]] = field(default_factory=dict)
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Logger(Entry):
    """A thermometer that writes.

    Parameters
    ----------
    code, place : str
    plot : str or None
        Thing id.
    exposure : str
        One of `domain.weather.EXPOSURES`.
    ice_bath_error_k : float or None
        Reading minus 0 °C in an ice bath [K].
    clock_error_min : float or None
        Logger's clock minus true local standard time [min].
    note : str
    """

    code: str
    place: str
    plot: str | None = None
    exposure: str = "not known"
    ice_bath_error_k: float | None = None
    clock_error_min: float | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Placement(Entry):
    """Where a logger sat for a while.

    Parameters
    ----------
    logger : str
        Thing id.
    since, until : When
        First and last whole day.
    cover : str
        What was over it, as a grower calls it ("foil sleeve"); "" for the open.
    graft, tree : str or None
        Thing id of the graft or tree at which it hung.
    side : str
        Bearing of the face it hung on ("NW").
    touching : bool
        The bead lay against wood; False for air.
    arm : str
        Arm of a trial.
    note : str
    """

    logger: str
    since: When
    until: When
    cover: str = ""
    graft: str | None = None
    tree: str | None = None
    side: str = ""
    touching: bool = False
    arm: str = ""
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class TrialPlan(Entry):
    """How a trial is meant to run, written down before it starts.

    Parameters
    ----------
    trial : str
        Thing id.
    arms : tuple of str
        What is compared; the first is the usual way.
    unit : str
        What is counted: "graft", "tree", "night", "placement".
    draw : dict
        Unit -> [block, arm], as drawn by lot.
    seed : int
        Seed of the lot.
    looked_at : str
        What is looked at, and when.
    stop : str
        When it ends, in words.
    min_difference : float
        Smallest difference worth knowing, in the units of what is looked at (shares for takes).
    power : float
        Wanted chance of seeing it [0..1].
    """

    trial: str
    arms: tuple[str, ...]
    unit: str
    draw: dict[str, list[str]] = field(default_factory=dict)
    seed: int = 1
    looked_at: str = ""
    stop: str = ""
    min_difference: float = 0.0
    power: float = 0.8


@dataclass(frozen=True, kw_only=True)
class TrialReading(Entry):
    """One number of a trial.

    Parameters
    ----------
    trial : str
        Thing id.
    unit : str
        What was measured ("E1-07", "T03").
    arm : str
    block : str
        Tree, side or night within which arms are compared; "" if none.
    on : When
    value : float
    of : str
        What the number is, with its unit: "excess_k", "gain_k".
    logger : str or None
        Thing id of the logger it comes from.
    note : str
    """

    trial: str
    unit: str
    arm: str
    on: When
    value: float
    of: str
    block: str = ""
    logger: str | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class CanopyShare(Entry):
    """How much of a tree's canopy one part takes in one year.

    Parameters
    ----------
    tree : str
        Thing id.
    limb : str or None
        Thing id of the limb; None if only the name of what grows there is known.
    name : str
        What grows there.
    on : When
    share : float
        [0..1]
    """

    tree: str
    on: When
    share: float
    limb: str | None = None
    name: str = ""
