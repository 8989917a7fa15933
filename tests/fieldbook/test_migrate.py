"""Moving an older book up: a backup first, then all of the move or nothing of it."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import pytest
from alembic import command

from barkslip.domain.errors import BookError, DiskFullError
from barkslip.fieldbook import book as book_module
from barkslip.fieldbook import connection
from barkslip.fieldbook.backup import backups
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.digest import book_digest
from barkslip.fieldbook.files import BookFiles


@pytest.fixture
def older(full: Book, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A book one version behind this program."""
    (full.files.folder / "digest").write_text(book_digest(full))
    full.close()
    later = connection.SCHEMA + 1
    monkeypatch.setattr(connection, "SCHEMA", later)
    monkeypatch.setattr(book_module, "SCHEMA", later)
    return full.files.folder


def held(path: Path) -> tuple[int, list[Any]]:
    plain = sqlite3.connect(path)
    try:
        version = plain.execute("PRAGMA user_version").fetchone()[0]
        return version, plain.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
    finally:
        plain.close()


def test_a_backup_is_made_before_the_move(older: Path):
    before = held(older / "book.sqlite")
    book = Book(older)
    assert book_digest(book) == (older / "digest").read_text()
    assert held(older / "book.sqlite") == (before[0] + 1, before[1])
    (kept,) = backups(BookFiles(older))
    assert kept.name.endswith(f"-before-version-{before[0] + 1}.sqlite")
    assert held(kept) == before
    book.close()
    Book(older).close()  # and not again
    assert backups(BookFiles(older)) == [kept]


def test_a_move_that_fails_changes_nothing(older: Path, monkeypatch: pytest.MonkeyPatch):
    before = held(older / "book.sqlite")

    def half_way(config: Any, _: str) -> None:
        config.attributes["connection"].exec_driver_sql("CREATE TABLE half (x)")
        config.attributes["connection"].exec_driver_sql("UPDATE look SET note = 'gone'")
        config.attributes["connection"].exec_driver_sql("SELECT * FROM nowhere")

    monkeypatch.setattr(command, "upgrade", half_way)
    with pytest.raises(BookError) as caught:
        Book(older)
    assert str(caught.value) == (
        "The book could not be read or written. Nothing was changed.\nGiven: no such table: nowhere\n"
        "Next: Run: barkslip book check"
    )
    assert held(older / "book.sqlite") == before
    plain = sqlite3.connect(older / "book.sqlite")
    assert plain.execute("SELECT count(*) FROM look WHERE note = 'gone'").fetchone() == (0,)
    plain.close()
    assert len(backups(BookFiles(older))) == 1


def test_a_full_disk_while_a_book_is_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    opened = connection.connect

    def small(path: Path, **more: Any) -> sqlite3.Connection:
        made = opened(path, **more)
        made.execute("PRAGMA max_page_count = 20")
        return made

    monkeypatch.setattr(connection, "connect", small)
    with pytest.raises(DiskFullError) as caught:
        Book.create(tmp_path / "new")
    assert str(caught.value) == (
        "The disk is full. Nothing was written, and what was in the book is safe.\n"
        f"Given: {tmp_path / 'new' / 'book.sqlite'}\nNext: Make room on the disk, then do it again."
    )
    assert not Book.exists(tmp_path / "new")
    monkeypatch.undo()
    Book.create(tmp_path / "new").close()
