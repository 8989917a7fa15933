"""Days to graft: the answer, the card, what own takes say about the clock, and the clock of one graft."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import back_cast, graft_clock
from barkslip.app import days as use
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.sourced import Source
from barkslip.domain.timing import DaysVerdict
from barkslip.domain.tree import Tree
from barkslip.present import days_data
from barkslip.present.days import curve_rows
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, answered, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import days as forms
from barkslip.web.forms.groups import asked


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()

    @r.get("/days")
    def days(request: Request) -> Response:
        fields = _fields(request)
        if not forms.is_asked(fields):
            form = forms.days_form(desk.ctx, fields)
            kinds = back_cast.kinds_set(desk.ctx)
            data = {"kinds": kinds}
            return desk.page(request, "days_ask.html", data, form=form, kinds=kinds, error=None, here="days")
        try:
            verdict = use.ask_days(desk.ctx, desk.ctx.settings, fields)
        except BarkslipError as error:
            return _again(desk, request, fields, error)
        tree, place = _names(desk, verdict)
        kept = {k: v for k, v in fields.items() if k != "bark"}
        return desk.page(
            request,
            "days.html",
            days_data.days_data(verdict, desk.units(request, desk.ctx.garden())),
            v=verdict,
            form=forms.days_form(desk.ctx, fields, None, verdict),
            card=f"/days/card?{urlencode(fields)}",
            weeks=f"/days/weeks?{urlencode(fields)}",
            again=f"/days?{urlencode(kept)}",
            limb=_limb(fields),
            graft_code=fields.get("graft", ""),
            tree=tree,
            place=place,
            sources=_sources(desk, verdict),
            here="days",
        )

    @r.get("/days/card")
    def card(request: Request) -> Response:
        return beside(request, "days_card.html", {"years": "no"})

    @r.get("/days/weeks")
    def weeks(request: Request) -> Response:
        return beside(request, "days_weeks.html", {"years": "yes", "days": "1"})

    def beside(request: Request, template: str, more: dict[str, str]) -> Response:
        fields = _fields(request) | more
        try:
            verdict = use.ask_days(desk.ctx, desk.ctx.settings, fields)
        except BarkslipError as error:
            return _again(desk, request, fields, error)
        tree, place = _names(desk, verdict)
        return desk.page(
            request,
            template,
            days_data.days_data(verdict, desk.units(request, desk.ctx.garden())),
            v=verdict,
            back=f"/days?{urlencode(_fields(request))}",
            tree=tree,
            place=place,
            here="days",
        )

    @r.get("/days/clock")
    def learned(request: Request, species: str = "") -> Response:
        kinds = back_cast.kinds_set(desk.ctx)
        if not species.strip():
            return desk.page(request, "days_clocks.html", {"kinds": kinds}, kinds=kinds, here="days")
        found = back_cast.learned_clock(desk.ctx, species)
        data = days_data.learned_data(found)
        return desk.page(request, "days_clock.html", data, found=found, kinds=kinds, here="days")

    @r.get("/grafts/{code}/clock")
    def clock(request: Request, code: str) -> Response:
        found = graft_clock.clock_of(desk.ctx, code)
        with desk.ctx.book.read() as reader:
            graft = reader.by_code(Graft, code)
            tree = reader.get(Tree, graft.tree)
        data = days_data.clock_data(found)
        return desk.page(request, "graft_clock.html", data, clock=found, graft=graft, tree=tree, here="grafts")

    return r


def _fields(request: Request) -> dict[str, str]:
    """What was typed, with the answer to a question worked in."""
    query = dict(request.query_params)
    kept = asked(query)
    return asked(answered(kept | {"answer": query["answer"]})) if query.get("answer") else kept


def _again(desk: Desk, request: Request, fields: dict[str, str], error: BarkslipError) -> Response:
    """The form again, with what is wrong or what is asked."""
    status = status_of(error)
    if wants_json(request):
        return JSONResponse(error_data(error), status)
    form = forms.days_form(desk.ctx, fields, error)
    return desk.page(request, "days_ask.html", form=form, kinds=(), error=error, here="days", status=status)


def _names(desk: Desk, verdict: DaysVerdict) -> tuple[str, str]:
    """Names of the tree and the plot of a verdict; their codes if the book has none."""
    plan = verdict.plan
    with desk.ctx.book.read() as reader:
        tree = next((t.name or t.code for t in reader.every(Tree) if t.code == plan.tree), plan.tree)
        plot = next((p.name for p in reader.every(Plot) if p.code == plan.plot), plan.plot)
    return tree, plot


def _sources(desk: Desk, verdict: DaysVerdict) -> dict[str, Source]:
    """Sources of the healing curve, by key."""
    keys = dict.fromkeys(key for *_, key in curve_rows(verdict))
    return {key: desk.ctx.knowledge.source(key) for key in keys}


def _limb(fields: dict[str, str]) -> str:
    """Address of the limb that was named; "" if it was a size or none."""
    typed = fields.get("limb", "")
    return "" if not typed or typed[0].isdigit() else typed
