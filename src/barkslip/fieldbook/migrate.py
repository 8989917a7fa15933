"""Making a book and moving an older one up. A backup is made before each move."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from barkslip.domain.errors import BookError
from barkslip.fieldbook.files import BookFiles


def _upgrade(path: Path) -> None:
    from alembic import command
    from alembic.config import Config
    from sqlalchemy import create_engine, event
    from sqlalchemy.engine import Connection, Engine
    from sqlalchemy.exc import DBAPIError

    from barkslip.fieldbook.connection import SCHEMA, connect

    engine: Engine = create_engine("sqlite://", creator=lambda: connect(path))

    # The driver is told not to begin on its own: the whole move is one transaction, its record included.
    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    try:
        with engine.begin() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
            connection.exec_driver_sql(f"PRAGMA user_version = {SCHEMA}")
    except DBAPIError as error:
        # what SQLite itself said is what the book's errors are made from
        raise (error.orig or error) from error
    finally:
        engine.dispose()


def make_empty(files: BookFiles) -> None:
    """Make book.sqlite with the newest schema.

    Raises
    ------
    BookError
        If the file is there already.
    """
    import sqlite3

    if files.book.exists():
        raise BookError(
            "There is a book here already. It was left as it is.",
            given=str(files.book),
            next_step="Choose another folder with --book.",
        )
    part = files.book.with_suffix(".part")
    part.unlink(missing_ok=True)
    connection = sqlite3.connect(part)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.close()
    _upgrade(part)
    for ending in ("-wal", "-shm"):
        Path(f"{part}{ending}").unlink(missing_ok=True)
    part.rename(files.book)


def move_up(files: BookFiles, version: int) -> Path:
    """Back the book up, then bring it to the newest schema; the backup's path."""
    from barkslip.fieldbook.backup import back_up

    stamp = datetime.now(UTC)
    backup = back_up(files, stamp, reason=f"before-version-{version + 1}")
    _upgrade(files.book)
    return backup
