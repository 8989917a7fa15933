"""Cold nights: what will be hurt and the least that prevents it; the card for the shed door; the morning after."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import frost as use
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.night import NightVerdict
from barkslip.domain.sourced import Source
from barkslip.present import after_frost, night_data
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, answered, day_asked, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import night as forms
from barkslip.web.forms.groups import asked


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()

    @r.get("/night")
    def night(request: Request) -> Response:
        fields = _fields(request)
        if not forms.is_asked(fields):
            return _ask(desk, request, fields)
        try:
            verdict = use.ask_night(desk.ctx, desk.ctx.settings, fields)
        except BarkslipError as error:
            return _again(desk, request, fields, error)
        units = desk.units(request, desk.ctx.garden())
        return desk.page(
            request,
            "night.html",
            night_data.night_data(verdict, units),
            v=verdict,
            form=forms.night_form(desk.ctx, fields, None, verdict),
            card=f"/night/card?{urlencode(fields)}",
            asked=fields,
            tree_code=fields.get("tree", ""),
            place=_plot_name(desk, verdict),
            sources=_sources(desk, verdict),
            here="night",
        )

    @r.get("/night/card")
    def card(request: Request) -> Response:
        fields = _fields(request)
        verdict = use.ask_night(desk.ctx, desk.ctx.settings, fields)
        units = desk.units(request, desk.ctx.garden())
        return desk.page(
            request,
            "night_card.html",
            night_data.night_data(verdict, units),
            v=verdict,
            back=f"/night?{urlencode(fields)}",
            place=_plot_name(desk, verdict),
            here="night",
        )

    @r.get("/night/after")
    def after(request: Request, date: str = "") -> Response:
        found = use.after_freeze(desk.ctx, day_asked(date, "date") or desk.ctx.today(desk.ctx.garden()))
        units = desk.units(request, desk.ctx.garden())
        return desk.page(
            request,
            "after_frost.html",
            night_data.after_data(found, units),
            after=found,
            words=after_frost,
            here="night",
        )

    return r


def _fields(request: Request) -> dict[str, str]:
    """What was typed, with the answer to a question worked in."""
    query = dict(request.query_params)
    kept = asked(query)
    return asked(answered(kept | {"answer": query["answer"]})) if query.get("answer") else kept


def _ask(desk: Desk, request: Request, fields: dict[str, str]) -> Response:
    """All plots in one line each, and the form."""
    plots = use.keep_tonight(desk.ctx, day_asked(fields.get("date", ""), "date"))
    units = desk.units(request, desk.ctx.garden())
    data = {"plots": night_data.tonight_data(plots, units)}
    form = forms.night_form(desk.ctx, fields)
    return desk.page(request, "night_ask.html", data, plots=plots, form=form, error=None, here="night")


def _again(desk: Desk, request: Request, fields: dict[str, str], error: BarkslipError) -> Response:
    """The form again, with what is wrong or what is asked."""
    status = status_of(error)
    if wants_json(request):
        return JSONResponse(error_data(error), status)
    form = forms.night_form(desk.ctx, fields, error)
    return desk.page(request, "night_ask.html", plots=(), form=form, error=error, here="night", status=status)


def _plot_name(desk: Desk, verdict: NightVerdict) -> str:
    """Name of the plot; its code if the book has none."""
    if not verdict.plot:
        return ""
    with desk.ctx.book.read() as reader:
        return next((p.name for p in reader.every(Plot) if p.code == verdict.plot), verdict.plot)


def _sources(desk: Desk, verdict: NightVerdict) -> dict[str, Source]:
    """Sources of the numbers that decide, by key."""
    return {o.critical.source: desk.ctx.knowledge.source(o.critical.source) for o in verdict.organs}
