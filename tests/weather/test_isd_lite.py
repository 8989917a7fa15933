"""ISD-Lite against values read by eye in the raw files and against a separate fixed-width reader."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import Series
from barkslip.weather.options import ReadOptions
from barkslip.weather.read import read_weather


@pytest.mark.parametrize("year", [2015, 2016, 2017])
def test_against_the_raw_file(
    year: int, isd: Callable[[int], Series], published: Callable[[str], dict[str, Any]]
) -> None:
    eye = published("shasta_epw_isd.toml")["isd"][str(year)]
    series = isd(year)
    assert len(series) == eye["rows"]
    assert str(np.datetime64(int(series.time_s[0]), "s")) == eye["first"] + ":00"
    for reading in eye["reading"]:
        got = {name: float(series.columns[name][reading["row"]]) for name in reading["values"]}
        assert got == pytest.approx(reading["values"], abs=1e-9)
        assert all(np.isnan(series.columns[name][reading["row"]]) for name in reading["missing"])
    assert series.info.source == f"ISD-Lite file; station 725957; {year}."
    assert (series.info.kind, series.info.stamps) == ("measured", "instant")


@pytest.mark.parametrize("year", [2015, 2016, 2017])
def test_against_pandas_fixed_width(year: int, isd: Callable[[int], Series], isd_path: Callable[[int], Path]) -> None:
    import pandas as pd

    # Positions of the ISD-Lite format documentation (from 1): temperature 14-19, dew point 20-25, direction 32-37,
    # speed 38-43, rain 50-55.
    spans = {"year": (0, 4), "month": (5, 7), "day": (8, 10), "hour": (11, 13), "air": (13, 19), "dew": (19, 25),
             "dir": (31, 37), "wind": (37, 43), "rain": (49, 55)}  # fmt: skip
    table = pd.read_fwf(
        isd_path(year), colspecs=list(spans.values()), names=list(spans), header=None, compression="gzip"
    )
    series = isd(year)
    times = pd.to_datetime(table[["year", "month", "day", "hour"]]).to_numpy().astype("datetime64[s]").astype(np.int64)
    np.testing.assert_array_equal(series.time_s, times)
    for ours, theirs in (("air_temp_c", "air"), ("dew_point_c", "dew"), ("wind_m_s", "wind")):
        expected = table[theirs].where(table[theirs] != -9999) / 10.0
        np.testing.assert_allclose(series.columns[ours], expected, rtol=1e-12)
    rain = table["rain"].where(table["rain"] != -9999).replace(-1, 0) / 10.0
    np.testing.assert_allclose(series.columns["rain_mm"], rain, rtol=1e-12)


def test_gaps_of_2015(isd: Callable[[int], Series], published: Callable[[str], dict[str, Any]]) -> None:
    eye = published("shasta_epw_isd.toml")["isd_gaps_2015"]
    gaps = [(str(np.datetime64(g.start_s, "s"))[:16], g.hours) for g in isd(2015).info.gaps]
    assert len(gaps) == eye["count"]
    for start, hours in eye["some"]:
        assert (start, hours) in gaps


def test_traces_of_rain_are_said(isd: Callable[[int], Series], isd_path: Callable[[int], Path]) -> None:
    with gzip.open(isd_path(2015), "rt") as file:
        traces = sum(line.split()[10] == "-1" for line in file)
    assert f"Rain is written as a trace in {traces} hours and taken as 0 mm." in isd(2015).info.notes


def test_no_offset_is_said_and_the_longitude_serves(isd_path: Callable[[int], Path]) -> None:
    info = read_weather(isd_path(2015)).info
    assert info.utc_offset_h == 0.0
    assert info.notes[0] == "The file is in UTC and says no local time: days run from midnight to midnight UTC."
    info = read_weather(isd_path(2015), options=ReadOptions(lon=-122.3)).info
    assert info.utc_offset_h == -8.0
    assert info.notes[0] == "Local standard time is taken from the longitude: UTC-8 h."


def test_unpacked_and_named_with_both_numbers(isd_path: Callable[[int], Path], tmp_path: Path) -> None:
    file = tmp_path / "725957-24215-2015"
    file.write_bytes(gzip.decompress(isd_path(2015).read_bytes()))
    info = read_weather(file).info
    assert info.name == "Station 725957-24215, 2015"


def test_a_broken_line_is_named(isd_path: Callable[[int], Path], tmp_path: Path) -> None:
    lines = gzip.decompress(isd_path(2015).read_bytes()).decode().splitlines()
    lines[9] = lines[9][:30]
    lines[11] = lines[11].replace("2015 01 01", "2015 01 41")
    file = tmp_path / "725957-2015"
    file.write_text("\n".join(lines))
    with pytest.raises(WeatherFileError) as caught:
        read_weather(file)
    assert caught.value.problem == (
        "Line 10 of 725957-2015 cannot be read: it has 7 of 12 fields; the file may be cut off. "
        "One more line is broken."
    )
    series = read_weather(file, options=ReadOptions(keep_rest=True))
    assert [(b.line, b.column) for b in series.info.broken] == [(10, "line"), (12, "Day")]
    assert len(series) == 8750


def test_a_damaged_packed_file(isd_path: Callable[[int], Path], tmp_path: Path) -> None:
    file = tmp_path / "half.gz"
    file.write_bytes(isd_path(2015).read_bytes()[:20_000])
    with pytest.raises(WeatherFileError) as caught:
        read_weather(file)
    assert caught.value.message == "The packed file is damaged.\nGiven: half.gz\nNext: Copy or download it again."
