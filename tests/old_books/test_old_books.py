"""Books written by former versions are opened, read, moved up, exported and imported."""

from __future__ import annotations

import importlib.util
import shutil
import sqlite3
from datetime import date
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from barkslip.domain.answer import NightAnswer
from barkslip.domain.clean import Hold
from barkslip.domain.graft import Graft, Look
from barkslip.domain.record import Record
from barkslip.domain.tree import Candidate, ChainLink, Limb, Tree
from barkslip.domain.when import When
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.check import check
from barkslip.fieldbook.connection import SCHEMA
from barkslip.fieldbook.digest import book_digest
from barkslip.fieldbook.export import export
from barkslip.fieldbook.imports import import_folder
from barkslip.fieldbook.search import find
from barkslip.fieldbook.series import readings

HERE = Path(__file__).parent
OLD = sorted(HERE.glob("book_v*.sqlite"))


@pytest.fixture(scope="module")
def make() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_old_books", HERE / "make.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(params=OLD, ids=lambda p: p.stem)
def old(request: pytest.FixtureRequest, tmp_path: Path, make: ModuleType):
    """A copy of a kept book, with the photo beside it."""
    folder = tmp_path / "old"
    (folder / "photos").mkdir(parents=True)
    shutil.copyfile(request.param, folder / "book.sqlite")
    (folder / "photos" / make.PICTURE_NAME).write_bytes(make.PICTURE)
    book = Book(folder)
    yield book
    book.close()


def test_there_is_one_of_each_version():
    assert [p.name for p in OLD] == [f"book_v{n}.sqlite" for n in range(1, SCHEMA + 1)]


def schema(path: Path) -> dict[str, str]:
    plain = sqlite3.connect(path)
    try:
        return dict(plain.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall())
    finally:
        plain.close()


def test_a_kept_book_moved_up_has_the_schema_of_a_new_one(old: Book, tmp_path: Path):
    """A change of the schema is a new migration, never an edit of one that books were made with.

    Before the first release only: edit it, then run `python tests/old_books/make.py`.
    """
    Book.create(tmp_path / "new").close()
    assert schema(old.files.book) == schema(tmp_path / "new" / "book.sqlite")


def test_lines_are_read(old: Book):
    with old.read() as reader:
        known_later = {"night_answer", *LATER}
        tastings = 2 if reader.counts()["sign"] else 1
        assert {k: n for k, n in reader.counts().items() if n and k not in known_later} == {
            "garden": 1, "plot": 2, "logger": 1, "tree": 2, "limb": 1, "chain_link": 1, "wood_lot": 1, "lot_find": 1,
            "graft": 2, "look": 4, "act": 2, "event": 1, "photo": 1, "trial": 1, "tasting": tastings, "record": 1,
        }  # fmt: skip
        tree = reader.by_code(Tree, "T01")
        assert tree.planted == When(date(1997, 1, 1), date(1999, 12, 31), "about 1998")
        graft = reader.by_code(Graft, "G04-1")
        assert (graft.scion_mm, graft.stock_mm, graft.side) == (7.5, 40.0, "upper")
        assert reader.get(Limb, graft.limb).address == "NW-M-1"
        looks = reader.every(Look, "graft = :graft", graft=graft.thing)
        assert [(k.state, k.shoot_mm) for k in looks] == [("swelling", None), ("pushing", 12.7)]
        assert looks[0].note == '"fat", he said;\r\nsee photo'
        link = reader.every(ChainLink)[0]
        assert link.candidates == (Candidate("rough lemon", 0.9, "leaf"), Candidate("citrange", 0.05, ""))
        assert [h.code for h in find(reader, "gate")] == ["T01"]


def test_answers_about_nights_came_with_version_2(tmp_path: Path):
    for version, wanted in ((1, []), (2, [("2024-07-14", -2.9, -5.5, -5.8, 1)])):
        (tmp_path / f"{version}").mkdir()
        shutil.copyfile(HERE / f"book_v{version}.sqlite", tmp_path / f"{version}" / "book.sqlite")
        book = Book(tmp_path / f"{version}")
        with book.read() as reader:
            found = reader.every(NightAnswer)
        assert [(a.day, a.forecast_low_c, a.low_p50_c, a.measured_low_c, a.seed) for a in found] == wanted
        book.close()


#: Nouns that came with version 3.
LATER = (
    "placement", "sign", "cause", "tool_use", "handout", "wood_rule", "hold", "trial_plan", "trial_reading",
    "canopy_share",
)  # fmt: skip


def test_signs_and_clean_wood_came_with_version_3(tmp_path: Path):
    for version, wanted in ((2, {}), (3, dict.fromkeys(LATER, 1) | {"sign": 2, "tool_use": 2})):
        (tmp_path / f"{version}").mkdir()
        shutil.copyfile(HERE / f"book_v{version}.sqlite", tmp_path / f"{version}" / "book.sqlite")
        book = Book(tmp_path / f"{version}")
        with book.read() as reader:
            counts = reader.counts()
            held = reader.every(Hold)
        assert {k: counts[k] for k in LATER if counts[k]} == wanted
        assert [(h.why, h.how, h.lifted) for h in held] == [
            ("wrong name", "second crop true to name", When(date(2025, 3, 1), date(2025, 3, 1)))
        ][: len(wanted)]
        book.close()


def test_readings_are_read(old: Book, make: ModuleType):
    with old.read() as reader:
        series = readings(reader, reader.every(Record)[0])
    wanted = make.weather()
    assert series.info == wanted.info
    assert np.array_equal(series.time_s, wanted.time_s)
    for name, values in wanted.columns.items():
        assert np.allclose(series.columns[name], values, rtol=0, atol=1e-9, equal_nan=True)


def test_nothing_is_amiss(old: Book):
    assert check(old) == ()


def test_out_and_in_again_it_is_the_same(old: Book, tmp_path: Path):
    report = export(old, tmp_path / "out")
    assert report.left_out == ()
    made = import_folder(tmp_path / "out", tmp_path / "new")
    assert made.same
    assert book_digest(Book(tmp_path / "new")) == book_digest(old) == report.digest
