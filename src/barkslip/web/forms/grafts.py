"""Forms of grafts and looks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from barkslip.app import trees as use
from barkslip.app.context import Context
from barkslip.domain.budwood import WoodLot
from barkslip.domain.errors import BarkslipError
from barkslip.domain.graft import STATES, Graft, Look
from barkslip.domain.tree import Limb, Tree
from barkslip.present.form import FormField, FormView
from barkslip.present.graft import state_button, state_help
from barkslip.web.forms.fill import Fill

Typed = Mapping[str, str] | None
#: Limbs that are offered as boxes to tick; a tree with more has them typed.
MOST_BOXES = 24


def graft_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str = "") -> FormView:
    """Set one graft or a campaign of equal ones; or correct one."""
    given = typed or {}
    with ctx.book.read() as reader:
        old = reader.by_code(Graft, code) if code else None
        trees = reader.every(Tree, order="code")
        lots = reader.every(WoodLot, "lot_state IN ('in store', 'used')", order="cut_first DESC")
        chosen = given.get("tree", "") or (reader.get(Tree, old.tree).code if old else "")
        if not chosen and len(trees) == 1:
            chosen = trees[0].code
        limbs: list[Limb] = []
        if chosen:
            limbs = reader.every(Limb, "tree = :tree", tree=use.find_tree(reader, chosen).thing)
        old_limb = reader.get(Limb, old.limb).address if old and old.limb else ""
        old_lot = reader.get(WoodLot, old.lot).code if old and old.lot else ""
        last = reader.every(Graft, order="id DESC LIMIT 1")
    fill = Fill(ctx, typed, old)
    store = [k for k in lots if k.lot_state == "in store"]
    lot_value = given.get("lot", old_lot or (store[0].code if len(store) == 1 and not old else ""))
    same = last[0] if last and not old and last[0].set_on.first == fill.today else None
    where = _where(given, old, old_limb, chosen, trees, limbs)
    name = next((t.name for t in trees if t.code == chosen), "")
    return FormView(
        title=f"Correct graft {code}" if old else f"Set grafts on {name}" if name else "Set grafts",
        action=f"/grafts/{code}/edit" if old else "/grafts/new",
        submit="Save" if old else "Write them down",
        here="grafts",
        cancel=f"/grafts/{code}" if old else (f"/trees/{chosen}" if chosen else "/grafts"),
        crumbs=(
            (("/grafts", "Grafts"), (f"/grafts/{code}", code))
            if old
            else ((f"/trees/{chosen}", name), ("/grafts/new", "another tree"))
            if name and len(trees) > 1
            else (("/grafts", "Grafts"),)
        ),
        error=error,
        lead=(
            "A graft stands on a tree, and no tree is written down yet."
            if not trees
            else f"Method, binding and cover are as at {same.code}, set today; change what differs."
            if same and not typed
            else ""
        ),
        first=None if trees else ("/trees/new", "Add the tree first"),
        caution="" if old else "Cut away from hand and body, with a glove on the hand that holds.",
        fields=(*fill.hidden(), *where, *_wood(fill, lot_value, lots), *_how(ctx, fill, same), *_rest(fill)),
    )


def _where(
    given: Mapping[str, str], old: Graft | None, old_limb: str, chosen: str, trees: list[Tree], limbs: list[Limb]
) -> tuple[FormField, ...]:
    """Tree and limbs: the limbs are ticked where the tree is known, typed where it is not."""
    options = tuple((t.code, f"{t.code} {t.name}") for t in trees)
    tree = FormField("tree", "Tree", "select", chosen, options=(("", "choose the tree"), *options), required=True)
    if old:
        limb = FormField("limbs", "Limb", value=given.get("limbs", old_limb), datalist=tuple(k.address for k in limbs))
        return tree, limb
    if chosen:
        tree = FormField("tree", "", "hidden", chosen)
    if limbs and len(limbs) <= MOST_BOXES:
        limb = FormField(
            "limbs",
            "On which limbs",
            "boxes",
            given.get("limbs", ""),
            options=tuple((k.address, k.address) for k in limbs),
            help="None ticked: the tree is known, the limb is not",
        )
    elif limbs or not chosen:
        limb = FormField(
            "limbs",
            "Limbs",
            value=given.get("limbs", ""),
            help="Addresses, several with commas: NW-M-L, E-H. Empty if only the tree is known",
            datalist=tuple(k.address for k in limbs),
        )
    else:
        return (tree,)
    return tree, limb


def _wood(fill: Fill, lot: str, lots: list[WoodLot]) -> tuple[FormField, ...]:
    """The wood lot, or the variety where there is none."""
    name = FormField(
        "name",
        "Variety, if there is no lot",
        value=fill.text("name"),
        suggest="/names?q=",
        help="unknown is an answer",
        more=bool(lots),
    )
    if not lots:
        return (replace(name, label="Variety", help="unknown is an answer. With a wood lot its trace is kept"),)
    options = (("", "no lot written down"), *((k.code, f"{k.code} {k.name}") for k in lots))
    return FormField("lot", "Wood lot", "select", lot, options=options), name


def _how(ctx: Context, fill: Fill, same: Graft | None) -> tuple[FormField, ...]:
    """How and when; what stays the same through a day's work is filled in from the graft before."""
    known = ctx.knowledge
    method, binding, cover = (same.method, same.binding, same.cover) if same else ("", "", "")
    today = fill.today.isoformat()
    number = (FormField("n", "On each limb", "number", fill.typed.get("n", "1"), group="when"),) if not fill.old else ()
    return (
        FormField(
            "method",
            "Method",
            value=fill.text("method", default=method),
            required=True,
            datalist=tuple(m.name for m in known.methods),
            help=", ".join(m.name for m in known.methods[:4]) + " ...",
        ),
        *number,
        FormField("set_on", "Set on", "date", fill.text("set_on", default=today), required=True, group="when"),
        FormField(
            "binding",
            "Binding",
            value=fill.text("binding", default=binding),
            datalist=tuple(b.name for b in known.bindings),
            help="It sets the release day",
            group="held",
        ),
        FormField(
            "cover",
            "Cover",
            value=fill.text("cover", default=cover),
            datalist=("foil sleeve", "brown paper bag", "white paper bag", "foil-lined pouch", "shade cloth"),
            help="Empty for none",
            group="held",
        ),
    )


def _rest(fill: Fill) -> tuple[FormField, ...]:
    scion, stock = fill.length("scion", "scion_mm", "mm"), fill.length("stock", "stock_mm", "mm")
    unit = fill.length_unit("mm")
    return (
        FormField("scion", "Scion diameter", "number", scion, unit=unit, more=True, group="thick"),
        FormField("stock", "Stock diameter", "number", stock, unit=unit, more=True, group="thick"),
        FormField("side", "Side of the limb", value=fill.text("side"), help="NW, upper, lower", more=True),
        FormField("arm", "Arm of a trial", value=fill.text("arm"), more=True),
        FormField(
            "campaign",
            "Campaign",
            value=fill.text("campaign"),
            help="Name for grafts set together; left empty, one is made",
            more=True,
        ),
        FormField("note", "Note", "textarea", fill.text("note"), more=True),
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
                options=tuple((s, state_button(s), state_help(s)) for s in STATES),
                required=True,
            ),
            FormField(
                "on", "Seen on", "date", fill.text("on", default=fill.today.isoformat()), required=True, group="seen"
            ),
            FormField(
                "shoot",
                "Longest shoot",
                "number",
                fill.length("shoot", "shoot_mm", "cm"),
                unit=fill.length_unit("cm"),
                group="seen",
            ),
            FormField("note", "Note", "textarea", fill.text("note"), more=True),
        ),
    )
