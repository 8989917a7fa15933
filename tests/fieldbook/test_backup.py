"""Backups, and bringing one back."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from barkslip.domain.errors import BookCorruptError, DiskFullError, NotFoundError
from barkslip.domain.garden import Plot
from barkslip.fieldbook.backup import KEPT, back_up, back_up_if_older, backups, last_backup, restore
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.digest import book_digest

NOW = datetime(2025, 3, 14, 5, 30, tzinfo=UTC)
LINE = Plot(id="p", thing="p", made_utc="", code="P", name="")


def test_a_backup_of_a_book_in_use_is_whole(full: Book):
    with full.write() as writer:
        writer.append(LINE)  # still in the journal beside the file, where a plain copy would miss it
    made = back_up(full.files, NOW)
    assert made.name == "book-20250314T053000Z-daily.sqlite"
    assert [p.name for p in full.files.backups.iterdir()] == [made.name]  # it stands alone
    copy = full.files.folder.parent / "copy"
    copy.mkdir()
    shutil.copyfile(made, copy / "book.sqlite")
    with Book(copy).read() as reader:
        assert reader.get(Plot, "p") == LINE
    assert book_digest(Book(copy)) == book_digest(full)


def test_half_written_lines_of_a_writer_are_not_in_it(book: Book):
    with book.write() as writer:
        writer.append(LINE)
        made = back_up(book.files, NOW)
    held = sqlite3.connect(made)
    assert held.execute("SELECT count(*) FROM plot").fetchone() == (0,)
    held.close()


def test_a_backup_when_the_last_one_is_old(book: Book):
    assert last_backup(book.files) is None
    assert back_up_if_older(book.files, NOW, timedelta(days=1)) is not None
    assert back_up_if_older(book.files, NOW + timedelta(hours=23), timedelta(days=1)) is None
    later = NOW + timedelta(hours=24)
    assert back_up_if_older(book.files, later, timedelta(days=1)) is not None
    assert last_backup(book.files) == later


def test_only_daily_backups_are_thinned_out(book: Book):
    kept = back_up(book.files, NOW - timedelta(days=400), reason="before-version-2")
    for i in range(KEPT + 3):
        back_up(book.files, NOW + timedelta(days=i))
    names = [p.name for p in backups(book.files)]
    assert len(names) == KEPT + 1 and names == sorted(names, reverse=True)
    assert names[0].startswith("book-20250415") and names[-1] == kept.name
    assert names[-2].startswith("book-20250317")


def test_restore_puts_the_book_back_and_the_other_aside(full: Book):
    made = back_up(full.files, NOW)
    before = book_digest(full)
    with full.write() as writer:
        writer.append(LINE)
    after = book_digest(full)
    full.close()
    used, aside = restore(full.files, None, NOW + timedelta(hours=1))
    assert used == made and aside == full.files.backups / "replaced-20250314T063000Z.sqlite"
    book = Book(full.files.folder)
    assert book_digest(book) == before
    book.close()
    # and back again, by name
    restore(full.files, aside, NOW + timedelta(hours=2))
    assert book_digest(Book(full.files.folder)) == after


def test_restore_in_place_of_a_damaged_book(full: Book):
    back_up(full.files, NOW)
    before = book_digest(full)
    full.close()
    full.files.book.write_bytes(b"\0" * 5000)
    _, aside = restore(full.files, None, NOW)
    assert aside is not None and aside.read_bytes() == b"\0" * 5000
    assert book_digest(Book(full.files.folder)) == before


@pytest.mark.parametrize("damage", ["no database", "half", "another database", "a page overwritten"])
def test_a_damaged_backup_is_not_taken(full: Book, damage: str):
    made = back_up(full.files, NOW)
    data = made.read_bytes()
    if damage == "no database":
        made.write_bytes(b"\xff" * len(data))
    elif damage == "half":
        made.write_bytes(data[: len(data) // 2])
    elif damage == "a page overwritten":
        made.write_bytes(data[: 4096 * 20] + b"\xff" * 4096 + data[4096 * 21 :])
    else:
        made.unlink()
        other = sqlite3.connect(made)
        other.execute("CREATE TABLE t (x)")
        other.close()
    before = book_digest(full)
    full.close()
    with pytest.raises(BookCorruptError) as caught:
        restore(full.files, made, NOW)
    assert str(caught.value) == (
        f"This backup does not pass its check. The book was left as it is.\nGiven: {made}\nNext: Try an older backup."
    )
    assert book_digest(Book(full.files.folder)) == before
    assert sorted(p.name for p in full.files.folder.glob("*.part")) == []


def test_no_backup_of_that_name(book: Book):
    made = back_up(book.files, NOW)
    lost = book.files.backups / "book-1.sqlite"
    with pytest.raises(NotFoundError) as caught:
        restore(book.files, lost, NOW)
    assert str(caught.value) == (
        f"There is no such backup.\nGiven: {lost}\nAllowed: {made.name}\n"
        "Next: Name one of the files in the backup folder."
    )


def test_a_damaged_book_is_not_backed_up_over_good_backups(full: Book):
    good = back_up(full.files, NOW)
    full.close()
    data = full.files.book.read_bytes()
    full.files.book.write_bytes(data[: 4096 * 20] + b"\xff" * 4096 + data[4096 * 21 :])
    with pytest.raises(BookCorruptError):
        back_up(full.files, NOW + timedelta(days=1))
    assert backups(full.files) == [good]
    assert list(full.files.backups.glob("*.part")) == []


def test_a_full_disk_leaves_no_half_backup(full: Book, monkeypatch: pytest.MonkeyPatch):
    good = back_up(full.files, NOW)

    def no_room(self: Path, target: Path) -> Path:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "rename", no_room)
    with pytest.raises(DiskFullError) as caught:
        back_up(full.files, NOW + timedelta(days=1))
    assert str(caught.value) == (
        f"The disk is full. Nothing was written, and what was in the book is safe.\nGiven: {full.files.backups}\n"
        "Next: Make room on the disk, then do it again."
    )
    assert list(full.files.backups.iterdir()) == [good]
    assert last_backup(full.files) == NOW
    monkeypatch.undo()
    assert len(backups(full.files)) == 1
    back_up(full.files, NOW + timedelta(days=2))
    assert len(backups(full.files)) == 2
