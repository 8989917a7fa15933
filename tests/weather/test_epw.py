"""EPW against values read by eye in the raw file and against pvlib's own reader."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import Series
from barkslip.weather.options import ReadOptions
from barkslip.weather.read import read_weather

PVLIB = {
    "air_temp_c": ("temp_air", 1.0), "dew_point_c": ("temp_dew", 1.0), "rel_humidity_pct": ("relative_humidity", 1.0),
    "pressure_pa": ("atmospheric_pressure", 1.0), "ghi_w_m2": ("ghi", 1.0), "dni_w_m2": ("dni", 1.0),
    "dhi_w_m2": ("dhi", 1.0), "wind_m_s": ("wind_speed", 1.0), "cloud_fraction": ("total_sky_cover", 0.1),
    "rain_mm": ("liquid_precipitation_depth", 1.0),
}  # fmt: skip


def epw_lines(hours: int = 48, *, year: int = 2015, per_hour: int = 1) -> list[str]:
    """An invented EPW file: the temperature is the number of the row."""
    head = [
        "LOCATION,Nowhere,-,XXX,INVENTED,000000,-33.6,21.0,2.0,412.0",
        *("DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0"),
        *("HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1,invented", "COMMENTS 2,"),
        f"DATA PERIODS,1,{per_hour},Data,Sunday,1/1,12/31",
    ]
    rows = []
    for i in range(hours * per_hour):
        hour, part = divmod(i, per_hour)
        minute = 0 if per_hour == 1 else (part + 1) * 60 // per_hour
        stamp = f"{year},1,{hour // 24 + 1},{hour % 24 + 1},{minute}"
        rows.append(f"{stamp},?9,{i}.0,-5.0,50,96000,0,0,300,100,200,50,0,0,0,0,180,2.0,5,5,9999,99999,9,999999999,10,0.1,0,88,0.2,1.5,1.0")  # fmt: skip # noqa: E501
    return head + rows


def write(tmp_path: Path, lines: list[str]) -> Path:
    file = tmp_path / "a.epw"
    file.write_text("\n".join(lines) + "\n")
    return file


def changed(line: str, index: int, value: str) -> str:
    parts = line.split(",")
    parts[index] = value
    return ",".join(parts)


def test_shasta_against_the_raw_file(shasta: Series, published: Callable[[str], dict[str, Any]]) -> None:
    eye = published("shasta_epw_isd.toml")["epw"]
    info = shasta.info
    assert (info.lat, info.lon, info.elevation_m, info.utc_offset_h) == (
        eye["lat"], eye["lon"], eye["elevation_m"], eye["utc_offset_h"],
    )  # fmt: skip
    for reading in eye["reading"]:
        got = {name: float(shasta.columns[name][reading["row"]]) for name in reading["values"]}
        assert got == pytest.approx(reading["values"], abs=1e-9)
    assert np.isnan(shasta.columns["wind_from_deg"][0])
    months = ", ".join(f"{month} {year}" for month, year in eye["source_years"].items())
    assert info.notes == (f"Months come from: {months}. Shown in the nominal year 2001.",)
    assert (info.kind, info.stamps, info.gaps) == ("typical year", "end of interval", ())


def test_shasta_against_pvlib(shasta: Series, shasta_epw_path: Path) -> None:
    from pvlib.iotools import read_epw

    table, meta = read_epw(shasta_epw_path)
    assert (shasta.info.lat, shasta.info.lon) == (meta["latitude"], meta["longitude"])
    for ours, (theirs, factor) in PVLIB.items():
        np.testing.assert_allclose(shasta.columns[ours], table[theirs].to_numpy() * factor, rtol=1e-12, atol=1e-12)
    # pvlib dates the hour by its start, the data dictionary and we by its end.
    stamps = (shasta.time_s - 9 * 3600).astype("datetime64[s]").astype(str)
    assert [s[5:16] for s in stamps] == table.index.strftime("%m-%dT%H:%M").tolist()


def test_missing_codes_are_no_readings(tmp_path: Path) -> None:
    # Codes of the EPW data dictionary: dry bulb 99.9, dew point 99.9, humidity 999, pressure 999999, radiation 9999,
    # wind 999, sky 99, rain 999.
    codes = {6: "99.9", 7: "99.9", 8: "999", 9: "999999", 13: "9999", 14: "9999", 15: "9999", 20: "999", 21: "999",
             22: "99", 33: "999"}  # fmt: skip
    lines = epw_lines()
    for index, code in codes.items():
        lines[10] = changed(lines[10], index, code)
    series = read_weather(write(tmp_path, lines))
    assert len(series.columns) == 11
    for name, values in series.columns.items():
        assert np.isnan(values[2]), name
        assert np.isfinite(values[[1, 3]]).all(), name


def test_one_row_an_hour_ends_with_its_hour(tmp_path: Path) -> None:
    series = read_weather(write(tmp_path, epw_lines()), kind="measured")
    # Hour 1 of 1 January 2015, UTC+2 h, ends at 01:00 local, 23:00 UTC of the day before.
    assert str(np.datetime64(int(series.time_s[0]), "s")) == "2014-12-31T23:00:00"
    assert series.info.notes == ()


def test_four_rows_an_hour_end_with_their_minutes(tmp_path: Path) -> None:
    series = read_weather(write(tmp_path, epw_lines(per_hour=4)), kind="measured")
    assert series.info.step_s == 900
    assert str(np.datetime64(int(series.time_s[0]), "s")) == "2014-12-31T22:15:00"
    assert str(np.datetime64(int(series.time_s[3]), "s")) == "2014-12-31T23:00:00"


def test_one_year_throughout_is_not_called_measured(tmp_path: Path) -> None:
    info = read_weather(write(tmp_path, epw_lines())).info
    assert info.kind == "typical year"
    assert info.notes == (
        "Months come from: January 2015. Shown in the nominal year 2001.",
        "All months carry the same year: it may be one real year; then say that it is measured.",
    )


def test_a_leap_day_gets_a_leap_year(tmp_path: Path) -> None:
    lines = epw_lines(24)
    leap = [changed(changed(line, 1, "2"), 2, "29") for line in lines[8:]]
    series = read_weather(write(tmp_path, lines + leap))
    local = series.time_s + 2 * 3600
    assert str(np.datetime64(int(local[24]), "s")) == "2000-02-29T01:00:00"


@pytest.mark.parametrize(
    ("index", "value", "column", "why"),
    [
        (6, "x", "Dry Bulb Temperature", "not a number"),
        (1, "13", "Day", "not a day of the calendar"),
        (2, "32", "Day", "not a day of the calendar"),
        (3, "25", "Hour", "the hour must be 1 to 24"),
        (3, "0", "Hour", "the hour must be 1 to 24"),
    ],
)
def test_a_broken_line_is_named_and_the_rest_can_be_kept(
    tmp_path: Path, index: int, value: str, column: str, why: str
) -> None:
    lines = epw_lines()
    lines[20] = changed(lines[20], index, value)
    lines[30] = changed(lines[30], 6, "y")
    file = write(tmp_path, lines)
    with pytest.raises(WeatherFileError) as caught:
        read_weather(file)
    assert (caught.value.line, caught.value.column) == (21, column)
    assert caught.value.problem == f"Line 21 of a.epw cannot be read: {why}. One more line is broken."
    series = read_weather(file, options=ReadOptions(keep_rest=True))
    assert [(b.line, b.why) for b in series.info.broken] == [(21, why), (31, "not a number")]
    assert len(series) == 46
    assert len(series.info.gaps) == 2


def test_cut_off_in_the_heading(tmp_path: Path) -> None:
    with pytest.raises(WeatherFileError) as caught:
        read_weather(write(tmp_path, epw_lines()[:5]))
    assert caught.value.message == (
        "The file ends within its heading: there is no line DATA PERIODS.\nGiven: a.epw\n"
        "Allowed: an EPW file with eight heading lines and its hours\nNext: Copy or download the file again."
    )


def test_heading_only(tmp_path: Path) -> None:
    with pytest.raises(WeatherFileError) as caught:
        read_weather(write(tmp_path, epw_lines()[:8]))
    assert caught.value.message == (
        "The file has a heading but no hours.\nGiven: a.epw\nAllowed: an EPW file with data lines\n"
        "Next: Copy or download the file again."
    )


def test_cut_off_in_a_line(tmp_path: Path) -> None:
    lines = epw_lines()
    lines[-1] = lines[-1][:25]
    with pytest.raises(WeatherFileError) as caught:
        read_weather(write(tmp_path, lines))
    assert caught.value.problem == (
        "Line 56 of a.epw cannot be read: it has 8 of at least 23 fields; the file may be cut off."
    )


def test_no_place(tmp_path: Path) -> None:
    lines = epw_lines()
    lines[0] = "LOCATION,Nowhere,-,XXX,INVENTED,000000,north,21.0,2.0,412.0"
    with pytest.raises(WeatherFileError) as caught:
        read_weather(write(tmp_path, lines))
    assert caught.value.message == (
        "Line 1 of a.epw does not say where the place is.\nGiven: north\nAllowed: a number from -90 to 90\n"
        "Next: Copy or download the file again."
    )
