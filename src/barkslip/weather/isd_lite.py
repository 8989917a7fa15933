"""Station years of the ISD-Lite kind: hourly, UTC, fixed width, often with gaps.

ISD-Lite format documentation and technical document (NOAA National Climatic Data Center, 20 June 2006): positions,
factor 10, −9999 for missing, −1 for a trace of rain, direction 0 for calm, readings moved to the nearest full hour.
Checked by tests/weather/test_isd_lite.py.
"""

from __future__ import annotations

import re

import numpy as np

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import BrokenLine, Series, SeriesInfo
from barkslip.weather.assemble import assemble
from barkslip.weather.fields import floats, settle_broken
from barkslip.weather.nominal_year import bad_days, local_seconds, rising
from barkslip.weather.options import ReadOptions, checked_kind
from barkslip.weather.raw import RawFile

_ROW = re.compile(r"^\d{4} \d{2} \d{2} \d{2}(?:\s+-?\d+){8}\s*$")
_NAME = re.compile(r"([A-Z0-9]\d{5})(?:-(\d{5}))?-(\d{4})")
_MISSING = -9999.0
_TITLES = ("Year", "Month", "Day", "Hour", "Air Temperature", "Dew Point Temperature", "Sea Level Pressure",
           "Wind Direction", "Wind Speed Rate", "Sky Condition Total Coverage Code",
           "Liquid Precipitation Depth, One Hour Duration",
           "Liquid Precipitation Depth, Six Hour Duration")  # fmt: skip


def is_isd_lite(lines: list[str]) -> bool:
    """True if the first line is one of ISD-Lite."""
    return bool(lines) and bool(_ROW.match(lines[0]))


def read_isd_lite(raw: RawFile, text: str, kind: str | None, options: ReadOptions) -> Series:
    """Read an ISD-Lite file, packed or not.

    The pressure in these files is that at sea level, not that of the station: it is left out.

    Raises
    ------
    WeatherFileError
        With line and column.
    """
    rows, numbers, broken = [], [], []
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        parts = line.split()
        if len(parts) != 12:
            why = f"it has {len(parts)} of 12 fields; the file may be cut off"
            broken.append(BrokenLine(number, "line", line, why))
            continue
        rows.append(parts)
        numbers.append(number)
    table = []
    for index, title in enumerate(_TITLES):
        values, bad = floats([row[index] for row in rows], numbers, title)
        table.append(np.where(values == _MISSING, np.nan, values))
        broken += bad
    dates = [np.nan_to_num(values, nan=0.0).astype(np.int64) for values in table[:4]]
    hurt = {b.line for b in broken}
    more = bad_days(dates[0], dates[1], dates[2], numbers, "Day")
    more += [
        BrokenLine(numbers[i], "Hour", str(dates[3][i]), "the hour must be 0 to 23")
        for i in np.flatnonzero((dates[3] < 0) | (dates[3] > 23))
    ]
    broken += [b for b in more if b.line not in hurt]
    settled = settle_broken(broken, keep_rest=options.keep_rest, name=raw.name)
    hurt = {b.line for b in settled}
    keep = np.array([number not in hurt for number in numbers], dtype=bool)
    kept_lines = [n for n, k in zip(numbers, keep, strict=True) if k]
    year, month, day, hour = (d[keep] for d in dates)
    time_s = local_seconds(year, month, day, hour * 3600)
    order = rising(time_s, kept_lines, raw.name)
    air, dew, _, direction, wind, sky, rain = (values[keep][order] for values in table[4:11])
    notes, offset = _offset(options)
    trace = int(np.count_nonzero(rain == -1.0))
    if trace:
        notes.append(f"Rain is written as a trace in {trace} hours and taken as 0 mm.")
    notes.append("Times are moved to the nearest full hour by the provider; sea-level pressure is left out.")
    columns = {
        "air_temp_c": air / 10.0,
        "dew_point_c": dew / 10.0,
        "wind_m_s": wind / 10.0,
        "wind_from_deg": np.where(wind == 0.0, np.nan, direction),
        # 0 to 8 eighths; 9 (sky hidden) and above say nothing about the share.
        "cloud_fraction": np.where((sky >= 0.0) & (sky <= 8.0), sky / 8.0, np.nan),
        "rain_mm": np.where(rain == -1.0, 0.0, rain / 10.0),
    }
    station, years = _station(raw.name), sorted({int(y) for y in year})
    if not years:
        raise WeatherFileError(
            "There is no reading in the file.",
            given=raw.name,
            allowed="at least one time with one reading",
            next_step="Copy or download the file again.",
            field="file",
        )
    span = str(years[0]) if len(years) == 1 else f"{years[0]} to {years[-1]}"
    info = SeriesInfo(
        name=options.name or f"Station {station or raw.name}, {span}",
        kind=checked_kind(kind or "measured"),
        source=f"ISD-Lite file; station {station or 'not named'}; {span}.",
        file_name=raw.name,
        file_sha256=raw.sha256,
        lat=options.lat,
        lon=options.lon,
        elevation_m=options.elevation_m,
        utc_offset_h=offset,
        exposure=options.exposure,
        stamps="instant",
        notes=(*raw.notes, *notes),
        broken=settled,
    )
    return assemble(info, time_s[order], columns)


def _station(name: str) -> str:
    match = _NAME.search(name)
    return "" if not match else match[1] if not match[2] else f"{match[1]}-{match[2]}"


def _offset(options: ReadOptions) -> tuple[list[str], float]:
    if options.utc_offset_h is not None:
        return [], float(options.utc_offset_h)
    if options.lon is not None:
        offset = float(round(options.lon / 15.0))
        return [f"Local standard time is taken from the longitude: UTC{offset:+.0f} h."], offset
    return ["The file is in UTC and says no local time: days run from midnight to midnight UTC."], 0.0
