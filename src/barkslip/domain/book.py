"""What is said about a book as a whole: its state, what a check found, what was carried out or in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

#: How bad a finding is -> what that means.
GRADES = {
    "broken": "facts cannot be read or contradict each other",
    "doubtful": "facts can be read but can hardly be true",
    "index": "facts are whole; a list worked out from them is out of date",
}


@dataclass(frozen=True)
class Finding:
    """One thing that a check of the book found.

    Parameters
    ----------
    grade : str
        Key of `GRADES`.
    what : str
        One sentence.
    where : str
        Table and line, or file.
    next_step : str
        What to do about it.
    """

    grade: str
    what: str
    where: str
    next_step: str


@dataclass(frozen=True)
class BookState:
    """A book at a glance.

    Parameters
    ----------
    folder : str
    version : int
        Version of the book's schema.
    size_bytes, photo_bytes : int
        Size of the book's file and of its photos [bytes].
    things : dict
        Noun -> things that stand (newest lines, not taken back).
    lines : int
        All lines, also corrected and withdrawn ones.
    photos, backups : int
        Files.
    last_backup : datetime or None
        When the newest backup was made [UTC].
    """

    folder: str
    version: int
    size_bytes: int
    things: dict[str, int]
    lines: int
    photos: int
    photo_bytes: int
    backups: int
    last_backup: datetime | None


@dataclass(frozen=True)
class ExportReport:
    """What was written out.

    Parameters
    ----------
    folder : str
    lines : dict
        Noun -> lines written.
    readings : int
        Weather readings (times, not columns).
    photos, files : int
    digest : str
        Digest of the book's facts; empty if something had to be left out.
    left_out : tuple of str
        What is not in the folder, one sentence each.
    """

    folder: str
    lines: dict[str, int]
    readings: int
    photos: int
    files: int
    digest: str
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class ImportReport:
    """What was read in. The lists worked out from the facts (what is due) are still to be made.

    Parameters
    ----------
    folder : str
        Folder of the new book.
    lines : dict
        Noun -> lines read.
    readings : int
        Weather readings (times, not columns).
    photos : int
    digest : str
        Digest of the new book's facts.
    same : bool
        True if the export named a digest and the new book has the same.
    ignored : tuple of str
        Columns that this program does not know ("look.csv: colour").
    filled : tuple of str
        Columns that the export does not have, filled with what is usual ("tree.csv: bench_mm").
    """

    folder: str
    lines: dict[str, int]
    readings: int
    photos: int
    digest: str
    same: bool
    ignored: tuple[str, ...] = ()
    filled: tuple[str, ...] = ()
