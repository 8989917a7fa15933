"""A weather series as a line of the book."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.entry import Entry


@dataclass(frozen=True, kw_only=True)
class Record(Entry):
    """One weather series kept in the book; its readings stand in blocks of a month.

    Parameters
    ----------
    name : str
    kind : str
        One of `domain.weather.KINDS`.
    plot : str or None
        Thing id of the plot it was measured in; None for a station elsewhere.
    logger : str or None
        Thing id of the logger that wrote it.
    first_s, last_s : int
        Epoch seconds UTC of the first and the last reading.
    readings : int
    columns : tuple of str
        Columns that have readings.
    info : dict
        Everything else that is known about it (`domain.weather.SeriesInfo` as plain data).
    """

    name: str
    kind: str
    plot: str | None = None
    logger: str | None = None
    first_s: int = 0
    last_s: int = 0
    readings: int = 0
    columns: tuple[str, ...] = ()
    info: dict[str, object]
