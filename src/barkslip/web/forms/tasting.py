"""Forms of tastings: one tasting, one juice, and a coded sheet."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import Tree
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import Group, GroupedForm, field, grouped, number

Typed = Mapping[str, str] | None


def tasting_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, tasting: str = "") -> FormView:
    """Write a tasting down, or correct one."""
    with ctx.book.read() as reader:
        old = reader.get(Tasting, tasting) if tasting else None
        trees = reader.every(Tree, order="code")
        code = reader.get(Tree, old.tree).code if old is not None else ""
    fill = Fill(ctx, typed, old)
    options = (*((("", "choose"),) if not code else ()), *((t.code, f"{t.code} {t.name}") for t in trees))
    fields = (
        FormField("tree", "Tree", "select", fill.typed.get("tree", code), options=options, required=True),
        FormField("variety", "Variety", value=fill.text("variety"), suggest="/names?q=", required=True,
                  help="As the label says; of a campaign its own name is taken"),
        FormField("on", "Day", "date", fill.text("on", default=fill.today.isoformat())),
        FormField("fruit", "Fruits", "number", fill.text("fruit", "fruit_n"), group="n", help="How many were tasted"),
        FormField("crop", "Crop", "number", fill.text("crop"), group="n", help="1 is the first on this tree"),
        FormField("scores", "Liking of each taster, 1 to 9", value=fill.typed.get("scores", ""),
                  help="7 6 8. 9 like extremely, 5 neither, 1 dislike extremely"),
        FormField("brix", "Brix", "number", fill.text("brix"), unit="°Brix", group="b"),
        FormField("acid", "Acid", "number", fill.text("acid", "acid_pct"), unit="%", group="b"),
        FormField("seeds", "Seeds a fruit", "number", fill.text("seeds", "seeds_per_fruit"), group="s"),
        FormField("dry", "Dry fruits", "number", fill.text("dry", "dry_n"), group="s"),
        FormField("note", "Note", "textarea", fill.text("note"), help="Rind, colour, sections, what it reminds of"),
        FormField("campaign", "Grafts it came from", value=fill.text("campaign"), more=True, help="G04, or G04-2"),
        FormField("score", "Mean liking instead", "number", fill.text("score", "score9"), more=True, group="p"),
        FormField("panel", "People tasting", "number", fill.text("panel"), more=True, group="p"),
        FormField("temp", "Juice was at", value=fill.text("temp", "temp_c"), more=True,
                  help="Leave empty if the instrument corrects by itself"),
        FormField("fruit_g", "Mass of one fruit", value=fill.text("fruit_g"), more=True, group="g"),
        FormField("juice_g", "Its juice", value=fill.typed.get("juice_g", ""), more=True, group="g"),
        FormField("juice", "Or juice, share of the mass", "number", fill.text("juice", "juice_pct"), unit="%",
                  more=True),
    )  # fmt: skip
    return FormView(
        title="Correct a tasting" if old else "Write a tasting down",
        action=f"/tasting/{tasting}/edit" if old else "/tasting/new",
        here="tasting",
        cancel="/tasting",
        crumbs=(("/tasting", "Tasting"),),
        error=error,
        fields=(*fill.hidden(), *fields),
    )


def score_form(ctx: Context, typed: Mapping[str, str], error: BarkslipError | None, *, done: bool) -> GroupedForm:
    """One juice."""
    fill = Fill(ctx, typed)
    juice = Group(
        "Brix and acid",
        (
            (number(fill, "brix", "Brix", "°Brix", group="a"), number(fill, "acid", "Acid", "%", group="a")),
            (field(fill, "fruit", "Kind of fruit", help="navel, Owari, lemon"),),
            (number(fill, "juice", "Juice, share of the mass", "%", "May stay empty"),),
        ),
        open=True,
    )
    how = Group(
        "Temperature, and acid by lye",
        (
            (field(fill, "temp", "Juice was at", help="Only if the instrument does not correct by itself"),),
            (number(fill, "lye", "Lye", "mL", group="l"),
             number(fill, "juice_ml", "Juice", "mL", "25 if empty", group="l")),
            (number(fill, "normality", "Strength of the lye", "N", "0.1562 if empty"),),
        ),
        help="Lye burns: goggles, gloves, the label's own cautions. Never taste what was titrated.",
    )  # fmt: skip
    return grouped(
        (juice, how), typed, error, answered=done, title="One juice", action="/tasting/score", submit="Score",
        here="tasting",
    )  # fmt: skip


def sheet_form(ctx: Context, typed: Mapping[str, str], error: BarkslipError | None, *, done: bool) -> GroupedForm:
    """A coded tasting."""
    fill = Fill(ctx, typed)
    what = Group(
        "What is tasted",
        (
            (FormField("samples", "Samples", "textarea", fill.text("samples"),
                       "One a line; a bought fruit beside your own", more=True),),
            (number(fill, "tasters", "Tasters", "", "4 if empty", group="t"),
             number(fill, "seed", "Seed", "", "The same seed, the same sheet", group="t")),
        ),
        open=True,
    )  # fmt: skip
    return grouped(
        (what,), typed, error, answered=done, title="A coded tasting", action="/tasting/sheet", submit="Lay out",
        here="tasting",
    )  # fmt: skip
