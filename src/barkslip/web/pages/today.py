"""Today and the walk-round."""

from __future__ import annotations

from datetime import timedelta

from fastapi import APIRouter, Request
from fastapi.responses import Response

from barkslip.app import frost, heat
from barkslip.app import today as use
from barkslip.domain.tree import Tree
from barkslip.present.day import Step, beginning
from barkslip.web.desk import Desk, day_asked


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()

    @r.get("/")
    def today(request: Request, on: str = "") -> Response:
        shown = use.today(desk.ctx, day_asked(on, "on"))
        begin = [] if shown.due or shown.waiting else _beginning(desk)
        lines = frost.tonight_kept(desk.ctx, shown.on)
        hot = heat.danger_kept(desk.ctx, shown.on + timedelta(days=1))
        if (lines is None or hot is None) and desk.background is not None:
            desk.background(shown.on)
        return desk.page(
            request,
            "today.html",
            shown,
            today=shown,
            begin=begin,
            tonight=lines or (),
            tomorrow=hot or (),
            here="today",
            on=shown.on,
        )

    @r.get("/walk")
    def walk(request: Request, at: str = "0", graft: str = "") -> Response:
        shown = use.walk(desk.ctx, at=int(at) if at.isdigit() else 0, graft=graft)
        set_any = shown.card is not None or bool(_things(desk)["graft"])
        return desk.page(request, "walk.html", shown, walk=shown, set_any=set_any, here="walk")

    return r


def _beginning(desk: Desk) -> list[Step]:
    with desk.ctx.book.read() as reader:
        trees = reader.every(Tree, order="id LIMIT 2")
        things = reader.counts()
    return beginning(things, trees[0].code if len(trees) == 1 else "")


def _things(desk: Desk) -> dict[str, int]:
    with desk.ctx.book.read() as reader:
        return reader.counts()
