"""Clean wood: sticks to ask for, order dates, rules on moving, bag labels, tables for others."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import moving as rules
from barkslip.app import passport, trees
from barkslip.app.sticks import ask_sticks
from barkslip.app.wood_order import ask_order
from barkslip.domain.clean import WoodRule
from barkslip.domain.errors import BarkslipError
from barkslip.present import chain
from barkslip.present import moving as moving_words
from barkslip.present import sticks as sticks_words
from barkslip.present import wood_order as order_words
from barkslip.present.fault import error_data
from barkslip.web.desk import Desk, answered, typed, wants_json
from barkslip.web.errors import status_of
from barkslip.web.forms import clean_wood as forms
from barkslip.web.forms.groups import asked

Fields = Annotated[dict[str, str], Depends(typed)]
#: Labels on one sheet at most.
MOST_LABELS = 24


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/wood/sticks")
    def sticks(request: Request) -> Response:
        return _answer(
            desk, request, "wood_sticks.html", "grafts",
            lambda f: ask_sticks(ctx, ctx.settings, f), sticks_words.sticks_data, forms.sticks_form,
        )  # fmt: skip

    @r.get("/wood/order")
    def order(request: Request) -> Response:
        return _answer(
            desk, request, "wood_order.html", "window tree",
            lambda f: ask_order(ctx, ctx.settings, f), order_words.order_data, forms.order_form,
        )  # fmt: skip

    @r.get("/wood/rules")
    def all_rules(request: Request) -> Response:
        found, ways = rules.moving(ctx), rules.blade_ways(ctx)
        data = {"moving": moving_words.moving_data(found), "blades": moving_words.blade_data(ways)}
        return desk.page(request, "wood_rules.html", data, found=found, ways=ways, here="wood")

    _rule_addresses(r, desk)

    @r.get("/wood/passport.csv")
    def passports() -> Response:
        return _table(passport.as_csv(passport.field_names(ctx), passport.passports(ctx)), "passports.csv")

    @r.get("/wood/chains.csv")
    def chains() -> Response:
        rows = [columns | {"chain": chain.slash_text(parts)} for columns, parts in passport.chains(ctx)]
        return _table(passport.as_csv(passport.CHAIN_COLUMNS, rows), "chains.csv")

    @r.get("/wood/{code}/passport.csv")
    def one_passport(code: str) -> Response:
        text = passport.as_csv(passport.field_names(ctx), passport.passports(ctx, [code]))
        return _table(text, f"passport-{code}.csv")

    @r.get("/wood/{code}/label")
    def label(request: Request, code: str, copies: str = "1") -> Response:
        found = rules.bag_label(ctx, code)
        count = min(max(int(copies), 1), MOST_LABELS) if copies.isdigit() and len(copies) < 4 else 1
        data = moving_words.label_data(found)
        return desk.page(request, "wood_label.html", data, label=found, copies=count, here="wood")

    return r


def _rule_addresses(r: APIRouter, desk: Desk) -> None:
    ctx = desk.ctx

    @r.get("/wood/rules/new")
    def new_rule(request: Request) -> Response:
        return desk.form(request, forms.rule_form(ctx, dict(request.query_params), None))

    @r.post("/wood/rules/new")
    def add_rule(request: Request, fields: Fields) -> Response:
        return desk.save(
            request,
            fields,
            lambda f: rules.save_rule(ctx, f),
            lambda f, e: forms.rule_form(ctx, f, e),
            lambda rule: "/wood/rules",
        )

    @r.get("/wood/rules/{rule}/edit")
    def edit_rule(request: Request, rule: str) -> Response:
        return desk.form(request, forms.rule_form(ctx, None, None, rule=rule))

    @r.post("/wood/rules/{rule}/edit")
    def correct_rule(request: Request, rule: str, fields: Fields) -> Response:
        old = rules.rule_of(ctx, rule)
        return desk.save(
            request,
            fields,
            lambda f: rules.save_rule(ctx, f, rule=old.thing),
            lambda f, e: forms.rule_form(ctx, f, e, rule=rule),
            lambda saved: "/wood/rules",
            filled=forms.rule_form(ctx, None, None, rule=rule),
        )

    @r.post("/wood/rules/{rule}/take-back")
    def take_rule_back(rule: str, fields: Fields) -> Response:
        old = rules.rule_of(ctx, rule)
        trees.take_back(ctx, WoodRule, old.thing)
        return desk.go("/wood/rules", old)


def _answer(
    desk: Desk,
    request: Request,
    template: str,
    needed: str,
    ask: Callable[[dict[str, str]], Any],
    data: Callable[[Any], dict[str, Any]],
    form: Callable[..., Any],
) -> Response:
    """The answer if it is asked for, else the form; the form again with what is wrong.

    Parameters
    ----------
    needed : str
        Names of fields, any of which makes it a question.
    """
    query = dict(request.query_params)
    fields = asked(query)
    if query.get("answer"):
        fields = asked(answered(fields | {"answer": query["answer"]}))
    if not any(fields.get(name) for name in needed.split()) and not wants_json(request):
        return desk.page(request, template, v=None, form=form(desk.ctx, fields), here="wood")
    try:
        found = ask(fields)
    except BarkslipError as error:
        status = status_of(error)
        if wants_json(request):
            return JSONResponse(error_data(error), status)
        return desk.page(request, template, v=None, form=form(desk.ctx, fields, error), here="wood", status=status)
    return desk.page(
        request, template, data(found), v=found, form=form(desk.ctx, fields, answered=True), here="wood"
    )  # fmt: skip


def _table(text: str, name: str) -> Response:
    return Response(
        text, media_type="text/csv; charset=utf-8", headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )
