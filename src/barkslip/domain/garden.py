"""The garden and its plots."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.entry import Entry


@dataclass(frozen=True, kw_only=True)
class Garden(Entry):
    """The whole place; a book has one.

    Parameters
    ----------
    name : str
    lat, lon : float or None
        [° north, ° east]; the sign of `lat` decides on the hemisphere of months and of the hot side.
    elevation_m : float or None
    utc_offset_h : float
        Local standard time minus UTC [h], without summer time.
    units : {"metric", "us", "imperial"}
        What the grower types when no unit is named.
    date_order : {"", "dmy", "mdy"}
        How the grower writes 3/4/2024; "" asks.
    soil, water, rules : str
        Free words; `rules` is what the plant-health authority asks here, as the grower wrote it down.
    invented : bool
        True for a demo: said on every screen and sheet.
    today : str
        ISO day at which the clock of an invented garden stands; "" follows the real clock.
    """

    name: str
    lat: float | None = None
    lon: float | None = None
    elevation_m: float | None = None
    utc_offset_h: float = 0.0
    units: str = "metric"
    date_order: str = ""
    soil: str = ""
    water: str = ""
    rules: str = ""
    invented: bool = False
    today: str = ""


@dataclass(frozen=True, kw_only=True)
class Plot(Entry):
    """A part of the garden with its own cold and heat.

    Parameters
    ----------
    code : str
        Short name used in commands ("LOW").
    name : str
    walk_order : int
        Place in the walk-round.
    still_offset_k : float or None
        What the grower believes the low differs by from the garden's screen on still nights [K].
    note : str
    """

    code: str
    name: str
    walk_order: int = 0
    still_offset_k: float | None = None
    note: str = ""
