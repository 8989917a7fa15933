"""Descent of wood: which graft is of which lot, which lot was cut from which graft. No lot descends from itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from barkslip.domain.budwood import WoodLot
from barkslip.domain.errors import InputError
from barkslip.domain.graft import Graft


def check_cycles(lots: Iterable[WoodLot], grafts: Iterable[Graft]) -> None:
    """Refuse wood that would descend from itself.

    Raises
    ------
    InputError
        Naming the whole round.
    """
    by_lot = {lot.thing: lot for lot in lots}
    by_graft = {graft.thing: graft for graft in grafts}
    sound: set[str] = set()
    for start in by_lot.values():
        way: dict[str, str] = {}  # lot -> graft that it was cut from
        lot: WoodLot | None = start
        while lot is not None and lot.thing not in sound:
            if lot.thing in way:
                raise _round(lot, way, by_lot, by_graft)
            graft = by_graft.get(lot.from_graft or "")
            way[lot.thing] = graft.thing if graft else ""
            lot = by_lot.get(graft.lot or "") if graft else None
        sound.update(way)


def _round(
    start: WoodLot, way: Mapping[str, str], lots: Mapping[str, WoodLot], grafts: Mapping[str, Graft]
) -> InputError:
    codes, lot = [start.code], start
    while len(codes) == 1 or lot.thing != start.thing:
        graft = grafts[way[lot.thing]]
        lot = lots[graft.lot or ""]
        codes += [graft.code, lot.code]
    return InputError(
        "That wood would descend from itself.",
        given=" from ".join(codes),
        allowed="wood cut from a graft that is not its own descendant",
        next_step=f"Correct the origin of lot {start.code}, or the lot of one of these grafts.",
        field="from_graft",
    )


def descent_order(lots: Iterable[WoodLot], grafts: Iterable[Graft]) -> list[WoodLot | Graft]:
    """Lots and grafts, parents before children; within that as they came. There must be no round."""
    graft_list, lot_list = list(grafts), list(lots)
    known = {g.thing for g in graft_list} | {lot.thing for lot in lot_list}
    children: dict[str, list[WoodLot | Graft]] = {}
    ready: list[WoodLot | Graft] = []
    pairs: list[tuple[str | None, WoodLot | Graft]] = [(lot.from_graft, lot) for lot in lot_list]
    pairs += [(graft.lot, graft) for graft in graft_list]
    for parent, one in pairs:
        if parent in known:
            children.setdefault(parent or "", []).append(one)
        else:
            ready.append(one)
    for one in ready:  # grows while it is gone through
        ready.extend(children.get(one.thing, ()))
    return ready
