"""Finding anything in the book."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from barkslip.app.context import Context
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import Hit
from barkslip.domain.graft import Standing
from barkslip.domain.tree import ChainLink, Limb, Tree
from barkslip.fieldbook import lists, search


def names(ctx: Context, text: str, *, limit: int = 12) -> list[str]:
    """Names in the book that begin a word with what was typed: trees, lots, plots, limbs."""
    hits = find(ctx, text)
    return list(dict.fromkeys(h.title for h in hits if h.title and h.kind in ("tree", "wood_lot", "plot", "limb")))[
        :limit
    ]


def standings_of(ctx: Context, hits: Sequence[Hit]) -> dict[str, Standing]:
    """Where the grafts among some hits stand, by thing."""
    with ctx.book.read() as reader:
        return lists.standings(reader, [h.thing for h in hits if h.kind == "graft"])


def find(ctx: Context, text: str) -> list[Hit]:
    """Plots, trees, limbs, lots, grafts and events that hold all the words; former names find them too."""
    with ctx.book.read() as reader:
        hits = search.find(reader, text)
        limbs = reader.many(Limb, [h.thing for h in hits if h.kind == "limb"])
        links = reader.many(ChainLink, [h.thing for h in hits if h.kind == "chain_link"])
        finds = reader.many(LotFind, [h.thing for h in hits if h.kind == "lot_find"])
        trees = reader.many(Tree, [*(k.tree for k in limbs.values()), *(k.tree for k in links.values())])
        lots = reader.many(WoodLot, [f.lot for f in finds.values()])
        out = []
        for hit in hits:
            # what has no page of its own leads to the thing it belongs to
            if hit.thing in limbs:
                tree = trees[limbs[hit.thing].tree]
                address = limbs[hit.thing].address
                out.append(replace(hit, code=tree.code, title=f"{address} {hit.title}".strip(), detail=tree.name))
            elif hit.thing in links:
                tree = trees[links[hit.thing].tree]
                out.append(replace(hit, code=tree.code, detail=tree.name))
            elif hit.thing in finds:
                out.append(replace(hit, code=lots[finds[hit.thing].lot].code))
            else:
                out.append(hit)
        return out
