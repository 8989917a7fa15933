"""The healing curve of a kind of tree, from a name as growers and the book write it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barkslip.domain.timing import HealingCurve
    from barkslip.knowledge.load import Knowledge


def curve_for(knowledge: Knowledge, *names: str) -> HealingCurve | None:
    """The curve of the first of some names of one thing that has one; None if nothing is known of any.

    Parameters
    ----------
    names : str
        "'Hachiya' persimmon", then what its tree is ("persimmon").
    """
    from barkslip.engines.healing_curve import curve_of

    kinds = knowledge.table("healing_kinds")
    for name in names:
        found = curve_of(name, kinds, knowledge.value, also=_other_words(knowledge, name)) if name else None
        if found is not None:
            return found
    return None


def _other_words(knowledge: Knowledge, name: str) -> tuple[str, ...]:
    """Common name, group and botanical name of a variety or a stock that is known by that name."""
    variety = knowledge.variety(name)
    if variety is not None:
        return tuple(w for w in (variety.common_name, variety.group, variety.taxon) if w)
    stock = knowledge.rootstock(name)
    return tuple(w for w in (stock.common_name, stock.group) if w) if stock is not None else ()
