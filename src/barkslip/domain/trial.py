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
