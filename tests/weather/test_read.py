"""What a file is, is told by its content; what it is not, is said in full words."""

from __future__ import annotations

import gzip
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from barkslip.domain.errors import InputError, WeatherFileError
from barkslip.domain.weather import Series
from barkslip.weather.options import ReadOptions
from barkslip.weather.raw import open_raw, text_of
from barkslip.weather.read import format_of, read_weather

FORMATS = "EPW, TMY2, TMY3, ISD-Lite, CF NetCDF, or a table of text (CSV)"
TABLE = "time,T (°C)\n2024-01-01 10:00,1.5\n2024-01-01 11:00,2.5\n"


def refused(path: Path, **options: Any) -> str:
    with pytest.raises(WeatherFileError) as caught:
        read_weather(path, options=ReadOptions(**options))
    return caught.value.message


@pytest.mark.parametrize(("name", "form"), [("greensboro", "TMY3"), ("miami", "TMY2"), ("shasta_epw", "EPW")])
def test_the_name_does_not_matter(name: str, form: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    path = request.getfixturevalue(f"{name}_path")
    copy = tmp_path / "readings.dat"
    shutil.copy(path, copy)
    assert format_of(open_raw(copy, max_bytes=10**8)) == form


def test_a_packed_epw_is_read_too(shasta: Series, shasta_epw_path: Path, tmp_path: Path) -> None:
    packed = tmp_path / "a.gz"
    packed.write_bytes(gzip.compress(shasta_epw_path.read_bytes()))
    again = read_weather(packed)
    assert again.time_s.tolist() == shasta.time_s.tolist()
    assert again.info.source == shasta.info.source


@pytest.mark.parametrize(
    ("content", "problem", "step"),
    [
        (b"\xff\xd8\xff\xe0\x00\x10JFIF" + b"x" * 500, "This is a JPEG picture, not a weather file.",
         "Choose the file that the logger or station wrote."),
        (b"\x89PNG\r\n\x1a\n" + b"x" * 500, "This is a PNG picture, not a weather file.",
         "Choose the file that the logger or station wrote."),
        (b"\x00\x00\x00\x18ftypheic" + b"x" * 500, "This is a picture of a phone, not a weather file.",
         "Choose the file that the logger or station wrote."),
        (b"%PDF-1.7 ...", "This is a PDF document, not a weather file.", "Export the readings as CSV."),
        (b"PK\x03\x04" + b"x" * 500, "This is a spreadsheet or a packed folder, not a weather file.",
         "Save the sheet as CSV, or unpack the folder first."),
        (bytes(range(256)) * 20, "This is no text and no weather file that is known here.",
         "Export the readings as CSV."),
    ],
)  # fmt: skip
def test_other_things_are_named(content: bytes, problem: str, step: str, tmp_path: Path) -> None:
    file = tmp_path / "wrong.csv"
    file.write_bytes(content)
    assert refused(file) == f"{problem}\nGiven: wrong.csv\nAllowed: {FORMATS}\nNext: {step}"


def test_an_empty_file(tmp_path: Path) -> None:
    file = tmp_path / "nothing.csv"
    file.touch()
    assert (
        refused(file) == f"The file is empty.\nGiven: nothing.csv\nAllowed: {FORMATS}\nNext: Export the readings again."
    )


def test_no_file(tmp_path: Path) -> None:
    expected = f"There is no such file.\nGiven: none.csv\nAllowed: {FORMATS}\nNext: Check the name and the folder."
    assert refused(tmp_path / "none.csv") == expected
    (tmp_path / "folder").mkdir()
    assert refused(tmp_path / "folder") == expected.replace("none.csv", "folder")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    file = tmp_path / "secret.csv"
    file.write_text(TABLE)
    file.chmod(0)
    assert refused(file).startswith("The file cannot be read.\nGiven: secret.csv: Permission denied")


def test_two_gigabytes_are_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "huge.csv"
    with file.open("wb") as handle:
        handle.truncate(2_000_000_000)  # sparse: takes no room on the disk
    monkeypatch.setattr(Path, "read_bytes", lambda _: pytest.fail("the file was read"))
    assert refused(file) == (
        "The file is larger than a weather file should be.\nGiven: huge.csv, 2000 MB\nAllowed: up to 200 MB\n"
        "Next: Export a shorter period, or one sensor at a time."
    )


def test_a_packed_file_that_swells_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "bomb.gz"
    file.write_bytes(gzip.compress(b"0" * 5_000_000))
    assert refused(file, max_bytes=1_000_000) == (
        "The file is larger than a weather file should be.\nGiven: bomb.gz, more than 1 MB unpacked\n"
        "Allowed: up to 1 MB\nNext: Export a shorter period, or one sensor at a time."
    )


@pytest.mark.parametrize(
    ("encoding", "mark", "told"),
    [("utf-8", b"", "utf-8"), ("utf-8", b"\xef\xbb\xbf", "utf-8"), ("utf-16-le", b"\xff\xfe", "utf-16"),
     ("utf-16-be", b"\xfe\xff", "utf-16"), ("utf-16-le", b"", "utf-16"), ("utf-16-be", b"", "utf-16"),
     ("cp1252", b"", "windows-1252")],
)  # fmt: skip
def test_encodings_and_line_ends(encoding: str, mark: bytes, told: str, tmp_path: Path) -> None:
    file = tmp_path / "a.csv"
    file.write_bytes(mark + TABLE.replace("\n", "\r\n").encode(encoding))
    assert text_of(open_raw(file, max_bytes=10**6)) == (TABLE, told)
    assert read_weather(file).columns["air_temp_c"].tolist() == [1.5, 2.5]


def test_options_are_checked_at_once() -> None:
    with pytest.raises(InputError) as caught:
        ReadOptions(date_order="dym")
    assert caught.value.message == (
        "Not an order of dates.\nGiven: dym\nAllowed: dmy, mdy, ymd\nNext: Choose one of the allowed."
    )
    with pytest.raises(InputError, match="No clock on Earth is that far from UTC"):
        ReadOptions(utc_offset_h=120.0)
    with pytest.raises(InputError, match="No such weather column"):
        ReadOptions(columns={"temperature": "T"})


def test_kind_is_checked_before_the_file(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read_weather(tmp_path / "none.csv", kind="guess")
    assert caught.value.message == (
        "Not a kind of weather series.\nGiven: guess\n"
        "Allowed: measured, typed, typical year, forecast, invented\nNext: Choose one of the allowed."
    )


def test_importing_the_package_brings_nothing_heavy() -> None:
    code = (
        "import sys, barkslip.weather\n"
        "print([m for m in ('numpy', 'pandas', 'xarray', 'pvlib', 'scipy') if m in sys.modules])\n"
        "import barkslip.weather.read, barkslip.weather.typed, barkslip.weather.quality, barkslip.weather.summary\n"
        "import barkslip.weather.logger_csv, barkslip.weather.netcdf, barkslip.weather.netcdf_write\n"
        "print([m for m in ('pandas', 'xarray', 'pvlib', 'scipy', 'h5netcdf') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert run.stdout == "[]\n[]\n"
