"""Forms of acts, events and photos."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app import garden as gardens
from barkslip.app import trees as use
from barkslip.app.context import Context
from barkslip.domain.act import ACTS, EVENTS, Act, Event, Photo
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.tree import Limb, Tree
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill, choices

Typed = Mapping[str, str] | None
#: Cautions that go with acts.
CAUTIONS = {
    "release": "Slit the binding on the side away from the bud, blade turned from the hand.",
    "whiten": "Water-based white paint only, thinned; lime wash burns eyes and skin. Keep it off leaves.",
    "head back": "Big limbs from the ground or by a licensed tree worker; never a saw in one hand from a ladder.",
}


def act_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, act: str = "") -> FormView:
    """Write down something done; or correct it."""
    given = dict(typed or {})
    with ctx.book.read() as reader:
        old = reader.line(Act, act) if act else None
        if old is not None and typed is None:
            given = {}
        graft = reader.by_code(Graft, given["graft"]) if given.get("graft") else None
        tree = use.find_tree(reader, given["tree"]) if given.get("tree") else None
        plot = reader.by_code(Plot, given["plot"]) if given.get("plot") else None
        if old is not None:
            graft = reader.get(Graft, old.graft) if old.graft else None
            limb = reader.get(Limb, old.limb) if old.limb else None
            tree = reader.get(Tree, limb.tree if limb else old.tree or "") if limb or old.tree else None
            plot = reader.get(Plot, old.plot) if old.plot else None
        limbs = reader.every(Limb, "tree = :tree", tree=tree.thing) if tree and not old else []
        trees = [] if graft or tree or plot else reader.every(Tree, order="code")
    fill = Fill(ctx, typed, old)
    target: tuple[FormField, ...] = ()
    back, words = "/", "the garden"
    if graft:
        target, back, words = (FormField("graft", "", "hidden", graft.code),), f"/grafts/{graft.code}", graft.code
    elif tree:
        target, back, words = (FormField("tree", "", "hidden", tree.code),), f"/trees/{tree.code}", tree.name
        if limbs:
            target += (
                FormField(
                    "limb",
                    "Where",
                    "select",
                    given.get("limb", ""),
                    options=(("", "the whole tree"), *((k.address, f"limb {k.address}") for k in limbs)),
                ),
            )
    elif plot:
        target, back, words = (FormField("plot", "", "hidden", plot.code),), "/", plot.name
    else:
        target = (
            FormField(
                "tree",
                "Tree",
                "select",
                "",
                options=(("", "choose the tree"), *((t.code, f"{t.code} {t.name}") for t in trees)),
                error="Choose the tree." if error is not None and error.field == "target" else "",
            ),
        )
    kind = fill.text("kind")
    blank = () if kind else (("", "choose"),)
    return FormView(
        title=f"Correct what was done at {words}" if old else f"Done at {words}",
        action=f"/acts/{act}/edit" if old else "/acts/new",
        cancel=back,
        crumbs=((back, words),),
        caution=CAUTIONS.get(kind, ""),
        error=error,
        lead="" if target[0].kind == "hidden" or trees else "Work is done at a tree, and none is written down yet.",
        first=None if target[0].kind == "hidden" or trees else ("/trees/new", "Add the tree first"),
        fields=(
            *fill.hidden(),
            *target,
            FormField(
                "kind",
                "What",
                "select",
                kind,
                options=(*blank, *((k, f"{k}: {v}") for k, v in ACTS.items())),
                required=True,
            ),
            FormField("on", "On", "date", fill.text("on", default=fill.today.isoformat()), required=True),
            FormField("detail", "With what", value=fill.text("detail"), help="foil sleeve, white paint, stake ..."),
            FormField(
                "count",
                "How many",
                "number",
                fill.text("count"),
                help="stock shoots rubbed off",
                more=kind != "rub",
            ),
            FormField(
                "amount",
                "Water",
                value=fill.volume("amount", "amount_l"),
                help=f"with its unit, such as 20 {fill.units.volume}",
                more=kind != "water",
            ),
            FormField("note", "Note", "textarea", fill.text("note"), more=True),
        ),
    )


def event_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, event: str = "") -> FormView:
    """Write down something that happened; or correct it."""
    with ctx.book.read() as reader:
        plots = gardens.plots_in_order(reader)
        trees = reader.every(Tree, order="code")
        old = reader.line(Event, event) if event else None
    fill = Fill(ctx, typed, old)
    codes = {p.thing: p.code for p in plots}
    tree_codes = {t.thing: t.code for t in trees}
    own_plots = ",".join(codes[p] for p in old.plots if p in codes) if old else ""
    own_tree = tree_codes.get(old.tree or "", "") if old else ""
    return FormView(
        title="Correct what happened" if old else "Something happened",
        action=f"/events/{event}/edit" if old else "/events/new",
        here="search",
        cancel="/events",
        crumbs=(("/events", "What happened"),),
        lead="Frost, heat, hail, a flood, a pest, or a question to come back to.",
        error=error,
        fields=(
            *fill.hidden(),
            FormField("kind", "What", "select", fill.text("kind", default="note"), options=choices(EVENTS)),
            FormField(
                "on",
                "When",
                "date",
                fill.text("on", default=fill.today.isoformat()),
                required=True,
                help="A range is fine: 2021-08-19/21, about mid-October 2020",
            ),
            FormField("text", "In words", "textarea", fill.text("text"), required=True),
            FormField(
                "plots",
                "Plots",
                "boxes",
                fill.typed.get("plots", own_plots),
                options=tuple((p.code, p.name) for p in plots),
                help="None ticked: the whole garden",
                more=True,
            ),
            FormField(
                "tree",
                "Tree",
                "select",
                fill.typed.get("tree", own_tree),
                options=(("", "no single tree"), *((t.code, f"{t.code} {t.name}") for t in trees)),
                more=True,
            ),
        ),
    )


def photo_words_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, photo: str) -> FormView:
    """Correct day or words of a picture."""
    with ctx.book.read() as reader:
        old = reader.line(Photo, photo)
    fill = Fill(ctx, typed, old)
    return FormView(
        title="Correct a photo",
        action=f"/photos/{photo}/edit",
        cancel="/",
        error=error,
        fields=(
            *fill.hidden(),
            FormField("on", "Taken on", "date", fill.text("on"), required=True),
            FormField("caption", "What is on it", value=fill.text("caption")),
        ),
    )


def photo_form(ctx: Context, typed: Typed, error: BarkslipError | None) -> FormView:
    """Send a picture."""
    fill = Fill(ctx, typed)
    return FormView(
        title="Add a photo",
        action="/photos/new",
        submit="Keep it",
        cancel=fill.typed.get("next", "/"),
        lead="It is shrunk, the place where it was taken is removed, and it is kept in the book's own folder.",
        error=error,
        fields=(
            *fill.hidden(),
            FormField("about", "", "hidden", fill.text("about")),
            FormField("file", "Picture", "file", accept="image/*", required=True),
            FormField("on", "Taken on", "date", fill.text("on", default=fill.today.isoformat())),
            FormField("caption", "What is on it", value=fill.text("caption")),
        ),
    )
