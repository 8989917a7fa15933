"""What the fruit will be, and what is ripe when in the garden."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import calendar as year_use
from barkslip.app import fruit as use
from barkslip.domain.errors import BarkslipError
from barkslip.present import fruit_data
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import fruit as forms
from barkslip.web.pages.fits import fields_of


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/fruit")
    def fruit(request: Request) -> Response:
        fields = fields_of(request)
        if not fields.get("scion"):
            form = forms.fruit_form(ctx, fields)
            return desk.page(request, "fruit_ask.html", form=form, error=None, here="fruit")
        try:
            found = use.ask_fruit(ctx, ctx.settings, fields)
        except BarkslipError as error:
            status = status_of(error)
            if wants_json(request):
                return JSONResponse(error_data(error), status)
            form = forms.fruit_form(ctx, fields, error)
            return desk.page(request, "fruit_ask.html", form=form, error=error, here="fruit", status=status)
        units = desk.units(request, ctx.garden())
        fits = {k: v for k, v in fields.items() if k in ("scion", "tree", "chain", "limb")}
        return desk.page(
            request,
            "fruit.html",
            fruit_data.fruit_data(found, units),
            v=found,
            form=forms.fruit_form(ctx, fields, answered=True),
            fits_address=f"/fits?{urlencode(fits)}",
            here="fruit",
        )

    @r.get("/ripe")
    def ripe(request: Request) -> Response:
        year = year_use.ripe_year(ctx)
        return desk.page(request, "ripe.html", fruit_data.ripe_data(year), y=year, here="ripe")

    return r
