"""Forms of wood lots and finds."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.app.names import variety_of
from barkslip.domain.budwood import LOT_STATES, SOURCE_CLASSES, WoodLot
from barkslip.domain.errors import BarkslipError
from barkslip.domain.graft import Graft
from barkslip.domain.tree import Limb, Tree
from barkslip.present import wood
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill, choices

Typed = Mapping[str, str] | None


def lot_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str = "") -> FormView:
    """Add a wood lot, or correct one."""
    given = typed or {}
    with ctx.book.read() as reader:
        old = reader.by_code(WoodLot, code) if code else None
        trees = reader.every(Tree, order="code")
        tree = given.get("from_tree", reader.get(Tree, old.from_tree).code if old and old.from_tree else "")
        limb = given.get("from_limb", reader.get(Limb, old.from_limb).address if old and old.from_limb else "")
        graft = reader.by_code(Graft, given["from_graft"]) if given.get("from_graft") else None
        name = ""
        if graft is not None:
            lot = reader.get(WoodLot, graft.lot) if graft.lot else None
            name = variety_of(graft, lot, [])[0]
    fill = Fill(ctx, typed, old)
    fields = (
        FormField(
            "name",
            "Variety",
            value=fill.text("name", default=name),
            required=True,
            suggest="/names?q=",
            help="As the giver named it",
        ),
        FormField(
            "cut", "Cut on", "date", fill.text("cut"), required=True, help="today, 2024-09, about 2024", group="cut"
        ),
        FormField("sticks", "Sticks", "number", fill.text("sticks"), help="How many", group="cut"),
        FormField(
            "source_class",
            "Where it came from",
            "select",
            fill.text("source_class", default="own tree" if tree or graft else "not known"),
            options=choices(SOURCE_CLASSES),
        ),
        FormField("source", "Giver or place", value=fill.text("source"), help="No names of people are needed"),
        FormField(
            "from_tree",
            "Own tree",
            "select",
            tree,
            options=(("", "not from this garden"), *((t.code, f"{t.code} {t.name}") for t in trees)),
            more=not tree,
        ),
        FormField("from_limb", "Its limb", value=limb, help="Address, if known", more=not tree),
        FormField("received", "Came in on", "date", fill.text("received"), more=True),
        FormField("state", "How it looks", value=fill.text("state"), help="fresh, round, leaves off", more=True),
        FormField("storage", "How it is kept", value=fill.text("storage"), help="where, how warm, how wet", more=True),
        FormField("paper", "Paper that came with it", value=fill.text("paper"), more=True),
        FormField(
            "lot_state",
            "State",
            "select",
            fill.text("lot_state", default="in store"),
            options=choices(LOT_STATES),
            more=True,
        ),
        FormField("code", "Code", value=fill.text("code"), help="Left empty, one is made; never used twice", more=True),
        FormField("genus", "Genus", value=fill.text("genus"), more=True),
        FormField("species", "Species", value=fill.text("species"), more=True),
        FormField("crop", "Crop", value=fill.text("crop"), more=True),
        FormField("note", "Note", "textarea", fill.text("note"), more=True),
    )
    extra = (FormField("from_graft", "", "hidden", given["from_graft"]),) if given.get("from_graft") else ()
    return FormView(
        title=f"Correct lot {code}" if old else "Add a wood lot",
        action=f"/wood/{code}/edit" if old else "/wood/new",
        here="wood",
        cancel=f"/wood/{code}" if old else "/wood",
        crumbs=(("/wood", "Wood"), *(((f"/wood/{code}", code),) if old else ())),
        caution=wood.DO_NOT_MOVE,
        error=error,
        fields=(*fill.hidden(), *extra, *fields),
    )


def find_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str) -> FormView:
    """What a lot turned out to be."""
    with ctx.book.read() as reader:
        lot = reader.by_code(WoodLot, code)
    fill = Fill(ctx, typed)
    return FormView(
        title=f"What did {lot.code} turn out to be?",
        action=f"/wood/{lot.code}/finds/new",
        here="wood",
        cancel=f"/wood/{lot.code}",
        crumbs=(("/wood", "Wood"), (f"/wood/{lot.code}", lot.code)),
        lead=f"Written as {lot.name}. Another name spreads to every graft of this lot; the old name stays readable.",
        error=error,
        fields=(
            *fill.hidden(),
            FormField(
                "found", "Name found", value=fill.text("found", default=lot.name), suggest="/names?q=", required=True
            ),
            FormField(
                "how", "Found by", value=fill.text("how"), required=True, datalist=("fruit", "leaf", "test report")
            ),
            FormField("on", "On", "date", fill.text("on", default=fill.today.isoformat())),
        ),
    )
