"""The form of why a graft was lost: six looks by thumb, and what else is known. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.why import SIX, WhyAnswer
from barkslip.present import why as words
from barkslip.present.form import FormField
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import Group, GroupedForm, field, grouped, select

Typed = Mapping[str, str]


def why_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, *, answer: WhyAnswer | None = None
) -> GroupedForm:
    """The form with what was typed; beside each question what the book answers of itself."""
    fill = Fill(ctx, typed)
    known = {a.question: a for a in answer.grafts[0].answers} if answer is not None else {}

    def one(question: str) -> tuple[FormField, ...]:
        found = known.get(question)
        empty = "not looked"
        if found is not None and found.how != "typed":
            empty = f"{words.ANSWERS[question][found.answer]}, by itself"
        options = (("", empty), *words.ANSWERS[question].items())
        return (select(fill, question, words.QUESTIONS[question], options),)

    which = Group(
        "Which graft",
        ((field(fill, "grafts", "Grafts", help="Code of the lost graft; several, with commas, if lost together."),),),
        open=not typed.get("grafts"),
    )
    looks = Group("Six looks", tuple(one(q) for q in SIX), open=True)
    rest = Group("What else is known", tuple(one(q) for q in words.QUESTIONS if q not in SIX))
    return grouped((which, looks, rest), typed, error, answered=False, title="Why it failed", action="/why",
                   submit="Weigh", here="why")  # fmt: skip
