"""Wood lots."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from barkslip.app import trees
from barkslip.app import wood as use
from barkslip.app.keeping import keep_lot
from barkslip.app.moving import moving_lot
from barkslip.app.trace_lists import handouts_of, held_things
from barkslip.domain.budwood import WoodLot
from barkslip.present import keeping
from barkslip.web.desk import Desk, typed
from barkslip.web.forms import wood as forms

Fields = Annotated[dict[str, str], Depends(typed)]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/wood")
    def lots(request: Request) -> Response:
        cards = use.all_lots(ctx)
        keeps = {
            c.lot.code: keeping.headline(keep_lot(ctx, c.lot.code)) for c in cards if c.lot.lot_state == "in store"
        }
        return desk.page(request, "wood.html", cards, cards=cards, keeps=keeps, here="wood")

    @r.get("/wood/new")
    def new_lot(request: Request) -> Response:
        return desk.form(request, forms.lot_form(ctx, dict(request.query_params), None))

    @r.post("/wood/new")
    def add_lot(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.save_lot(ctx, f),
            lambda f, e: forms.lot_form(ctx, f, e),
            lambda lot: f"/wood/{lot.code}",
        )

    @r.get("/wood/{code}")
    def lot(request: Request, code: str) -> Response:
        story = use.lot_story(ctx, code)
        thing = story.card.lot.thing
        return desk.page(
            request, "lot.html", story, story=story, keep=keep_lot(ctx, code), found=moving_lot(ctx, code),
            held=held_things(ctx, thing), given=handouts_of(ctx, thing), here="wood",
        )  # fmt: skip

    @r.get("/wood/{code}/edit")
    def edit_lot(request: Request, code: str) -> Response:
        return desk.form(request, forms.lot_form(ctx, None, None, code=code))

    @r.post("/wood/{code}/edit")
    def correct_lot(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.save_lot(ctx, f, code=code),
            lambda f, e: forms.lot_form(ctx, f, e, code=code),
            lambda lot: f"/wood/{lot.code}",
            filled=forms.lot_form(ctx, None, None, code=code),
        )

    @r.post("/wood/{code}/take-back")
    def take_lot_back(request: Request, code: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.by_code(WoodLot, code)
        trees.take_back(ctx, WoodLot, old.thing)
        return desk.go("/wood", old)

    @r.get("/wood/{code}/finds/new")
    def new_find(request: Request, code: str) -> Response:
        return desk.form(request, forms.find_form(ctx, dict(request.query_params), None, code=code))

    @r.post("/wood/{code}/finds/new")
    def add_find(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.save_find(ctx, f, lot=code),
            lambda f, e: forms.find_form(ctx, f, e, code=code),
            lambda find: f"/wood/{code}",
        )

    return r
