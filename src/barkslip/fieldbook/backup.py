"""Backups of the book file: made with SQLite's own backup call (a plain copy of a book in use loses lines)."""

from __future__ import annotations

import sqlite3
from datetime import datetime, timedelta
from pathlib import Path

from barkslip.domain.errors import BookCorruptError, NotFoundError
from barkslip.fieldbook.files import BookFiles, quoted, told_plainly

#: Daily backups kept; those made before a move to a new version are kept for good.
KEPT = 30


def back_up(files: BookFiles, now: datetime, *, reason: str = "daily") -> Path:
    """Copy the book into its backup folder and check the copy.

    Parameters
    ----------
    now : datetime
        UTC.
    reason : str
        Goes into the file's name.

    Returns
    -------
    Path
        The new file; written under another name first, so that a half one is never taken for a backup.
    """
    with told_plainly(files.backups):
        files.backups.mkdir(parents=True, exist_ok=True)
        target = files.backups / f"book-{now:%Y%m%dT%H%M%S}Z-{reason}.sqlite"
        part = target.with_suffix(".part")
        part.unlink(missing_ok=True)
        source = _read_only(files.book)
        copy = sqlite3.connect(part)
        try:
            source.backup(copy)
            # a backup stands alone: no journal files beside it
            copy.execute("PRAGMA journal_mode = DELETE")
            answer = copy.execute("PRAGMA integrity_check").fetchone()[0]
        except BaseException:
            copy.close()
            part.unlink(missing_ok=True)
            raise
        finally:
            source.close()
            copy.close()
        if answer != "ok":
            part.unlink()
            raise BookCorruptError(
                "The book did not pass its check while it was copied. No backup was made of it.",
                given=str(answer),
                next_step="Bring the last good backup back: barkslip book restore",
            )
        try:
            part.rename(target)
        except OSError:
            part.unlink(missing_ok=True)
            raise
        _thin(files)
    return target


def backups(files: BookFiles) -> list[Path]:
    """Backups, newest first."""
    if not files.backups.exists():
        return []
    return sorted(files.backups.glob("book-*.sqlite"), key=lambda p: p.name, reverse=True)


def last_backup(files: BookFiles) -> datetime | None:
    """When the newest backup was made (UTC)."""
    for path in backups(files):
        try:
            return datetime.strptime(path.name[5:20] + "+0000", "%Y%m%dT%H%M%S%z")
        except ValueError:
            continue
    return None


def back_up_if_older(files: BookFiles, now: datetime, age: timedelta) -> Path | None:
    """A backup if the newest is older than `age`; None if none was needed."""
    last = last_backup(files)
    if last is not None and now - last < age:
        return None
    return back_up(files, now)


def restore(files: BookFiles, backup: Path | None, now: datetime) -> tuple[Path, Path | None]:
    """Put a backup in the book's place.

    The book as it stands, even a damaged one, is moved aside first.

    Returns
    -------
    (Path, Path or None)
        The backup used; where the former book is kept now.

    Raises
    ------
    NotFoundError
        If there is no such backup.
    BookCorruptError
        If the backup does not pass its check; the book stays as it is.
    """
    chosen = backup or next(iter(backups(files)), None)
    if chosen is None or not chosen.exists():
        raise NotFoundError(
            "There is no such backup.",
            given=str(backup or files.backups),
            allowed=", ".join(p.name for p in backups(files)[:5]),
            next_step="Name one of the files in the backup folder.",
        )
    with told_plainly(chosen):
        part = files.book.with_suffix(".part")
        part.unlink(missing_ok=True)
        source = _read_only(chosen)
        copy = sqlite3.connect(part)
        try:
            good = _is_sound(source)
            if good:
                source.backup(copy)
                copy.execute("PRAGMA journal_mode = WAL")
        except BaseException:
            copy.close()
            part.unlink(missing_ok=True)
            raise
        finally:
            source.close()
            copy.close()
        if not good:
            part.unlink(missing_ok=True)
            raise BookCorruptError(
                "This backup does not pass its check. The book was left as it is.",
                given=str(chosen),
                next_step="Try an older backup.",
            )
        aside = _move_aside(files, now)
        part.rename(files.book)
    return chosen, aside


def _read_only(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"file:{quoted(path)}?mode=ro", uri=True)


def _is_sound(source: sqlite3.Connection) -> bool:
    """True if a file is a whole book. What is no database at all is not sound either."""
    try:
        answer = source.execute("PRAGMA integrity_check").fetchone()[0]
        is_book = source.execute("SELECT count(*) FROM sqlite_master WHERE name = 'thing'").fetchone()[0]
    except sqlite3.OperationalError:
        raise
    except sqlite3.DatabaseError:
        return False
    return answer == "ok" and bool(is_book)


def _move_aside(files: BookFiles, now: datetime) -> Path | None:
    if not files.book.exists():
        return None
    aside = files.backups / f"replaced-{now:%Y%m%dT%H%M%S}Z.sqlite"
    files.backups.mkdir(parents=True, exist_ok=True)
    files.book.rename(aside)
    for ending in ("-wal", "-shm"):
        journal = Path(f"{files.book}{ending}")
        if journal.exists():
            journal.rename(f"{aside}{ending}")
    return aside


def _thin(files: BookFiles) -> None:
    daily = [p for p in backups(files) if p.name.endswith("-daily.sqlite")]
    for path in daily[KEPT:]:
        path.unlink()
