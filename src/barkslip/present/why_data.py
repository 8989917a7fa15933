"""Why a graft was lost, as plain data."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from barkslip.domain.why import LostGraft, WhyAnswer
from barkslip.present import units as u
from barkslip.present import why


def why_data(v: WhyAnswer) -> dict[str, Any]:
    """The whole answer. The cause of living things keeps its key and never gets a name."""
    return {
        "verdict": why.headline(v).replace(u.NBSP, " "),
        "cause": v.cause or None,
        "cannot_tell": round(v.cannot_tell, 4),
        "grafts": [_graft(g) for g in v.grafts],
        "next_looks": [
            {
                "look": n.question,
                "bits": round(n.bits, 4),
                "would": [{"answer": a, "leads": c, "p": round(p, 4)} for a, c, p in n.would],
            }
            for n in v.next_looks
        ],
        "same_cause": round(v.same, 4) if v.same is not None else None,
        "shared": {c: round(p, 4) for c, p in v.shared},
        "found_out": dict(v.found),
        "no_disease_verdict": why.never_text().replace(u.NBSP, " "),
        "tables": {"status": "assumption", "note": "declared judgement, editable"},
        "values": {k: {"value": x.value, "source": x.source, "status": x.status} for k, x in v.values.items()},
    }


def _graft(g: LostGraft) -> dict[str, Any]:
    return {
        "graft": g.code,
        "name": g.name,
        "tree": g.tree,
        "standing": g.standing,
        "lost": g.lost,
        "seen": g.seen or None,
        "late": g.late,
        "answers": [{"look": a.question, "answer": a.answer, "how": a.how, "facts": list(a.facts)} for a in g.answers],
        "causes": [
            {
                "cause": b.cause,
                "p": round(b.p, 4),
                "p05": round(b.low, 4),
                "p95": round(b.high, 4),
                "before": round(b.before, 4),
                "speaks": {q: round(f, 3) for q, f in b.speaks},
            }
            for b in g.beliefs
        ],
        "last_days": asdict(g.last) if g.last is not None else None,
    }
