"""Today and the walk-round."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import Response

from barkslip.app import today as use
from barkslip.domain.errors import InputError
from barkslip.web.desk import Desk


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()

    @r.get("/")
    def today(request: Request, on: str = "") -> Response:
        shown = use.today(desk.ctx, _day(on))
        return desk.page(request, "today.html", shown, today=shown, here="today", on=shown.on)

    @r.get("/walk")
    def walk(request: Request, at: str = "0", graft: str = "") -> Response:
        shown = use.walk(desk.ctx, at=int(at) if at.isdigit() else 0, graft=graft)
        return desk.page(
            request, "walk.html", shown, walk=shown, here="walk", saved=request.query_params.get("saved", "")
        )

    return r


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(
            "Not a date that can be.",
            given=text,
            allowed="2024-10-20",
            next_step="Type the day as year-month-day.",
            field="on",
        ) from None
