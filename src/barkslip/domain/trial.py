"""Small experiments and the loggers they lean on."""

from __future__ import annotations

from dataclasses import dataclass, field

from barkslip.domain.entry import Entry


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
