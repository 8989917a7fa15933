"""Photos."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import FileResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from barkslip.app import acts as use
from barkslip.app import trees
from barkslip.domain.act import Photo
from barkslip.domain.errors import InputError
from barkslip.web.desk import Desk, typed
from barkslip.web.forms import acts as forms

Fields = Annotated[dict[str, str], Depends(typed)]
_FOREVER = {"cache-control": "private, max-age=31536000, immutable"}


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/photos/new")
    def new_photo(request: Request) -> Response:
        return desk.form(request, forms.photo_form(ctx, dict(request.query_params), None))

    @r.post("/photos/new")
    async def add_photo(request: Request, fields: Fields) -> Response:
        sent = (await request.form()).get("file")
        data = await sent.read() if isinstance(sent, UploadFile) else b""

        def keep(f: dict[str, str]) -> object:
            if not data:
                raise InputError(
                    "No picture was sent.",
                    allowed="a JPEG, PNG or WebP file",
                    next_step="Choose a picture, or take one.",
                    field="file",
                )
            return use.keep_photo(ctx, f, data)

        return await run_in_threadpool(
            desk.save,
            request,
            fields,
            keep,
            lambda f, e: forms.photo_form(ctx, f, e),
            lambda photo: use.address_of_thing(ctx, photo.about),
        )

    @r.get("/photos/{photo}/edit")
    def edit_photo(request: Request, photo: str) -> Response:
        return desk.form(request, forms.photo_words_form(ctx, None, None, photo=photo))

    @r.post("/photos/{photo}/edit")
    def correct_photo(request: Request, photo: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.correct_photo(ctx, photo, f),
            lambda f, e: forms.photo_words_form(ctx, f, e, photo=photo),
            lambda new: use.address_of_thing(ctx, new.about),
            filled=forms.photo_words_form(ctx, None, None, photo=photo),
        )

    @r.post("/photos/{photo}/take-back")
    def take_photo_back(request: Request, photo: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.line(Photo, photo)
        trees.take_back(ctx, Photo, old.thing, entry_id=photo)
        return desk.go(use.address_of_thing(ctx, old.about), old)

    @r.get("/photos/{name}")
    def photo(name: str) -> Response:
        return FileResponse(use.photo_file(ctx, name), headers=_FOREVER)

    @r.get("/photos/thumbs/{name}")
    def thumb(name: str) -> Response:
        return FileResponse(use.photo_file(ctx, name, thumb=True), headers=_FOREVER)

    return r
