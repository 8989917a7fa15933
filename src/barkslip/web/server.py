"""Putting the pages together and serving them on this machine only."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.responses import Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from barkslip import __version__
from barkslip.app.context import Context, open_context
from barkslip.app.settings import Settings
from barkslip.domain.errors import BarkslipError, InputError, NotFoundError
from barkslip.web.desk import Desk
from barkslip.web.guard import LOOPBACK, Guard
from barkslip.web.pages import (
    acts,
    book,
    chimera,
    clean_wood,
    days,
    find,
    fits,
    fruit,
    garden,
    grafts,
    heat,
    heat_check,
    night,
    night_scores,
    photos,
    root,
    take,
    tasting,
    today,
    trace,
    trees,
    trials,
    weather,
    why,
    wood,
    worth,
)

_STATIC = Path(__file__).parent / "static"


def create_app(ctx: Context, *, background: bool = False) -> FastAPI:
    """The pages of one book.

    Parameters
    ----------
    background : bool
        Work tonight's cold and tomorrow's heat out in a thread of its own, so that Today has them without waiting.
    """
    app = FastAPI(title="barkslip", version=__version__, docs_url=None, redoc_url=None, openapi_url="/openapi.json")
    desk = Desk(ctx, _worker(ctx) if background else None)
    app.mount("/static", StaticFiles(directory=_STATIC), name="static")
    for pages in (
        today, trees, grafts, acts, clean_wood, wood, trace, chimera, weather, photos, garden, book, find, night,
        night_scores, heat, heat_check, root, fits, fruit, days,
        trials, why, worth, tasting, take,
    ):  # fmt: skip
        app.include_router(pages.router(desk))

    @app.exception_handler(BarkslipError)
    def told(request: Request, error: BarkslipError) -> Response:
        return desk.error(request, error)

    @app.exception_handler(HTTPException)
    def missing(request: Request, error: HTTPException) -> Response:
        return desk.error(
            request,
            NotFoundError(
                "There is no such page." if error.status_code == 404 else str(error.detail),
                given=request.url.path,
                allowed="the pages in the bar",
                next_step="Go back, or search for what you want.",
            ),
        )

    app.add_middleware(Guard)
    return app


def _worker(ctx: Context) -> Callable[[date], None]:
    """Starts the working out of a night's cold and of the next day's heat unless one is under way."""
    import threading

    from barkslip.app.frost import keep_tonight
    from barkslip.app.heat import danger

    busy = threading.Lock()

    def run(day: date) -> None:
        with busy:
            keep_tonight(ctx, day)
            danger(ctx, day + timedelta(days=1))

    def start(day: date) -> None:
        if not busy.locked():
            threading.Thread(target=run, args=(day,), daemon=True).start()

    return start


def serve(settings: Settings, *, tell: Callable[[str], None] = print) -> None:
    """Serve the book's pages until stopped.

    Raises
    ------
    InputError
        If the address is not of this machine, or the port is taken.
    """
    import socket

    import uvicorn

    from barkslip.app.book import ensure_lists, keep_backups

    if settings.host not in LOOPBACK:
        raise InputError(
            "The pages are served on this machine only.",
            given=settings.host,
            allowed="127.0.0.1, localhost, ::1",
            next_step="Leave --host out.",
            field="host",
        )
    ctx = open_context(settings)
    ensure_lists(ctx)
    keep_backups(ctx)
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    # the protocol must be named: asyncio sends small answers at once only on sockets that say they are TCP
    sock = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        sock.bind((settings.host.strip("[]"), settings.port))
    except OSError:
        raise InputError(
            "That port is taken by another program.",
            given=str(settings.port),
            allowed="a free port",
            next_step=f"Choose another: barkslip serve --port {settings.port + 1}",
            field="port",
        ) from None
    tell(f"Open http://{settings.host}:{settings.port}/   (stop with Ctrl-C)")
    uvicorn.Server(uvicorn.Config(create_app(ctx, background=True), log_level="warning", server_header=False)).run(
        sockets=[sock]
    )
