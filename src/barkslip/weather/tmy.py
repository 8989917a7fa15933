"""Typical years of the TMY2 and TMY3 kind.

TMY3: Wilcox, S. and Marion, W. (2008), Users Manual for TMY3 Data Sets, NREL/TP-581-43156.
TMY2: Marion, W. and Urban, K. (1995), User's Manual for TMY2s, NREL/SP-463-7668, table 3-2 (field positions).
Hours 1 to 24 of local standard time; sun and rain are those of the hour ended, the other elements those at the
time itself. Checked by tests/weather/test_tmy.py against an independent reader.
"""

from __future__ import annotations

import csv
import re

import numpy as np

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import BrokenLine, Series, SeriesInfo
from barkslip.weather.assemble import assemble
from barkslip.weather.fields import Floats, floats, masked, settle_broken
from barkslip.weather.nominal_year import Ints, bad_days, local_seconds, nominal_seconds, rising, source_years
from barkslip.weather.options import ReadOptions
from barkslip.weather.raw import RawFile

#: our column -> (title in the file, factor to our unit); missing is −9900
_TMY3: dict[str, tuple[str, float]] = {
    "air_temp_c": ("Dry-bulb (C)", 1.0),
    "dew_point_c": ("Dew-point (C)", 1.0),
    "rel_humidity_pct": ("RHum (%)", 1.0),
    "pressure_pa": ("Pressure (mbar)", 100.0),
    "ghi_w_m2": ("GHI (W/m^2)", 1.0),
    "dni_w_m2": ("DNI (W/m^2)", 1.0),
    "dhi_w_m2": ("DHI (W/m^2)", 1.0),
    "wind_from_deg": ("Wdir (degrees)", 1.0),
    "wind_m_s": ("Wspd (m/s)", 1.0),
    "cloud_fraction": ("TotCld (tenths)", 0.1),
    "rain_mm": ("Lprecip depth (mm)", 1.0),
}
_TMY3_MISSING = -9900.0
#: our column -> (first and last position from 1, title, code for missing, factor to our unit)
_TMY2: dict[str, tuple[int, int, str, float, float]] = {
    "air_temp_c": (68, 71, "Dry Bulb Temperature", 9999.0, 0.1),
    "dew_point_c": (74, 77, "Dew Point Temperature", 9999.0, 0.1),
    "rel_humidity_pct": (80, 82, "Relative Humidity", 999.0, 1.0),
    "pressure_pa": (85, 88, "Atmospheric Pressure", 9999.0, 100.0),
    "ghi_w_m2": (18, 21, "Global Horizontal Radiation", 9999.0, 1.0),
    "dni_w_m2": (24, 27, "Direct Normal Radiation", 9999.0, 1.0),
    "dhi_w_m2": (30, 33, "Diffuse Horizontal Radiation", 9999.0, 1.0),
    "wind_from_deg": (91, 93, "Wind Direction", 999.0, 1.0),
    "wind_m_s": (96, 98, "Wind Speed", 999.0, 0.1),
    "cloud_fraction": (60, 61, "Total Sky Cover", 99.0, 0.1),
}
_TMY2_DATES = {"Year": (2, 3), "Month": (4, 5), "Day": (6, 7), "Hour": (8, 9)}
_TMY2_HEAD = re.compile(
    r"^\s?(\d{5})\s+(.+?)\s+([A-Z]{2})\s+(-?\d+)\s+([NS])\s*(\d+)\s+(\d+)\s+([EW])\s*(\d+)\s+(\d+)\s+(-?\d+)\s*$"
)
_TMY2_ROW = re.compile(r"^ \d{8}.{100,}$")
_FEWEST_TMY2 = 98


def is_tmy3(lines: list[str]) -> bool:
    """True if the first lines are those of a TMY3 file."""
    return len(lines) > 1 and lines[1].startswith("Date (MM/DD/YYYY),Time (HH:MM)")


def is_tmy2(lines: list[str]) -> bool:
    """True if the first lines are those of a TMY2 file."""
    return len(lines) > 1 and bool(_TMY2_HEAD.match(lines[0])) and bool(_TMY2_ROW.match(lines[1]))


def read_tmy3(raw: RawFile, text: str, kind: str | None, options: ReadOptions) -> Series:
    """Read a TMY3 file.

    Raises
    ------
    WeatherFileError
        With line and column.
    """
    lines = text.split("\n")
    head = next(csv.reader([lines[0]]))
    titles = next(csv.reader([lines[1]]))
    try:
        station, city, state = head[0], head[1].title(), head[2]
        offset, lat, lon, elevation = (float(part) for part in head[3:7])
        indices = {name: titles.index(title) for name, (title, _) in _TMY3.items()}
        quantity = titles.index("Lprecip quantity (hr)")
    except (IndexError, ValueError):
        raise _bad_heading(raw.name, lines[0]) from None
    rows, numbers, broken = [], [], []
    for number, line in enumerate(lines[2:], start=3):
        if not line.strip():
            continue
        parts = line.split(",")
        if len(parts) != len(titles):
            why = f"it has {len(parts)} of {len(titles)} fields; the file may be cut off"
            broken.append(BrokenLine(number, "line", line, why))
            continue
        rows.append(parts)
        numbers.append(number)
    columns: dict[str, Floats] = {}
    for name, (title, factor) in _TMY3.items():
        values, bad = floats([row[indices[name]] for row in rows], numbers, title)
        columns[name] = masked(values, _TMY3_MISSING) * factor
        broken += bad
    hours, bad = floats([row[quantity] for row in rows], numbers, "Lprecip quantity (hr)")
    broken += bad
    dates, bad = _tmy3_dates(rows, numbers)
    broken += bad
    notes = []
    if bool(np.any((hours > 1) & np.isfinite(columns["rain_mm"]))):
        notes.append("Some rain was measured over several hours; it stands at the end of those hours.")
    place = (station, city, state, lat, lon, elevation, offset)
    return _typical(raw, "TMY3", place, dates, columns, numbers, broken, notes, kind, options)


def read_tmy2(raw: RawFile, text: str, kind: str | None, options: ReadOptions) -> Series:
    """Read a TMY2 file.

    Raises
    ------
    WeatherFileError
        With line and column.
    """
    lines = text.split("\n")
    head = _TMY2_HEAD.match(lines[0])
    if not head:
        raise _bad_heading(raw.name, lines[0])
    lat = (int(head[6]) + int(head[7]) / 60.0) * (1 if head[5] == "N" else -1)
    lon = (int(head[9]) + int(head[10]) / 60.0) * (1 if head[8] == "E" else -1)
    rows, numbers, broken = [], [], []
    for number, line in enumerate(lines[1:], start=2):
        if not line.strip() or line.strip() == "\x1a":
            continue
        if len(line) < _FEWEST_TMY2:
            why = f"it has {len(line)} of at least {_FEWEST_TMY2} letters; the file may be cut off"
            broken.append(BrokenLine(number, "line", line, why))
            continue
        rows.append(line)
        numbers.append(number)
    stamp = {}
    for title, (first, last) in _TMY2_DATES.items():
        values, bad = floats([row[first - 1 : last] for row in rows], numbers, title)
        stamp[title] = np.nan_to_num(values, nan=0.0).astype(np.int64)
        broken += bad
    columns: dict[str, Floats] = {}
    for name, (first, last, title, missing, factor) in _TMY2.items():
        values, bad = floats([row[first - 1 : last] for row in rows], numbers, title)
        columns[name] = masked(values, missing) * factor
        broken += bad
    broken += [
        BrokenLine(numbers[i], "Hour", str(stamp["Hour"][i]), "the hour must be 1 to 24")
        for i in np.flatnonzero((stamp["Hour"] < 1) | (stamp["Hour"] > 24))
    ]
    dates = (stamp["Year"] + 1900, stamp["Month"], stamp["Day"], stamp["Hour"] * 3600)
    place = (head[1], head[2].title(), head[3], lat, lon, float(head[11]), float(head[4]))
    return _typical(raw, "TMY2", place, dates, columns, numbers, broken, [], kind, options)


def _tmy3_dates(rows: list[list[str]], lines: list[int]) -> tuple[tuple[Ints, Ints, Ints, Ints], list[BrokenLine]]:
    out = np.zeros((4, len(rows)), dtype=np.int64)
    broken = []
    for i, row in enumerate(rows):
        try:
            month, day, year = (int(part) for part in row[0].split("/"))
            hour, minute = (int(part) for part in row[1].split(":"))
            if not (0 <= hour <= 24 and 0 <= minute < 60):
                raise ValueError
            out[:, i] = year, month, day, hour * 3600 + minute * 60
        except ValueError:
            out[:, i] = 2001, 1, 1, 0
            broken.append(BrokenLine(lines[i], "Date, Time", f"{row[0]} {row[1]}", "not a time"))
    return (out[0], out[1], out[2], out[3]), broken


def _typical(
    raw: RawFile,
    form: str,
    place: tuple[str, str, str, float, float, float, float],
    dates: tuple[Ints, Ints, Ints, Ints],
    columns: dict[str, Floats],
    lines: list[int],
    broken: list[BrokenLine],
    notes: list[str],
    kind: str | None,
    options: ReadOptions,
) -> Series:
    station, city, state, lat, lon, elevation, offset = place
    year, month, day, second = dates
    hurt = {b.line for b in broken}
    broken = broken + [b for b in bad_days(year, month, day, lines, "Date") if b.line not in hurt]
    settled = settle_broken(broken, keep_rest=options.keep_rest, name=raw.name)
    hurt = {b.line for b in settled}
    keep = np.array([line not in hurt for line in lines], dtype=bool)
    kept_lines = [n for n, k in zip(lines, keep, strict=True) if k]
    year, month, day, second = year[keep], month[keep], day[keep], second[keep]
    kind = kind or "typical year"
    if kind == "typical year":
        local_s, nominal = nominal_seconds(month, day, second)
        notes.insert(0, f"Months come from: {source_years(year, month)}. Shown in the nominal year {nominal}.")
    else:
        local_s = local_seconds(year, month, day, second)
    order = rising(local_s, kept_lines, raw.name)
    columns = {name: values[keep][order] for name, values in columns.items()}
    columns["wind_from_deg"] = np.where(columns["wind_m_s"] == 0.0, np.nan, columns["wind_from_deg"])
    info = SeriesInfo(
        name=options.name or f"{city} ({kind})",
        kind=kind,
        source=f"{form} file; {city}, {state}; station {station}.",
        file_name=raw.name,
        file_sha256=raw.sha256,
        lat=lat,
        lon=lon,
        elevation_m=elevation,
        utc_offset_h=offset,
        exposure=options.exposure,
        stamps="end of interval",
        notes=tuple(notes),
        broken=settled,
    )
    return assemble(info, local_s[order] - round(offset * 3600), columns)


def _bad_heading(name: str, line: str) -> WeatherFileError:
    return WeatherFileError(
        f"The heading of {name} is not that of a TMY file.",
        line=1,
        column="heading",
        given=line[:120],
        allowed="station, place, time zone, latitude, longitude, height",
        next_step="Copy or download the file again.",
        field="file",
    )
