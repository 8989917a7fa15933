"""Times and columns put together into a series, with step and gaps worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import Gap, Series, SeriesInfo

#: What a gap is judged by: the first of these that the series has.
_MAIN = ("air_temp_c", "surface_temp_c", "dew_point_c", "rel_humidity_pct", "rain_mm", "ghi_w_m2", "wind_m_s")


def assemble(info: SeriesInfo, time_s: NDArray[np.int64], columns: Mapping[str, NDArray[np.float64]]) -> Series:
    """A series with step and gaps; columns without any reading are dropped.

    Parameters
    ----------
    info : SeriesInfo
        Without step and gaps.
    time_s : int64 array, shape (n,)
        Strictly rising [epoch s, UTC].
    columns : mapping of str to float64 array, shape (n,)

    Raises
    ------
    WeatherFileError
        If nothing is left.
    """
    kept = {name: values for name, values in columns.items() if bool(np.isfinite(values).any())}
    if time_s.shape[0] == 0 or not kept:
        raise WeatherFileError(
            "There is no reading in the file.",
            given=info.file_name,
            allowed="at least one time with one reading",
            next_step="Export the readings again.",
            field="file",
        )
    step_s = int(np.median(np.diff(time_s))) if time_s.shape[0] > 1 else 3600
    series = Series(replace(info, step_s=step_s), time_s, kept)
    return replace(series, info=replace(series.info, gaps=find_gaps(series)))


def main_column(series: Series) -> str:
    """The column by which gaps are judged; empty if the series has no column."""
    return next((name for name in (*_MAIN, *series.columns) if name in series.columns), "")


def find_gaps(series: Series, column: str = "") -> tuple[Gap, ...]:
    """Stretches without a reading, longer than one and a half steps.

    Parameters
    ----------
    series : Series
    column : str
        Column that must have a reading; default: air temperature, or what the series has instead.

    Returns
    -------
    tuple of Gap
        In order of time. Each runs from the first missing time to the first present one. Readings that are
        missing before the first or after the last reading make no gap.
    """
    values = series.columns.get(column or main_column(series))
    if values is None:
        return ()
    times = series.time_s[np.isfinite(values)]
    step = series.info.step_s
    wide = np.flatnonzero(np.diff(times) > 1.5 * step)
    return tuple(Gap(int(times[i]) + step, int(times[i + 1])) for i in wide)
