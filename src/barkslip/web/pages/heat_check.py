"""The grower's own logger beside the model of a cover, before and after learning from it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import cover_check as use
from barkslip.domain.errors import BarkslipError
from barkslip.present import heat_data
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, answered, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import heat_check as forms
from barkslip.web.forms.groups import asked


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()

    @r.get("/heat/check")
    def check(request: Request) -> Response:
        fields = _fields(request)
        if not fields.get("logger"):
            return _ask(desk, request, fields, None)
        try:
            found = use.check_cover(desk.ctx, fields)
        except BarkslipError as error:
            if wants_json(request):
                return JSONResponse(error_data(error), status_of(error))
            return _ask(desk, request, fields, error)
        units = desk.units(request, desk.ctx.garden())
        return desk.page(
            request,
            "heat_check.html",
            heat_data.check_data(found, units),
            check=found,
            form=forms.check_form(desk.ctx, fields, None, found),
            here="heat",
        )

    return r


def _fields(request: Request) -> dict[str, str]:
    """What was typed, with the answer to a question worked in."""
    query = dict(request.query_params)
    kept = asked(query)
    return asked(answered(kept | {"answer": query["answer"]})) if query.get("answer") else kept


def _ask(desk: Desk, request: Request, fields: dict[str, str], error: BarkslipError | None) -> Response:
    """Every time a logger sat under a cover, and the form."""
    sat = forms.sat_under_covers(desk.ctx)
    return desk.page(
        request,
        "heat_check_ask.html",
        {"placements": sat},
        sat=sat,
        form=forms.check_form(desk.ctx, fields, error),
        error=error,
        here="heat",
        status=status_of(error) if error is not None else 200,
    )
