"""A book from an exported folder: what is refused, and what older exports lack."""

from __future__ import annotations

import csv
import errno
import hashlib
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from barkslip.domain.errors import BookError, BookVersionError, DiskFullError, InputError
from barkslip.domain.garden import Plot
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.export import export
from barkslip.fieldbook.imports import import_folder

AGAIN = "Next: Import an unchanged copy of the exported folder."
COPY = "Next: Copy the exported folder again from where it was whole."


def sums(folder: Path) -> None:
    """Write the checksums anew, as somebody would who knows how."""
    names = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    lines = [
        f"{hashlib.sha256((folder / n).read_bytes()).hexdigest()}  {n}\n" for n in names if n != "checksums.sha256"
    ]
    (folder / "checksums.sha256").write_text("".join(lines), encoding="utf-8")


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


def no_room(*_: Any, **__: Any) -> Any:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("at", ["barkslip.fieldbook.imports.rebuild", "shutil.copyfile"])
def test_a_full_disk_leaves_no_half_import(exported: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: str):
    monkeypatch.setattr(at, no_room)
    refused(exported, tmp_path / "new", DiskFullError)
    assert list(tmp_path.iterdir()) == []


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
        "A row cannot be read: checksums.sha256, line 35. Nothing was imported.\nGiven: 0000"
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
