"""The garden and its plots."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from barkslip.app import garden as use
from barkslip.web.desk import Desk, same_one, typed
from barkslip.web.forms import garden as forms

Fields = Annotated[dict[str, str], Depends(typed)]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/garden/edit")
    def edit_garden(request: Request) -> Response:
        return desk.form(request, forms.garden_form(ctx, dict(request.query_params), None))

    @r.post("/garden/edit")
    def correct_garden(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.correct_garden(ctx, f),
            lambda f, e: forms.garden_form(ctx, f, e),
            lambda garden: "/",
            filled=forms.garden_form(ctx, None, None),
        )

    @r.get("/plots/new")
    def new_plot(request: Request) -> Response:
        return desk.form(request, forms.plot_form(ctx, dict(request.query_params), None))

    @r.post("/plots/new")
    def add_plot(request: Request, fields: Fields) -> Response:
        same = same_one(fields)
        if same:
            return RedirectResponse(f"/plots/{same}/edit", 303)
        return desk.save(
            request,
            fields,
            lambda f: use.save_plot(ctx, f),
            lambda f, e: forms.plot_form(ctx, f, e),
            lambda plot: "/trees",
        )

    @r.get("/plots/{code}/edit")
    def edit_plot(request: Request, code: str) -> Response:
        return desk.form(request, forms.plot_form(ctx, None, None, code=code))

    @r.post("/plots/{code}/edit")
    def correct_plot(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.save_plot(ctx, f, code=code),
            lambda f, e: forms.plot_form(ctx, f, e, code=code),
            lambda plot: "/trees",
            filled=forms.plot_form(ctx, None, None, code=code),
        )

    return r
