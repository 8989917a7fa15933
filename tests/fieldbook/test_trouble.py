"""Files that are no book, and disks that will not."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from barkslip.domain.errors import (
    BookCorruptError,
    BookError,
    BookReadOnlyError,
    BookVersionError,
    DiskFullError,
    NotFoundError,
)
from barkslip.domain.garden import Plot
from barkslip.fieldbook import connection
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.files import told_plainly

LINE = Plot(id="p", thing="p", made_utc="", code="P", name="")


def damaged(path: Path) -> str:
    return (
        f"This file is damaged, or it is no book. It was left as it is.\nGiven: {path}\n"
        "Next: Keep a copy of the file, then bring the last backup back: barkslip book restore"
    )


def read_only(path: Path) -> str:
    return (
        f"The book cannot be opened for writing.\nGiven: {path}\nAllowed: a file and a folder that you may write to\n"
        "Next: Check the folder's permissions, or choose another with --book."
    )


def full_disk(path: Path) -> str:
    return (
        f"The disk is full. Nothing was written, and what was in the book is safe.\nGiven: {path}\n"
        "Next: Make room on the disk, then do it again."
    )


def test_no_book(tmp_path: Path):
    with pytest.raises(NotFoundError) as caught:
        Book(tmp_path)
    assert str(caught.value) == (
        f"There is no book here yet.\nGiven: {tmp_path}\n"
        "Next: Start one with: barkslip book new   (or look around in the demo: barkslip demo)"
    )
    assert not Book.exists(tmp_path) and list(tmp_path.iterdir()) == []


def test_a_book_is_never_made_over_another(book: Book):
    with pytest.raises(BookError) as caught:
        Book.create(book.files.folder)
    assert str(caught.value) == (
        f"There is a book here already. It was left as it is.\nGiven: {book.files.book}\n"
        "Next: Choose another folder with --book."
    )


@pytest.mark.parametrize("name", ["50% off #1", "what? no", "Garten späh 'n' \"co\"", "file:x"])
def test_folders_with_odd_names(tmp_path: Path, name: str):
    book = Book.create(tmp_path / name)
    with book.write() as writer:
        writer.append(LINE)
    book.close()
    with Book(tmp_path / name).read() as reader:
        assert reader.every(Plot) == [LINE]
    assert [p.name for p in tmp_path.iterdir()] == [name]


def test_random_bytes(tmp_path: Path):
    path = tmp_path / "book.sqlite"
    path.write_bytes(bytes(range(256)) * 64)
    before = path.read_bytes()
    with pytest.raises(BookCorruptError) as caught:
        Book(tmp_path)
    assert str(caught.value) == damaged(path)
    assert path.read_bytes() == before


def test_half_a_file(full: Book):
    full.close()
    path = full.files.book
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(BookCorruptError) as caught:
        book = Book(full.files.folder)
        with book.read() as reader:
            reader.rows("PRAGMA integrity_check")
            reader.counts()
    assert str(caught.value) == damaged(path)


def test_an_empty_file_and_a_database_of_something_else(tmp_path: Path):
    path = tmp_path / "book.sqlite"
    path.touch()
    message = (
        f"This file is a database, but no garden book. It was left as it is.\nGiven: {path}\n"
        "Next: Choose the folder of your book with --book."
    )
    with pytest.raises(BookCorruptError) as caught:
        Book(tmp_path)
    assert str(caught.value) == message
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE thing (id TEXT)")
    other.execute("PRAGMA user_version = 1")
    other.close()
    before = path.read_bytes()
    with pytest.raises(BookCorruptError) as caught:
        Book(tmp_path)
    assert str(caught.value) == message
    assert path.read_bytes() == before


def test_a_book_from_the_future(book: Book):
    book.close()
    later = sqlite3.connect(book.files.book)
    later.execute("PRAGMA user_version = 99")
    later.close()
    with pytest.raises(BookVersionError) as caught:
        Book(book.files.folder)
    assert str(caught.value) == (
        "This book was written by a newer barkslip.\n"
        f"Given: book version 99, this program knows up to {connection.SCHEMA}\n"
        "Next: Update barkslip, then open it again. Nothing was changed."
    )


def test_sqlites_word_for_a_file_that_cannot_be_written(book: Book, monkeypatch: pytest.MonkeyPatch):
    """A connection opened read-only, as SQLite opens a file without permission to write."""
    opened = connection.connect
    monkeypatch.setattr("barkslip.fieldbook.book.connect", lambda path, **_: opened(path, read_only=True))
    with pytest.raises(BookReadOnlyError) as caught, book.write() as writer:
        writer.append(LINE)
    assert str(caught.value) == read_only(book.files.book)


@contextmanager
def as_nobody() -> Iterator[None]:
    """Permissions do not bind root: be somebody else for a while."""
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)


@pytest.mark.skipif(not hasattr(os, "seteuid"), reason="permissions of this system are not those of POSIX")
@pytest.mark.parametrize("folder_mode", [0o555, 0o777], ids=["folder and file", "file"])
def test_permissions_on_the_disk(empty_folder: Path, folder_mode: int):
    place = Path(tempfile.mkdtemp())  # not under pytest's own folder, which only its owner may enter
    try:
        folder = place / "book"
        shutil.copytree(empty_folder, folder)
        (folder / "book.sqlite").chmod(0o444)
        folder.chmod(folder_mode)
        place.chmod(0o755)
        with as_nobody(), pytest.raises(BookReadOnlyError) as caught:
            book = Book(folder)
            with book.write() as writer:
                writer.append(LINE)
        assert str(caught.value) == read_only(folder / "book.sqlite")
    finally:
        (place / "book").chmod(0o755)
        shutil.rmtree(place)


@pytest.mark.skipif(not hasattr(os, "seteuid"), reason="permissions of this system are not those of POSIX")
def test_no_permission_to_make_a_book():
    place = Path(tempfile.mkdtemp())
    try:
        place.chmod(0o555)
        with as_nobody(), pytest.raises(BookReadOnlyError) as caught:
            Book.create(place / "book")
        assert str(caught.value) == read_only(place / "book" / "book.sqlite")
    finally:
        place.chmod(0o755)
        shutil.rmtree(place)


def test_a_full_disk_while_writing(book: Book):
    with book.write() as writer:
        writer.append(LINE)
        pages = writer.rows("PRAGMA page_count")[0][0]
        writer.run(f"PRAGMA max_page_count = {pages + 2}")
    with pytest.raises(DiskFullError) as caught, book.write() as writer:
        for i in range(1000):
            writer.append(Plot(id=f"{i}", thing=f"{i}", made_utc="", code=f"C{i}", name="x" * 500))
    assert str(caught.value) == full_disk(book.files.book)
    with book.read() as reader:
        assert reader.every(Plot) == [LINE]
        assert reader.rows("PRAGMA integrity_check") == [("ok",)]
        assert reader.rows("SELECT count(*) FROM search") == [(1,)]


@pytest.mark.parametrize(
    ("number", "error", "message"),
    [
        (errno.ENOSPC, DiskFullError, full_disk),
        (errno.EDQUOT, DiskFullError, full_disk),
        (errno.EACCES, BookReadOnlyError, read_only),
        (errno.EROFS, BookReadOnlyError, read_only),
    ],
)
def test_what_the_disk_says(number: int, error: type[BookError], message: Callable[[Path], str]):
    with pytest.raises(error) as caught, told_plainly(Path("b")):
        raise OSError(number, os.strerror(number))
    assert str(caught.value) == message(Path("b"))


def test_other_words_of_the_disk_are_not_guessed_at():
    with pytest.raises(OSError, match="I/O"), told_plainly(Path("b")):
        raise OSError(errno.EIO, "I/O error")
