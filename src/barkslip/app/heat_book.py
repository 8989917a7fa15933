"""What the book has of a wrapped graft: its limb, its tree, its plot, and what was over it on a day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from barkslip.app.context import Context
from barkslip.app.heat_fields import BookGraft
from barkslip.app.trees import find_tree
from barkslip.domain.act import Act
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.tree import Limb, Tree
from barkslip.fieldbook.reader import Reader


def book_graft(ctx: Context | None, fields: Mapping[str, str], day: date) -> tuple[BookGraft, Plot | None]:
    """What the book has of the graft, the tree and the plot that are named; the cover is that of the day.

    Raises
    ------
    NotFoundError
        If there is no such graft, tree or plot.
    """
    if ctx is None:
        return BookGraft(), None
    with ctx.book.read() as reader:
        graft = reader.by_code(Graft, fields["graft"]) if fields.get("graft") else None
        tree = reader.get(Tree, graft.tree) if graft is not None else None
        if tree is None and fields.get("tree"):
            tree = find_tree(reader, fields["tree"])
        limb = reader.get(Limb, graft.limb) if graft is not None and graft.limb else None
        cover = cover_of(reader, [graft], day).get(graft.thing, "") if graft is not None else ""
        plot = reader.by_code(Plot, fields["plot"]) if fields.get("plot") else None
        if plot is None and tree is not None:
            plot = reader.get(Plot, tree.plot)
        return BookGraft(graft, limb, tree, cover), plot


def cover_of(reader: Reader, grafts: Sequence[Graft], day: date) -> dict[str, str]:
    """What was over each graft on a day, in the book's words; grafts without a cover over their film are left out."""
    from barkslip.engines.care import cover_on

    wanted = {g.thing for g in grafts}
    acts: dict[str, list[Act]] = {}
    for act in reader.every(Act, "graft IS NOT NULL AND kind IN ('cover on', 'cover off')"):
        if act.graft in wanted and act.on.first <= day:
            acts.setdefault(act.graft, []).append(act)
    found = {g.thing: cover_on(g, acts.get(g.thing, ())) for g in grafts}
    return {thing: on[0] for thing, on in found.items() if on is not None}
