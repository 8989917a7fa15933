"""The book itself: its state, check and backup."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from barkslip.app import book as use
from barkslip.present.dates import stamp_text
from barkslip.present.lists import BookView
from barkslip.web.desk import Desk, typed

Fields = Annotated[dict[str, str], Depends(typed)]
_ACTIONS = (
    ("/book/backup", "Back up now", "copies the book into its backup folder and checks the copy"),
    ("/book/check", "Check the book", "reads every line and looks for damage and contradictions; changes nothing"),
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
            counts=tuple((k.replace("_", " "), n) for k, n in state.things.items() if n),
            backup_at=stamp_text(state.last_backup.isoformat(), offset) if state.last_backup else "",
            backup_file=str(files[0]) if files else "",
            check=check,
            sound=sound,
            actions=_ACTIONS,
            notes=notes,
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
        return RedirectResponse("/book", 303)

    return r
