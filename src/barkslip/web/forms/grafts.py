"""Forms of grafts and looks."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app import trees as use
from barkslip.app.context import Context
from barkslip.domain.budwood import WoodLot
from barkslip.domain.errors import BarkslipError
from barkslip.domain.graft import STATES, Graft, Look
from barkslip.domain.tree import Limb, Tree
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill

Typed = Mapping[str, str] | None


def graft_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str = "") -> FormView:
    """Set one graft or a campaign of equal ones; or correct one."""
    given = typed or {}
    known = ctx.knowledge
    with ctx.book.read() as reader:
        old = reader.by_code(Graft, code) if code else None
        trees = reader.every(Tree, order="code")
        lots = reader.every(WoodLot, "lot_state IN ('in store', 'used')", order="cut_first DESC")
        chosen = given.get("tree", "") or (reader.get(Tree, old.tree).code if old else "")
        limbs: list[Limb] = []
        if chosen:
            limbs = reader.every(Limb, "tree = :tree", tree=use.find_tree(reader, chosen).thing)
        old_limb = reader.get(Limb, old.limb).address if old and old.limb else ""
        old_lot = reader.get(WoodLot, old.lot).code if old and old.lot else ""
    fill = Fill(ctx, typed, old)
    lot_value = given.get("lot", old_lot)
    limb_help = (
        "Addresses, several with commas: " + ", ".join(k.address for k in limbs)
        if limbs
        else "Empty if only the tree is known"
    )
    first = (
        FormField(
            "tree",
            "Tree",
            "select",
            chosen,
            options=tuple((t.code, f"{t.code} {t.name}") for t in trees),
            required=True,
        ),
        FormField(
            "limbs",
            "Limb" if old else "Limbs",
            value=given.get("limbs", old_limb),
            help=limb_help,
            datalist=tuple(k.address for k in limbs),
        ),
    )
    if not old:
        first += (FormField("n", "Grafts on each limb", "number", given.get("n", "1")),)
    shared = (
        FormField(
            "lot",
            "Wood lot",
            "select",
            lot_value,
            options=(("", "no lot written down"), *((k.code, f"{k.code} {k.name}") for k in lots)),
        ),
        FormField(
            "name",
            "Variety, if there is no lot",
            value=fill.text("name"),
            suggest="/names?q=",
            help="unknown is an answer",
        ),
        FormField(
            "method", "Method", value=fill.text("method"), required=True, datalist=tuple(m.name for m in known.methods)
        ),
        FormField("set_on", "Set on", "date", fill.text("set_on", default=fill.today.isoformat()), required=True),
        FormField(
            "binding",
            "Binding",
            value=fill.text("binding"),
            datalist=tuple(b.name for b in known.bindings),
            help="What holds it; the day by which it must come off follows from it",
        ),
        FormField(
            "cover",
            "Cover",
            value=fill.text("cover"),
            datalist=("foil sleeve", "brown paper bag", "white paper bag", "foil-lined pouch", "shade cloth"),
            help="Empty for none",
        ),
        FormField(
            "scion", "Scion diameter", "number", fill.length("scion", "scion_mm", "mm"), unit=fill.length_unit("mm")
        ),
        FormField(
            "stock", "Stock diameter", "number", fill.length("stock", "stock_mm", "mm"), unit=fill.length_unit("mm")
        ),
        FormField("side", "Side of the limb", value=fill.text("side"), help="NW, upper, lower"),
        FormField("arm", "Arm of a trial", value=fill.text("arm")),
        FormField(
            "campaign",
            "Campaign",
            value=fill.text("campaign"),
            help="Name for grafts set together; left empty, one is made",
        ),
        FormField("note", "Note", "textarea", fill.text("note")),
    )
    return FormView(
        title=f"Correct graft {code}" if old else "Set grafts",
        action=f"/grafts/{code}/edit" if old else "/grafts/new",
        submit="Save" if old else "Write them down",
        here="grafts",
        cancel=f"/grafts/{code}" if old else (f"/trees/{chosen}" if chosen else "/grafts"),
        crumbs=(("/grafts", "Grafts"), *(((f"/grafts/{code}", code),) if old else ())),
        error=error,
        caution="" if old else "Cut away from hand and body, with a glove on the hand that holds.",
        fields=(*fill.hidden(), *first, *shared),
    )


def look_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str = "", look: str = "") -> FormView:
    """A look with everything; the walk-round has the quick way."""
    with ctx.book.read() as reader:
        old = reader.line(Look, look) if look else None
        graft = reader.get(Graft, old.graft) if old else reader.by_code(Graft, code)
    fill = Fill(ctx, typed, old)
    return FormView(
        title=f"Correct a look at {graft.code}" if old else f"A look at {graft.code}",
        action=f"/looks/{look}/edit" if old else f"/grafts/{graft.code}/looks",
        here="walk",
        cancel=f"/grafts/{graft.code}",
        crumbs=(("/grafts", "Grafts"), (f"/grafts/{graft.code}", graft.code)),
        lead="What you see, not what you conclude: the verdict follows from the looks and can be taken back.",
        error=error,
        fields=(
            *fill.hidden(),
            FormField(
                "state",
                "State",
                "radio",
                fill.text("state"),
                options=tuple((s, s, h) for s, h in STATES.items()),
                required=True,
            ),
            FormField("on", "Seen on", "date", fill.text("on", default=fill.today.isoformat()), required=True),
            FormField(
                "shoot",
                "Longest new shoot",
                "number",
                fill.length("shoot", "shoot_mm", "cm"),
                unit=fill.length_unit("cm"),
            ),
            FormField("note", "Note", "textarea", fill.text("note")),
        ),
    )
