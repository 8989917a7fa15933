"""The one form page: every add and every correction is a `FormView`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from barkslip.domain.errors import BarkslipError, QuestionError
from barkslip.domain.tree import Candidate

KINDS = (
    "text", "number", "select", "textarea", "date", "file", "radio", "checkbox", "hidden", "candidates", "search",
    "boxes",
)  # fmt: skip
#: Empty lines offered under the answers of a chain's level.
SPARE_LINES = 2


@dataclass(frozen=True, slots=True)
class FormField:
    """One field.

    Parameters
    ----------
    name, label : str
    kind : str
        One of `KINDS`. "date" is a text field: a day, a month, a year or "about 1998" are all dates.
    value : str or bool or tuple of Candidate
        As typed; a tuple for "candidates", truth for "checkbox"; for "boxes" what is ticked, with commas.
    help : str
        A line under the field.
    options : tuple of (value, words) or (value, words, help)
        For "select", "radio" and "boxes".
    required : bool
    unit : str
        Shown behind a number.
    error : str
        What is wrong with this field, beside it.
    datalist : tuple of str
        Names offered while typing.
    accept : str
        For "file": "image/*", ".csv,.epw".
    suggest : str
        Address that answers names as JSON while typing; the words are put at its end.
    more : bool
        True if it is kept behind "More": seldom needed, never required.
    group : str
        Fields next to each other with the same word here stand in one line.
    """

    name: str
    label: str
    kind: str = "text"
    value: str | bool | tuple[Candidate, ...] = ""
    help: str = ""
    options: tuple[tuple[str, ...], ...] = ()
    required: bool = False
    unit: str = ""
    error: str = ""
    datalist: tuple[str, ...] = ()
    accept: str = ""
    suggest: str = ""
    more: bool = False
    group: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"no such kind of field: {self.kind}")


@dataclass(frozen=True, slots=True)
class FormView:
    """One form page.

    Parameters
    ----------
    title : str
    action : str
        Address it is sent to.
    fields : tuple of FormField
    submit : str
        Word on the button.
    cancel : str
        Address to go back to.
    error : BarkslipError or None
        What the last sending met; a question brings its own buttons.
    lead : str
        A sentence under the title.
    caution : str
        A caution that goes with what is written down.
    here : str
        Key of the page in the bar ("trees").
    crumbs : tuple of (address, words)
        Way back; the page itself is left out.
    first : (address, words) or None
        What must be done before this form can be filled in; its fields are not shown then.
    """

    title: str
    action: str
    fields: tuple[FormField, ...]
    submit: str = "Save"
    cancel: str = "/"
    error: BarkslipError | None = None
    lead: str = ""
    caution: str = ""
    here: str = ""
    crumbs: tuple[tuple[str, str], ...] = field(default=())
    first: tuple[str, str] | None = None

    @property
    def rows(self) -> list[tuple[FormField, ...]]:
        """Fields that always show, hidden ones too; those of one group together."""
        return _rows(f for f in self.fields if not f.more)

    @property
    def more(self) -> list[tuple[FormField, ...]]:
        """Fields behind "More"."""
        return _rows(f for f in self.fields if f.more)

    @property
    def more_open(self) -> bool:
        """True if what is behind "More" must be seen: in a correction, or if one of them is to blame."""
        corrects = any(f.name == "corrects" for f in self.fields)
        return corrects or any(f.more and field_error(self, f.name) for f in self.fields)

    @property
    def has_file(self) -> bool:
        """True if it must be sent in parts."""
        return any(f.kind == "file" for f in self.fields)


def _rows(fields: Iterable[FormField]) -> list[tuple[FormField, ...]]:
    out: list[tuple[FormField, ...]] = []
    for one in fields:
        if out and one.group and out[-1][-1].group == one.group:
            out[-1] += (one,)
        else:
            out.append((one,))
    return out


def ticked(value: object) -> list[str]:
    """What is ticked in a "boxes" field."""
    return [part for part in (p.strip() for p in str(value).split(",")) if part]


def lines(value: object) -> list[tuple[str, str, str]]:
    """Lines of a "candidates" field: (taxon, belief in %, evidence), with spare ones under them."""
    out: list[tuple[str, str, str]] = []
    if isinstance(value, tuple):
        for one in value:
            if isinstance(one, Candidate):
                out.append((one.taxon, f"{one.belief * 100:g}", one.evidence))
            else:
                out.append((str(one[0]), str(one[1]), str(one[2])))
    return out + [("", "", "")] * max(SPARE_LINES, 3 - len(out))


def answer_value(error: QuestionError, value: str) -> str:
    """What the button of one answer sends under the name `answer`: code, field and value."""
    return f"{error.code}|{error.field}|{value}"


def read_answer(text: str) -> tuple[str, str, str]:
    """Code (to be passed on as `sure`), field and its new value, from a button's `answer`."""
    code, name, value = (*text.split("|", 2), "", "")[:3]
    return code, name, value


def field_error(form: FormView, name: str) -> str:
    """What stands beside a field: its own error, or the page's if this field is to blame."""
    for one in form.fields:
        if one.name == name and one.error:
            return one.error
    error = form.error
    return error.problem if error is not None and error.field == name else ""
