"""The morning after: answers kept, lows read, how past answers have done."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from barkslip.app import frost, scores
from barkslip.app.garden import plots
from barkslip.domain.errors import BarkslipError, NotFoundError
from barkslip.domain.garden import Plot
from barkslip.domain.score import summed_up
from barkslip.present.form import FormField, FormView
from barkslip.web.desk import Desk, typed
from barkslip.web.forms.fill import Fill

Fields = Annotated[dict[str, str], Depends(typed)]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/night/scores")
    def past(request: Request, plot: str = "") -> Response:
        every = plots(ctx)
        chosen = _chosen(every, plot)
        found = scores.scores(ctx, chosen)
        offset = scores.learned_offset(ctx, chosen)
        return desk.page(
            request,
            "night_scores.html",
            {"plot": chosen.code, "summary": summed_up(found), "scores": found, "offset": offset},
            plots=every,
            plot=chosen,
            scores=found,
            summary=summed_up(found),
            offset=offset,
            here="night",
        )

    @r.post("/night/keep")
    def keep(request: Request, fields: Fields) -> Response:
        asked = {k: v for k, v in fields.items() if k not in ("id", "next")}
        answer = scores.keep_answer(ctx, frost.ask_night(ctx, ctx.settings, asked))
        with ctx.book.read() as reader:
            code = reader.get(Plot, answer.plot).code
        return desk.go(f"/night/scores?plot={code}", answer)

    @r.get("/night/lows/new")
    def new_low(request: Request) -> Response:
        return desk.form(request, _low_form(desk, dict(request.query_params), None))

    @r.post("/night/lows/new")
    def add_low(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: scores.type_low(ctx, f.get("plot", ""), f),
            lambda f, e: _low_form(desk, f, e),
            lambda answer: f"/night/scores?plot={fields.get('plot', '')}",
        )

    return r


def _chosen(every: list[Plot], code: str) -> Plot:
    if not code and every:
        return every[0]
    found = [p for p in every if p.code.lower() == code.lower()]
    if not found:
        raise NotFoundError(
            "There is no such plot in the book.",
            given=code,
            allowed=", ".join(p.code for p in every),
            next_step="Choose one of these.",
        )
    return found[0]


def _low_form(desk: Desk, given: Mapping[str, str], error: BarkslipError | None) -> FormView:
    fill = Fill(desk.ctx, given)
    choices = tuple((p.code, p.name) for p in plots(desk.ctx))
    evening = (fill.today - timedelta(days=1)).isoformat()
    return FormView(
        title="The low that was read",
        action="/night/lows/new",
        here="night",
        cancel="/night/scores",
        crumbs=(("/night", "Cold nights"), ("/night/scores", "Past answers")),
        lead="Set beside the answer that was kept for that night.",
        error=error,
        fields=(
            *fill.hidden(),
            FormField(
                "plot",
                "Plot",
                "select",
                given.get("plot", ""),
                options=choices,
            ),
            FormField("date", "Evening of", "date", given.get("date", evening), required=True),
            FormField("low", "Low", "number", given.get("low", ""), unit=fill.units.temperature, required=True),
        ),
    )
