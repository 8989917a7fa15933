"""Wood lots and grafts of the demo, in the order in which they came."""

from __future__ import annotations

from datetime import date

import numpy as np

from barkslip.demo.pen import Pen
from barkslip.demo.place import Ground
from barkslip.demo.scenario import Table, when
from barkslip.domain.budwood import WoodLot
from barkslip.domain.graft import Graft, check_wood_day

#: Lot code -> kind of fruit, genus and species, where they are plain from the name.
_PASSPORT = {
    "persimmon": ("persimmon", "Diospyros", "kaki"),
    "apple": ("apple", "Malus", "domestica"),
    "plum": ("plum", "Prunus", "salicina"),
}


def write_wood_and_grafts(pen: Pen, book: Table, ground: Ground, rng: np.random.Generator) -> dict[str, Graft]:
    """Append lots and grafts by date, each after what it refers to.

    Returns
    -------
    dict
        Code ("G04-1") -> graft.
    """
    rows = [(date.fromisoformat(lot["cut"]), 0, lot) for lot in book["lot"]]
    rows += [(date.fromisoformat(campaign["set_on"]), 1, campaign) for campaign in book["campaign"]]
    grafts: dict[str, Graft] = {}
    cuts: dict[str, WoodLot] = {}
    for _, kind, row in sorted(rows, key=lambda r: r[:2]):
        if kind == 0:
            cuts[row["code"]] = _write_lot(pen, row, ground)
        else:
            for graft in _campaign(pen, row, ground, cuts[row["lot"]], rng):
                ground.add(graft, graft.code)
                grafts[graft.code] = graft
    return grafts


def _write_lot(pen: Pen, row: Table, ground: Ground) -> WoodLot:
    given = {k: v for k, v in row.items() if k not in ("cut", "received", "found")}
    for key in ("from_tree", "from_limb", "from_graft"):
        if key in given:
            given[key] = ground.thing[given[key]]
    cut = when(row["cut"], ground.today)
    received = when(row["received"], ground.today) if "received" in row else None
    kind = next((k for k in _PASSPORT if k in row["name"]), "")
    crop, genus, species = _PASSPORT.get(kind, ("citrus", "Citrus", ""))
    state = given.pop("lot_state", "used")
    lot = pen.first(
        WoodLot,
        received.first if received else cut.first,
        cut=cut,
        received=received,
        crop=crop,
        genus=genus,
        species=species,
        lot_state=state,
        **given,
    )
    ground.add(lot, row["code"])
    return lot


def _campaign(pen: Pen, row: Table, ground: Ground, lot: WoodLot, rng: np.random.Generator) -> list[Graft]:
    set_on = when(row["set_on"], ground.today)
    check_wood_day(set_on, lot.cut, lot.code)
    per_tree = row["n"] // len(row["trees"])
    out = []
    for i in range(row["n"]):
        tree = row["trees"][i // per_tree]
        limb = f"{tree}/{row['limbs'][i]}" if row["limbs"] else ""
        second = row.get("second")
        method = second["method"] if second and i + 1 >= second["from_graft"] else row["method"]
        arm = row["arms"][i % len(row["arms"])] if "arms" in row else method if second else ""
        out.append(
            pen.first(
                Graft,
                set_on.first,
                code=f"{row['code']}-{i + 1}",
                campaign=row["code"],
                tree=ground.thing[tree],
                limb=ground.thing[limb] if limb else None,
                lot=lot.thing,
                name=row.get("name", lot.name),
                method=method,
                set_on=set_on,
                binding=row["bindings"][i] if "bindings" in row else row["binding"],
                cover=row["cover"],
                scion_mm=round(float(row["scion_mm"] + rng.normal(0.0, 0.6)), 1),
                stock_mm=round(float(row["stock_mm"] * rng.uniform(0.9, 1.1)), 0),
                side=row["sides"][i % len(row["sides"])],
                arm=arm,
                note=row.get("note", ""),
            )
        )
    return out
