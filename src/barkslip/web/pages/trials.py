"""Trials."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import trial_plans as plans
from barkslip.app import trial_power
from barkslip.app import trials as use
from barkslip.domain.errors import BarkslipError, NotFoundError
from barkslip.present import power, trial_data
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, typed, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import trials as forms
from barkslip.web.forms.groups import asked

Fields = Annotated[dict[str, str], Depends(typed)]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/trials")
    def trials(request: Request) -> Response:
        stories = use.all_trials(ctx)
        units = desk.units(request, ctx.garden())
        if wants_json(request):
            return JSONResponse(trial_data.list_data(stories, units))
        return desk.page(request, "trials.html", stories=stories, here="trials")

    @r.get("/trials/new")
    def new_trial(request: Request) -> Response:
        return desk.form(request, forms.plan_form(ctx, dict(request.query_params), None))

    @r.post("/trials/new")
    def add_trial(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: plans.save_plan(ctx, f),
            lambda f, e: forms.plan_form(ctx, f, e),
            lambda trial: f"/trials/{trial.code}",
        )

    @r.get("/trials/power")
    def needed(request: Request) -> Response:
        return _power(desk, request)

    @r.get("/trials/{code}")
    def trial(request: Request, code: str) -> Response:
        story = use.trial_story(ctx, code)
        units = desk.units(request, ctx.garden())
        if wants_json(request):
            return JSONResponse(trial_data.story_data(story, units))
        return desk.page(request, "trial.html", story=story, here="trials")

    @r.get("/trials/{code}/edit")
    def edit_trial(request: Request, code: str) -> Response:
        return desk.form(request, forms.plan_form(ctx, None, None, code=code))

    @r.post("/trials/{code}/edit")
    def correct_trial(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: plans.save_plan(ctx, f, code=code),
            lambda f, e: forms.plan_form(ctx, f, e, code=code),
            lambda trial: f"/trials/{trial.code}",
            filled=forms.plan_form(ctx, None, None, code=code),
        )

    @r.get("/trials/{code}/sheet")
    def sheet(request: Request, code: str) -> Response:
        story = use.trial_story(ctx, code)
        if story.plan is None:
            raise NotFoundError(
                "This trial has no plan to print.",
                given=code,
                allowed="a trial that was planned",
                next_step="Write its plan: Correct question or plan.",
            )
        return desk.page(request, "trial_sheet.html", story, story=story, here="trials")

    _writing(r, desk)
    return r


def _writing(r: APIRouter, desk: Desk) -> None:
    """Drawing the lot and writing readings down."""
    ctx = desk.ctx

    @r.get("/trials/{code}/draw")
    def new_draw(request: Request, code: str) -> Response:
        return desk.form(request, forms.draw_form(ctx, dict(request.query_params), None, code=code))

    @r.post("/trials/{code}/draw")
    def draw(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: plans.draw_lot(ctx, code, f),
            lambda f, e: forms.draw_form(ctx, f, e, code=code),
            lambda plan: f"/trials/{code}/sheet",
        )

    @r.get("/trials/{code}/readings/new")
    def new_reading(request: Request, code: str) -> Response:
        return desk.form(request, forms.reading_form(ctx, dict(request.query_params), None, code=code))

    @r.post("/trials/{code}/readings/new")
    def add_reading(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: plans.save_reading(ctx, code, f),
            lambda f, e: forms.reading_form(ctx, f, e, code=code),
            lambda reading: f"/trials/{code}",
        )


def _power(desk: Desk, request: Request) -> Response:
    """How many are needed: the form, and the answer once it is asked."""
    fields = asked(dict(request.query_params))
    found, error = None, None
    if fields:
        try:
            found = trial_power.ask_power(desk.ctx, desk.ctx.settings, fields)
        except BarkslipError as wrong:
            error = wrong
    if wants_json(request):
        if error is not None:
            return JSONResponse(error_data(error), status_of(error))
        if found is not None:
            return JSONResponse(power.data(found))
    return desk.page(
        request,
        "trial_power.html",
        found=found,
        error=error,
        form=forms.power_form(desk.ctx, fields, error, done=found is not None),
        here="trials",
        status=status_of(error) if error is not None else 200,
    )
