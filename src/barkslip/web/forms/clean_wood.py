"""Forms of clean wood: sticks and order dates (sent by GET, they write nothing), and rules on moving."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.app.moving import rule_of
from barkslip.domain.errors import BarkslipError
from barkslip.domain.keeping import STORES
from barkslip.domain.tree import Tree
from barkslip.present import moving
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import NO_YES, Group, GroupedForm, field, grouped, number, select, with_typed

Typed = Mapping[str, str]
_CHANCES = (("", "19 in 20"), ("0.8", "4 in 5"), ("0.9", "9 in 10"), ("0.99", "99 in 100"))


def sticks_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, *, answered: bool = False
) -> GroupedForm:
    """How many sticks to ask for."""
    fill = Fill(ctx, typed)
    names = tuple((m.name, m.name) for m in ctx.knowledge.methods)
    what = Group(
        "What you want",
        (
            (
                number(fill, "grafts", "Living grafts", "", "in the end", group="n"),
                number(fill, "buds_per_stick", "Good buds a stick", "", "plump, at rest", group="n"),
            ),
            (select(fill, "method", "Method", with_typed(fill, "method", (("", "the take is typed"), *names))),),
            (
                field(
                    fill, "take", "Take", help="0.6 or 60 %; left empty, the method's with your own grafts", group="t"
                ),
                field(fill, "take_worth", "Leans on", help="so many grafts; left empty, taken as sure", group="t"),
            ),
        ),
        open=True,
    )
    more = Group(
        "How sure, and how big a graft",
        (
            (
                select(fill, "chance", "Chance of at least so many", with_typed(fill, "chance", _CHANCES), group="c"),
                number(fill, "buds_per_graft", "Buds a graft", "", "Left empty: 1", group="c"),
            ),
            (select(fill, "own", "Your own grafts by this method", (("", "count them"), ("no", "leave them out"))),),
        ),
    )
    return grouped(
        (what, more), typed, error, answered=answered, title="Sticks to ask for", action="/wood/sticks",
        submit="How many sticks?", here="wood",
    )  # fmt: skip


def order_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, *, answered: bool = False
) -> GroupedForm:
    """When to order."""
    fill = Fill(ctx, typed)
    with ctx.book.read() as reader:
        trees = tuple((t.code, f"{t.code} {t.name}") for t in reader.every(Tree, order="code"))
    names = tuple((m.name, m.name) for m in ctx.knowledge.methods)
    what = Group(
        "When it shall be grafted",
        (
            (field(fill, "window", "Days", kind="date", help="2025-09, 15 Sep 2025 to 20 Oct 2025"),),
            (
                select(fill, "tree", "Or the good weeks of", (("", "no tree: as typed"), *trees), group="t"),
                select(fill, "method", "by", with_typed(fill, "method", (("", "any method"), *names)), group="t"),
            ),
        ),
        open=True,
        help="For a tree the year at its place is worked out first: that takes a few seconds.",
    )
    giver = Group(
        "The giver and the way",
        (
            (
                field(fill, "closes", "Orders taken until", kind="date", help="the giver's last day", group="g"),
                number(fill, "post", "On the way", "days", group="g"),
            ),
            (
                select(fill, "store", "Kept", _stores(), group="s"),
                field(fill, "species", "Kind of wood", help="citrus, apple ...; the tree's own if left out", group="s"),
            ),
            (select(fill, "whole_tree", "A whole tree is worked over", NO_YES),),
        ),
        open=True,
    )
    return grouped(
        (what, giver), typed, error, answered=answered, title="When to order", action="/wood/order",
        submit="Order by when?", here="wood",
    )  # fmt: skip


def _stores() -> tuple[tuple[str, str], ...]:
    return tuple(("" if key == "fridge" else key, words) for key, words in STORES.items())


def rule_form(ctx: Context, typed: Typed | None, error: BarkslipError | None, *, rule: str = "") -> FormView:
    """Write down what an office says about moving wood, or correct it."""
    old = rule_of(ctx, rule) if rule else None
    fill = Fill(ctx, typed, old)
    return FormView(
        title="Correct the rule" if old else "Write down a rule",
        action=f"/wood/rules/{rule}/edit" if old else "/wood/rules/new",
        here="wood",
        cancel="/wood/rules",
        crumbs=(("/wood", "Wood"), ("/wood/rules", "Moving wood")),
        lead="In your own words, as the office said it. The day and the office stand beside it wherever it is shown.",
        caution=f"{moving.HEAD} A rule that is written down changes nothing by itself. {moving.ASK}",
        error=error,
        fields=(
            *fill.hidden(),
            FormField("area", "Where it holds", value=fill.text("area"), required=True),
            FormField("text", "What it says", "textarea", fill.text("text"), required=True),
            FormField("office", "Who said so", value=fill.text("office"), required=True, help="Office, not a person"),
            FormField("on", "Asked or read on", "date", fill.text("on", default=fill.today.isoformat()), group="d"),
            FormField("until", "Ask again from", "date", fill.text("until"), help="Rules change", group="d"),
        ),
    )
