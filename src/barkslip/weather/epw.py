"""EnergyPlus weather files (EPW).

Fields, units and codes for "missing" as in the EnergyPlus Auxiliary Programs documentation, EPW data dictionary.
A row belongs to the hour that ends with its hour number (1 to 24), local standard time.
Checked by tests/weather/test_epw.py against an independent reader.
"""

from __future__ import annotations

import numpy as np

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import BrokenLine, Series, SeriesInfo
from barkslip.weather.assemble import assemble
from barkslip.weather.fields import floats, masked, settle_broken
from barkslip.weather.nominal_year import (
    bad_days,
    local_seconds,
    nominal_seconds,
    rising,
    source_years,
)
from barkslip.weather.options import ReadOptions
from barkslip.weather.raw import RawFile

#: our column -> (field index from 0, title, code for missing and beyond, factor to our unit)
_FIELDS: dict[str, tuple[int, str, float, float]] = {
    "air_temp_c": (6, "Dry Bulb Temperature", 99.9, 1.0),
    "dew_point_c": (7, "Dew Point Temperature", 99.9, 1.0),
    "rel_humidity_pct": (8, "Relative Humidity", 999.0, 1.0),
    "pressure_pa": (9, "Atmospheric Station Pressure", 999999.0, 1.0),
    "ghi_w_m2": (13, "Global Horizontal Radiation", 9999.0, 1.0),
    "dni_w_m2": (14, "Direct Normal Radiation", 9999.0, 1.0),
    "dhi_w_m2": (15, "Diffuse Horizontal Radiation", 9999.0, 1.0),
    "wind_from_deg": (20, "Wind Direction", 999.0, 1.0),
    "wind_m_s": (21, "Wind Speed", 999.0, 1.0),
    "cloud_fraction": (22, "Total Sky Cover", 99.0, 0.1),
    "rain_mm": (33, "Liquid Precipitation Depth", 999.0, 1.0),
}
_FEWEST = 23  # up to the total sky cover; rain came into the format later


def is_epw(head: str) -> bool:
    """True if a text begins as an EPW file does."""
    return head.lstrip("\ufeff").upper().startswith("LOCATION,")


def read_epw(raw: RawFile, text: str, kind: str | None, options: ReadOptions) -> Series:
    """Read an EPW file.

    Parameters
    ----------
    raw : RawFile
    text : str
    kind : str or None
        None means "typical year". With "measured" the dates stay as they are.
    options : ReadOptions

    Raises
    ------
    WeatherFileError
        With line and column.
    """
    lines = text.split("\n")
    place = _place(lines[0], raw.name)
    first, per_hour = _data_start(lines, raw.name)
    rows, numbers, broken = [], [], []
    for number, line in enumerate(lines[first:], start=first + 1):
        if not line.strip():
            continue
        parts = line.split(",")
        if len(parts) < _FEWEST:
            why = f"it has {len(parts)} of at least {_FEWEST} fields; the file may be cut off"
            broken.append(BrokenLine(number, "line", line, why))
            continue
        rows.append(parts)
        numbers.append(number)
    if not rows and not broken:
        raise WeatherFileError(
            "The file has a heading but no hours.",
            given=raw.name,
            allowed="an EPW file with data lines",
            next_step="Copy or download the file again.",
            field="file",
        )
    stamp = {}
    for index, title in enumerate(("Year", "Month", "Day", "Hour", "Minute")):
        values, bad = floats([row[index] for row in rows], numbers, title)
        stamp[title] = values
        broken += bad
    columns = {}
    for name, (index, title, missing, factor) in _FIELDS.items():
        if rows and min(map(len, rows)) <= index:
            continue
        values, bad = floats([row[index] for row in rows], numbers, title)
        columns[name] = masked(values, missing) * factor
        broken += bad
    year, month, day = (np.nan_to_num(stamp[t], nan=0.0).astype(np.int64) for t in ("Year", "Month", "Day"))
    hurt = {b.line for b in broken}
    more = [*bad_days(year, month, day, numbers, "Day"), *_bad_hours(stamp["Hour"], numbers)]
    broken += [b for b in more if b.line not in hurt]
    settled = settle_broken(broken, keep_rest=options.keep_rest, name=raw.name)
    hurt = {b.line for b in settled}
    keep = np.array([number not in hurt for number in numbers], dtype=bool)
    year, month, day = year[keep], month[keep], day[keep]
    hour, minute = stamp["Hour"][keep].astype(np.int64), stamp["Minute"][keep].astype(np.int64)
    # One row an hour: minute is written as 0 or 60 and means nothing. More rows: it is the end of the part.
    second = hour * 3600 if per_hour == 1 else (hour - 1) * 3600 + minute * 60
    kept_lines = [n for n, k in zip(numbers, keep, strict=True) if k]
    kind = kind or "typical year"
    notes = list(raw.notes)
    if kind == "typical year":
        local_s, nominal = nominal_seconds(month, day, second)
        notes.append(f"Months come from: {source_years(year, month)}. Shown in the nominal year {nominal}.")
        if len(set(year.tolist())) == 1:
            notes.append("All months carry the same year: it may be one real year; then say that it is measured.")
    else:
        local_s = local_seconds(year, month, day, second)
    order = rising(local_s, kept_lines, raw.name)
    columns = {name: values[keep][order] for name, values in columns.items()}
    columns["wind_from_deg"] = np.where(columns["wind_m_s"] == 0.0, np.nan, columns["wind_from_deg"])
    offset = float(place["offset"])
    info = SeriesInfo(
        name=options.name or f"{place['city']} ({kind})",
        kind=kind,
        source=f"EPW file; {place['city']}, {place['region']}; station {place['station']}; data: {place['data']}.",
        file_name=raw.name,
        file_sha256=raw.sha256,
        lat=float(place["lat"]),
        lon=float(place["lon"]),
        elevation_m=float(place["elevation"]),
        utc_offset_h=offset,
        exposure=options.exposure,
        stamps="end of interval",
        notes=tuple(notes),
        broken=settled,
    )
    return assemble(info, local_s[order] - round(offset * 3600), columns)


def _bad_hours(hour: np.ndarray, lines: list[int]) -> list[BrokenLine]:
    wrong = np.flatnonzero(~((hour >= 1) & (hour <= 24) & (hour == np.floor(hour))))
    return [BrokenLine(lines[i], "Hour", f"{hour[i]:g}", "the hour must be 1 to 24") for i in wrong]


def _place(line: str, name: str) -> dict[str, str]:
    parts = [part.strip() for part in line.lstrip("\ufeff").split(",")]
    keys = ("", "city", "state", "country", "data", "station", "lat", "lon", "offset", "elevation")
    found = dict(zip(keys, parts, strict=False))
    for key, low, high in (("lat", -90, 90), ("lon", -180, 180), ("offset", -12, 14), ("elevation", -1000, 9999.9)):
        try:
            good = low <= float(found[key]) <= high
        except (KeyError, ValueError):
            good = False
        if not good:
            raise WeatherFileError(
                f"Line 1 of {name} does not say where the place is.",
                line=1,
                column=key,
                given=found.get(key, "(nothing)"),
                allowed=f"a number from {low} to {high}",
                next_step="Copy or download the file again.",
                field="file",
            )
    found["region"] = " ".join(part for part in (found["state"], found["country"]) if part not in ("", "-"))
    return found


def _data_start(lines: list[str], name: str) -> tuple[int, int]:
    for index, line in enumerate(lines[:50]):
        if line.upper().startswith("DATA PERIODS"):
            parts = line.split(",")
            try:
                return index + 1, max(1, int(parts[2]))
            except (IndexError, ValueError):
                return index + 1, 1
    raise WeatherFileError(
        "The file ends within its heading: there is no line DATA PERIODS.",
        given=name,
        allowed="an EPW file with eight heading lines and its hours",
        next_step="Copy or download the file again.",
        field="file",
    )
