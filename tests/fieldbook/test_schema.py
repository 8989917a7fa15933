"""The schema that the migrations make is the schema that `models` declares."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path
from typing import Any

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import create_engine

from barkslip.fieldbook import models
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.connection import SCHEMA
from barkslip.fieldbook.reader import LIVE
from barkslip.fieldbook.rows import NOUNS, spec


def ours(item: Any, name: str | None, kind: str, reflected: bool, compare_to: Any) -> bool:
    """The search index is SQLite's own kind of table, with tables of its own behind it."""
    return not (kind == "table" and reflected and (name or "").partition("_")[0] == "search")


def shape(connection: sqlite3.Connection) -> dict[str, Any]:
    """Columns, keys and indexes of every table as SQLite tells them."""
    names = [
        r[0]
        for r in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
        if r[0].partition("_")[0] not in ("search", "alembic", "sqlite")
    ]
    out: dict[str, Any] = {}
    for name in names:
        indexes = connection.execute("SELECT sql FROM sqlite_master WHERE type = 'index' AND tbl_name = ?", (name,))
        out[name] = (
            connection.execute(f"PRAGMA table_xinfo({name})").fetchall(),
            sorted(connection.execute(f"PRAGMA foreign_key_list({name})").fetchall(), key=lambda r: r[3]),
            sorted(re.sub(r"\s+", " ", r[0]) for r in indexes if r[0]),
        )
        out[name] = (out[name][0], [r[2:] for r in out[name][1]], out[name][2])
    return out


def test_alembic_finds_no_difference(empty_folder: Path):
    engine = create_engine(f"sqlite:///{empty_folder / 'book.sqlite'}")
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"include_object": ours, "compare_type": True})
        assert compare_metadata(context, models.metadata) == []
    engine.dispose()


def test_sqlite_finds_no_difference(empty_folder: Path, tmp_path: Path):
    """Stricter than Alembic: partial indexes, defaults, order of columns."""
    engine = create_engine(f"sqlite:///{tmp_path / 'declared.sqlite'}")
    models.metadata.create_all(engine)
    engine.dispose()
    declared, migrated = (sqlite3.connect(p) for p in (tmp_path / "declared.sqlite", empty_folder / "book.sqlite"))
    assert shape(migrated) == shape(declared)
    assert set(shape(migrated)) == {*NOUNS, "thing", "block", "graft_now", "due", "meta"}
    declared.close()
    migrated.close()


def test_every_noun_has_its_columns_and_the_newest_mark(empty_folder: Path):
    with Book(empty_folder).read() as reader:
        for table, noun in NOUNS.items():
            held = [r[1] for r in reader.rows(f"PRAGMA table_info({table})")]
            assert held == [*(c.name for c in spec(noun).columns), "current"]


def test_version_of_a_new_book(empty_folder: Path):
    with Book(empty_folder).read() as reader:
        assert reader.rows("PRAGMA user_version") == [(SCHEMA,)]
        assert reader.rows("SELECT version_num FROM alembic_version") == [(f"{SCHEMA:04d}",)]
        assert reader.rows("PRAGMA journal_mode") == [("wal",)]


def test_what_pages_look_up_is_indexed(empty_folder: Path):
    """The plans of the commonest questions use an index, not a walk through the table."""
    questions = {
        f"SELECT * FROM graft WHERE code = 'G' AND {LIVE}": "ix_graft_code",
        f"SELECT * FROM look WHERE graft = 'g' AND {LIVE} ORDER BY on_first": "ix_look_graft_on_first",
        "SELECT * FROM tree WHERE thing = 't'": "ix_tree_thing",
        "SELECT * FROM look WHERE corrects = 'k'": "ix_look_corrects",
    }
    with Book(empty_folder).read() as reader:
        for sql, index in questions.items():
            plan = " ".join(str(r[3]) for r in reader.rows(f"EXPLAIN QUERY PLAN {sql}"))
            assert f"USING INDEX {index}" in plan and "TEMP B-TREE" not in plan
