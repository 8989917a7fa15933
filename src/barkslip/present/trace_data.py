"""A trace as plain data: what `barkslip trace --json` and the page's JSON say."""

from __future__ import annotations

from typing import Any

from barkslip.domain.known import Row
from barkslip.domain.trace import Contact, Odds, Reached, Trace
from barkslip.present import trace as words
from barkslip.present.keyed import said


def trace_data(trace: Trace) -> dict[str, Any]:
    """The whole answer."""
    nodes = trace.nodes
    return {
        "verdict": said(words.headline(trace)),
        "from": _named(trace, trace.origin) | {"name": nodes[trace.origin].name},
        "why": trace.why,
        "agent": trace.agent.key if trace.agent is not None else "",
        "backward": trace.backward,
        "since": trace.since.isoformat() if trace.since else None,
        "reached": [_reached(trace, one) for one in trace.reached],
        "received": [
            {"receiver": g.receiver, "lot": g.lot, "on": g.on.isoformat(), "sticks": g.sticks} | _odds(g.odds)
            for g in trace.given
        ],
        "hold": [_named(trace, i) | {"held_already": nodes[i].held} for i in trace.hold],
        "test": [_named(trace, i) | {"bits": round(bits, 4)} for i, bits in trace.test],
        "contacts": [_contact(trace, c) for c in trace.contacts],
        "cleanings": [
            {"words": c.words, "code": c.code, "record": c.row.key if c.row else "",
             "says": words.cleaning_words(c), "clears": _odds(c.clears)}
            for c in trace.cleanings
        ],
        "problems": [
            {"code": p.code, "about": p.about, "detail": p.detail, "says": said(words.problem_words(p))}
            for p in trace.problems
        ],
        "numbers": [
            {"for": key, "value": v.value, "unit": v.unit, "low": v.low, "high": v.high, "applies_to": v.applies_to,
             "status": v.status, "source": v.source, "note": v.note}
            for key, v in (trace.agent.values if trace.agent is not None else ())
        ],
        "unknowns": [said(w) for w in words.unknown_words(trace)],
        "unknown_codes": list(trace.unknowns),
        "cautions": [said(w) for w in words.caution_texts(trace)],
        "caution_codes": words.caution_codes(trace),
        "exact": trace.exact,
        "worlds": trace.worlds,
        "seed": trace.seed,
        "knowledge_hash": trace.knowledge_hash,
    }  # fmt: skip


def _named(trace: Trace, place: int) -> dict[str, Any]:
    return {"kind": trace.nodes[place].kind, "id": trace.nodes[place].id}


def _odds(odds: Odds) -> dict[str, Any]:
    return {
        "chance": round(odds.best, 6),
        "chance_low": round(odds.low, 6),
        "chance_high": round(odds.high, 6),
        "known": odds.known,
    }


def _reached(trace: Trace, one: Reached) -> dict[str, Any]:
    node = trace.nodes[one.node]
    way = words.first_way(trace, one.node)
    via = None if way is None else way.target if trace.backward else way.source
    return {
        "kind": node.kind,
        "id": node.id,
        "earliest": one.earliest.isoformat() if one.earliest else None,
        "latest": one.latest.isoformat() if one.latest else None,
        **_odds(one.odds),
        "steps": one.steps,
        "way": way.way if way is not None else "",
        "via": None if via is None else _named(trace, via),
        "name": node.name,
        "state": node.state,
        "held": node.held,
        "soiled_still": None if one.now is None else _odds(one.now),
    }


def _contact(trace: Trace, contact: Contact) -> dict[str, Any]:
    return {
        "from": _named(trace, contact.source),
        "to": _named(trace, contact.target),
        "way": contact.way,
        "on": contact.on.isoformat(),
        "first": contact.first,
        **_odds(contact.odds),
    }


def card_data(row: Row) -> dict[str, Any]:
    """A disease's card."""
    recalled = row.cell_list("recalled")
    return {
        "key": row.key,
        "name": row.cell("name"),
        "says": [{"word": word, "text": text, "recalled": key in recalled} for key, word, text in card_lines(row)],
        "source": row.cell("source"),
        "status": row.cell("status"),
        "cautions": [words.NO_VERDICT, said(words.ASK)],
    }


_CARD = (
    ("agent", "What it is"),
    ("by_graft", "By grafts"),
    ("by_tool", "By tools"),
    ("vector", "By insects or otherwise"),
    ("by_seed", "By seed"),
    ("hosts", "Harms"),
    ("carriers", "Carried without a sign by"),
    ("index_plant", "Tested on"),
    ("moving", "Moving wood"),
    ("note", "Note"),
)
_TRAITS = {"index_months": ("Shown there after", "months"), "field_months": ("In the field after", "months"),
           "field_years": ("In the field after", "years")}  # fmt: skip


def card_lines(row: Row) -> list[tuple[str, str, str]]:
    """(column, word, text) of a disease's card; what is not known is left out."""
    out = [(key, word, row.cell(key)) for key, word in _CARD[:8] if row.cell(key)]
    for trait, (word, unit) in _TRAITS.items():
        value = row.first(trait)
        if value is not None and value.low is not None:
            span = (
                f"{value.low:g} to {value.high:g} {unit}" if value.high is not None else f"{value.low:g} {unit} or more"
            )
            note = f"; {value.note[:1].lower()}{value.note[1:]}".rstrip(".") if value.note else ""
            out.append((trait, word, f"{span}{note} ({value.status})"))
    return out + [(key, word, row.cell(key)) for key, word in _CARD[8:] if row.cell(key)]


def card_text(row: Row) -> list[tuple[str, str]]:
    """(word, text), with what is only recalled said so."""
    recalled = row.cell_list("recalled")
    every = row.cell("status") == "recalled"
    return [
        (
            word,
            f"{text} (recalled)" if key in recalled or (every and key != "moving" and "recalled" not in text) else text,
        )
        for key, word, text in card_lines(row)
    ]
