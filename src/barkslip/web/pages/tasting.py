"""Tastings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import juice
from barkslip.app import tasting as use
from barkslip.app import tasting_write as write
from barkslip.domain.errors import BarkslipError
from barkslip.present import taste_data
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, answered, typed, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import tasting as forms
from barkslip.web.forms.groups import GroupedForm, asked

Fields = Annotated[dict[str, str], Depends(typed)]
Form = Callable[..., GroupedForm]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/tasting")
    def tastings(request: Request, tree: str = "", variety: str = "") -> Response:
        lines = use.judged(ctx, tree=tree, variety=variety)
        if wants_json(request):
            return JSONResponse(taste_data.lines_data(lines, desk.units(request, ctx.garden())))
        return desk.page(request, "tasting.html", lines=lines, here="tasting")

    @r.get("/tasting/new")
    def new_tasting(request: Request) -> Response:
        return desk.form(request, forms.tasting_form(ctx, dict(request.query_params), None))

    @r.post("/tasting/new")
    def add_tasting(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: write.save_tasting(ctx, f),
            lambda f, e: forms.tasting_form(ctx, f, e),
            lambda tasting: "/tasting",
        )

    @r.get("/tasting/score")
    def score(request: Request) -> Response:
        fields = _fields(request)
        units = desk.units(request, ctx.garden())
        return _asked(
            desk, request, "taste_score.html", fields, forms.score_form,
            lambda: juice.ask_score(ctx, ctx.settings, fields), lambda found: taste_data.juice_data(found, units),
        )  # fmt: skip

    @r.get("/tasting/sheet")
    def sheet(request: Request) -> Response:
        fields = _fields(request)
        return _asked(
            desk, request, "taste_sheet.html", fields, forms.sheet_form,
            lambda: write.lay_out(ctx, ctx.settings, fields), taste_data.sheet_data,
        )  # fmt: skip

    @r.get("/tasting/{thing}/edit")
    def edit_tasting(request: Request, thing: str) -> Response:
        return desk.form(request, forms.tasting_form(ctx, None, None, tasting=thing))

    @r.post("/tasting/{thing}/edit")
    def correct_tasting(request: Request, thing: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: write.save_tasting(ctx, f, tasting=thing),
            lambda f, e: forms.tasting_form(ctx, f, e, tasting=thing),
            lambda tasting: "/tasting",
            filled=forms.tasting_form(ctx, None, None, tasting=thing),
        )

    return r


def _fields(request: Request) -> dict[str, str]:
    """What was typed, with the answer to a question worked in."""
    query = dict(request.query_params)
    kept = asked(query)
    return asked(answered(kept | {"answer": query["answer"]})) if query.get("answer") else kept


def _asked(
    desk: Desk,
    request: Request,
    template: str,
    fields: dict[str, str],
    form: Form,
    ask: Callable[[], Any],
    data: Callable[[Any], dict[str, Any]],
) -> Response:
    """A form sent by GET with its answer once it is asked. It writes nothing."""
    found: Any = None
    error: BarkslipError | None = None
    if fields:
        try:
            found = ask()
        except BarkslipError as wrong:
            error = wrong
    if wants_json(request):
        if error is not None:
            return JSONResponse(error_data(error), status_of(error))
        if found is not None:
            return JSONResponse(data(found))
    return desk.page(
        request,
        template,
        found=found,
        error=error,
        form=form(desk.ctx, fields, error, done=found is not None),
        here="tasting",
        status=status_of(error) if error is not None else 200,
    )
