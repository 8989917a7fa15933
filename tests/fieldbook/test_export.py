"""The whole book as plain files, and back."""

from __future__ import annotations

import csv
import errno
import hashlib
import json
import os
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from barkslip.domain.errors import BookError, BookVersionError, DiskFullError, InputError
from barkslip.domain.garden import Plot
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

AGAIN = "Next: Import an unchanged copy of the exported folder."
COPY = "Next: Copy the exported folder again from where it was whole."


def sums(folder: Path) -> None:
    """Write the checksums anew, as somebody would who knows how."""
    names = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    lines = [
        f"{hashlib.sha256((folder / n).read_bytes()).hexdigest()}  {n}\n" for n in names if n != "checksums.sha256"
    ]
    (folder / "checksums.sha256").write_text("".join(lines), encoding="utf-8")


def tables(book: Book) -> dict[str, Any]:
    """Every row of every table of facts, `current` included, in the order of writing."""
    with book.read() as reader:
        out = {t: reader.rows(f"SELECT * FROM {t} ORDER BY rowid") for t in NOUNS}
        out["block"] = reader.rows("SELECT * FROM block ORDER BY record, month, name")
        out["thing"] = reader.rows("SELECT * FROM thing ORDER BY id")
        out["meta"] = reader.rows("SELECT * FROM meta ORDER BY key")
        out["search"] = sorted(reader.rows("SELECT thing, code, title, body FROM search"))
    return out


@pytest.fixture(scope="module")
def exported(full_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("exported") / "out"
    book = Book(full_folder)
    export(book, folder)
    book.close()
    return folder


@pytest.fixture
def out(exported: Path, tmp_path: Path) -> Path:
    """An exported folder of its own, to be spoiled."""
    return Path(shutil.copytree(exported, tmp_path / "out"))


def change(path: Path, old: str, new: str) -> None:
    text = path.read_bytes().decode()
    assert old in text
    path.write_bytes(text.replace(old, new, 1).encode())
    sums(path.parents[len(path.parts) - path.parts.index("out") - 2])


def refused(folder: Path, target: Path, error: type[Exception] = InputError) -> str:
    """The whole message; nothing is made."""
    with pytest.raises(error) as caught:
        import_folder(folder, target)
    assert [p for p in target.parent.iterdir() if p.name.startswith(target.name)] == []
    return str(caught.value)


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
    assert listed[0] == listed[1] and listed[0].count("\n") == 23


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


@pytest.mark.parametrize("at", ["barkslip.fieldbook.imports.rebuild", "shutil.copyfile"])
def test_a_full_disk_leaves_no_half_import(exported: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: str):
    monkeypatch.setattr(at, no_room)
    refused(exported, tmp_path / "new", DiskFullError)
    assert list(tmp_path.iterdir()) == []


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


# -- what is refused on import --


def test_no_exported_folder(tmp_path: Path):
    (tmp_path / "some").mkdir()
    assert refused(tmp_path / "some", tmp_path / "new") == (
        f"This folder is no exported book.\nGiven: {tmp_path / 'some'}\n"
        "Allowed: a folder with book.json and checksums.sha256 in it\n"
        "Next: Choose the folder that was written by: barkslip book export"
    )


def test_a_changed_file_is_named(out: Path, tmp_path: Path):
    path = out / "weather/lower-paddock-hourly/2023.csv"
    path.write_bytes(path.read_bytes().replace(b"18.0", b"18.1", 1))
    assert refused(out, tmp_path / "new") == (
        "A file of the exported folder was changed. Nothing was imported.\n"
        f"Given: weather/lower-paddock-hourly/2023.csv\nAllowed: all files as listed in checksums.sha256\n{COPY}"
    )


def test_a_missing_file_is_named(out: Path, tmp_path: Path):
    (out / "act.csv").unlink()
    message = "{}. Nothing was imported.\nGiven: act.csv\nAllowed: all files as listed in checksums.sha256\n" + COPY
    assert refused(out, tmp_path / "new") == message.format("A file of the exported folder is missing")
    sums(out)
    assert refused(out, tmp_path / "new") == message.format("A file is missing from the list of checksums")


def test_a_folder_from_the_future(out: Path, tmp_path: Path):
    change(out / "book.json", '"format": 1', '"format": 2')
    assert refused(out, tmp_path / "new", BookVersionError) == (
        "This folder was written by a newer barkslip.\nGiven: folder format 2, this program knows up to 1\n"
        "Next: Update barkslip, then import it again. Nothing was changed."
    )


def test_checksums_lead_nowhere_else(out: Path, tmp_path: Path):
    with (out / "checksums.sha256").open("a") as file:
        file.write(f"{'0' * 64}  ../../secret\n")
    assert refused(out, tmp_path / "new").startswith(
        "A row cannot be read: checksums.sha256, line 24. Nothing was imported.\nGiven: 0000"
    )


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    [
        ("look.csv", ",12.7,", ",twelve,",
         "look.csv, line 4, column shoot_mm|twelve|a number with a decimal point"),
        ("look.csv", ",12.7,", ",nan,", "look.csv, line 4, column shoot_mm|nan|a number with a decimal point"),
        ("tree.csv", ",30,2,", ",3.5,2,", "tree.csv, line 3, column count|3.5|a whole number"),
        ("tree.csv", "1997-01-01", "1997-02-30", "tree.csv, line 2, column planted_first|1997-02-30|"
         "a day as year-month-day"),
        ("tree.csv", "1997-01-01", "", "tree.csv, line 2, column planted_first|(nothing)|"
         "a day, since the other columns of this date are given"),
        ("tree.csv", "1999-12-31", "1996-12-31", "tree.csv, line 2, column planted_last|1996-12-31|"
         "1997-01-01 or later"),
        ("tree.csv", ",no,", ",maybe,", "tree.csv, line 2, column withdrawn|maybe|yes or no"),
        ("graft.csv", "2024-08-20,2024-08-20", ",2024-08-20", "graft.csv, line 2, column set_on_first|(nothing)|"
         "something: this may not be empty"),
        ("chain_link.csv", '"[{""belief"":0.75', '"[{""trust"":0.75', "chain_link.csv, line 2, column candidates|"
         '[{"trust":0.75,"evidence":"one root sucker: purple shoots, “lemon” scent","ta...|'
         "a JSON list of taxon, belief and evidence"),
        ("trial.csv", '"{""bag"":[7', '"{""bag"":[NaN', "trial.csv, line 2, column result|"
         '{"bag":[NaN,10],"no bag":[5.0,10]}|JSON'),
    ],
)  # fmt: skip
def test_a_bad_row_is_named(out: Path, tmp_path: Path, name: str, old: str, new: str, message: str):
    change(out / name, old, new)
    at, given_, allowed = message.split("|")
    assert refused(out, tmp_path / "new") == (
        f"A row cannot be read: {at}. Nothing was imported.\nGiven: {given_}\nAllowed: {allowed}\n{AGAIN}"
    )


def spoil_reference(out: Path) -> str:
    with (out / "look.csv").open(encoding="utf-8", newline="") as file:
        graft = next(csv.DictReader(file))["graft"]
    change(out / "look.csv", f",no,{graft}", ",no,nobody")
    return "look.csv, line 2, column graft. Nothing was imported.\nGiven: nobody\nAllowed: the thing of a line in this"


def spoil_order(out: Path) -> str:
    path = out / "tree.csv"
    head, *rows = path.read_bytes().split(b"\r\n")
    path.write_bytes(b"\r\n".join([head, *rows[-2::-1], b""]))
    sums(out)
    corrected = rows[-2].split(b",")[3].decode()
    return (
        f"tree.csv, line 2, column corrects. Nothing was imported.\nGiven: {corrected}\nAllowed: the id of a line above"
    )


def spoil_twice(out: Path) -> str:
    path = out / "act.csv"
    lines = path.read_bytes().split(b"\r\n")
    path.write_bytes(b"\r\n".join([*lines[:2], lines[1], b""]))
    sums(out)
    return f"act.csv, line 3, column id. Nothing was imported.\nGiven: {lines[1][:36].decode()}\nAllowed: each id once"


def spoil_cells(out: Path) -> str:
    change(out / "plot.csv", "House yard,", "House yard,,")
    return "plot.csv, line 2. Nothing was imported.\nGiven: 12 cells\nAllowed: 11 cells, one for each column"


def spoil_time(out: Path) -> str:
    change(out / "weather/lower-paddock-hourly/2023.csv", "2023-12-20T03:00:00Z", "2023-12-20T25:00:00Z")
    return (
        "weather/lower-paddock-hourly/2023.csv, line 5, column time_utc. Nothing was imported.\n"
        "Given: 2023-12-20T25:00:00Z\nAllowed: a time such as 2024-07-31T21:00:00Z"
    )


def spoil_rise(out: Path) -> str:
    change(out / "weather/lower-paddock-hourly/2023.csv", "2023-12-20T03:00:00Z", "2023-12-20T02:00:00Z")
    return (
        "weather/lower-paddock-hourly/2023.csv, line 5, column time_utc. Nothing was imported.\n"
        "Given: 2023-12-20T02:00:00Z\nAllowed: a time after the one above"
    )


def spoil_reading(out: Path) -> str:
    change(out / "weather/lower-paddock-hourly/2023.csv", ",18.0", ",18,0")
    return "weather/lower-paddock-hourly/2023.csv, line 2. Nothing was imported.\nGiven: 4 cells\nAllowed: 3 cells"


def spoil_number(out: Path) -> str:
    change(out / "weather/lower-paddock-hourly/2023.csv", ",18.0", ",warm")
    return (
        "weather/lower-paddock-hourly/2023.csv, line 2, column air_temp_c. Nothing was imported.\nGiven: warm\n"
        "Allowed: a number with a decimal point, or nothing"
    )


@pytest.mark.parametrize(
    "spoil",
    [spoil_reference, spoil_order, spoil_twice, spoil_cells, spoil_time, spoil_rise, spoil_reading, spoil_number],
)
def test_what_does_not_fit_is_named(out: Path, tmp_path: Path, spoil: Callable[[Path], str]):
    wanted = spoil(out)
    assert refused(out, tmp_path / "new").startswith(f"A row cannot be read: {wanted}")


def test_a_lost_row_is_missed(out: Path, tmp_path: Path):
    path = out / "act.csv"
    path.write_bytes(b"\r\n".join(path.read_bytes().split(b"\r\n")[:2]) + b"\r\n")
    sums(out)
    assert refused(out, tmp_path / "new") == (
        "A file does not have its number of lines: act.csv. Nothing was imported.\n"
        f"Given: 1 lines, book.json says 2\n{COPY}"
    )


def test_lost_readings_are_missed(out: Path, tmp_path: Path):
    path = out / "weather/lower-paddock-hourly/2023.csv"
    path.write_bytes(b"\r\n".join(path.read_bytes().split(b"\r\n")[:-2]) + b"\r\n")
    sums(out)
    assert refused(out, tmp_path / "new") == (
        "A weather series does not fit its files: weather/lower-paddock-hourly/series.json. Nothing was imported.\n"
        "Given: weather/lower-paddock-hourly/2023.csv does not hold the 288 readings of 2023-12\n"
        f"Allowed: a series as it was exported\n{AGAIN}"
    )


def test_a_changed_fact_does_not_pass_for_the_same_book(out: Path, tmp_path: Path):
    """Even with checksums made to fit."""
    change(out / "look.csv", ",12.7,", ",12.8,")
    message = refused(out, tmp_path / "new", BookError)
    assert message.startswith("The new book would not be the same as the exported one. Nothing was imported.\n")


def test_no_utf8(out: Path, tmp_path: Path):
    path = out / "event.csv"
    path.write_bytes(path.read_bytes().decode().encode("latin-1", "replace"))
    sums(out)
    assert refused(out, tmp_path / "new").startswith(
        "A file cannot be read: event.csv. Nothing was imported.\nGiven: byte "
    )


def rewrite(path: Path, edit: Callable[[dict[str, str]], dict[str, str]]) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        rows = [edit(row) for row in csv.DictReader(file)]
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, list(rows[0]))
        out.writeheader()
        out.writerows(rows)
    sums(path.parent)


def test_an_older_export_lacks_columns_and_nouns(out: Path, tmp_path: Path):
    new_ones = ("bench_mm", "count", "planted_first", "planted_last", "planted_text")
    rewrite(out / "tree.csv", lambda row: {k: v for k, v in row.items() if k not in new_ones})
    rewrite(out / "wood_lot.csv", lambda row: {k: v for k, v in row.items() if k != "lot_state"})
    rewrite(out / "plot.csv", lambda row: {k: v for k, v in row.items() if not k.startswith("see_")})
    (out / "tasting.csv").unlink()
    about = json.loads((out / "book.json").read_text())
    del about["lines"]["tasting"]
    (out / "book.json").write_text(json.dumps(about))
    sums(out)
    made = import_folder(out, tmp_path / "new")
    assert set(made.filled) == {*(f"tree.csv: {n}" for n in new_ones), "wood_lot.csv: lot_state"}
    assert not made.same
    with Book(tmp_path / "new").read() as reader:
        assert reader.rows("SELECT count, planted_first, planted_text, bench_mm FROM tree WHERE code = 'T06'") == [
            (1, None, None, None)
        ]
        assert reader.rows("SELECT lot_state FROM wood_lot") == [("in store",)]
        assert reader.counts()["tasting"] == 0


def test_a_column_that_must_be_there(out: Path, tmp_path: Path):
    rewrite(out / "tree.csv", lambda row: {k: v for k, v in row.items() if k != "code"})
    assert refused(out, tmp_path / "new") == (
        "A row cannot be read: tree.csv, line 1, column code. Nothing was imported.\nGiven: no such column\n"
        f"Allowed: a column of this name\n{AGAIN}"
    )


def test_columns_that_are_not_known_are_told(out: Path, tmp_path: Path):
    rewrite(out / "tree.csv", lambda row: {"colour": "green", **row, "see_more": "x"})
    made = import_folder(out, tmp_path / "new")
    assert made.ignored == ("tree.csv: colour",) and made.same


def test_any_text_goes_out_and_in(book: Book, tmp_path: Path):
    odd = ["\r", "\n", "a\rb", '"', ",", "=1+1", "\ufeff", "\x00", "  ", "é", "\u2028", "no", "𝕬", "'", "\t"]
    with book.write() as writer:
        for i, text in enumerate(odd):
            writer.append(Plot(id=f"{i}", thing=f"{i}", made_utc="2024", code=f"C{i}", name=text, note=text))
    export(book, tmp_path / "out")
    assert import_folder(tmp_path / "out", tmp_path / "new").same
    with Book(tmp_path / "new").read() as reader:
        assert [p.name for p in reader.every(Plot, order="rowid")] == odd
