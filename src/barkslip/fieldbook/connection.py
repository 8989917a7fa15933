"""Connections to a book's file."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from barkslip.fieldbook.files import quoted

#: Version of the schema this program writes (PRAGMA user_version); one migration each.
SCHEMA = 3
#: How long a writer waits for another one [ms].
BUSY_MS = 5000


def connect(path: Path, *, read_only: bool = False) -> sqlite3.Connection:
    """A connection with the pragmas the book relies on."""
    mode = "ro" if read_only else "rw"
    connection = sqlite3.connect(
        f"file:{quoted(path)}?mode={mode}", uri=True, isolation_level=None, check_same_thread=False,
        timeout=BUSY_MS / 1000,
    )  # fmt: skip
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")
    return connection
