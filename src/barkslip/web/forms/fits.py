"""The form of what fits: which variety, on which tree or chain. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.tree import Limb, Tree
from barkslip.present.form import FormField
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import Group, GroupedForm, Row, field, grouped, select

Typed = Mapping[str, str]
NAMES = "/names?q="
_ONTO = (("", "its present top"), ("interstock", "the piece between"), ("rootstock", "the rootstock itself"))


def is_asked(fields: Typed) -> bool:
    """True if there is enough to ask what fits."""
    return any(fields.get(name) for name in ("scion", "tree", "chain"))


def fits_form(ctx: Context, typed: Typed, error: BarkslipError | None = None, *, answered: bool = False) -> GroupedForm:
    """The form with what was typed."""
    fill = Fill(ctx, typed)
    return grouped(
        (_what(ctx, fill), _more(ctx, fill)),
        typed,
        error,
        answered=answered,
        title="What fits",
        action="/fits",
        submit="What fits?",
        here="fits",
    )


def named(fill: Fill, name: str, label: str, help: str = "", *, group: str = "") -> FormField:
    """A name of a kind, offered while it is typed."""
    return FormField(name, label, "text", fill.text(name), help, suggest=NAMES, more=True, group=group)


def tree_choice(ctx: Context, fill: Fill, first: str) -> FormField:
    """A tree of the book, in walking order."""
    with ctx.book.read() as reader:
        plots = {p.thing: p for p in reader.every(Plot, order="walk_order, code")}
        trees = sorted(reader.every(Tree), key=lambda t: (plots[t.plot].walk_order, t.walk_order, t.code))
    options = tuple((t.code, f"{t.name}, {plots[t.plot].name}") for t in trees)
    return select(fill, "tree", "Tree", (("", first), *options))


def _what(ctx: Context, fill: Fill) -> Group:
    rows: tuple[Row, ...] = (
        (named(fill, "scion", "Variety to set", "Left empty, all varieties are listed."),),
        (tree_choice(ctx, fill, "none of the book's"),),
        (
            field(
                fill,
                "chain",
                "Or a chain",
                help="From the top down: mandarin / trifoliate orange. ? is not known. It goes before the tree.",
            ),
        ),
    )
    return Group("Which variety, on what", rows, open=True)


def _more(ctx: Context, fill: Fill) -> Group:
    limbs: tuple[tuple[str, str], ...] = ()
    code = fill.text("tree")
    if code:
        with ctx.book.read() as reader:
            found = [t for t in reader.every(Tree) if t.code.lower() == code.lower()]
            mine = reader.every(Limb, "tree = :tree", tree=found[0].thing) if found else []
        limbs = tuple((k.address, " ".join(p for p in (k.address, k.carries) if p)) for k in mine)
    rows: tuple[Row, ...] = (
        (
            select(fill, "limb", "Limb", (("", "not named"), *limbs), group="l"),
            select(fill, "onto", "Set on", _ONTO, group="l"),
        ),
        (field(fill, "present", "Diseases that are about", help="With commas, such as tristeza"),),
    )
    return Group("More", rows, open=any(f.value for row in rows for f in row))
