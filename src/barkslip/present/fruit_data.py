"""What the fruit will be, and the year of fruit, as plain data."""

from __future__ import annotations

from typing import Any

from barkslip.domain.calendar import Partner, PollenCard, Ripe, RipeYear
from barkslip.domain.fruit import Beside, FruitVerdict, Quantity, Range, Score, StockFruit
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import calendar, fruit
from barkslip.present.keyed import Keys, each, said
from barkslip.present.records import record

_DIGITS = 4


def fruit_data(v: FruitVerdict, units: UnitChoice = METRIC) -> dict[str, Any]:
    """The whole answer."""
    return {
        "words": said(fruit.headline(v)),
        "variety": v.variety.name,
        "tree": v.tree,
        "stocks": [_stock(s, units) for s in v.stocks],
        "beside": [_beside(b) for b in v.beside],
        "counted": [
            {"part": c.part, "number": record(c.value), "range": None if c.range is None else _range(c.range)}
            for c in v.counted
        ],
        "ripe_half_months": [{"first": a, "last": b} for a, b in v.months],
        "ripe": [said(calendar.window_text(w)) for w in v.months],
        "south": v.turned,
        "years": [{"what": topic, "number": record(value)} for topic, value in v.years],
        "cold": _cold(v, units),
        "dry": {"here": [said(t) for t in fruit.dry_text(v)], "causes": [said(t) for t in fruit.dry_causes(v)]},
        "standards": [{"what": topic, "number": record(value)} for topic, value in v.standards],
        "no_difference": [{"variety": name, "number": record(value)} for name, value in v.alike],
        "own_tastings": [record(t) for t in v.own],
        "promise": said(fruit.no_promise(v)),
        "notes": [said(n) for n in fruit.notes(v.notes)],
        "note_codes": list(v.notes),
        "sources": {key: {"citation": s.citation, "where": s.where, "seen": s.seen} for key, s in v.sources.items()},
    }


def _range(span: Range) -> dict[str, float]:
    return {name: round(getattr(span, name), _DIGITS) for name in ("low", "middle", "high")}


def _stock(s: StockFruit, units: UnitChoice) -> dict[str, Any]:
    return {
        "on": s.words,
        "kinds": [{"name": k.name, "belief_share": round(share, _DIGITS)} for k, share in s.kinds],
        "quantities": [_quantity(q) for q in s.quantities],
        "dry": [record(v) for v in s.dry],
        "scores": [_score(x, units) for x in s.scores],
    }


def _quantity(q: Quantity) -> dict[str, Any]:
    return {
        "what": q.code,
        "unit": "ratio" if q.unit == "1" else q.unit,
        "against_a_middling_stock": q.against,
        **_range(q.range),
        "basis": q.basis,
        "voices": q.voices,
        "recalled_only": q.recalled,
        "own_tastings": q.own,
        "sources": list(q.sources),
    }


def _score(s: Score, units: UnitChoice) -> dict[str, Any]:
    return {
        "trait": s.trait,
        "name": s.label,
        "step_1_to_5": s.step,
        "words": s.words,
        "sources_differ": s.differ,
        "opinions": [record(v, units) for v in s.opinions],
    }


def _beside(b: Beside) -> dict[str, Any]:
    return {
        "what": b.code,
        "unit": "ratio" if b.unit == "1" else b.unit,
        **_range(b.range),
        "chance_second_has_more": round(b.chance, _DIGITS),
        "words": said(fruit.beside_text(b)),
    }


def _cold(v: FruitVerdict, units: UnitChoice) -> dict[str, Any]:
    keys = Keys(units)
    return {
        "words": [said(t) for t in fruit.cold_text(v.cold, units)],
        "variety": record(v.cold.variety_class),
        "limits": [{"what": topic, "number": record(value, units)} for topic, value in v.cold.limits],
        "plot": v.cold.plot,
        "lows": [{"year": year} | keys.temp("low", low) for year, low in v.cold.lows],
    }


# -- the year -----------------------------------------------------------------------------------------------


def ripe_data(y: RipeYear) -> dict[str, Any]:
    """The garden's year."""
    return {
        "words": said(calendar.headline(y)),
        "south": y.south,
        "kinds": [_ripe(r) for r in y.ripe],
        "gaps": [
            {
                "first_half_month": g.first,
                "last_half_month": g.last,
                "words": said(calendar.gap_text(g)),
                "fills": [_ripe(kind) | {"share_filled": each(share)} for kind, share in g.fills],
            }
            for g in y.gaps
        ],
        "pollen": [_pollen(c) for c in y.pollen],
        "names_not_known": list(y.unknown),
        "sources": {key: {"citation": s.citation, "seen": s.seen} for key, s in y.sources.items()},
    }


def _ripe(r: Ripe) -> dict[str, Any]:
    return {
        "name": r.kind.name,
        "for_the_kitchen": r.kitchen,
        "half_months": [{"first": a, "last": b} for a, b in r.windows],
        "words": said(calendar.windows_text(r)),
        "season": record(r.season),
        "first_fruit": r.first_fruit,
        "trees": list(dict.fromkeys(p.tree for p in r.places)),
    }


def _pollen(c: PollenCard) -> dict[str, Any]:
    return {
        "name": c.ripe.kind.name,
        "need": c.need,
        "foreign_pollen_brings_seeds": c.seedy,
        "known": [{"what": what, "number": record(value)} for what, value in c.words],
        "partners": [_partner(p) for p in c.partners],
        "seeds": [
            {
                "tree": s.tree,
                "counts": [{"on": day, "seeds_per_fruit": count} for day, count in s.counts],
                "rose": s.rose,
                "explained_by": None if s.explains is None else _partner(s.explains),
                "bloom": s.bloom,
                "words": said(calendar.seeds_text(s, c.ripe.kind.name)),
            }
            for s in c.seeds
        ],
    }


def _partner(p: Partner) -> dict[str, Any]:
    return {
        "name": p.kind.name,
        "near": p.near,
        "pollen": p.gives,
        "trees": list(dict.fromkeys(x.tree for x in p.places)),
        "since": next((x.since for x in p.places if x.since), ""),
    }
