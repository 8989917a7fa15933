"""Trees, limbs, chain links."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from barkslip.app import garden as gardens
from barkslip.app import trees as use
from barkslip.app.trace_lists import held_things
from barkslip.domain.errors import BarkslipError
from barkslip.domain.tree import Limb, Tree
from barkslip.web.desk import Desk, page_number, pager_of, same_one, typed
from barkslip.web.forms import trees as forms

Fields = Annotated[dict[str, str], Depends(typed)]


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/trees")
    def trees(request: Request, page: str = "1") -> Response:
        number = page_number(page)
        cards, total = use.page_of_trees(ctx, number)
        pager = pager_of("/trees", {}, number, use.TREES_A_PAGE, total)
        bare = gardens.plots_without_trees(ctx) if number == 1 else []
        return desk.page(
            request, "trees.html", cards, cards=cards, total=total, pager=pager, bare_plots=bare, here="trees"
        )

    @r.get("/trees/new")
    def new_tree(request: Request) -> Response:
        return desk.form(request, forms.tree_form(ctx, dict(request.query_params), None))

    @r.post("/trees/new")
    def add_tree(request: Request, fields: Fields) -> Response:
        same = same_one(fields)
        if same:
            return RedirectResponse(f"/trees/{same}", 303)
        return desk.save(
            request,
            fields,
            lambda f: use.save_tree(ctx, f),
            lambda f, e: forms.tree_form(ctx, f, e),
            lambda tree: f"/trees/{tree.code}",
        )

    @r.get("/trees/{code}")
    def tree(request: Request, code: str) -> Response:
        story = use.tree_story(ctx, code)
        held = held_things(ctx, story.card.tree.thing)
        return desk.page(request, "tree.html", story, story=story, held=held, here="trees")

    @r.get("/trees/{code}/edit")
    def edit_tree(request: Request, code: str) -> Response:
        return desk.form(request, forms.tree_form(ctx, None, None, code=code))

    @r.post("/trees/{code}/edit")
    def correct_tree(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.save_tree(ctx, f, code=code),
            lambda f, e: forms.tree_form(ctx, f, e, code=code),
            lambda tree: f"/trees/{tree.code}",
            filled=forms.tree_form(ctx, None, None, code=code),
        )

    @r.post("/trees/{code}/take-back")
    def take_tree_back(request: Request, code: str, fields: Fields) -> Response:
        old = use.tree_story(ctx, code).card.tree
        use.take_back(ctx, Tree, old.thing)
        return desk.go("/trees", old)

    @r.get("/trees/{code}/limbs/new")
    def new_limb(request: Request, code: str) -> Response:
        return desk.form(request, forms.limb_form(ctx, dict(request.query_params), None, tree=code))

    @r.post("/trees/{code}/limbs/new")
    def add_limb(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.save_limb(ctx, forms.addressed(f), tree=code),
            lambda f, e: forms.limb_form(ctx, f, e, tree=code),
            lambda limb: f"/trees/{code}",
        )

    @r.get("/limbs/{thing}/edit")
    def edit_limb(request: Request, thing: str) -> Response:
        return desk.form(request, forms.limb_form(ctx, None, None, limb=thing))

    @r.post("/limbs/{thing}/edit")
    def correct_limb(request: Request, thing: str, fields: Fields) -> Response:
        def again(f: Mapping[str, str], e: BarkslipError | None) -> forms.FormView:
            return forms.limb_form(ctx, f, e, limb=thing)

        return desk.save(
            request,
            fields,
            lambda f: use.save_limb(ctx, f, limb=thing),
            again,
            lambda limb: f"/trees/{forms.tree_code(ctx, limb)}",
            filled=forms.limb_form(ctx, None, None, limb=thing),
        )

    @r.post("/limbs/{thing}/take-back")
    def take_limb_back(request: Request, thing: str, fields: Fields) -> Response:
        code, old = forms.tree_code_of_limb(ctx, thing), forms.limb_of(ctx, thing)
        use.take_back(ctx, Limb, thing)
        return desk.go(f"/trees/{code}", old)

    @r.get("/trees/{code}/links/new")
    def new_link(request: Request, code: str) -> Response:
        return desk.form(request, forms.link_form(ctx, dict(request.query_params), None, tree=code))

    @r.post("/trees/{code}/links/new")
    def add_link(request: Request, code: str, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: use.save_link(ctx, f, tree=code),
            lambda f, e: forms.link_form(ctx, f, e, tree=code),
            lambda link: f"/trees/{code}",
        )

    return r
