"""Forms in groups that fold: long ones of which little is needed. Sent by GET, they write nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from barkslip.domain.errors import BarkslipError
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill

Row = tuple[FormField, ...]

AS_BOOK = (("", "as the book says"), ("yes", "yes"), ("no", "no"))
NO_YES = (("", "no"), ("yes", "yes"))
#: Chance of harm that a grower bears.
TARGETS = (("", "1 in 10"), ("2%", "1 in 50"), ("5%", "1 in 20"), ("20%", "2 in 10"), ("30%", "3 in 10"))
#: Names under which nothing is asked.
_FURNITURE = ("as", "units", "saved", "answer")


@dataclass(frozen=True)
class Group:
    """Fields under one heading, folded unless `open`."""

    title: str
    rows: tuple[Row, ...]
    open: bool = False
    help: str = ""


@dataclass(frozen=True)
class GroupedForm:
    """The form in groups; `view` is the same for the pieces that pages share."""

    groups: tuple[Group, ...]
    view: FormView


def asked(query: Mapping[str, str]) -> dict[str, str]:
    """What was typed: empty fields and the page's own furniture are left out."""
    return {k: v.strip() for k, v in query.items() if v.strip() and k not in _FURNITURE}


def grouped(
    groups: tuple[Group, ...],
    typed: Mapping[str, str],
    error: BarkslipError | None,
    *,
    answered: bool,
    title: str,
    action: str,
    submit: str,
    here: str,
) -> GroupedForm:
    """A form of these groups: folded once it is answered, save for the group with the field to blame."""
    blamed = error.field if error is not None else ""
    shown = tuple(
        replace(g, open=(g.open and not answered) or any(f.name == blamed for row in g.rows for f in row))
        for g in groups
    )
    fields = tuple(f for g in shown for row in g.rows for f in row)
    sure = (FormField("sure", "", "hidden", typed["sure"]),) if typed.get("sure") else ()
    return GroupedForm(shown, FormView(title, action, (*sure, *fields), submit, error=error, here=here))


def same(words: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Options whose value is what is shown."""
    return tuple((w, w) for w in words)


def with_typed(fill: Fill, name: str, options: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """The options, and what was typed if it is none of them."""
    typed = fill.text(name)
    return options if typed in [o[0] for o in options] else (*options, (typed, typed))


def select(
    fill: Fill, name: str, label: str, options: tuple[tuple[str, str], ...], help: str = "", *, group: str = ""
) -> FormField:
    """A choice of one."""
    return FormField(name, label, "select", fill.text(name), help, options, group=group, more=True)


def number(fill: Fill, name: str, label: str, unit: str, help: str = "", *, group: str = "") -> FormField:
    """A number with its unit behind it."""
    return FormField(name, label, "number", fill.text(name), help, unit=unit, group=group, more=True)


def field(fill: Fill, name: str, label: str, *, kind: str = "text", help: str = "", group: str = "") -> FormField:
    """A line of text."""
    return FormField(name, label, kind, fill.text(name), help, group=group, more=True)
