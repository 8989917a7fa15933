"""Takes: what took, group by group, ranges beside counts, and what cannot be told yet."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from barkslip.app import take as use
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.take import BY
from barkslip.domain.tree import Tree
from barkslip.present import take_data
from barkslip.present.counts import opening
from barkslip.present.fault import error_data
from barkslip.present.lists import Filter
from barkslip.web.desk import Desk, wants_json
from barkslip.web.errors import status_of

#: What the page's address may carry.
ASKED = ("by", "tree", "plot", "campaign", "method", "seed")


def router(desk: Desk) -> APIRouter:
    """Addresses of this noun."""
    r = APIRouter()
    ctx = desk.ctx

    @r.get("/takes")
    def takes(request: Request) -> Response:
        fields = {k: v for k, v in request.query_params.items() if k in ASKED and v}
        try:
            verdict = use.ask_take(ctx, fields)
        except BarkslipError as error:
            if wants_json(request):
                return JSONResponse(error_data(error), status_of(error))
            return desk.page(
                request, "take_wrong.html", error=error, filters=_filters(desk, fields), here="takes",
                status=status_of(error),
            )  # fmt: skip
        return desk.page(
            request,
            "take.html",
            take_data.take_data(verdict),
            v=verdict,
            filters=_filters(desk, fields),
            here="takes",
        )

    return r


def _filters(desk: Desk, fields: dict[str, str]) -> tuple[Filter, ...]:
    """How to group, and which grafts to take."""
    with desk.ctx.book.read() as reader:
        plots = reader.every(Plot, order="walk_order, code")
        trees = reader.every(
            Tree, "thing IN (SELECT tree FROM graft WHERE current AND NOT withdrawn)", order="walk_order, code"
        )
        campaigns = [
            str(row[0])
            for row in reader.rows(
                "SELECT DISTINCT campaign FROM graft WHERE current AND NOT withdrawn AND campaign != '' ORDER BY 1"
            )
        ]
    return (
        Filter("by", "Group by", tuple((key, opening(words)) for key, words in BY.items()), fields.get("by", "method")),
        Filter(
            "tree",
            "Tree",
            (("", "all trees"), *((t.code, f"{t.code} {t.name}") for t in trees)),
            fields.get("tree", ""),
        ),
        Filter("plot", "Plot", (("", "all plots"), *((p.code, p.name) for p in plots)), fields.get("plot", "")),
        Filter(
            "campaign", "Campaign", (("", "all campaigns"), *((c, c) for c in campaigns)), fields.get("campaign", "")
        ),
    )
