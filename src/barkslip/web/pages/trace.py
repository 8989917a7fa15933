"""Trace: the question, the answer, and what it lives on."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import trace as use
from barkslip.app import trace_lists, trees
from barkslip.app import trace_written as written
from barkslip.domain.clean import Handout, Hold, ToolUse
from barkslip.domain.errors import BarkslipError
from barkslip.present import trace_data
from barkslip.present.fault import error_data
from barkslip.present.trace_graph import address
from barkslip.web.desk import Desk, answered, typed, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import trace as forms
from barkslip.web.forms.groups import asked

Fields = Annotated[dict[str, str], Depends(typed)]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/trace")
    def trace(request: Request) -> Response:
        fields = _fields(request)
        if not forms.is_asked(fields):
            return _ask(desk, request, fields, None)
        try:
            found = use.ask_trace(ctx, fields)
        except BarkslipError as error:
            if wants_json(request):
                return JSONResponse(error_data(error), status_of(error))
            return _ask(desk, request, fields, error)
        other = {k: v for k, v in fields.items() if k != "backward"} | ({} if found.backward else {"backward": "yes"})
        return desk.page(
            request, "trace.html", trace_data.trace_data(found), t=found,
            form=forms.trace_form(ctx, fields, answered=True), other_way=f"/trace?{urlencode(other)}",
            fields=fields, address=address, here="trace",
        )  # fmt: skip

    @r.get("/trace/agents/{agent}")
    def card(request: Request, agent: str) -> Response:
        row = use.find_agent(ctx, agent)
        source = ctx.knowledge.source(row.cell("source"))
        return desk.page(
            request, "trace_agent.html", trace_data.card_data(row), row=row, source=source, here="trace"
        )  # fmt: skip

    _tools(r, desk)
    _handouts(r, desk)
    _holds(r, desk)
    return r


def _fields(request: Request) -> dict[str, str]:
    """What was typed, with the answer to a question worked in."""
    query = dict(request.query_params)
    kept = asked(query)
    return asked(answered(kept | {"answer": query["answer"]})) if query.get("answer") else kept


def _ask(desk: Desk, request: Request, fields: dict[str, str], error: BarkslipError | None) -> Response:
    """The form, what is held back, and the cards of diseases."""
    ctx = desk.ctx
    held, agents = trace_lists.holds_in_force(ctx), use.agent_rows(ctx)
    data = {
        "held": [{"kind": kind, "code": code, "hold": hold} for kind, code, hold in held],
        "agents": [trace_data.card_data(row) for row in agents],
    }
    return desk.page(
        request, "trace_ask.html", data, form=forms.trace_form(ctx, fields, error), error=error, held=held,
        agents=agents, given=trace_lists.all_handouts(ctx), here="trace",
        status=status_of(error) if error is not None else 200,
    )  # fmt: skip


def _tools(r: APIRouter, desk: Desk) -> None:
    ctx = desk.ctx

    @r.get("/tools")
    def tools(request: Request) -> Response:
        found = trace_lists.tool_uses(ctx)
        data = {"tool_uses": [{"kind": k, "code": c, "use": u} for k, c, u in found]}
        return desk.page(request, "tools.html", data, uses=found, here="trace")

    @r.get("/tools/new")
    def new_use(request: Request) -> Response:
        return desk.form(request, forms.tool_form(ctx, dict(request.query_params), None))

    @r.post("/tools/new")
    def add_use(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: written.save_tool_use(ctx, f),
            lambda f, e: forms.tool_form(ctx, f, e),
            lambda saved: "/tools",
        )

    @r.get("/tools/{line}/edit")
    def edit_use(request: Request, line: str) -> Response:
        return desk.form(request, forms.tool_form(ctx, None, None, use_id=line))

    @r.post("/tools/{line}/edit")
    def correct_use(request: Request, line: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: written.save_tool_use(ctx, f, use=line),
            lambda f, e: forms.tool_form(ctx, f, e, use_id=line),
            lambda saved: "/tools",
            filled=forms.tool_form(ctx, None, None, use_id=line),
        )

    @r.post("/tools/{line}/take-back")
    def take_use_back(line: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.line(ToolUse, line)
        trees.take_back(ctx, ToolUse, old.thing, entry_id=line)
        return desk.go(fields.get("next") or "/tools", old)


def _handouts(r: APIRouter, desk: Desk) -> None:
    ctx = desk.ctx

    def back(saved: Handout) -> str:
        return f"/wood/{trace_lists.lot_code(ctx, saved.lot)}"

    @r.get("/wood/{code}/handouts/new")
    def new_handout(request: Request, code: str) -> Response:
        return desk.form(request, forms.handout_form(ctx, dict(request.query_params), None, lot=code))

    @r.post("/wood/{code}/handouts/new")
    def add_handout(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: written.save_handout(ctx, f, lot=code),
            lambda f, e: forms.handout_form(ctx, f, e, lot=code),
            back,
        )

    @r.get("/handouts/{line}/edit")
    def edit_handout(request: Request, line: str) -> Response:
        return desk.form(request, forms.handout_form(ctx, None, None, line=line))

    @r.post("/handouts/{line}/edit")
    def correct_handout(request: Request, line: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: written.save_handout(ctx, f, handout=line),
            lambda f, e: forms.handout_form(ctx, f, e, line=line),
            back,
            filled=forms.handout_form(ctx, None, None, line=line),
        )

    @r.post("/handouts/{line}/take-back")
    def take_handout_back(line: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.line(Handout, line)
        trees.take_back(ctx, Handout, old.thing, entry_id=line)
        return desk.go(fields.get("next") or back(old), old)


def _holds(r: APIRouter, desk: Desk) -> None:
    ctx = desk.ctx

    @r.get("/holds/new")
    def new_hold(request: Request) -> Response:
        return desk.form(request, forms.hold_form(ctx, dict(request.query_params), None))

    @r.post("/holds/new")
    def add_hold(request: Request, fields: Fields) -> Response:
        if fields.get("things"):
            saved = written.hold_all(ctx, fields)
            if wants_json(request):
                return JSONResponse({"held": len(saved)}, 201)
            return desk.go(fields.get("next") or "/trace", saved)
        return desk.save(
            request,
            fields,
            lambda f: written.save_hold(ctx, f),
            lambda f, e: forms.hold_form(ctx, f, e),
            lambda saved: "/trace",
        )

    @r.get("/holds/{hold}/edit")
    def edit_hold(request: Request, hold: str) -> Response:
        return desk.form(request, forms.hold_form(ctx, None, None, hold=hold))

    @r.post("/holds/{hold}/edit")
    def correct_hold(request: Request, hold: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: written.save_hold(ctx, f, hold=hold),
            lambda f, e: forms.hold_form(ctx, f, e, hold=hold),
            lambda saved: "/trace",
            filled=forms.hold_form(ctx, None, None, hold=hold),
        )

    @r.get("/holds/{hold}/lift")
    def lift(request: Request, hold: str) -> Response:
        return desk.form(request, forms.lift_form(ctx, dict(request.query_params), None, hold=hold))

    @r.post("/holds/{hold}/lift")
    def lifted(request: Request, hold: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: written.lift_hold(ctx, f, hold=hold),
            lambda f, e: forms.lift_form(ctx, f, e, hold=hold),
            lambda saved: "/trace",
        )

    @r.post("/holds/{line}/take-back")
    def take_hold_back(line: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.line(Hold, line)
        trees.take_back(ctx, Hold, old.thing, entry_id=line)
        return desk.go(fields.get("next") or "/trace", old)
