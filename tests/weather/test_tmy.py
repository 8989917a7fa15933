"""TMY3 and TMY2 against values read by eye in the raw files and against pvlib's own readers."""

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

PVLIB_TMY3 = {
    "air_temp_c": ("temp_air", 1.0), "dew_point_c": ("temp_dew", 1.0), "rel_humidity_pct": ("relative_humidity", 1.0),
    "pressure_pa": ("pressure", 100.0), "ghi_w_m2": ("ghi", 1.0), "dni_w_m2": ("dni", 1.0), "dhi_w_m2": ("dhi", 1.0),
    "wind_m_s": ("wind_speed", 1.0), "cloud_fraction": ("TotCld (tenths)", 0.1),
    "rain_mm": ("Lprecip depth (mm)", 1.0),
}  # fmt: skip
PVLIB_TMY2 = {
    "air_temp_c": ("DryBulb", 0.1), "dew_point_c": ("DewPoint", 0.1), "rel_humidity_pct": ("RHum", 1.0),
    "pressure_pa": ("Pressure", 100.0), "ghi_w_m2": ("GHI", 1.0), "dni_w_m2": ("DNI", 1.0), "dhi_w_m2": ("DHI", 1.0),
    "wind_m_s": ("Wspd", 0.1), "cloud_fraction": ("TotCld", 0.1),
}  # fmt: skip


def check_by_eye(series: Series, readings: list[dict[str, Any]]) -> None:
    for reading in readings:
        got = {name: float(series.columns[name][reading["row"]]) for name in reading["values"]}
        assert got == pytest.approx(reading["values"], abs=1e-9)


def test_greensboro_against_the_raw_file(greensboro: Series, published: Callable[[str], dict[str, Any]]) -> None:
    eye = published("greensboro_tmy3.toml")
    info = greensboro.info
    assert (info.lat, info.lon, info.elevation_m) == (eye["lat"], eye["lon"], eye["elevation_m"])
    assert info.utc_offset_h == eye["utc_offset_h"]
    check_by_eye(greensboro, eye["reading"])
    months = ", ".join(f"{month} {year}" for month, year in eye["source_years"].items())
    assert info.notes == (f"Months come from: {months}. Shown in the nominal year 2001.",)
    assert info.kind == "typical year"
    assert info.stamps == "end of interval"


def test_miami_against_the_raw_file(miami: Series, published: Callable[[str], dict[str, Any]]) -> None:
    eye = published("miami_tmy2.toml")
    degrees, minutes = eye["lat_degrees_minutes"]
    assert miami.info.lat == pytest.approx(degrees + minutes / 60, abs=1e-12)
    degrees, minutes = eye["lon_degrees_minutes"]
    assert miami.info.lon == pytest.approx(-(degrees + minutes / 60), abs=1e-12)
    assert (miami.info.elevation_m, miami.info.utc_offset_h) == (eye["elevation_m"], eye["utc_offset_h"])
    check_by_eye(miami, eye["reading"])


@pytest.mark.parametrize("name", ["greensboro", "miami"])
def test_a_typical_year_is_one_rising_year_of_hours(name: str, request: pytest.FixtureRequest) -> None:
    series: Series = request.getfixturevalue(name)
    assert len(series) == 8760
    assert set(np.diff(series.time_s).tolist()) == {3600}
    local = series.time_s + round(series.info.utc_offset_h * 3600)
    # Hour 1 of 1 January ends at 01:00; hour 24 of 31 December ends at midnight.
    assert str(np.datetime64(int(local[0]), "s")) == "2001-01-01T01:00:00"
    assert str(np.datetime64(int(local[-1]), "s")) == "2002-01-01T00:00:00"
    assert series.info.gaps == ()


def test_greensboro_against_pvlib(greensboro: Series, greensboro_path: Path) -> None:
    from pvlib.iotools import read_tmy3

    table, meta = read_tmy3(greensboro_path)
    assert greensboro.info.lat == meta["latitude"]
    for ours, (theirs, factor) in PVLIB_TMY3.items():
        np.testing.assert_allclose(greensboro.columns[ours], table[theirs].to_numpy() * factor, rtol=1e-12, atol=1e-12)
    blowing = greensboro.columns["wind_m_s"] > 0
    direction = table["wind_direction"].to_numpy()
    np.testing.assert_array_equal(greensboro.columns["wind_from_deg"][blowing], direction[blowing])
    assert np.isnan(greensboro.columns["wind_from_deg"][~blowing]).all()
    # pvlib keeps the months' own years; month, day and hour must be the same.
    stamps = (greensboro.time_s - 5 * 3600).astype("datetime64[s]").astype(str)
    assert [s[5:16] for s in stamps] == table.index.strftime("%m-%dT%H:%M").tolist()


def test_miami_against_pvlib(miami: Series, miami_path: Path) -> None:
    from pvlib.iotools import read_tmy2

    table, meta = read_tmy2(miami_path)
    assert (miami.info.lat, miami.info.lon) == (meta["latitude"], meta["longitude"])
    for ours, (theirs, factor) in PVLIB_TMY2.items():
        np.testing.assert_allclose(miami.columns[ours], table[theirs].to_numpy() * factor, rtol=1e-12, atol=1e-12)
    # pvlib dates the hour by its start, the manual and we by its end.
    stamps = (miami.time_s - 6 * 3600).astype("datetime64[s]").astype(str)
    assert [s[5:16] for s in stamps] == table.index.strftime("%m-%dT%H:%M").tolist()


def test_missing_codes_of_tmy3_are_no_readings(greensboro_path: Path, tmp_path: Path) -> None:
    lines = greensboro_path.read_text().splitlines()
    parts = lines[9].split(",")
    titles = lines[1].split(",")
    for title in ("Dry-bulb (C)", "Pressure (mbar)", "Lprecip depth (mm)", "GHI (W/m^2)", "TotCld (tenths)"):
        parts[titles.index(title)] = "-9900"
    file = tmp_path / "a.csv"
    file.write_text("\n".join([*lines[:9], ",".join(parts), *lines[10:]]))
    series = read_weather(file)
    for name in ("air_temp_c", "pressure_pa", "rain_mm", "ghi_w_m2", "cloud_fraction"):
        assert np.isnan(series.columns[name][7])
        assert np.isfinite(series.columns[name][8])
    assert [gap.hours for gap in series.info.gaps] == [1.0]


def test_missing_codes_of_tmy2_are_no_readings(miami_path: Path, tmp_path: Path) -> None:
    lines = miami_path.read_text().splitlines()
    row = list(lines[5])
    # Positions 68-71 dry bulb, 80-82 humidity, 85-88 pressure, 60-61 sky (TMY2 manual, table 3-2).
    for first, code in ((68, "9999"), (80, "999"), (85, "9999"), (60, "99")):
        row[first - 1 : first - 1 + len(code)] = code
    file = tmp_path / "a.tm2"
    file.write_text("\n".join([*lines[:5], "".join(row), *lines[6:]]))
    series = read_weather(file)
    for name in ("air_temp_c", "rel_humidity_pct", "pressure_pa", "cloud_fraction"):
        assert np.isnan(series.columns[name][4])
        assert np.isfinite(series.columns[name][5])


def test_a_town_of_three_words_and_the_south_and_east(miami_path: Path, tmp_path: Path) -> None:
    lines = miami_path.read_text().splitlines()
    lines[0] = " 99999 THREE WORD TOWN        XX  10 S 25 30 E 151 15     7"
    file = tmp_path / "a.tm2"
    file.write_text("\n".join(lines))
    info = read_weather(file).info
    assert info.source == "TMY2 file; Three Word Town, XX; station 99999."
    assert (info.lat, info.lon, info.utc_offset_h, info.elevation_m) == (-25.5, 151.25, 10.0, 7.0)


def test_a_cut_off_file_is_named_by_its_line(greensboro_path: Path, tmp_path: Path) -> None:
    text = greensboro_path.read_text()
    file = tmp_path / "cut.csv"
    file.write_text(text[:200_000])
    last = text[:200_000].count("\n") + 1
    with pytest.raises(WeatherFileError) as caught:
        read_weather(file)
    assert caught.value.line == last
    assert caught.value.problem.startswith(f"Line {last} of cut.csv cannot be read: it has ")
    assert caught.value.problem.endswith("of 71 fields; the file may be cut off.")
    series = read_weather(file, options=ReadOptions(keep_rest=True))
    assert len(series) == last - 3
    assert [b.line for b in series.info.broken] == [last]


def test_letters_in_a_number_are_named_by_line_and_column(greensboro_path: Path, tmp_path: Path) -> None:
    lines = greensboro_path.read_text().splitlines()
    lines[100] = lines[100].replace(",A,7,", ",A,seven,", 1)
    parts = lines[200].split(",")
    parts[31] = "warm"
    lines[200] = ",".join(parts)
    file = tmp_path / "letters.csv"
    file.write_text("\n".join(lines))
    with pytest.raises(WeatherFileError) as caught:
        read_weather(file)
    assert caught.value.message == (
        "Line 201 of letters.csv cannot be read: not a number.\n"
        "Given: Dry-bulb (C): warm\nNext: Mend the file, or keep the lines that can be read."
    )


def test_real_months_may_be_missing(greensboro_path: Path, tmp_path: Path) -> None:
    lines = greensboro_path.read_text().splitlines()
    file = tmp_path / "a.csv"
    file.write_text("\n".join(line for line in lines if not line.startswith("07/")))
    series = read_weather(file)
    assert len(series) == 8760 - 31 * 24
    assert [gap.hours for gap in series.info.gaps] == [31 * 24.0]
    assert "July" not in series.info.notes[0]


def test_a_doubled_hour_is_refused(greensboro_path: Path, tmp_path: Path) -> None:
    lines = greensboro_path.read_text().splitlines()
    file = tmp_path / "twice.csv"
    file.write_text("\n".join([*lines[:10], lines[9], *lines[10:]]))
    with pytest.raises(WeatherFileError) as caught:
        read_weather(file)
    assert caught.value.message == (
        "Line 11 of twice.csv has a time that was there before.\nGiven: 2001-01-01 08:00:00\n"
        "Allowed: each hour once\nNext: Take the doubled lines out."
    )


def test_measured_keeps_the_years(greensboro_path: Path, tmp_path: Path) -> None:
    lines = greensboro_path.read_text().splitlines()
    file = tmp_path / "january.csv"
    file.write_text("\n".join(lines[:746]))
    series = read_weather(file, kind="measured")
    assert str(np.datetime64(int(series.time_s[0]), "s")) == "1988-01-01T06:00:00"
    assert series.info.kind == "measured"
