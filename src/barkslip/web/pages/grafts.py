"""Grafts and looks."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from barkslip.app import graft_clock, trees
from barkslip.app import grafts as use
from barkslip.app.trace_lists import held_things
from barkslip.domain.graft import VERDICTS, Graft, Look
from barkslip.domain.tree import Tree
from barkslip.present.lists import Filter
from barkslip.web.desk import Desk, page_number, pager_of, typed
from barkslip.web.forms import grafts as forms

Fields = Annotated[dict[str, str], Depends(typed)]
#: Grafts on one page of the list.
SIZE = 40
#: Clocks of grafts that wait for a verdict, or are younger than this, are worked out while their page stands [d].
CLOCK_DAYS = 240


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/grafts")
    def grafts(request: Request, word: str = "", campaign: str = "", plot: str = "", page: str = "1") -> Response:
        number = page_number(page)
        cards, total = use.list_grafts(ctx, word=word, campaign=campaign, plot=plot, page=number, size=SIZE)
        filters = (
            Filter("word", "Verdict", (("", "all"), *((v, v) for v in VERDICTS)), word),
            Filter("campaign", "Campaign", (("", "all"), *((c, c) for c in use.campaigns(ctx))), campaign),
            Filter("plot", "Plot", (("", "all"), *use.plot_choices(ctx)), plot),
        )
        asked = {"word": word, "campaign": campaign, "plot": plot}
        return desk.page(
            request,
            "grafts.html",
            {"total": total, "page": number, "grafts": cards},
            cards=cards,
            filters=filters,
            pager=pager_of("/grafts", asked, number, SIZE, total),
            here="grafts",
        )

    @r.get("/grafts/new")
    def new_graft(request: Request) -> Response:
        return desk.form(request, forms.graft_form(ctx, dict(request.query_params), None))

    @r.post("/grafts/new")
    def set_grafts(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.set_grafts(ctx, f),
            lambda f, e: forms.graft_form(ctx, f, e),
            lambda done: f"/grafts/{done[0].code}" if len(done) == 1 else f"/grafts?campaign={done[0].campaign}",
        )

    @r.get("/grafts/{code}")
    def graft(request: Request, code: str) -> Response:
        story = use.graft_story(ctx, code)
        clock = graft_clock.clock_kept(ctx, code)
        if clock is None and story.weather is None:
            clock = graft_clock.clock_of(ctx, code)  # nothing to reckon with: it takes no time
        stand = story.card.standing
        later = stand.mark != "lost" and (stand.word == "waiting" or story.card.days[0] <= CLOCK_DAYS)
        held = held_things(ctx, story.card.graft.thing)
        return desk.page(request, "graft.html", story, story=story, clock=clock, later=later, held=held, here="grafts")

    @r.get("/grafts/{code}/edit")
    def edit_graft(request: Request, code: str) -> Response:
        return desk.form(request, forms.graft_form(ctx, None, None, code=code))

    @r.post("/grafts/{code}/edit")
    def correct_graft(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.correct_graft(ctx, code, f),
            lambda f, e: forms.graft_form(ctx, f, e, code=code),
            lambda graft: f"/grafts/{graft.code}",
            filled=forms.graft_form(ctx, None, None, code=code),
        )

    @r.post("/grafts/{code}/take-back")
    def take_graft_back(request: Request, code: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.by_code(Graft, code)
            tree = reader.get(Tree, old.tree).code
        trees.take_back(ctx, Graft, old.thing)
        return desk.go(f"/trees/{tree}", old)

    @r.get("/grafts/{code}/looks/new")
    def new_look(request: Request, code: str) -> Response:
        return desk.form(request, forms.look_form(ctx, dict(request.query_params), None, code=code))

    @r.post("/grafts/{code}/looks")
    def log_look(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.log_look(ctx, code, f),
            lambda f, e: forms.look_form(ctx, f, e, code=code),
            lambda look: f"/grafts/{code}",
        )

    @r.get("/looks/{look}/edit")
    def edit_look(request: Request, look: str) -> Response:
        return desk.form(request, forms.look_form(ctx, None, None, look=look))

    @r.post("/looks/{look}/edit")
    def correct_look(request: Request, look: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.correct_look(ctx, look, f),
            lambda f, e: forms.look_form(ctx, f, e, look=look),
            lambda new: f"/grafts/{use.code_of(ctx, new.graft)}",
            filled=forms.look_form(ctx, None, None, look=look),
        )

    @r.post("/looks/{look}/take-back")
    def take_look_back(request: Request, look: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.line(Look, look)
        trees.take_back(ctx, Look, old.thing, entry_id=look)
        return desk.go(fields.get("next") or f"/grafts/{use.code_of(ctx, old.graft)}", old)

    return r
