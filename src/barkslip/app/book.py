"""The book as a whole: its state, its check, backups, and carrying it from one machine to another."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from barkslip.app.context import Context, open_context
from barkslip.app.derive import refresh_all, trees_now
from barkslip.app.settings import Settings
from barkslip.domain.book import BookState, ExportReport, Finding, ImportReport
from barkslip.domain.due import Due, TreeNow
from barkslip.domain.errors import BookLockedError, BookReadOnlyError
from barkslip.domain.tree import Tree
from barkslip.domain.units import METRIC, UnitChoice, unit_choice
from barkslip.fieldbook import lists
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.reader import Reader

#: Told (steps done, steps in all, what is done).
Progress = Callable[[int, int, str], None]
#: Note of the book about the knowledge its lists were worked out with.
_KNOWLEDGE = "knowledge_hash"
_DAILY = timedelta(days=1)
_BY_HAND = "by-hand"


def exists(settings: Settings) -> bool:
    """True if there is a book in the folder of the settings."""
    return Book.exists(settings.book)


def reading_units(settings: Settings) -> UnitChoice:
    """Units to show where a book may be, but need not: those asked for, else the garden's, else metric."""
    if settings.units:
        return unit_choice(settings.units)
    if not exists(settings):
        return METRIC
    ctx = open_context(settings)
    try:
        return ctx.units(ctx.garden())
    finally:
        ctx.book.close()


def state(ctx: Context) -> BookState:
    """The book at a glance."""
    from barkslip.fieldbook.check import book_state

    return book_state(ctx.book)


def ensure_lists(ctx: Context) -> bool:
    """Work the lists out anew if they were worked out with other knowledge; True if they were.

    A book that cannot be written just now is shown as it is.
    """
    fresh = ctx.knowledge.hash
    with ctx.book.read() as reader:
        if reader.meta(_KNOWLEDGE) == fresh:
            return False
    try:
        with ctx.book.write() as writer:
            refresh_all(writer, ctx.care)
            writer.set_meta(_KNOWLEDGE, fresh)
    except (BookReadOnlyError, BookLockedError):
        return False
    return True


def check(ctx: Context) -> tuple[Finding, ...]:
    """Look at everything in the book, the lists worked out from it too. Changes nothing."""
    from barkslip.fieldbook.check import check as look_through

    return look_through(ctx.book, lambda book: _lists_amiss(book, ctx))


def repair(ctx: Context) -> int:
    """Work all lists and indexes out again from the lines; how many were wrong. Facts are not touched."""
    from barkslip.fieldbook.check import repair_indexes

    amiss = len(list(_lists_amiss(ctx.book, ctx)))
    amiss += repair_indexes(ctx.book)
    with ctx.book.write() as writer:
        refresh_all(writer, ctx.care)
        writer.set_meta(_KNOWLEDGE, ctx.knowledge.hash)
    return amiss


def _lists_amiss(book: Book, ctx: Context) -> Iterator[Finding]:
    """Grafts and trees whose standing, place in the walk-round or due list is not what their lines say."""
    with book.read() as reader:
        trees = [tree.thing for tree in reader.every(Tree)]
        kept = {
            str(graft): (str(tree), str(plot), str(key), bool(opened))
            for graft, tree, plot, key, opened in reader.rows("SELECT graft, tree, plot, walk_key, open FROM graft_now")
        }
        standing_grafts: set[str] = set()
        for i in range(0, len(trees), 50):
            for now in trees_now(reader, trees[i : i + 50], ctx.care):
                standing_grafts |= {g.graft for g in now.grafts}
                yield from _tree_amiss(reader, now, kept)
        for graft in sorted(set(kept) - standing_grafts):
            yield _finding("A graft is listed that does not stand in the book.", f"graft_now {graft}")
        for (tree,) in reader.rows("SELECT DISTINCT tree FROM due ORDER BY tree"):
            if tree not in trees:
                yield _finding("Something is due at a tree that does not stand in the book.", f"due {tree}")


def _tree_amiss(reader: Reader, now: TreeNow, kept: dict[str, tuple[str, str, str, bool]]) -> Iterator[Finding]:
    things = [g.graft for g in now.grafts]
    stood = lists.standings(reader, things)
    due = lists.due_of(reader, grafts=things, trees=[now.tree])
    if _sorted(due.get(now.tree, [])) != _sorted(now.due):
        yield _finding("What is due at a tree is out of date.", f"due {now.tree}")
    for graft in now.grafts:
        place = (graft.tree, graft.plot, graft.walk_key, graft.open)
        if stood.get(graft.graft) != graft.standing or kept.get(graft.graft) != place:
            yield _finding("Where a graft stands is out of date.", f"graft_now {graft.graft}")
        if _sorted(due.get(graft.graft, [])) != _sorted(graft.due):
            yield _finding("What is due at a graft is out of date.", f"due {graft.graft}")


def _sorted(due: list[Due] | tuple[Due, ...]) -> list[Due]:
    return sorted(due, key=lambda d: (d.opens, d.kind, d.reason, d.detail))


def _finding(what: str, where: str) -> Finding:
    return Finding("index", what, where, "Run: barkslip book check --repair")


def back_up(ctx: Context) -> Path:
    """Make a backup now; it is kept for good."""
    from barkslip.fieldbook import backup

    return backup.back_up(ctx.book.files, ctx.now(), reason=_BY_HAND)


def keep_backups(ctx: Context, age: timedelta = _DAILY) -> Path | None:
    """Make a backup if the newest is older than `age`; its path, or None if none was needed.

    An invented garden is not backed up by itself: it can be built anew at any time.
    """
    from barkslip.fieldbook import backup

    if ctx.garden().invented:
        return None
    return backup.back_up_if_older(ctx.book.files, ctx.now(), age)


def backups(settings: Settings) -> list[Path]:
    """Backups of the book, newest first."""
    from barkslip.fieldbook import backup
    from barkslip.fieldbook.files import BookFiles

    return backup.backups(BookFiles(settings.book))


def restore(settings: Settings, chosen: Path | None = None) -> tuple[Path, Path | None]:
    """Put a backup (the newest, or the one named) in the book's place. Needs no sound book.

    Parameters
    ----------
    chosen : Path or None
        A file, or the bare name of one in the backup folder.

    Returns
    -------
    (Path, Path or None)
        The backup used; where the former book is kept now.

    Raises
    ------
    NotFoundError, BookCorruptError
    """
    from barkslip.fieldbook import backup
    from barkslip.fieldbook.files import BookFiles

    files = BookFiles(settings.book)
    if chosen is not None and not chosen.exists() and (files.backups / chosen.name).exists():
        chosen = files.backups / chosen.name
    used, aside = backup.restore(files, chosen, datetime.now(UTC))
    ctx = open_context(settings)
    try:
        ensure_lists(ctx)
    finally:
        ctx.book.close()
    return used, aside


def export(ctx: Context, folder: Path, tell: Progress | None = None) -> ExportReport:
    """Write everything the book holds into a new folder, as files to be read without this program.

    Raises
    ------
    BookError
        If the folder is not empty, or the disk will not.
    """
    from barkslip.fieldbook.export import export as write_out

    return write_out(ctx.book, folder, progress=tell, now=ctx.now())


def import_folder(settings: Settings, folder: Path, tell: Progress | None = None) -> ImportReport:
    """Make the book of the settings from an exported folder: all of it, or nothing.

    Raises
    ------
    InputError
        If this is no exported folder, or a file in it was changed or cannot be read.
    BookError
        If there is a book in the settings' folder already.
    """
    from barkslip.fieldbook.imports import import_folder as read_in

    report = read_in(folder, settings.book, progress=tell)
    ctx = open_context(settings)
    try:
        with ctx.book.write() as writer:
            refresh_all(writer, ctx.care)
            writer.set_meta(_KNOWLEDGE, ctx.knowledge.hash)
    finally:
        ctx.book.close()
    return report
