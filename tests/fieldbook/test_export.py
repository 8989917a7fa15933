"""The whole book as plain files, and back."""

from __future__ import annotations

import csv
import errno
import json
import os
import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from barkslip.domain.errors import BookError, DiskFullError
from barkslip.domain.record import Record
from barkslip.domain.weather import COLUMNS, Series, SeriesInfo
from barkslip.fieldbook import series as store
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.check import check
from barkslip.fieldbook.columns import SEEN, described
from barkslip.fieldbook.digest import book_digest
from barkslip.fieldbook.export import export
from barkslip.fieldbook.imports import import_folder
from barkslip.fieldbook.rows import NOUNS, spec


def tables(book: Book) -> dict[str, Any]:
    """Every row of every table of facts, `current` included, in the order of writing."""
    with book.read() as reader:
        out = {t: reader.rows(f"SELECT * FROM {t} ORDER BY rowid") for t in NOUNS}
        out["block"] = reader.rows("SELECT * FROM block ORDER BY record, month, name")
        out["thing"] = reader.rows("SELECT * FROM thing ORDER BY id")
        out["meta"] = reader.rows("SELECT * FROM meta ORDER BY key")
        out["search"] = sorted(reader.rows("SELECT thing, code, title, body FROM search"))
    return out


def test_out_and_in_it_is_the_same_to_the_last_bit(full: Book, tmp_path: Path):
    with full.write() as writer:
        writer.set_meta("backup_at", "2025-03-14")
        writer.set_meta("knowledge_hash", "abc")
    report = export(full, tmp_path / "out", now=datetime(2025, 3, 14, tzinfo=UTC))
    made = import_folder(tmp_path / "out", tmp_path / "new")
    new = Book(tmp_path / "new")
    before, after = tables(full), tables(new)
    # notes about this computer's files and about lists that the new book does not have yet
    before["meta"].remove(("backup_at", "2025-03-14"))
    before["meta"].remove(("knowledge_hash", "abc"))
    assert after == before
    assert book_digest(new) == book_digest(full) == report.digest == made.digest
    assert made.same and made.lines == report.lines and made.readings == report.readings == 940
    assert (made.photos, made.ignored, made.filled, report.left_out) == (1, (), (), ())
    photos = sorted(p.name for p in full.files.photos.glob("*.jpg"))
    assert [(tmp_path / "new/photos" / n).read_bytes() for n in photos] == [
        (full.files.photos / n).read_bytes() for n in photos
    ]
    assert check(new) == ()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["full", "new", "out"]


def test_two_exports_of_one_book_are_alike(full: Book, tmp_path: Path):
    for name in ("a", "b"):
        export(full, tmp_path / name)
    listed = [(tmp_path / n / "checksums.sha256").read_text() for n in ("a", "b")]
    assert listed[0] == listed[1] and listed[0].count("\n") == 34


def test_an_empty_book(book: Book, tmp_path: Path):
    export(book, tmp_path / "out")
    assert import_folder(tmp_path / "out", tmp_path / "new").same


def test_the_digest_tells_any_change(full: Book, pen):
    before = book_digest(full)
    with full.write() as writer:
        writer.run("UPDATE look SET note = note || ' ' WHERE state = 'pushing'")
    changed = book_digest(full)
    with full.write() as writer:
        data = bytearray(writer.rows("SELECT data FROM block WHERE name = 'air_temp_c'")[0][0])
        data[0] ^= 1
        writer.run("UPDATE block SET data = :data WHERE name = 'air_temp_c' AND month = '2023-12'", data=bytes(data))
    assert len({before, changed, book_digest(full)}) == 3


def test_the_digest_does_not_see_what_can_be_worked_out(full: Book):
    before = book_digest(full)
    with full.write() as writer:
        writer.run("UPDATE look SET current = 0")
        writer.run("DELETE FROM search")
        writer.set_meta("backup_at", "now")
    assert book_digest(full) == before


def test_files_of_the_folder(exported: Path):
    assert sorted(p.name for p in exported.iterdir()) == sorted(
        [
            *(f"{t}.csv" for t in NOUNS),
            "README.txt",
            "book.json",
            "checksums.sha256",
            "columns.json",
            "photos",
            "weather",
        ]
    )
    assert sorted(p.name for p in (exported / "weather/lower-paddock-hourly").iterdir()) == [
        "2023.csv", "2024.csv", "series.json",
    ]  # fmt: skip
    readme = (exported / "README.txt").read_text(encoding="utf-8")
    for word in (*(f"{t}.csv" for t in NOUNS), "invented", "RFC 4180", "format 1", "UTC", "sha256sum -c", "see_"):
        assert word in readme
    assert max(len(line) for line in readme.splitlines()) <= 120


def test_plain_utf8_with_crlf_and_no_mark(exported: Path):
    """RFC 4180, section 2: rule 1 (CRLF), 5 to 7 (quotes)."""
    data = (exported / "look.csv").read_bytes()
    assert not data.startswith(b"\xef\xbb\xbf")
    assert data.split(b"\r\n")[0].startswith(b"id,thing,made_utc,corrects,withdrawn,graft,state,on_first,on_last,")
    assert b'"""fat"", he said;\r\nsee photo"' in data
    assert "naïve 100 % — 2 h".encode() in (exported / "event.csv").read_bytes()


def test_a_spreadsheet_sees_codes_dates_and_the_newest(exported: Path):
    with (exported / "look.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 7
    assert [r["see_graft"] for r in rows] == ["G04-1", "G04-1", "G04-2", "G04-2", "G04-2", "G04-2", "G04-2"]
    standing = [r["state"] for r in rows if r["see_newest"] == "yes" and r["withdrawn"] == "no"]
    assert standing == ["swelling", "pushing", "unknown", "green and still"]
    assert rows[1]["shoot_mm"] == "12.7" and rows[0]["shoot_mm"] == ""


def test_columns_are_described(exported: Path):
    words = json.loads((exported / "columns.json").read_text(encoding="utf-8"))
    for table, noun in NOUNS.items():
        told = words[f"{table}.csv"]
        assert [c["name"] for c in told["columns"]] == [c.name for c in spec(noun).columns]
        assert told["meaning"].endswith(".") and "`" not in "".join(
            " ".join(c.get("values", [])) for c in told["columns"]
        )
    by_name = {c["name"]: c for c in words["graft.csv"]["columns"]}
    assert by_name["scion_mm"] == {
        "name": "scion_mm", "kind": "number", "unit": "mm", "empty_means": "not known, or none",
        "meaning": "Diameters [mm].",
    }  # fmt: skip
    states = next(c for c in words["look.csv"]["columns"] if c["name"] == "state")
    assert "pushing" in states["values"]
    weather = {c["name"]: c["unit"] for c in words["weather/*/<year>.csv"]["columns"]}
    assert weather == {"time_utc": "", **{n: unit for n, (unit, _, _) in COLUMNS.items()}}


def test_no_field_looks_like_a_column_for_the_eye():
    assert not [c for noun in NOUNS.values() for c in spec(noun).columns if c.name.startswith(SEEN)]


def test_lengths_and_the_like_have_a_unit():
    ends = ("_mm", "_m", "_l", "_k", "_h", "_min", "_s", "_px", "_pct")
    for table in NOUNS:
        for c in described(table):
            if c.name.endswith(ends) and c.kind != "text":
                assert c.unit, f"{table}.{c.name}"


def test_local_time_stands_beside_utc(exported: Path):
    lines = (exported / "weather/lower-paddock-hourly/2023.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0] == "time_utc,see_local_time,air_temp_c"
    assert lines[1] == "2023-12-20T00:00:00Z,2023-12-20T02:00:00,18.0"
    assert lines[6] == "2023-12-20T05:00:00Z,2023-12-20T07:00:00,"  # a missing reading


FLOATS = st.lists(st.floats(width=64), min_size=20, max_size=80)


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(FLOATS, st.integers(-(2**33), 2**33))
def test_readings_come_back_to_the_last_bit(empty_folder: Path, tmp_path_factory, values: list[float], start: int):
    """Also tiny ones, minus zero and endless ones; missing stays missing."""
    place = tmp_path_factory.mktemp("bits")
    shutil.copytree(empty_folder, place / "book")
    book = Book(place / "book")
    times = start + 1000 * np.arange(len(values), dtype=np.int64)
    with book.write() as writer:
        line = Record(id="r", thing="r", made_utc="2024", name="", kind="measured", info={})
        store.put(writer, line, Series(SeriesInfo("x", "measured", ""), times, {"air_temp_c": np.array(values)}))
    export(book, place / "out")
    import_folder(place / "out", place / "new")
    new = Book(place / "new")
    sql = "SELECT month, name, readings, data FROM block ORDER BY month, name"
    with book.read() as a, new.read() as b:
        for old_row, new_row in zip(a.rows(sql), b.rows(sql), strict=True):
            assert old_row[:3] == new_row[:3]
            if old_row[1] == "time_s":
                assert old_row[3] == new_row[3]
                continue
            left, right = (np.frombuffer(row[3], dtype="<f8") for row in (old_row, new_row))
            missing = np.isnan(left)
            assert np.array_equal(missing, np.isnan(right))
            assert left[~missing].tobytes() == right[~missing].tobytes()
    assert book_digest(book) == book_digest(new)
    book.close()
    new.close()
    shutil.rmtree(place)


@pytest.mark.parametrize("what", ["a file in it", "a file of this name"])
def test_nothing_is_written_over(full: Book, exported: Path, tmp_path: Path, what: str):
    target = tmp_path / "taken"
    if what == "a file in it":
        target.mkdir()
        (target / "note.txt").write_text("mine")
        message = (
            f"This folder is not empty. It was left as it is.\nGiven: {target}\n"
            "Allowed: a new folder, or an empty one\nNext: Choose another folder."
        )
    else:
        target.write_text("mine")
        message = (
            f"There is a file of this name already. It was left as it is.\nGiven: {target}\n"
            "Allowed: a new folder, or an empty one\nNext: Choose another name."
        )
    for go in (lambda: export(full, target), lambda: import_folder(exported, target)):
        with pytest.raises(BookError) as caught:
            go()
        assert str(caught.value) == message
    assert sorted(p.name for p in tmp_path.iterdir()) == ["full", "taken"]


def test_an_empty_folder_may_be_taken(exported: Path, tmp_path: Path):
    (tmp_path / "new").mkdir()
    assert import_folder(exported, tmp_path / "new").same


def test_progress_is_told(full: Book, tmp_path: Path):
    told: list[tuple[int, int, str]] = []
    export(full, tmp_path / "out", progress=lambda *step: told.append(step))
    assert [n for n, _, _ in told] == list(range(1, len(NOUNS) + 4))
    assert {total for _, total, _ in told} == {len(NOUNS) + 3}
    assert (told[0][2], told[-1][2]) == ("garden.csv", "checksums.sha256")
    steps: list[int] = []
    import_folder(tmp_path / "out", tmp_path / "new", progress=lambda n, total, what: steps.append(n))
    assert steps == [1, 2, 3, 4]


def no_room(*_: Any, **__: Any) -> Any:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize(
    "at", ["barkslip.fieldbook.export.write_rows", "shutil.copyfile", "barkslip.fieldbook.export._write_checksums"]
)
def test_a_full_disk_leaves_no_half_export(full: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: str):
    monkeypatch.setattr(at, no_room)
    with pytest.raises(DiskFullError) as caught:
        export(full, tmp_path / "out")
    assert str(caught.value) == (
        "The disk is full. Nothing was written, and what was in the book is safe.\n"
        f"Given: {tmp_path / 'out'}\nNext: Make room on the disk, then do it again."
    )
    assert [p.name for p in tmp_path.iterdir()] == ["full"]


def test_what_is_lost_is_told_and_the_rest_goes_out(full: Book, tmp_path: Path, quarrow):
    (full.files.photos / quarrow.PICTURE_NAME).unlink()
    with full.write() as writer:
        writer.run("UPDATE block SET readings = 3 WHERE name = 'rain_mm'")
    report = export(full, tmp_path / "out")
    assert report.left_out == (
        "The readings of lower-paddock-hourly, 2024-01 cannot be read: rain_mm has 3 readings, the times are 652.",
        f"The photo {quarrow.PICTURE_NAME} is named in the book but is not in its folder.",
    )
    assert (report.photos, report.readings, report.digest) == (0, 288, "")
    made = import_folder(tmp_path / "out", tmp_path / "new")
    assert made.readings == 288 and not made.same
    assert json.loads((tmp_path / "out/book.json").read_text())["left_out"] == list(report.left_out)
