"""Where a graft is to stand, or stands: what the book has of its tree, limb, wood, plot and bark."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from barkslip.app.bark_tests import holding_test
from barkslip.app.context import Context
from barkslip.app.days_fields import Places, buds_from
from barkslip.app.door import Door
from barkslip.app.names import Names, variety_of
from barkslip.app.plot_offset import air_records, site_plot
from barkslip.app.trees import find_limb, find_tree
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.tree import Limb, Tree
from barkslip.fieldbook.reader import Reader

Fields = Mapping[str, str]


def read_places(ctx: Context | None, at: Door, fields: Fields, day: date) -> tuple[Places, Plot | None, Fields]:
    """What the book has of the place, its plot, and the fields without a limb that was named.

    Parameters
    ----------
    ctx : Context or None
        Without a book there is nothing.
    fields : mapping
        graft, tree, plot (codes); limb: address or label of a limb of the tree. What begins like a size and is no
        limb's name is left to be read as its thickness.
    day : date
        On which a test of the bark must hold.

    Raises
    ------
    NotFoundError
    InputError
        If the tree has no such limb.
    """
    if ctx is None:
        return Places(), None, fields
    with ctx.book.read() as reader:
        graft = reader.by_code(Graft, at.text(fields, "graft")) if at.text(fields, "graft") else None
        tree = reader.get(Tree, graft.tree) if graft is not None else None
        if tree is None and at.text(fields, "tree"):
            tree = find_tree(reader, at.text(fields, "tree"))
        limb = reader.get(Limb, graft.limb) if graft is not None and graft.limb else None
        if tree is not None:
            limb, fields = _limb(reader, tree, limb, at, fields)
        plot = reader.get(Plot, tree.plot) if tree is not None else None
        if at.text(fields, "plot"):
            plot = reader.by_code(Plot, at.text(fields, "plot"))
        test = holding_test(reader, tree, limb, day) if tree is not None else None
        kind, buds = wood_of(reader, graft, ctx.names) if graft is not None else ("", "")
    return Places(tree, limb, graft, kind, test.detail if test is not None else "", buds), plot, fields


def _limb(reader: Reader, tree: Tree, limb: Limb | None, at: Door, fields: Fields) -> tuple[Limb | None, Fields]:
    typed = at.text(fields, "limb")
    if not typed:
        return limb, fields
    try:
        found = find_limb(reader, tree, typed)
    except InputError:
        if typed[0].isdigit():
            return limb, fields
        raise
    return found, {name: value for name, value in fields.items() if name != "limb"}


def wood_of(reader: Reader, graft: Graft, names: Names) -> tuple[str, str]:
    """What the wood of a graft is believed to be, and how its buds stood by what is written; "" where nothing is."""
    lot = reader.get(WoodLot, graft.lot) if graft.lot else None
    finds = reader.every(LotFind, "lot = :lot", order="on_first", lot=lot.thing) if lot else []
    claimed, found = variety_of(graft, lot, finds)
    written = names.written(found or claimed)
    return "" if written == "?" else written, buds_from(graft.note, lot.state if lot else "")


def plot_doubts(ctx: Context | None, plot: Plot | None) -> tuple[str, ...]:
    """Codes of `domain.timing.UNKNOWNS` about a plot: "frost_plot" if nobody knows how cold its nights are."""
    if ctx is None or plot is None or plot.still_offset_k is not None:
        return ()
    with ctx.book.read() as reader:
        site = site_plot(reader)
        if air_records(reader, plot) or (site is not None and site.thing == plot.thing):
            return ()
    return ("frost_plot",)
