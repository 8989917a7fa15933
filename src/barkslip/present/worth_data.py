"""Keep, rework or replace as plain data."""

from __future__ import annotations

from typing import Any

from barkslip.domain.worth import WorthAnswer
from barkslip.present import units as u
from barkslip.present import worth


def worth_data(v: WorthAnswer) -> dict[str, Any]:
    """The whole answer."""
    return {
        "tree": v.tree,
        "name": v.name,
        "kind": v.kind,
        "to": v.to,
        "verdict": worth.headline(v).replace(u.NBSP, " "),
        "best": v.best,
        "close_to": v.close or None,
        "ways": [
            {
                "code": w.code,
                "years_good_fruit": round(w.value, 4),
                "p10": round(w.low, 4),
                "p90": round(w.high, 4),
                "brings_more_than_best": round(w.more, 3),
                "barred": w.barred or None,
            }
            for w in v.ways
        ],
        "value_of_knowing": {"all": round(v.known, 4)} | {k: round(x, 4) for k, x in v.known_by.items()},
        "turns": [
            {"number": t.key, "at": round(t.at, 4), "becomes": t.becomes, "within_range": t.within} for t in v.turns
        ],
        "inputs": [
            {
                "number": i.key,
                "value": i.value,
                "low": i.low,
                "high": i.high,
                "how": i.how,
                "source": i.source or None,
                "status": i.status or None,
            }
            for i in v.inputs
        ],
        "tastings": [
            {"on": t.on, "score9": t.score9, "fruit_n": t.fruit_n, "left_out": t.left_out or None} for t in v.tastings
        ],
        "trend": v.trend or None,
        "bearing": [
            {
                "tree": b.tree,
                "what": b.what,
                "since": b.since,
                "first_crop": b.first_crop or None,
                "years": round(b.years, 2) if b.years is not None else None,
                "expected_from": b.expected[0] if b.expected else None,
                "expected_by": b.expected[1] if b.expected else None,
                "source": b.source or None,
                "status": b.status or None,
            }
            for b in v.bearing
        ],
        "join": v.join or None,
        "join_share": round(v.join_share, 3),
        "again": v.again or None,
        "union": v.union,
        "fit": v.fit or None,
        "first_of_all": [line.replace(u.NBSP, " ") for line in worth.first_of_all(v)],
        "notes": list(v.notes),
        "values": {
            k: {"value": x.value, "low": x.low, "high": x.high, "source": x.source, "status": x.status}
            for k, x in v.values.items()
        },
    }
