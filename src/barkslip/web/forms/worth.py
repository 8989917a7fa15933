"""The form of keep, rework or replace: every number can be typed. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.tree import Tree
from barkslip.domain.worth import UNIONS, WorthAnswer
from barkslip.present import counts
from barkslip.present import worth as words
from barkslip.present.form import FormField
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.fits import named
from barkslip.web.forms.groups import Group, GroupedForm, field, grouped, number, same, select

Typed = Mapping[str, str]
_UNITS = {"score": "of 9", "score_to": "of 9", "score_new": "of 9", "years": "years", "discount": "a year",
          "give_out": "a year"}  # fmt: skip
_GROUPS = (
    ("Fruit", "How much each fruit is liked, on the scale of nine.", ("score", "score_to", "score_new", "crop", "dry")),
    ("Take and time", "", ("take", "bears_now", "bears", "bears_new", "stands", "give_out", "share")),
    ("Looking ahead", "", ("years", "discount")),
    (
        "Costs, water and care",
        "In money, if you say what a year of good fruit is worth to you; else in years of good fruit.",
        ("fruit_year", "cost_trial", "cost_rework", "cost_replace", "upkeep", "upkeep_new"),
    ),
)


def worth_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, *, answer: WorthAnswer | None = None
) -> GroupedForm:
    """The form with what was typed; beside each number what is taken if it stays empty."""
    fill = Fill(ctx, typed)
    with ctx.book.read() as reader:
        trees = tuple((t.code, f"{t.code} {t.name}") for t in reader.every(Tree, order="code"))
    which = Group(
        "Which tree, and what instead",
        (
            (select(fill, "tree", "Tree", (("", "none of the book's"), *trees)),),
            (named(fill, "to", "What would be put on it, or planted", "Left empty, a kind not tasted here."),),
            (select(fill, "union", "Seen at the union", same(UNIONS), "One bark window shows it."),),
            (field(fill, "beside", "Times of bearing beside those of", help="Codes of other trees, with commas."),),
        ),
        open=True,
    )
    inputs = {i.key: i for i in answer.inputs} if answer is not None else {}

    def one(key: str) -> tuple[FormField, ...]:
        found = inputs.get(key)
        taken = ""
        if found is not None and found.how != "typed":
            spread = words.input_range(found)
            value = words.input_value(found, found.value)
            taken = f"Taken: {value}{f' ({spread})' if spread else ''}; {words.how_text(found)}."
            taken = "Not known." if found.value is None else taken
        return (number(fill, key, counts.opening(words.INPUT_WORDS[key][0]),
                       _UNITS.get(key, ""), taken),)  # fmt: skip

    groups = tuple(
        Group(title, tuple(one(k) for k in keys), open=any(typed.get(k) for k in keys), help=help)
        for title, help, keys in _GROUPS
    )
    return grouped(
        (which, *groups), typed, error, answered=answer is not None, title="Keep, rework or replace",
        action="/worth", submit="Reckon", here="worth",
    )  # fmt: skip
