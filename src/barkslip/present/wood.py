"""Wood lots in words. Moving wood is never called allowed here."""

from __future__ import annotations

from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import LotCard
from barkslip.domain.graft import VERDICTS
from barkslip.present import counts, dates

#: Said with every lot.
DO_NOT_MOVE = (
    "Do not move this wood out of the garden unless the plant-health authority says that you may. "
    "Rules differ from place to place and change."
)


def name_words(card: LotCard) -> str:
    """The name the lot goes by: the one found, else the one claimed."""
    return f"{card.found} (came as {card.lot.name})" if card.found else card.lot.name


def identity_words(card: LotCard) -> str:
    """What is known about its name."""
    if card.found:
        return f"Not what it was called: came as {card.lot.name}, found to be {card.found}."
    return "Name confirmed." if card.confirmed else "Name as claimed, not confirmed by fruit or test."


def came_words(lot: WoodLot) -> str:
    """ "official clean-wood scheme; cut 20 Sep 2021, received 23 Sep 2021"."""
    where = f"{lot.source_class}: {lot.source}" if lot.source and lot.source != lot.source_class else lot.source_class
    words = f"{where}; cut {dates.when_text(lot.cut)}"
    return f"{words}, received {dates.when_text(lot.received)}" if lot.received else words


def sticks_words(lot: WoodLot) -> str:
    """ "6 sticks, in store"."""
    return lot.lot_state if lot.sticks is None else f"{counts.many(lot.sticks, 'stick')}, {lot.lot_state}"


def grafts_words(card: LotCard) -> str:
    """Counts, never a share: "6 grafts: 5 took, 1 did not take"."""
    if not card.grafts:
        return "no graft set from it"
    return f"{counts.many(card.grafts, 'graft')}: {counts.tally(card.verdicts, VERDICTS)}"


def find_words(find: LotFind) -> str:
    """ "13 Apr 2024: found to be 'Granny Smith' apple, by fruit"."""
    return f"{dates.when_text(find.on)}: found to be {find.found}, by {find.how}"
