"""What the reader of a weather file has to be told when the file does not say it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.errors import InputError
from barkslip.domain.weather import COLUMNS, EXPOSURES, KINDS

DATE_ORDERS = ("", "dmy", "mdy", "ymd")
#: Names that `ReadOptions.columns` may map besides those of `domain.weather.COLUMNS`.
TIME_COLUMNS = ("time", "date")


@dataclass(frozen=True)
class ReadOptions:
    """Answers to what a weather file leaves open. Everything may be left out.

    Parameters
    ----------
    date_order : {"", "dmy", "mdy", "ymd"}
        How to read 03/04/2024 or 24-03-04; empty: as the data decide, or ask.
    unit : {"", "°C", "°F", "K"}
        Temperature unit of columns whose heading names none. A unit in the heading wins.
    units : mapping of str to str
        Unit of single columns, ours -> as in the file's heading ("wind_m_s" -> "km/h"). Wins over all.
    columns : mapping of str to str
        Our column -> its heading in the file, or "3" for the third. Also "time" and, if apart, "date".
        Columns not named here are still taken where only one heading fits.
    utc_offset_h : float or None
        Local standard time minus UTC [h] of the place and of the logger's clock. Times that carry their own
        offset keep it. None: the file's own, else 0 with a note.
    exposure : str
        One of `domain.weather.EXPOSURES`.
    name : str
        What the grower calls the series; empty: from the file.
    keep_rest : bool
        Keep the lines that can be read and list the others, instead of refusing the file.
    lat, lon, elevation_m : float or None
        Place [° north, ° east, m]. Used where the file names none, and to choose the cell of a grid.
    max_bytes : int
        Larger files are refused unread.
    """

    date_order: str = ""
    unit: str = ""
    units: Mapping[str, str] = field(default_factory=dict)
    columns: Mapping[str, str] = field(default_factory=dict)
    utc_offset_h: float | None = None
    exposure: str = "not known"
    name: str = ""
    keep_rest: bool = False
    lat: float | None = None
    lon: float | None = None
    elevation_m: float | None = None
    max_bytes: int = 200_000_000

    def __post_init__(self) -> None:
        if self.date_order not in DATE_ORDERS:
            raise _refused("Not an order of dates.", self.date_order, "dmy, mdy, ymd", "date_order")
        if self.unit not in ("", "°C", "°F", "K"):
            raise _refused("Not a unit of temperature.", self.unit, "°C, °F, K", "unit")
        if self.exposure not in EXPOSURES:
            raise _refused("Not an exposure.", self.exposure, ", ".join(EXPOSURES), "exposure")
        for key in (*self.columns, *self.units):
            if key not in COLUMNS and key not in TIME_COLUMNS:
                raise _refused("No such weather column.", key, ", ".join((*TIME_COLUMNS, *COLUMNS)), "columns")
        if self.utc_offset_h is not None and not -12.0 <= self.utc_offset_h <= 14.0:
            raise _refused("No clock on Earth is that far from UTC.", f"{self.utc_offset_h:g} h",
                           "−12 to 14 h", "utc_offset_h")  # fmt: skip


def checked_kind(kind: str) -> str:
    """`kind`, if it is one.

    Raises
    ------
    InputError
    """
    if kind not in KINDS:
        raise _refused("Not a kind of weather series.", kind, ", ".join(KINDS), "kind")
    return kind


def _refused(problem: str, given: str, allowed: str, field_name: str) -> InputError:
    return InputError(problem, given=given, allowed=allowed, next_step="Choose one of the allowed.", field=field_name)
