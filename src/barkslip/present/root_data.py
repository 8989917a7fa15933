"""What a tree stands on as plain data: what `barkslip root --json` and the page's JSON say."""

from __future__ import annotations

from typing import Any

from barkslip.domain.root import CountedLook, LookQuestion, NextLook, RootBelief, RootVerdict
from barkslip.present import root
from barkslip.present.keyed import said
from barkslip.present.records import record

_DIGITS = 4


def root_data(v: RootVerdict) -> dict[str, Any]:
    """The whole answer."""
    return {
        "words": said(root.headline(v)),
        "settled": v.settled,
        "beliefs": [_belief(b) for b in v.beliefs],
        "classes": [{"name": c.name, "groups": list(c.groups), **_range(c.p, c.low, c.high)} for c in v.classes],
        "next_look": [_next(n) for n in v.next_looks],
        "looks": [_look(c) for c in v.looks],
        "contradictions": [
            {"code": c.code, "looks": [look.key for look in c.looks], "words": said(root.clash_text(c))}
            for c in v.clashes
        ],
        "tree": v.tree,
        "from_belief": None if v.base is None else record(v.base),
        "older_looks": [f"{s.question}={s.answer}" for s in v.older],
        "do_not_cut": [limb.address for limb in v.limbs],
        "caution": root.DO_NOT_CUT,
        "notes": [said(words) for words in ([root.WEAK] if v.weak_only else []) + root.notes(v)],
        "note_codes": list(v.notes),
        "history": [record(link) for link in v.history],
        "kept": v.kept,
        "sources": {key: {"citation": s.citation, "where": s.where, "seen": s.seen} for key, s in v.sources.items()},
    }


def _range(p: float, low: float, high: float) -> dict[str, float]:
    return {"p": round(p, _DIGITS), "low": round(low, _DIGITS), "high": round(high, _DIGITS)}


def _belief(b: RootBelief) -> dict[str, Any]:
    return {
        "stock": b.stock,
        **_range(b.p, b.low, b.high),
        "before": round(b.was, _DIGITS),
        "group": b.group,
        "stocks": list(b.stocks),
        "speaks_for": list(b.speaks_for),
        "speaks_against": list(b.speaks_against),
        "in_the_book": b.named,
    }


def _next(n: NextLook) -> dict[str, Any]:
    return {
        "look": n.question.key,
        "bits": round(n.bits, _DIGITS),
        "asked": n.question.asked,
        "answers": [
            {"look": a.look.key, "text": a.look.text, "chance": round(a.chance, _DIGITS), "stock": a.stock,
             "p": round(a.p, _DIGITS)}
            for a in n.answers
        ],
    }  # fmt: skip


def _look(c: CountedLook) -> dict[str, Any]:
    return {
        "look": c.look.key,
        "text": c.look.text,
        "sign": None if c.sign is None else c.sign.id,
        "implied": c.implied,
        "known": c.look.known,
        "status": c.look.status,
        "source": c.look.source,
    }


def questions_data(questions: tuple[LookQuestion, ...]) -> dict[str, Any]:
    """All questions with their answers."""
    return {
        "questions": [
            {
                "question": q.key,
                "asked": q.asked,
                "about_its_past": q.place,
                "only_after": q.only_after,
                "answers": [
                    {"look": a.key, "text": a.text, "known": a.known, "words": dict(a.words)} for a in q.answers
                ],
            }
            for q in questions
        ]
    }
