"""Blades in the order of their days, wood given away and what is held back in the demo."""

from __future__ import annotations

from barkslip.demo.pen import Pen
from barkslip.demo.place import Ground
from barkslip.demo.scenario import Table, when
from barkslip.domain.clean import SUSPICIONS, Handout, Hold, ToolUse


def write_clean(pen: Pen, book: Table, ground: Ground) -> None:
    """Append uses of tools, wood given away and holds, by day."""
    for row in sorted(book["tool_day"], key=lambda r: str(r["on"])):
        on = when(row["on"], ground.today)
        for place, (kind, code, cleaned) in enumerate(row["cut"], start=1):
            known = place if row.get("order_known", True) else 0
            target = {kind: ground.thing[code]}
            ground.add(pen.first(ToolUse, on.last, tool=row["tool"], on=on, place=known, cleaned=cleaned, **target))
    for row in sorted(book["handout"], key=lambda r: str(r["on"])):
        on = when(row["on"], ground.today)
        given = row | {"on": on, "lot": ground.thing[row["lot"]]}
        ground.add(pen.first(Handout, on.last, **given))
    for row in sorted(book["hold"], key=lambda r: str(r["on"])):
        if row["why"] not in SUSPICIONS:
            raise ValueError(f"no such suspicion: {row['why']}")
        on = when(row["on"], ground.today)
        given = row | {"on": on} | {k: ground.thing[row[k]] for k in ("tree", "graft", "lot") if k in row}
        ground.add(pen.first(Hold, on.last, **given))
