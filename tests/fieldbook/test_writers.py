"""Several writers at once, a writer that dies, a writer that does not stop."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from dataclasses import replace
from pathlib import Path

import pytest

from barkslip.domain.errors import BookError, BookLockedError
from barkslip.domain.garden import Plot
from barkslip.fieldbook import connection
from barkslip.fieldbook.book import Book

THREADS, TURNS = 4, 60


def count_up(book: Book, me: int, failures: list[BaseException]) -> None:
    """Read the count of turns, then write it one higher: lost if two do it at once."""
    for turn in range(TURNS):
        try:
            with book.write() as writer:
                so_far = int(writer.meta("turns") or 0)
                line = Plot(id=f"{me}-{turn}", thing=f"{me}-{turn}", made_utc="", code=f"P{me}-{turn}", name="")
                writer.append(line)
                writer.set_meta("turns", str(so_far + 1))
        except BaseException as error:
            failures.append(error)


@pytest.mark.parametrize("shared", [True, False], ids=["one book", "a book each"])
def test_four_writers_lose_nothing(book: Book, shared: bool):
    books = [book] * THREADS if shared else [Book(book.files.folder) for _ in range(THREADS)]
    failures: list[BaseException] = []
    threads = [threading.Thread(target=count_up, args=(b, i, failures)) for i, b in enumerate(books)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for one in books:
        one.close()
    assert failures == []
    with Book(book.files.folder).read() as reader:
        assert reader.meta("turns") == str(THREADS * TURNS)
        assert len(reader.every(Plot)) == THREADS * TURNS


PAIRS = """
import sys
from pathlib import Path
from barkslip.domain.garden import Plot
from barkslip.fieldbook.book import Book

book = Book(Path(sys.argv[1]))
with book.write() as writer:  # a small cache: half of it goes to the disk before the end
    writer.run("PRAGMA cache_size = 2")
for i in range(100_000):
    with book.write() as writer:
        for half in "ab":
            for k in range(20):
                number = f"{i}-{half}-{k}"
                writer.append(Plot(id=number, thing=number, made_utc="", code=number, name="x" * 500))
            if half == "a" and i == int(sys.argv[2]):
                print("half way", flush=True)
                sys.stdin.read()
    print(i, flush=True)
"""


def started(folder: Path, stop_at: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", PAIRS, str(folder), str(stop_at)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip


def killed(child: subprocess.Popen[str]) -> None:
    os.kill(child.pid, signal.SIGKILL)
    child.wait(timeout=20)
    assert child.stdin and child.stdout
    child.stdin.close()
    child.stdout.close()


def whole(folder: Path) -> int:
    """Plots in the book, after checking that both halves of each write are there."""
    book = Book(folder)
    with book.read() as reader:
        plots = [p.id.split("-") for p in reader.every(Plot)]
        assert reader.rows("PRAGMA integrity_check") == [("ok",)]
        assert reader.rows("SELECT count(*) FROM thing") == reader.rows("SELECT count(*) FROM search")
    book.close()
    assert len(plots) % 40 == 0
    assert sum(half == "a" for _, half, _ in plots) * 2 == len(plots)
    return len(plots)


def test_killed_half_way_nothing_half_written(book: Book):
    child = started(book.files.folder, stop_at=3)
    assert child.stdout
    assert [child.stdout.readline().strip() for _ in range(4)] == ["0", "1", "2", "half way"]
    assert Path(f"{book.files.book}-wal").stat().st_size > 0
    killed(child)
    assert whole(book.files.folder) == 3 * 40


@pytest.mark.parametrize("wait_s", [0.003, 0.02, 0.05])
def test_killed_at_any_moment_nothing_half_written(book: Book, wait_s: float):
    child = started(book.files.folder, stop_at=-1)
    assert child.stdout
    child.stdout.readline()
    time.sleep(wait_s)
    killed(child)
    assert whole(book.files.folder) >= 40


def test_a_write_within_a_write_is_an_error_and_no_endless_wait(book: Book):
    with pytest.raises(BookError) as caught, book.write(), book.write():
        raise AssertionError("not reached")
    assert str(caught.value) == (
        "The book could not be read or written. Nothing was changed.\n"
        "Given: cannot start a transaction within a transaction\nNext: Run: barkslip book check"
    )
    with book.write() as writer:
        assert writer.counts()["plot"] == 0


def test_a_book_that_another_program_holds(book: Book, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(connection, "BUSY_MS", 50)
    other = sqlite3.connect(book.files.book, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        line = Plot(id="p", thing="p", made_utc="", code="P", name="")
        with pytest.raises(BookLockedError) as caught, book.write() as writer:
            writer.append(line)
        assert str(caught.value) == (
            "The book is in use and did not come free in 5 seconds. Nothing was written.\n"
            f"Given: {book.files.book}\n"
            "Next: Close other programs that have it open, or try again in a moment."
        )
        with book.read() as reader:  # readers never wait
            assert reader.every(Plot) == []
    finally:
        other.execute("ROLLBACK")
        other.close()
    with book.write() as writer:
        assert writer.append(replace(line))
