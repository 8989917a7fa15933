"""Writing names and chains from what the book and the knowledge base say."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import ChainPart
from barkslip.domain.graft import Graft
from barkslip.domain.tree import UNKNOWN, Candidate, ChainLink, Limb, complete

#: Level by level from the top down; own roots stand where a rootstock would.
_DOWNWARD = ("scion", "framework", "interstock", "rootstock", "own roots")


if TYPE_CHECKING:
    from barkslip.knowledge.load import Knowledge


class Names:
    """Writes names by the Code (ICNCP); each is looked up once.

    Parameters
    ----------
    knowledge : callable
        Gives the knowledge base when a name has to be looked up; not before.
    """

    def __init__(self, knowledge: Callable[[], Knowledge]) -> None:
        self._knowledge = knowledge
        self._written: dict[str, str] = {"": "?", UNKNOWN: "?"}

    def written(self, name: str) -> str:
        """'Washington' navel orange, from any way of writing it; a name not known stays as it was written."""
        if name not in self._written:
            self._written[name] = self._lookup(name)
        return self._written[name]

    def _lookup(self, name: str) -> str:
        if name.count("'") >= 2 or "‘" in name:
            return name  # the grower has written it by the Code already
        return self._knowledge().icncp(name)


def part_of(link: ChainLink, names: Names) -> ChainPart:
    """One level of a chain, written."""
    all_of_it = complete(link.candidates)
    best = all_of_it[0]
    return ChainPart(
        level=link.level,
        name=names.written(best.taxon),
        belief=best.belief,
        candidates=all_of_it,
        limb_only=link.limb is not None,
    )


def tree_chain(links: Iterable[ChainLink], names: Names, *, limb: str | None = None) -> tuple[ChainPart, ...]:
    """The chain of a tree, or of one of its limbs, from the top down. What a limb says of itself comes first."""
    by_level: dict[str, ChainLink] = {}
    for link in links:
        if link.limb not in (None, limb):
            continue
        if link.level not in by_level or link.limb is not None:
            by_level[link.level] = link
    parts = [part_of(by_level[level], names) for level in _DOWNWARD if level in by_level]
    if not any(p.level in ("rootstock", "own roots") for p in parts):
        parts.append(ChainPart("rootstock", "?", None, (Candidate(UNKNOWN, 1.0),)))
    return tuple(parts)


def graft_chain(
    graft: Graft,
    lot: WoodLot | None,
    finds: Sequence[LotFind],
    limb: Limb | None,
    links: Sequence[ChainLink],
    names: Names,
    carried: str = "",
) -> tuple[ChainPart, ...]:
    """Scion / (what the limb is) / interstock / rootstock.

    Parameters
    ----------
    carried : str
        Variety of the graft that the limb itself grew from, if any.
    """
    claimed, found = variety_of(graft, lot, finds)
    scion = ChainPart("scion", names.written(found or claimed), None)
    below = [p for p in tree_chain(links, names, limb=graft.limb) if p.level != "scion"]
    top = next((p for p in tree_chain(links, names, limb=graft.limb) if p.level == "scion"), None)
    own_framework = any(p.level == "framework" for p in below)
    carries = carried or (limb.carries if limb else "")
    if carries and not own_framework and not any(_same_kind(carries, p) for p in below):
        below.insert(0, ChainPart("framework", names.written(carries), None, limb_only=True))
    elif top is not None and not own_framework:
        # a graft set on the tree's own top: that top is now the framework under it
        below.insert(0, ChainPart("framework", top.name, top.belief, top.candidates))
    return (scion, *below)


def _same_kind(carries: str, part: ChainPart) -> bool:
    """True if what a limb carries is a part of the chain that is written already (an old top, kept as interstock)."""
    from barkslip.domain.names import same_word

    bare = carries.partition("(")[0]
    return any(same_word(bare, c.taxon.partition("(")[0]) for c in part.candidates)


def variety_of(graft: Graft, lot: WoodLot | None, finds: Sequence[LotFind]) -> tuple[str, str]:
    """Variety as written, and the other name that its lot turned out to be ("" if none)."""
    claimed = graft.name or (lot.name if lot else "")
    mine = [f for f in finds if lot is not None and f.lot == lot.thing]
    if not mine:
        return claimed, ""
    newest = max(mine, key=lambda f: (f.on.first, f.id))
    from barkslip.domain.names import same_word

    return claimed, "" if same_word(newest.found, claimed) else newest.found


def finds_by_lot(finds: Iterable[LotFind]) -> Mapping[str, list[LotFind]]:
    """Finds sorted by their lot."""
    out: dict[str, list[LotFind]] = {}
    for find in finds:
        out.setdefault(find.lot, []).append(find)
    return out
