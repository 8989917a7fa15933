"""The form of what the fruit will be. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.fits import named, tree_choice
from barkslip.web.forms.groups import Group, GroupedForm, field, grouped

Typed = Mapping[str, str]


def fruit_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, *, answered: bool = False
) -> GroupedForm:
    """The form with what was typed."""
    fill = Fill(ctx, typed)
    which = Group(
        "Which variety, on what",
        (
            (named(fill, "scion", "Variety"),),
            (tree_choice(ctx, fill, "none of the book's"),),
            (field(fill, "chain", "Or a chain", help="From the top down; the last is the root. ? is not known."),),
            (named(fill, "against", "Beside it, another stock", "Left empty, one stock is shown."),),
        ),
        open=True,
    )
    return grouped(
        (which,),
        typed,
        error,
        answered=answered,
        title="What the fruit will be",
        action="/fruit",
        submit="What will it be?",
        here="fruit",
    )
