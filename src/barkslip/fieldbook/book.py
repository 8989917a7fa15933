"""Opening, reading and writing a book.

One writer at a time, begun with BEGIN IMMEDIATE (a plain BEGIN fails when two read and then write); readers never
wait. A write is whole or not at all.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from barkslip.domain.errors import BookCorruptError, BookVersionError, NotFoundError
from barkslip.fieldbook.connection import SCHEMA, connect
from barkslip.fieldbook.files import BookFiles, told_plainly
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.writer import Writer


class Book:
    """One garden's book.

    Parameters
    ----------
    folder : Path
        Folder that holds book.sqlite, photos and backups.
    """

    def __init__(self, folder: Path) -> None:
        self.files = BookFiles(folder)
        self._local = threading.local()
        # a write within a write of the same thread is then an error, and no endless wait
        self._write_lock = threading.RLock()
        self._writer: sqlite3.Connection | None = None
        self._open: list[sqlite3.Connection] = []
        with told_plainly(self.files.book):
            self._check_version()

    @classmethod
    def create(cls, folder: Path) -> Book:
        """Make an empty book in `folder` (which is made too).

        Raises
        ------
        BookError
            If there is a book already, or the folder cannot be written.
        """
        from barkslip.fieldbook.migrate import make_empty

        files = BookFiles(folder)
        with told_plainly(files.book):
            folder.mkdir(parents=True, exist_ok=True)
            files.photos.mkdir(exist_ok=True)
            files.backups.mkdir(exist_ok=True)
            make_empty(files)
        return cls(folder)

    @staticmethod
    def exists(folder: Path) -> bool:
        """True if there is a book in `folder`."""
        return BookFiles(folder).book.exists()

    def _check_version(self) -> None:
        path = self.files.book
        if not path.exists():
            raise NotFoundError(
                "There is no book here yet.",
                given=str(self.files.folder),
                next_step="Start one with: barkslip book new   (or look around in the demo: barkslip demo)",
            )
        probe = connect(path, read_only=True)
        try:
            version = probe.execute("PRAGMA user_version").fetchone()[0]
            tables = probe.execute("SELECT count(*) FROM sqlite_master WHERE name IN ('thing', 'meta')").fetchone()[0]
        finally:
            probe.close()
        if tables < 2 or version < 1:
            raise BookCorruptError(
                "This file is a database, but no garden book. It was left as it is.",
                given=str(path),
                next_step="Choose the folder of your book with --book.",
            )
        if version > SCHEMA:
            raise BookVersionError(
                "This book was written by a newer barkslip.",
                given=f"book version {version}, this program knows up to {SCHEMA}",
                next_step="Update barkslip, then open it again. Nothing was changed.",
            )
        if version < SCHEMA:
            from barkslip.fieldbook.migrate import move_up

            move_up(self.files, version)

    def _read_connection(self) -> sqlite3.Connection:
        connection: sqlite3.Connection | None = getattr(self._local, "connection", None)
        if connection is None:
            connection = connect(self.files.book)
            connection.execute("PRAGMA query_only = ON")
            self._local.connection = connection
            self._open.append(connection)
        return connection

    @contextmanager
    def read(self) -> Iterator[Reader]:
        """A steady view of the book; writes nothing."""
        with told_plainly(self.files.book):
            connection = self._read_connection()
            nested = connection.in_transaction
            if not nested:
                connection.execute("BEGIN")
            try:
                yield Reader(connection, self.files)
            finally:
                if not nested:
                    connection.execute("COMMIT")

    @contextmanager
    def write(self) -> Iterator[Writer]:
        """Append in one go: all of it or, after any error, nothing."""
        with told_plainly(self.files.book), self._write_lock:
            if self._writer is None:
                self._writer = connect(self.files.book)
                self._open.append(self._writer)
            connection = self._writer
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield Writer(connection, self.files)
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise

    def close(self) -> None:
        """Close every connection."""
        for connection in self._open:
            connection.close()
        self._open.clear()
        self._writer = None
        self._local = threading.local()
