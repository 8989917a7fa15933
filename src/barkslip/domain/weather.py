"""Hourly (or finer) weather at one place, and what is known about the record itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

#: Column -> (unit, what it is, CF standard name). The only columns a series may have.
COLUMNS: dict[str, tuple[str, str, str]] = {
    "air_temp_c": ("°C", "air temperature in a shielded screen", "air_temperature"),
    "dew_point_c": ("°C", "dew point", "dew_point_temperature"),
    "rel_humidity_pct": ("%", "relative humidity", "relative_humidity"),
    "pressure_pa": ("Pa", "station pressure", "surface_air_pressure"),
    "wind_m_s": ("m/s", "wind speed", "wind_speed"),
    "gust_m_s": ("m/s", "wind gust", "wind_speed_of_gust"),
    "wind_from_deg": ("°", "direction the wind comes from, 0 = north, clockwise", "wind_from_direction"),
    "ghi_w_m2": ("W/m²", "sun on the level", "surface_downwelling_shortwave_flux_in_air"),
    "dni_w_m2": ("W/m²", "direct sun on a face turned to it", "surface_direct_along_beam_shortwave_flux_in_air"),
    "dhi_w_m2": ("W/m²", "sky light on the level", "surface_diffuse_downwelling_shortwave_flux_in_air"),
    "cloud_fraction": ("1", "share of the sky covered", "cloud_area_fraction"),
    "rain_mm": ("mm", "rain in the interval", "precipitation_amount"),
    "surface_temp_c": ("°C", "temperature of a surface (bark, leaf), not of air", "surface_temperature"),
}

#: What a series is. A typical year is stitched from months of different years; a forecast has not happened.
KINDS = ("measured", "typed", "typical year", "forecast", "invented")

#: What is known about how the sensor sat.
EXPOSURES = ("screen", "home-made shield", "bare probe", "under a cover", "not known")

#: What the time of a reading means.
STAMPS = ("instant", "end of interval")


@dataclass(frozen=True)
class Gap:
    """Hours without a reading: from the first missing to the first present again [epoch s, UTC]."""

    start_s: int
    end_s: int

    @property
    def hours(self) -> float:
        """Length [h]."""
        return (self.end_s - self.start_s) / 3600.0


@dataclass(frozen=True)
class Flag:
    """Something about the readings that does not look right. Flagged readings are kept, never deleted.

    Parameters
    ----------
    code : str
        "outside limits", "stuck", "jump", "dew above air", "sun at night", "clock doubt", "doubled time".
    column : str
    start_s, end_s : int
        Epoch seconds UTC of the first and the last reading concerned.
    count : int
        Readings concerned.
    words : str
        One sentence with the numbers.
    """

    code: str
    column: str
    start_s: int
    end_s: int
    count: int
    words: str


@dataclass(frozen=True)
class BrokenLine:
    """A line of a file that could not be read, kept word for word."""

    line: int
    column: str
    text: str
    why: str


@dataclass(frozen=True)
class SeriesInfo:
    """Everything about a series but its readings.

    Parameters
    ----------
    name : str
        What the grower calls it.
    kind : str
        One of `KINDS`.
    source : str
        One sentence: file format, station, provider, period.
    file_name, file_sha256 : str
        The file it came from; empty for typed days.
    lat, lon : float or None
        [° north, ° east]
    elevation_m : float or None
    utc_offset_h : float
        Local standard time minus UTC [h]; no summer time.
    step_s : int
        Usual distance of two readings [s].
    exposure : str
        One of `EXPOSURES`.
    stamps : str
        One of `STAMPS`: what a reading's time means.
    notes : tuple of str
        What was assumed on reading (units, date order, months of which years ...).
    gaps, flags, broken : tuple
    """

    name: str
    kind: str
    source: str
    file_name: str = ""
    file_sha256: str = ""
    lat: float | None = None
    lon: float | None = None
    elevation_m: float | None = None
    utc_offset_h: float = 0.0
    step_s: int = 3600
    exposure: str = "not known"
    stamps: str = "instant"
    notes: tuple[str, ...] = ()
    gaps: tuple[Gap, ...] = ()
    flags: tuple[Flag, ...] = ()
    broken: tuple[BrokenLine, ...] = ()

    def __post_init__(self) -> None:
        for value, allowed in (
            (self.kind, KINDS),
            (self.exposure, EXPOSURES),
            (self.stamps, STAMPS),
        ):
            if value not in allowed:
                raise ValueError(f"no such word in a weather series: {value}")


@dataclass(frozen=True, eq=False)
class Series:
    """Readings with their story.

    Parameters
    ----------
    info : SeriesInfo
    time_s : int64 array, shape (n,)
        Epoch seconds UTC, strictly rising.
    columns : mapping of str to float64 array, shape (n,)
        Keys from `COLUMNS`; NaN where there is no reading.
    """

    info: SeriesInfo
    time_s: NDArray[np.int64]
    columns: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        n = self.time_s.shape[0]
        unknown = set(self.columns) - set(COLUMNS)
        if unknown:
            raise ValueError(f"no such weather column: {sorted(unknown)}")
        if any(values.shape != (n,) for values in self.columns.values()):
            raise ValueError("all columns of a series must be as long as its times")
        if n > 1 and not bool(np.all(np.diff(self.time_s) > 0)):
            raise ValueError("the times of a series must rise")

    def __len__(self) -> int:
        return int(self.time_s.shape[0])

    def between(self, start_s: int, end_s: int) -> Series:
        """The readings with start_s <= time < end_s."""
        i, j = np.searchsorted(self.time_s, [start_s, end_s])
        return replace(self, time_s=self.time_s[i:j], columns={k: v[i:j] for k, v in self.columns.items()})


@dataclass(frozen=True)
class MonthSummary:
    """One month of one series.

    Parameters
    ----------
    year, month : int
        Local standard time. A typical year keeps the years its months come from in the series' notes.
    hours : float
        Hours with a reading of air temperature.
    share : float
        Share of the month's hours that have one, 0..1.
    low_c, high_c, mean_c : float or None
        Lowest and highest reading and the mean of the month [°C].
    mean_low_c, mean_high_c : float or None
        Mean of the daily lows and highs [°C], days with at least 20 h of readings only.
    frost_hours, healing_hours, heat_hours : float
        Hours below the frost line, inside the healing band, above the heat line [h]; lines in the knowledge base.
    rain_mm : float or None
    """

    year: int
    month: int
    hours: float
    share: float
    low_c: float | None
    high_c: float | None
    mean_c: float | None
    mean_low_c: float | None
    mean_high_c: float | None
    frost_hours: float
    healing_hours: float
    heat_hours: float
    rain_mm: float | None = None


@dataclass(frozen=True)
class DayExtremes:
    """Low and high of one local day [°C]; None where readings are missing. `hours` of readings in it."""

    day: str
    low_c: float | None
    high_c: float | None
    hours: float


@dataclass(frozen=True)
class NightLow:
    """Low of one night, from local noon to the next local noon.

    Parameters
    ----------
    evening : str
        The day on which the night begins, ISO.
    low_c : float or None
        [°C]
    low_s : int or None
        When it was lowest [epoch s, UTC]; the first time if more than one.
    hours : float
        Hours of readings in the night, of 24.
    """

    evening: str
    low_c: float | None
    low_s: int | None
    hours: float
