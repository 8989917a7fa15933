"""What took as plain data: what `barkslip take --json` and the page's JSON say."""

from __future__ import annotations

from typing import Any

from barkslip.domain.take import Curve, Range, TakeGroup, TakeVerdict
from barkslip.present import take
from barkslip.present.keyed import said

_DIGITS = 4


def take_data(v: TakeVerdict) -> dict[str, Any]:
    """The whole answer."""
    return {
        "by": v.by,
        "as_of": v.as_of.isoformat() if v.as_of else None,
        "words": said(take.headline(v)),
        "groups": [_group(g) for g in v.groups],
        "whole": _group(v.whole),
        "pairs": [
            {
                "better": p.better,
                "worse": p.worse,
                "chance": _short(p.chance),
                "told": p.told,
                "points": _range(p.points),
                "chance_more_than_10_points": _short(p.apart),
                "needed_each": p.needed_each,
                "never_shared": list(p.never_together),
            }
            for p in v.pairs
        ],
        "confounded": [{"group": a.group, "with": a.what, "value": a.value} for a in v.alone],
        "odds_of_loss_times": {name: _range(r) for name, r in v.effects},
        "notes": [said(words) for words in take.notes(v)],
        "note_codes": list(v.notes),
        "left_out": v.left_out,
        "all_others": list(v.lumped),
        "seed": v.seed,
        "draws": v.draws,
        "draws_worth": round(v.ess, 1),
        "knowledge_hash": v.knowledge_hash,
    }


def _group(g: TakeGroup) -> dict[str, Any]:
    return {
        "group": g.group,
        "n": g.n,
        "took": g.took,
        "waiting": g.waiting,
        "lost": g.lost,
        "lost_after_taking": g.lost_after,
        "take_26w": _range(g.take_26w),
        "stands_26w": _range(g.stands_26w),
        "prior_share": _short(g.shares.prior),
        "other_grafts_share": _short(g.shares.others),
        "own_share": _short(g.shares.own),
        "ranked": g.ranked,
        "better_than": {name: _short(chance) for name, chance in g.better_than.items()},
        "needed": g.needed,
        "needed_for": f"to tell from {g.needed_for}" if g.needed_for else "ten points either way",
        "after_a_year": {
            "alive": g.year.alive,
            "known": g.year.known,
            "waiting": g.year.waiting,
            "last_due": g.year.due.isoformat() if g.year.due else None,
        },
        "stock_low_mm": g.stock_mm[0] if g.stock_mm else None,
        "stock_high_mm": g.stock_mm[1] if g.stock_mm else None,
        "curve": _curve(g.curve) if g.curve else None,
    }


def _curve(c: Curve) -> dict[str, Any]:
    return {
        "weeks": [round(w, 2) for w in c.weeks],
        "pushed": [_short(x) for x in c.pushed],
        "failed": [_short(x) for x in c.failed],
        "lost_to_other_causes": [_short(x) for x in c.other],
        "standing": [_short(x) for x in c.standing],
        "standing_low": [_short(x) for x in c.low],
        "standing_high": [_short(x) for x in c.high],
        "at_risk": list(c.at_risk),
    }


def _range(r: Range) -> dict[str, float]:
    return {"p05": _short(r.p05), "p50": _short(r.p50), "p95": _short(r.p95)}


def _short(value: float) -> float:
    return round(value, _DIGITS)
