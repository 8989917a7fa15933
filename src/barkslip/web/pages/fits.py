"""What fits: a variety on a tree or a chain, all varieties on one tree, one variety on all stocks."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import fits as use
from barkslip.domain.errors import BarkslipError
from barkslip.present import fits_data
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, answered, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import fits as forms
from barkslip.web.forms.groups import asked


def fields_of(request: Request) -> dict[str, str]:
    """What was typed, with the answer to a question worked in."""
    query = dict(request.query_params)
    kept = asked(query)
    return asked(answered(kept | {"answer": query["answer"]})) if query.get("answer") else kept


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/fits")
    def fits(request: Request) -> Response:
        fields = fields_of(request)
        if not forms.is_asked(fields):
            return desk.page(request, "fits_ask.html", form=forms.fits_form(ctx, fields), error=None, here="fits")
        try:
            if fields.get("scion") and (fields.get("tree") or fields.get("chain")):
                return _one(request, fields)
            return _table(request, fields)
        except BarkslipError as error:
            status = status_of(error)
            if wants_json(request):
                return JSONResponse(error_data(error), status)
            form = forms.fits_form(ctx, fields, error)
            return desk.page(request, "fits_ask.html", form=form, error=error, here="fits", status=status)

    def _one(request: Request, fields: dict[str, str]) -> Response:
        verdict = use.ask_fit(ctx, ctx.settings, fields)
        fruit = {k: v for k, v in fields.items() if k in ("scion", "tree", "chain")}
        return desk.page(
            request,
            "fits.html",
            fits_data.fit_data(verdict),
            v=verdict,
            form=forms.fits_form(ctx, fields, answered=True),
            fruit=f"/fruit?{urlencode(fruit)}",
            here="fits",
        )

    def _table(request: Request, fields: dict[str, str]) -> Response:
        table = use.ask_table(ctx, ctx.settings, fields)
        name = "chain" if table.scion is not None else "scion"
        return desk.page(
            request,
            "fits_table.html",
            fits_data.table_data(table),
            t=table,
            form=forms.fits_form(ctx, fields, answered=True),
            ask=lambda row: f"/fits?{urlencode(fields | {name: row.kind.name})}",
            here="fits",
        )

    return r
