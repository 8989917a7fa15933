"""The long shot: a graft chimera."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app.chimera import ask_chimera
from barkslip.domain.errors import BarkslipError
from barkslip.present.chimera import chimera_data
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms.chimera import chimera_form
from barkslip.web.forms.groups import asked


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/chimera")
    def chimera(request: Request) -> Response:
        fields = asked(dict(request.query_params))
        try:
            answer = ask_chimera(ctx, ctx.settings, fields)
        except BarkslipError as error:
            status = status_of(error)
            if wants_json(request):
                return JSONResponse(error_data(error), status)
            bare = ask_chimera(ctx, ctx.settings, {})
            form = chimera_form(ctx, fields, error)
            return desk.page(request, "chimera.html", v=bare, form=form, here="chimera", status=status)
        form = chimera_form(ctx, fields, answered=bool(fields))
        return desk.page(request, "chimera.html", chimera_data(answer), v=answer, form=form, here="chimera")

    return r
