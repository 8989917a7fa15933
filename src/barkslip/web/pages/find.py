"""Searching the book, and looking up what the program knows."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import find as use
from barkslip.app import know
from barkslip.web.desk import Desk


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/search")
    def search(request: Request, q: str = "") -> Response:
        hits = use.find(ctx, q) if q.strip() else []
        standings = use.standings_of(ctx, hits)
        return desk.page(request, "search.html", hits, q=q, hits=hits, standings=standings, here="search")

    @r.get("/know")
    def known(request: Request, q: str = "") -> Response:
        results = know.look_up(ctx.settings, q, knowledge=ctx.knowledge) if q.strip() else []
        return desk.page(request, "know.html", results, q=q, results=results, here="know")

    @r.get("/names")
    def names(q: str = "", own: str = "") -> Response:
        """Names of varieties and rootstocks that fit, for fields that offer them while typing.

        With `own`, names of the garden's own trees, plots and lots come first.
        """
        mine = use.names(ctx, q) if q and own else []
        found = know.look_up(ctx.settings, q, knowledge=ctx.knowledge, kinds=("variety", "rootstock")) if q else []
        return JSONResponse(list(dict.fromkeys([*mine, *(f.name for f in found)])))

    return r
