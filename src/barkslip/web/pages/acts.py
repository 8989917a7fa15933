"""Acts and events."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from barkslip.app import acts as use
from barkslip.app import trees
from barkslip.domain.act import Act, Event
from barkslip.web.desk import Desk, typed
from barkslip.web.forms import acts as forms

Fields = Annotated[dict[str, str], Depends(typed)]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/acts/new")
    def new_act(request: Request) -> Response:
        return desk.form(request, forms.act_form(ctx, dict(request.query_params), None))

    @r.post("/acts/new")
    def log_act(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.log_act(ctx, f),
            lambda f, e: forms.act_form(ctx, f, e),
            lambda act: use.address_of(ctx, act),
        )

    @r.get("/acts/{act}/edit")
    def edit_act(request: Request, act: str) -> Response:
        return desk.form(request, forms.act_form(ctx, None, None, act=act))

    @r.post("/acts/{act}/edit")
    def correct_act(request: Request, act: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.correct_act(ctx, act, f),
            lambda f, e: forms.act_form(ctx, f, e, act=act),
            lambda new: use.address_of(ctx, new),
            filled=forms.act_form(ctx, None, None, act=act),
        )

    @r.post("/acts/{act}/take-back")
    def take_act_back(request: Request, act: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.line(Act, act)
        address = use.address_of(ctx, old)
        trees.take_back(ctx, Act, old.thing, entry_id=act)
        return desk.go(fields.get("next") or address, old)

    @r.get("/events")
    def events(request: Request) -> Response:
        found = use.all_events(ctx)
        return desk.page(request, "events.html", found, events=found, here="search")

    @r.get("/events/new")
    def new_event(request: Request) -> Response:
        return desk.form(request, forms.event_form(ctx, dict(request.query_params), None))

    @r.post("/events/new")
    def log_event(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.log_event(ctx, f),
            lambda f, e: forms.event_form(ctx, f, e),
            lambda event: "/events",
        )

    @r.get("/events/{event}/edit")
    def edit_event(request: Request, event: str) -> Response:
        return desk.form(request, forms.event_form(ctx, None, None, event=event))

    @r.post("/events/{event}/edit")
    def correct_event(request: Request, event: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.correct_event(ctx, event, f),
            lambda f, e: forms.event_form(ctx, f, e, event=event),
            lambda new: "/events",
            filled=forms.event_form(ctx, None, None, event=event),
        )

    @r.post("/events/{event}/take-back")
    def take_event_back(request: Request, event: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.line(Event, event)
        trees.take_back(ctx, Event, old.thing, entry_id=event)
        return desk.go("/events", old)

    return r
