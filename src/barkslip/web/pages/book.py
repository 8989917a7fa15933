"""The book itself: its state, backup, check, and writing it out."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from barkslip.app import book as use
from barkslip.present.dates import stamp_text
from barkslip.present.lists import BookView, things_word
from barkslip.web.desk import Desk, typed

Fields = Annotated[dict[str, str], Depends(typed)]
_ACTIONS = (
    ("/book/backup", "Back up now", "copies the book into its backup folder and checks the copy"),
    ("/book/check", "Check the book", "reads every line and looks for damage and contradictions; changes nothing"),
    ("/book/export", "Write everything out", "as plain tables and pictures, to be read without this program"),
)


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    def show(request: Request, check: str = "", sound: bool | None = None, notes: tuple[str, ...] = ()) -> Response:
        state = use.state(ctx)
        offset = ctx.garden().utc_offset_h
        files = use.backups(ctx.settings)
        view = BookView(
            file=str(ctx.book.files.book),
            size_bytes=state.size_bytes,
            counts=tuple((things_word(k, n), n) for k, n in state.things.items() if n),
            backup_at=stamp_text(state.last_backup.isoformat(), offset) if state.last_backup else "",
            backup_file=str(files[0]) if files else "",
            check=check,
            sound=sound,
            actions=_ACTIONS,
            notes=notes,
            fresh=request.query_params.get("made") == "backup",
        )
        return desk.page(request, "book.html", state, book=view, here="book")

    @r.get("/book")
    def book(request: Request) -> Response:
        return show(request)

    @r.post("/book/check")
    def check(request: Request, fields: Fields) -> Response:
        found = use.check(ctx)
        words = "Nothing to complain of." if not found else f"{len(found)} things were found:"
        notes = tuple(f"{f.grade}: {f.what} ({f.where}). {f.next_step}" for f in found[:100])
        return show(request, words, not any(f.grade == "broken" for f in found), notes)

    @r.post("/book/backup")
    def backup(request: Request, fields: Fields) -> Response:
        use.back_up(ctx)
        return RedirectResponse("/book?made=backup", 303)

    @r.post("/book/export")
    def export(request: Request, fields: Fields) -> Response:
        folder = ctx.book.files.folder / "exports" / ctx.stamp()[:19].replace(":", "")
        report = use.export(ctx, folder)
        lines = sum(report.lines.values())
        words = f"Everything is written out: {lines} lines, {report.readings} readings, {report.photos} photos."
        return show(request, words, notes=(f"It lies in {report.folder}", *report.left_out))

    return r
