"""What was done in the demo garden."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np

from barkslip.demo.pen import Pen
from barkslip.demo.place import Ground
from barkslip.demo.scenario import Table, when
from barkslip.domain.act import Act, check_act
from barkslip.domain.graft import LOST, Graft, Look

TARGETS = ("graft", "limb", "tree", "plot")
#: A shoot is tied up once a look finds it this long [mm].
BRACE_MM = 250.0
#: Days from setting to the look under the wrap, and to taking the cover off [d].
WRAP_CHECK_D, COVER_OFF_D = 20, 44
#: Stock shoots at a round of rubbing: start, days to a third of it, rest.
SHOOTS, SHOOTS_D, SHOOTS_REST = 6.0, 50.0, 0.4


def write_acts(
    pen: Pen,
    book: Table,
    ground: Ground,
    grafts: dict[str, Graft],
    looks: dict[str, list[Look]],
    rng: np.random.Generator,
) -> None:
    """Append all acts, oldest first."""
    rows: list[Table] = [dict(row) for row in book["act"]]
    rows += _frost_covers(book)
    for campaign in book["campaign"]:
        rows += _rubbing(campaign, book["rub"]["rounds_d"], ground.today, rng)
        for n in range(1, campaign["n"] + 1):
            graft = grafts[f"{campaign['code']}-{n}"]
            rows += _aftercare(campaign, n, graft, looks[graft.code])
    for tree, day, count in book["rub"]["last"]:
        rows.append({"kind": "rub", "on": day, "tree": tree, "count": count})
    for row in sorted(rows, key=lambda r: when(r["on"], ground.today)):
        day = when(row["on"], ground.today)
        fields: dict[str, Any] = {k: v for k, v in row.items() if k not in (*TARGETS, "kind", "on")}
        targets = {k: ground.thing[row[k]] for k in TARGETS if k in row}
        kind = check_act(row["kind"], len(targets))
        ground.add(pen.first(Act, day.last, kind=kind, on=day, **targets, **fields))


def _frost_covers(book: Table) -> list[Table]:
    rows: list[Table] = []
    for cover in book["cover"]:
        what = {k: v for k, v in cover.items() if k in TARGETS or k == "detail"}
        rows.append({"kind": "cover on", "on": cover["on"]} | what)
        if cover["off"]:
            rows.append({"kind": "cover off", "on": cover["off"]} | what)
    return rows


def _rubbing(campaign: Table, rounds_d: list[int], today: date, rng: np.random.Generator) -> list[Table]:
    rows: list[Table] = []
    set_on = date.fromisoformat(campaign["set_on"])
    for tree in campaign["trees"]:
        for days in rounds_d:
            day = set_on + timedelta(days=days)
            count = int(rng.poisson(SHOOTS * np.exp(-days / SHOOTS_D) + SHOOTS_REST))
            if day <= today:
                rows.append({"kind": "rub", "on": day.isoformat(), "tree": tree, "count": count})
    return rows


def _aftercare(campaign: Table, n: int, graft: Graft, looks: list[Look]) -> list[Table]:
    set_on, code = graft.set_on.first, graft.code
    lost = next((k.on.first for k in looks if k.state in LOST), None)
    if campaign.get("silent"):
        lost = None  # written off by mistake: it was cared for all along
    rows: list[Table] = []

    def add(kind: str, day: date, detail: str = "", note: str = "") -> None:
        rows.append({"kind": kind, "on": day.isoformat(), "graft": code, "detail": detail, "note": note})

    if graft.cover:
        off = set_on + timedelta(days=COVER_OFF_D)
        check = set_on + timedelta(days=WRAP_CHECK_D)
        if not lost or check < lost:
            add("wrap check", check, graft.cover)
        add("cover off", min(off, lost) if lost else off, graft.cover)
    release = date.fromisoformat(campaign["release_on"])
    if n not in campaign.get("unreleased", []) and (not lost or release < lost):
        add("release", release, graft.binding)
    late = campaign.get("late_release")
    if late and late["graft"] == n:
        add("release", date.fromisoformat(late["on"]), graft.binding, late["note"])
    long = next((k for k in looks if (k.shoot_mm or 0.0) >= BRACE_MM and k.state not in LOST), None)
    if long and n not in campaign.get("no_brace", []):
        add("brace", long.on.first, "stake")
    return rows
