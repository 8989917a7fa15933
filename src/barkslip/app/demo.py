"""The demo garden, put into a book of its own."""

from __future__ import annotations

from collections.abc import Callable

from barkslip.app.context import Context
from barkslip.app.derive import refresh_all
from barkslip.app.lines import begin
from barkslip.app.settings import Settings
from barkslip.domain.errors import InputError
from barkslip.domain.record import Record
from barkslip.fieldbook import series as store
from barkslip.fieldbook.book import Book


def make_demo(settings: Settings, *, fresh: bool = False, tell: Callable[[str], None] = lambda _: None) -> Context:
    """Build the demo garden, or open it if it is there.

    Parameters
    ----------
    settings : Settings
        `book` is the folder it is built in.
    fresh : bool
        Build it anew; what was written into the old demo is lost, so only an invented garden is ever replaced.
    tell : callable
        Called with a line of progress.

    Raises
    ------
    InputError
        If a book of somebody's own stands in that folder.
    """
    if Book.exists(settings.book):
        ctx = Context(Book(settings.book), settings)
        if not ctx.garden().invented:
            raise InputError(
                "A book of your own stands in that folder. The demo does not touch it.",
                given=str(settings.book),
                allowed="an empty folder",
                next_step="Choose another with --book.",
                field="book",
            )
        if not fresh:
            return ctx
        ctx.book.close()
        _remove(settings)
    from barkslip.demo.garden import build

    tell("Growing five invented years of trees, grafts and weather ...")
    demo = build()
    ctx = Context(Book.create(settings.book), settings)
    tell(f"Writing {len(demo.entries)} lines and {len(demo.series)} weather series ...")
    with ctx.book.write() as writer:
        writer.append_all(demo.entries)
        for one in demo.series:
            blank = Record(
                **begin(ctx, {}), name="", kind=one.series.info.kind, plot=one.plot, logger=one.logger, info={}
            )
            store.put(writer, blank, one.series)
        refresh_all(writer, ctx.care)
        writer.set_meta("knowledge_hash", ctx.knowledge.hash)
    return ctx


def _remove(settings: Settings) -> None:
    from barkslip.fieldbook.files import BookFiles

    files = BookFiles(settings.book)
    for ending in ("", "-wal", "-shm"):
        path = files.book.with_name(files.book.name + ending)
        path.unlink(missing_ok=True)
