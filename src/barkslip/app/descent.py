"""Descent of wood as it is written down: no lot from itself, none older than its graft, none that is held back."""

from __future__ import annotations

from barkslip.app.door import Door
from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import Hold
from barkslip.domain.errors import InputError, QuestionError
from barkslip.domain.graft import Graft
from barkslip.fieldbook.reader import Reader


def check_descent(reader: Reader, changed: WoodLot | Graft) -> None:
    """Refuse a lot or a graft by which wood would descend from itself, or be older than what it was cut from.

    Parameters
    ----------
    changed : WoodLot or Graft
        As it would be written.

    Raises
    ------
    InputError
    """
    from barkslip.engines.trace_descent import check_cycles

    lots: dict[str, WoodLot] = {}
    grafts: dict[str, Graft] = {}
    one: WoodLot | Graft | None = changed
    while one is not None and one.thing not in lots and one.thing not in grafts:
        if isinstance(one, WoodLot):
            lots[one.thing] = one
            above: WoodLot | Graft | None = reader.get(Graft, one.from_graft) if one.from_graft else None
        else:
            grafts[one.thing] = one
            above = reader.get(WoodLot, one.lot) if one.lot else None
        one = changed if above is not None and above.thing == changed.thing else above
    check_cycles(lots.values(), grafts.values())
    if isinstance(changed, WoodLot) and changed.from_graft:
        _not_older(changed, grafts[changed.from_graft])


def _not_older(lot: WoodLot, graft: Graft) -> None:
    if lot.cut.last < graft.set_on.first:
        raise InputError(
            "That wood would be older than the graft it was cut from.",
            given=f"cut {lot.cut.iso()}, {graft.code} set {graft.set_on.iso()}",
            allowed=f"{graft.set_on.first.isoformat()} or later",
            next_step="Correct the day, or name another graft.",
            field="cut",
        )


def check_held(reader: Reader, at: Door, lot: WoodLot) -> None:
    """Ask before wood is used that is held back.

    Raises
    ------
    QuestionError
    """
    held = reader.every(Hold, "lot = :lot AND lifted_first IS NULL", lot=lot.thing)
    if held and "held-wood" not in at.sure:
        raise QuestionError(
            f"Lot {lot.code} is held back under suspicion.",
            code="held-wood",
            answers=(("cancel", "leave it"), ("held-wood", "it was used all the same")),
            given=f"{lot.code}, held since {held[0].on.iso()}: {held[0].why}",
            allowed="a lot that is not held",
            next_step="Choose another lot, or let this one go first.",
            field="lot",
        )
