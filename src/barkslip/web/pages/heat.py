"""Heat and covers: what will cook and which cover to choose; the card; the grower's logger beside the model."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import heat as use
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.heat import HeatVerdict
from barkslip.domain.sourced import Source
from barkslip.present import heat_data
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, answered, day_asked, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import heat as forms
from barkslip.web.forms.groups import asked


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()

    @r.get("/heat")
    def heat(request: Request) -> Response:
        fields = _fields(request)
        if not forms.is_asked(fields):
            return _ask(desk, request, fields)
        try:
            verdict = use.ask_heat(desk.ctx, desk.ctx.settings, fields)
        except BarkslipError as error:
            return _again(desk, request, fields, error)
        units = desk.units(request, desk.ctx.garden())
        return desk.page(
            request,
            "heat.html",
            heat_data.heat_data(verdict, units),
            v=verdict,
            form=forms.heat_form(desk.ctx, fields, None, verdict),
            card=f"/heat/card?{urlencode(fields)}",
            graft_code=fields.get("graft", ""),
            tree_code=fields.get("tree", ""),
            place=_plot_name(desk, verdict),
            sources=_sources(desk, verdict),
            here="heat",
        )

    @r.get("/heat/card")
    def card(request: Request) -> Response:
        fields = _fields(request)
        units = desk.units(request, desk.ctx.garden())
        if not forms.is_asked(fields):
            plots = use.danger(desk.ctx, day_asked(fields.get("date", ""), "date"))
            data = {"plots": heat_data.danger_data(plots, units)}
            return desk.page(request, "heat_cards.html", data, plots=plots, here="heat")
        verdict = use.ask_heat(desk.ctx, desk.ctx.settings, fields)
        return desk.page(
            request,
            "heat_card.html",
            heat_data.heat_data(verdict, units),
            v=verdict,
            back=f"/heat?{urlencode(fields)}",
            place=_plot_name(desk, verdict),
            here="heat",
        )

    return r


def _fields(request: Request) -> dict[str, str]:
    """What was typed, with the answer to a question worked in; ticked covers are one field."""
    query = dict(request.query_params)
    covers = ",".join(c for c in request.query_params.getlist("cover") if c.strip())
    if covers:
        query["cover"] = covers
    kept = asked(query)
    return asked(answered(kept | {"answer": query["answer"]})) if query.get("answer") else kept


def _ask(desk: Desk, request: Request, fields: dict[str, str]) -> Response:
    """All plots in one line each, and the form."""
    plots = use.danger(desk.ctx, day_asked(fields.get("date", ""), "date"))
    units = desk.units(request, desk.ctx.garden())
    data = {"plots": heat_data.danger_data(plots, units)}
    form = forms.heat_form(desk.ctx, fields)
    return desk.page(request, "heat_ask.html", data, plots=plots, form=form, error=None, here="heat")


def _again(desk: Desk, request: Request, fields: dict[str, str], error: BarkslipError) -> Response:
    """The form again, with what is wrong or what is asked."""
    status = status_of(error)
    if wants_json(request):
        return JSONResponse(error_data(error), status)
    form = forms.heat_form(desk.ctx, fields, error)
    return desk.page(request, "heat_ask.html", plots=(), form=form, error=error, here="heat", status=status)


def _plot_name(desk: Desk, verdict: HeatVerdict) -> str:
    """Name of the plot; its code if the book has none."""
    if not verdict.plot:
        return ""
    with desk.ctx.book.read() as reader:
        return next((p.name for p in reader.every(Plot) if p.code == verdict.plot), verdict.plot)


def _sources(desk: Desk, verdict: HeatVerdict) -> dict[str, Source]:
    """Sources of the lines, by key."""
    return {value.source: desk.ctx.knowledge.source(value.source) for _, value in verdict.lines}
