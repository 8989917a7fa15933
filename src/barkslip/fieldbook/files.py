"""Where a book's files stand, and what the disk says when it will not."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from barkslip.domain.errors import (
    BookCorruptError,
    BookError,
    BookLockedError,
    BookReadOnlyError,
    DiskFullError,
)


class BookFiles(NamedTuple):
    """One folder holds everything: the book, its photos, its backups."""

    folder: Path

    @property
    def book(self) -> Path:
        return self.folder / "book.sqlite"

    @property
    def photos(self) -> Path:
        return self.folder / "photos"

    @property
    def backups(self) -> Path:
        return self.folder / "backups"


def quoted(path: Path) -> str:
    """A path as it stands in a file: address for SQLite."""
    return str(path).replace("%", "%25").replace("?", "%3f").replace("#", "%23")


@contextmanager
def disk_told_plainly(path: Path) -> Iterator[None]:
    """Turn what the disk says about `path` into errors that help."""
    try:
        yield
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EDQUOT):
            raise _full(path) from error
        if error.errno in (errno.EACCES, errno.EROFS, errno.EPERM):
            raise _read_only(path) from error
        raise


@contextmanager
def told_plainly(path: Path) -> Iterator[None]:
    """Turn what SQLite and the disk say about `path` into errors that help."""
    with disk_told_plainly(path):
        try:
            yield
        except sqlite3.DatabaseError as error:
            raise book_error(error, path) from error


def book_error(error: sqlite3.DatabaseError, path: Path) -> BookError:
    """The book's own error for one of SQLite's."""
    words = str(error).lower()
    if "locked" in words or "busy" in words:
        return BookLockedError(
            "The book is in use and did not come free in 5 seconds. Nothing was written.",
            given=str(path),
            next_step="Close other programs that have it open, or try again in a moment.",
        )
    if "readonly" in words or "read-only" in words or "unable to open" in words:
        return _read_only(path)
    if "full" in words:
        return _full(path)
    if "malformed" in words or "not a database" in words or "corrupt" in words:
        return BookCorruptError(
            "This file is damaged, or it is no book. It was left as it is.",
            given=str(path),
            next_step="Keep a copy of the file, then bring the last backup back: barkslip book restore",
        )
    if "constraint" in words:
        return BookError(
            "The book refuses this line: it does not fit with what it holds. Nothing was written.",
            given=str(error),
            next_step="Check that what it names is still in the book.",
        )
    return BookError(
        "The book could not be read or written. Nothing was changed.",
        given=str(error),
        next_step="Run: barkslip book check",
    )


def _full(path: Path) -> DiskFullError:
    return DiskFullError(
        "The disk is full. Nothing was written, and what was in the book is safe.",
        given=str(path),
        next_step="Make room on the disk, then do it again.",
    )


def _read_only(path: Path) -> BookReadOnlyError:
    return BookReadOnlyError(
        "The book cannot be opened for writing.",
        given=str(path),
        allowed="a file and a folder that you may write to",
        next_step="Check the folder's permissions, or choose another with --book.",
    )
