"""Why it failed."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import why as use
from barkslip.domain.errors import BarkslipError
from barkslip.present.fault import error_data
from barkslip.present.why import QUESTIONS
from barkslip.present.why_data import why_data
from barkslip.web.desk import Desk, typed, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms.why import why_form
from barkslip.web.pages.fits import fields_of

Fields = Annotated[dict[str, str], Depends(typed)]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/why")
    def why(request: Request) -> Response:
        fields = fields_of(request)
        if not fields.get("grafts"):
            form = why_form(ctx, fields)
            return desk.page(request, "why_ask.html", form=form, error=None, here="why")
        looks = [f"{q}={fields[q]}" for q in QUESTIONS if fields.get(q)]
        asked = {"grafts": fields["grafts"], "looks": ", ".join([*looks, fields.get("looks", "")]).strip(", ")}
        try:
            answer = use.ask_why(ctx, asked)
        except BarkslipError as error:
            status = status_of(error)
            if wants_json(request):
                return JSONResponse(error_data(error), status)
            form = why_form(ctx, fields, error)
            return desk.page(request, "why_ask.html", form=form, error=error, here="why", status=status)
        form = why_form(ctx, fields, answer=answer)
        looked = asked["looks"]
        return desk.page(request, "why.html", why_data(answer), v=answer, form=form, looked=looked, here="why")

    @r.post("/why/looks")
    def looks(request: Request, fields: Fields) -> Response:
        signs = use.log_looks(ctx, fields)
        if wants_json(request):
            return JSONResponse({"signs": [s.id for s in signs]}, 201)
        return desk.go(_address(fields), signs)

    @r.post("/why/causes")
    def causes(request: Request, fields: Fields) -> Response:
        found = use.log_cause(ctx, fields)
        if wants_json(request):
            return JSONResponse({"cause": found.id}, 201)
        return desk.go(_address(fields), found)

    return r


def _address(fields: dict[str, str]) -> str:
    return f"/why?grafts={quote(fields.get('graft', ''))}"
