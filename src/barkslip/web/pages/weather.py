"""Weather: series, files brought in, typed days."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from barkslip.app import trees
from barkslip.app import weather as use
from barkslip.domain.cards import SeriesCard
from barkslip.domain.errors import BarkslipError, InputError
from barkslip.domain.record import Record
from barkslip.web.desk import Desk, answered, typed
from barkslip.web.forms import weather as forms

Fields = Annotated[dict[str, str], Depends(typed)]
_CHUNK = 1 << 20


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/weather")
    def series(request: Request) -> Response:
        items = use.all_series(ctx)
        return desk.page(request, "weather.html", items, items=items, here="weather")

    @r.get("/weather/import")
    def new_import(request: Request) -> Response:
        return desk.form(request, forms.import_form(ctx, dict(request.query_params), None))

    @r.post("/weather/import")
    async def bring_in(request: Request, fields: Fields) -> Response:
        sent = (await request.form()).get("file")
        fields = answered(fields)
        if isinstance(sent, UploadFile) and sent.filename:
            held = use.inbox_path(ctx, sent.filename)
            with held.open("wb") as out:
                while chunk := await sent.read(_CHUNK):
                    out.write(chunk)
            fields["held"], fields["held_name"] = held.name, Path(sent.filename).name
        return await run_in_threadpool(_read, desk, request, fields)

    @r.get("/weather/days/new")
    def new_days(request: Request) -> Response:
        return desk.form(request, forms.days_form(ctx, dict(request.query_params), None))

    @r.post("/weather/days/new")
    def add_days(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.type_days(ctx, f),
            lambda f, e: forms.days_form(ctx, f, e),
            lambda card: "/",
        )

    @r.get("/weather/{thing}")
    def one(request: Request, thing: str) -> Response:
        story = use.series_story(ctx, thing)
        return desk.page(request, "series.html", story, story=story, here="weather")

    @r.post("/weather/{thing}/take-back")
    def take_series_back(request: Request, thing: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.get(Record, thing)
        trees.take_back(ctx, Record, thing)
        return desk.go("/weather", old)

    return r


def _read(desk: Desk, request: Request, fields: dict[str, str]) -> Response:
    ctx = desk.ctx
    name = fields.get("held_name", "")

    def read(f: dict[str, str]) -> SeriesCard:
        held = f.get("held", "")
        path = ctx.book.files.folder / "inbox" / held
        if not re.fullmatch(r"[\w.\- ]{1,200}", held) or not path.is_file():
            raise InputError(
                "No file was sent.",
                allowed="a weather file of up to 200 MB",
                next_step="Choose a file.",
                field="file",
            )
        card = use.import_file(ctx, path, {**f, "file_name": name})
        path.unlink(missing_ok=True)
        return card

    def again(f: dict[str, str], error: BarkslipError | None) -> forms.FormView:
        held = f.get("held", "") if (ctx.book.files.folder / "inbox" / f.get("held", "-")).is_file() else ""
        return forms.import_form(ctx, f, error, held_name=name if held else "")

    return desk.save(request, fields, read, again, lambda card: f"/weather/{card.thing}")  # type: ignore[arg-type]
