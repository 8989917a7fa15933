"""Keep, rework or replace."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app.worth import ask_worth
from barkslip.domain.errors import BarkslipError
from barkslip.present.fault import error_data
from barkslip.present.worth_data import worth_data
from barkslip.web.desk import Desk, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms.worth import worth_form
from barkslip.web.pages.fits import fields_of


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/worth")
    def worth(request: Request) -> Response:
        fields = fields_of(request)
        if not fields:
            form = worth_form(ctx, fields)
            return desk.page(request, "worth_ask.html", form=form, error=None, here="worth")
        try:
            answer = ask_worth(ctx, ctx.settings, fields)
        except BarkslipError as error:
            status = status_of(error)
            if wants_json(request):
                return JSONResponse(error_data(error), status)
            form = worth_form(ctx, fields, error)
            return desk.page(request, "worth_ask.html", form=form, error=error, here="worth", status=status)
        form = worth_form(ctx, fields, answer=answer)
        return desk.page(request, "worth.html", worth_data(answer), v=answer, form=form, here="worth")

    return r
