"""The form of days to graft: which tree, which graft, from which day. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.heat import GRAFT_COVERS
from barkslip.domain.timing import BARK_TESTS, BUDS, PATHS, DaysVerdict
from barkslip.domain.tree import BEARINGS, Tree
from barkslip.present import units as u
from barkslip.present.form import FormField
from barkslip.present.heat import side_words
from barkslip.present.tree import bearing_words
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import (
    NO_YES,
    Group,
    GroupedForm,
    field,
    grouped,
    number,
    select,
    with_typed,
)

Typed = Mapping[str, str]

_SHADE = (("", "none"), ("0.25", "a quarter of the sun"), ("0.5", "half"), ("0.75", "three quarters"))
_FLUSH = (("", "not looked at"), ("yes", "yes"), ("no", "no"))
_YEARS = (("", "yes"), ("no", "no"))


def is_asked(fields: Typed) -> bool:
    """True if there is enough to ask about: a graft, a tree, or a kind."""
    return any(fields.get(name) for name in ("graft", "tree", "species"))


def days_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, verdict: DaysVerdict | None = None
) -> GroupedForm:
    """The form with what was typed; what was taken for an empty field stands under it."""
    fill = Fill(ctx, typed)
    return grouped(
        (_which(ctx, fill, verdict), _wood(fill, verdict), _place(ctx, fill, verdict), _how_far(fill)),
        typed,
        error,
        answered=verdict is not None,
        title="Days to graft",
        action="/days",
        submit="Which days?",
        here="days",
    )


def _which(ctx: Context, fill: Fill, verdict: DaysVerdict | None) -> Group:
    with ctx.book.read() as reader:
        plots = {p.thing: p for p in reader.every(Plot, order="walk_order, code")}
        trees = sorted(reader.every(Tree), key=lambda t: (plots[t.plot].walk_order, t.walk_order, t.code))
    named = tuple((t.code, f"{t.name}, {plots[t.plot].name}") for t in trees)
    methods = tuple((m.key, m.name) for m in ctx.knowledge.methods)
    kinds = tuple(row.cell("name") for row in ctx.knowledge.table("healing_kinds"))
    taken = f"Taken: {verdict.plan.species}" if verdict is not None and verdict.plan.species else "citrus, apple ..."
    rows = (
        (select(fill, "tree", "Tree", (("", "none of the book"), *named)),),
        (select(fill, "method", "Method", with_typed(fill, "method", (("", "not decided"), *methods))),),
        (
            FormField("species", "Kind of tree", "text", fill.text("species"), taken, datalist=kinds, group="kind",
                      more=True),
            field(fill, "from", "From", kind="date", help="Left empty: today", group="kind"),
        ),
    )  # fmt: skip
    return Group("Which tree, which method", rows, open=True)


def _wood(fill: Fill, verdict: DaysVerdict | None) -> Group:
    plan = verdict.plan if verdict is not None else None
    covers = (("", "film alone"), *GRAFT_COVERS.items())
    tests = (("", "the last test in the book"), *BARK_TESTS.items())
    path = f"Taken: {PATHS.get(plan.path, plan.path)}" if plan else ""
    buds = f"Taken: {BUDS.get(plan.buds, plan.buds)}" if plan else ""
    rows = (
        (
            select(fill, "buds", "Buds on the wood", (("", "as the book says"), *BUDS.items()), buds, group="b"),
            select(fill, "path", "The bud is to", _paths(), path, group="b"),
        ),
        (
            select(fill, "bark", "Test of the bark", with_typed(fill, "bark", tests), group="k"),
            select(fill, "flush", "New growth on the stock", _FLUSH, group="k"),
        ),
        (
            select(fill, "cover", "Cover", with_typed(fill, "cover", covers), group="c"),
            select(fill, "drought", "Stock short of water", NO_YES, group="c"),
        ),
    )
    given = any(f.value for row in rows for f in row)
    return Group("Wood, bark and cover", rows, open=given and verdict is None)


def _paths() -> tuple[tuple[str, str], ...]:
    return (("", "as usual for the method and month"), ("growing", "grow this season"), ("sleeping", "sleep first"))


def _place(ctx: Context, fill: Fill, verdict: DaysVerdict | None) -> Group:
    with ctx.book.read() as reader:
        places = tuple((p.code, p.name) for p in reader.every(Plot, order="walk_order, code"))
    short = fill.length_unit("mm")
    taken: dict[str, str] = {}
    if verdict is not None:
        plan = verdict.plan
        side = "sun from all sides" if plan.bearing_deg is None else side_words(plan.bearing_deg)
        taken = {
            "limb": f"Taken: {u.length(plan.limb_mm, fill.units)}",
            "scion": f"Taken: {u.length(plan.scion_mm, fill.units)}",
            "bearing": f"Taken: {side}",
        }
    sides = (("", "as the book says"), *((b, bearing_words(b)) for b in BEARINGS))
    rows = (
        (
            field(fill, "limb", f"Limb: its thickness [{short}] or address", help=taken.get("limb", ""), group="l"),
            number(fill, "scion", "Scion's thickness", short, taken.get("scion", ""), group="l"),
        ),
        (
            select(fill, "bearing", "Side of the tree", with_typed(fill, "bearing", sides), taken.get("bearing", ""),
                   group="s"),
            select(fill, "shade", "Shade all day", with_typed(fill, "shade", _SHADE), group="s"),
        ),
        (
            select(fill, "plot", "Plot", (("", "the tree's own"), *places), group="p"),
            field(fill, "graft", "or a graft of the book", help="Its code, such as G14-10", group="p"),
        ),
    )  # fmt: skip
    given = any(f.value for row in rows for f in row)
    return Group("Limb and place", rows, open=given and verdict is None)


def _how_far(fill: Fill) -> Group:
    rows = (
        (
            number(fill, "days", "Days looked at", "", "Left empty: 14", group="n"),
            select(fill, "years", "The weeks of the year", _YEARS, group="n"),
        ),
        (
            field(fill, "members", "Courses drawn", group="m"),
            field(fill, "seed", "Where the draws begin", help="The same number gives the same answer", group="m"),
        ),
    )
    return Group("How far, how sure", rows)
