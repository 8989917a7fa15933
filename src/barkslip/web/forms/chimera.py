"""The form of a graft chimera. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.tree import Tree
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import Group, GroupedForm, grouped, number, select, with_typed

Typed = Mapping[str, str]


def chimera_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, *, answered: bool = False
) -> GroupedForm:
    """Two kinds, or the kind of each layer; a tree; what was watched."""
    fill = Fill(ctx, typed)
    kinds = (("", "none"), *sorted((v.name, v.name) for v in ctx.knowledge.varieties))
    with ctx.book.read() as reader:
        trees = tuple((t.code, f"{t.code} {t.name}") for t in reader.every(Tree, order="code"))
    two = Group(
        "Two kinds",
        (
            (
                select(fill, "of", "One", with_typed(fill, "of", kinds), group="k"),
                select(fill, "with", "and the other", with_typed(fill, "with", kinds), group="k"),
            ),
        ),
        open=True,
        help="All six ways they can lie in three layers are shown.",
    )
    layers = Group(
        "Or one arrangement",
        tuple(
            (select(fill, name, label, with_typed(fill, name, kinds)),)
            for name, label in (("l1", "L1, outer layer"), ("l2", "L2, middle layer"), ("l3", "L3, core"))
        ),
        open=any(fill.text(name) for name in ("l1", "l2", "l3")),
    )
    watched = Group(
        "Your joins",
        (
            (select(fill, "tree", "Joins of", (("", "no tree"), *trees)),),
            (
                number(fill, "unions", "Unions watched", "", "Left empty: grafts that took", group="u"),
                number(fill, "seen", "Chimeras seen", "", "Left empty: none", group="u"),
            ),
        ),
        open=True,
    )
    return grouped(
        (two, layers, watched), typed, error, answered=answered, title="The long shot", action="/chimera",
        submit="What would it be?", here="chimera",
    )  # fmt: skip
