"""Forms of trees, limbs and chain links."""

from __future__ import annotations

import re
from collections.abc import Mapping

from barkslip.app import garden as gardens
from barkslip.app import trees as use
from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.tree import BANDS, BEARINGS, LEVEL_HELP, LEVELS, ChainLink, Limb, Tree
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill

Typed = Mapping[str, str] | None


def tree_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str = "") -> FormView:
    """Add a tree, or correct one."""
    with ctx.book.read() as reader:
        old = use.find_tree(reader, code) if code else None
        plots = gardens.plots_in_order(reader)
        fruits = tuple(str(r[0]) for r in reader.rows("SELECT DISTINCT fruit FROM tree WHERE current"))
    fill = Fill(ctx, typed, old)
    plot_codes = {p.thing: p.code for p in plots}
    chosen = fill.typed.get("plot") or (plot_codes.get(old.plot, "") if old else "")
    return FormView(
        title=f"Correct {old.code} {old.name}" if old else "Add a tree",
        action=f"/trees/{code}/edit" if code else "/trees/new",
        here="trees",
        cancel=f"/trees/{code}" if code else "/trees",
        crumbs=(("/trees", "Trees"), *(((f"/trees/{code}", old.name),) if old else ())),
        error=error,
        fields=(
            *fill.hidden(),
            FormField("name", "Name", value=fill.text("name"), required=True, help="What you call it: Gatepost, Well"),
            FormField("plot", "", "hidden", plots[0].code)
            if len(plots) == 1 and not old
            else FormField(
                "plot",
                "Plot",
                "select",
                chosen,
                options=(*(() if chosen else (("", "choose the plot"),)), *((p.code, p.name) for p in plots)),
                required=True,
            ),
            FormField(
                "fruit",
                "Kind of fruit",
                value=fill.text("fruit", default="citrus"),
                datalist=tuple(dict.fromkeys(("citrus", "apple", "pear", "plum", "persimmon", "fig", *fruits))),
            ),
            FormField(
                "planted", "Planted", "date", fill.text("planted"), help="A day, a month, a year, or: about 1998"
            ),
            FormField(
                "code",
                "Code",
                value=fill.text("code"),
                help="Short name for commands; left empty, one is made",
                more=True,
            ),
            FormField("walk_order", "Place in the walk-round", "number", fill.text("walk_order"), more=True),
            FormField(
                "union",
                "Height of the union",
                "number",
                fill.length("union", "union_mm", "cm"),
                unit=fill.length_unit("cm"),
                help="Over the soil; empty if it cannot be seen",
                more=True,
                group="cuts",
            ),
            FormField(
                "bench",
                "Height of a bench",
                "number",
                fill.length("bench", "bench_mm", "cm"),
                unit=fill.length_unit("cm"),
                help="A step in girth, if there is one",
                more=True,
                group="cuts",
            ),
            FormField(
                "height",
                "Height",
                "number",
                fill.length("height", "height_mm", "m"),
                unit=fill.length_unit("m"),
                more=True,
                group="size",
            ),
            FormField(
                "spread",
                "Spread",
                "number",
                fill.length("spread", "spread_mm", "m"),
                unit=fill.length_unit("m"),
                more=True,
                group="size",
            ),
            FormField(
                "count",
                "How many",
                "number",
                fill.text("count", default="1"),
                help="More than 1 for a batch of equal young trees",
                more=True,
            ),
            FormField("note", "Note", "textarea", fill.text("note"), more=True),
        ),
    )


def limb_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, tree: str = "", limb: str = "") -> FormView:
    """Add a limb, or correct one."""
    with ctx.book.read() as reader:
        old = reader.get(Limb, limb) if limb else None
        stem = reader.get(Tree, old.tree) if old else use.find_tree(reader, tree)
    fill = Fill(ctx, typed, old)
    return FormView(
        title=f"Correct limb {old.address} of {stem.name}" if old else f"Add a limb to {stem.name}",
        action=f"/limbs/{limb}/edit" if limb else f"/trees/{stem.code}/limbs/new",
        here="trees",
        cancel=f"/trees/{stem.code}",
        crumbs=(("/trees", "Trees"), (f"/trees/{stem.code}", stem.name)),
        lead="Found without any tag: where it points, how high it sits.",
        error=error,
        fields=(
            *fill.hidden(),
            *_address(fill, error),
            FormField(
                "proved",
                "Proved by fruit or by a sure look",
                "checkbox",
                fill.ticked("proved"),
                help="Until then it is shown as: do not cut yet",
            ),
            FormField(
                "label",
                "Other name in use",
                value=fill.text("label"),
                help="L2; former names keep finding it",
                more=True,
            ),
            FormField(
                "base",
                "Leaves the trunk at",
                "number",
                fill.length("base", "base_mm", "cm"),
                unit=fill.length_unit("cm"),
                more=True,
                group="reach",
            ),
            FormField(
                "tip",
                "Ends at",
                "number",
                fill.length("tip", "tip_mm", "cm"),
                unit=fill.length_unit("cm"),
                more=True,
                group="reach",
            ),
            FormField(
                "carries",
                "What grows on it",
                value=fill.text("carries"),
                suggest="/names?q=",
                help="If known; its grafts are written down by themselves",
                more=True,
            ),
            FormField(
                "since",
                "Holds from",
                "date",
                fill.text("since") if not old else fill.typed.get("since", ""),
                help="Day of the pruning or renaming, if any",
                more=True,
            ),
            FormField("note", "Note", "textarea", fill.text("note"), more=True),
        ),
    )


def _address(fill: Fill, error: BarkslipError | None) -> tuple[FormField, ...]:
    """The address of a limb: chosen part by part for a new one, typed for a correction."""
    if fill.old is not None or fill.typed.get("address"):
        return (
            FormField(
                "address",
                "Address",
                value=fill.text("address"),
                required=True,
                help=f"{', '.join(BEARINGS)} or C; {', '.join(f'{k} {v}' for k, v in BANDS.items())}; letters: NW-M-L",
            ),
        )
    rose = ("NW", "N", "NE", "W", "C", "E", "SW", "S", "SE")
    return (
        FormField(
            "bearing",
            "It points to",
            "radio",
            fill.text("bearing"),
            options=tuple((b, b if b != "C" else "up") for b in rose),
            required=True,
            error=error.problem if error is not None and error.field == "address" else "",
        ),
        FormField(
            "band",
            "How high it sits",
            "radio",
            fill.text("band", default="M"),
            options=tuple((k, v) for k, v in reversed(BANDS.items())),
            required=True,
        ),
        FormField(
            "path", "Letter or number", value=fill.text("path"), help="Tells limbs apart that share a place: 1, A, L"
        ),
    )


def addressed(fields: dict[str, str]) -> dict[str, str]:
    """Fields of a new limb with its address made of its parts, if it was not typed as a whole."""
    if fields.get("address") or not fields.get("bearing"):
        return fields
    parts = (fields["bearing"], fields.get("band", ""), fields.get("path", "").strip())
    return {**fields, "address": "-".join(p for p in parts if p)}


def link_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, tree: str) -> FormView:
    """Say what a level of a tree is believed to be."""
    given = typed or {}
    with ctx.book.read() as reader:
        stem = use.find_tree(reader, tree)
        limbs = reader.every(Limb, "tree = :tree", tree=stem.thing)
        level = given.get("level") or "rootstock"
        links = reader.every(
            ChainLink, "tree = :tree AND level = :level AND limb IS NULL", tree=stem.thing, level=level
        )
    fill = Fill(ctx, typed)
    rows = sorted({int(m[1]) for k in given if (m := re.fullmatch(r"taxon_(\d+)", k))})
    value: tuple[object, ...]
    if rows:
        value = tuple(
            (given.get(f"taxon_{i}", ""), given.get(f"belief_{i}", ""), given.get(f"evidence_{i}", "")) for i in rows
        )
        value = tuple(v for v in value if any(v))  # type: ignore[arg-type]
    else:
        value = links[0].candidates if links else ()
    return FormView(
        title=f"What does {stem.name} stand on?",
        action=f"/trees/{stem.code}/links/new",
        here="trees",
        cancel=f"/trees/{stem.code}",
        crumbs=(("/trees", "Trees"), (f"/trees/{stem.code}", stem.name)),
        lead="Several answers may stand side by side, each with its belief. What is missing to 100 % is unknown, "
        "and unknown alone is a full answer.",
        error=error,
        fields=(
            FormField("id", "", "hidden", given.get("id") or ctx.new_id()),
            FormField(
                "level", "Part of the tree", "select", level, options=tuple((k, k, LEVEL_HELP[k]) for k in LEVELS)
            ),
            FormField(
                "limb",
                "For",
                "select",
                given.get("limb", ""),
                options=(("", "the whole tree"), *((k.address, f"limb {k.address}") for k in limbs)),
            ),
            FormField("taxon", "Answers", "candidates", value, suggest="/names?q="),  # type: ignore[arg-type]
            FormField("on", "Believed since", "date", given.get("on") or fill.today.isoformat()),
        ),
    )


def tree_code(ctx: Context, limb: Limb) -> str:
    """Code of a limb's tree."""
    with ctx.book.read() as reader:
        return reader.get(Tree, limb.tree).code


def limb_of(ctx: Context, thing: str) -> Limb:
    """The limb with a thing id."""
    with ctx.book.read() as reader:
        return reader.get(Limb, thing)


def tree_code_of_limb(ctx: Context, thing: str) -> str:
    """Code of the tree of the limb with a thing id."""
    with ctx.book.read() as reader:
        return reader.get(Tree, reader.get(Limb, thing).tree).code
