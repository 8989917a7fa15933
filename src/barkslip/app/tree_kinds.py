"""What kinds of fruit one tree carries now."""

from __future__ import annotations

from barkslip.app.cards import graft_cards
from barkslip.app.context import Context
from barkslip.app.names import tree_chain
from barkslip.domain.graft import Graft
from barkslip.domain.tree import ChainLink, Limb, Tree

_TOP = ("scion", "framework", "own roots")


def kinds_on(ctx: Context, tree: Tree) -> tuple[str, ...]:
    """Names of what lives on a tree, commonest first: grafts that took, what limbs carry, the top it came with.

    What is not known is left out; an empty answer means that nothing is.
    """
    names = ctx.names
    with ctx.book.read() as reader:
        grafts = reader.every(Graft, "tree = :tree", tree=tree.thing)
        cards = graft_cards(reader, grafts, names, ctx.today(ctx.garden()))
        limbs = reader.every(Limb, "tree = :tree", tree=tree.thing)
        links = reader.every(ChainLink, "tree = :tree AND limb IS NULL", tree=tree.thing)
    found = [c.name_doubt or c.variety for c in cards if c.standing.word == "took" and not c.standing.lost_after]
    found += [names.written(limb.carries) for limb in limbs if limb.carries]
    top = next((p.name for p in tree_chain(links, names) if p.level in _TOP and p.name != "?"), "")
    if top:
        found.append(top)
    return tuple(sorted(dict.fromkeys(n for n in found if n), key=lambda n: -found.count(n)))
