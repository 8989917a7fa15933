"""What a tree stands on: one question at a time, looks written down at a tree, the belief written into its chain."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import root as use
from barkslip.app import signs
from barkslip.app.trees import take_back
from barkslip.domain.errors import BarkslipError
from barkslip.domain.root import LookQuestion, RootVerdict
from barkslip.domain.sign import Sign
from barkslip.domain.tree import Tree
from barkslip.present.fault import error_data
from barkslip.present.root_data import root_data
from barkslip.web.desk import Desk, typed, wants_json
from barkslip.web.errors import status_of

Fields = Annotated[dict[str, str], Depends(typed)]
#: What an address of this page may hold.
_ASKED = ("tree", "looks", "skip", "ask", "afresh")


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/root")
    def root(request: Request) -> Response:
        fields = _fields(request.query_params)
        try:
            verdict = use.ask_root(ctx, ctx.settings, fields)
        except BarkslipError as error:
            status = status_of(error)
            if wants_json(request):
                return JSONResponse(error_data(error), status)
            return desk.page(request, "root_wrong.html", error=error, here="root", status=status)
        return desk.page(
            request,
            "root.html",
            root_data(verdict),
            v=verdict,
            question=_question(use.questions(ctx, ctx.settings), verdict, fields),
            trees=_trees(desk),
            fields={k: fields.get(k, "") for k in _ASKED},
            at=lambda **changed: _address(fields, changed),
            with_look=lambda key: _address(fields, {"looks": _joined(fields.get("looks", ""), key), "ask": ""}),
            without_look=lambda key: _address(fields, {"looks": _left(fields.get("looks", ""), key), "ask": ""}),
            skipping=lambda key: _address(fields, {"skip": _joined(fields.get("skip", ""), key), "ask": ""}),
            here="root",
        )

    @r.post("/root/signs")
    def log_sign(request: Request, fields: Fields) -> Response:
        sign = signs.log_sign(ctx, fields)
        if wants_json(request):
            return JSONResponse({"sign": sign.id, "look": f"{sign.question}={sign.answer}"}, 201)
        return desk.go(_address(_fields(fields), {"ask": ""}), sign)

    @r.post("/root/signs/{sign}/take-back")
    def take_sign_back(request: Request, sign: str, fields: Fields) -> Response:
        with ctx.book.read() as reader:
            old = reader.line(Sign, sign)
            tree = reader.get(Tree, old.tree or "")
        take_back(ctx, Sign, old.thing, entry_id=sign)
        return desk.go(fields.get("next") or _address({"tree": tree.code}, {}), old)

    @r.post("/root/believe")
    def believe(request: Request, fields: Fields) -> Response:
        link = use.keep_belief(ctx, ctx.settings, fields)
        if wants_json(request):
            return JSONResponse({"link": link.id}, 201)
        return desk.go(_address({"tree": fields.get("tree", "")}, {}), link)

    return r


def _fields(query: Mapping[str, str]) -> dict[str, str]:
    return {k: query[k].strip() for k in _ASKED if query.get(k, "").strip()}


def _address(fields: Mapping[str, str], changed: Mapping[str, str]) -> str:
    kept = {k: v for k, v in {**fields, **changed}.items() if v and k in _ASKED}
    return f"/root?{urlencode(kept)}" if kept else "/root"


def _joined(listed: str, key: str) -> str:
    return ",".join(dict.fromkeys([*(k for k in listed.split(",") if k), key]))


def _left(listed: str, key: str) -> str:
    return ",".join(k for k in listed.split(",") if k and k.strip() != key)


def _question(
    questions: tuple[LookQuestion, ...], verdict: RootVerdict, fields: Mapping[str, str]
) -> LookQuestion | None:
    """The question to be shown: the one asked for, else the one that tells most and was not passed over."""
    if fields.get("ask"):
        return next((q for q in questions if q.key == fields["ask"]), None)
    passed = fields.get("skip", "").split(",")
    return next((n.question for n in verdict.next_looks if n.question.key not in passed), None)


def _trees(desk: Desk) -> list[Tree]:
    """Citrus trees to choose from."""
    with desk.ctx.book.read() as reader:
        trees = reader.every(Tree, order="code")
    return [t for t in trees if t.fruit.strip().lower() == "citrus"]
