"""Juice and tastings as plain data: what `barkslip taste --json` and the pages' JSON say."""

from __future__ import annotations

from typing import Any

from barkslip.domain.taste import JuiceScore, TasteLine, TasteSheet, TastingVerdict
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import taste
from barkslip.present.keyed import Keys, said
from barkslip.present.records import record

_DIGITS = 4


def juice_data(j: JuiceScore, units: UnitChoice = METRIC) -> dict[str, Any]:
    """One juice."""
    return {
        "words": said(taste.juice_headline(j)),
        "brix_read": j.brix_read,
        **Keys(units).temp("temp", j.temp_c),
        "brix_for_temperature": _round(j.for_temp),
        "brix": _round(j.brix),
        "acid_pct": _round(j.acid_pct),
        "brix_for_acid": _round(j.for_acid),
        "solids_pct": _round(j.solids),
        "ratio": _round(j.ratio),
        "index_16_5": _round(j.index_16_5),
        "index_least": j.index_least,
        "titration": None if j.titration is None else record(j.titration),
        "juice_pct": j.juice_pct,
        "fruit": j.fruit,
        "standards": [
            {"key": c.key, "standard": c.standard, "fruit": c.fruit, "criterion": c.criterion,
             "condition": c.condition, "least": c.least, "unit": c.unit, "found": _round(c.found), "met": c.met,
             "status": c.value.status, "source": c.value.source}
            for c in j.standards
        ],
        "notes": [said(words) for words in taste.juice_notes(j)],
        "sources": {key: {"citation": s.citation, "where": s.where, "seen": s.seen} for key, s in j.sources.items()},
    }  # fmt: skip


def lines_data(lines: tuple[TasteLine, ...], units: UnitChoice = METRIC) -> dict[str, Any]:
    """Tastings of the book, judged."""
    return {
        "varieties": [
            {"tree": line.tree_code, "variety": line.variety, "words": said(taste.line_headline(line)),
             "verdict": line.newest.verdict, "tastings": [verdict_data(v, units) for v in line.tastings]}
            for line in lines
        ]
    }  # fmt: skip


def verdict_data(v: TastingVerdict, units: UnitChoice = METRIC) -> dict[str, Any]:
    """One tasting, judged."""
    keys = Keys(units)
    return {
        "tasting": record(v.tasting, units),
        "verdict": v.verdict,
        "words": said(taste.verdict_headline(v)),
        "too_early": list(v.early),
        "crop": v.crop,
        "crop_counted": v.crop_counted,
        "identity": record(v.identity),
        "frost": None if v.frost is None else {"day": v.frost[0], **keys.temp("low", v.frost[1])},
        "juice": None if v.juice is None else juice_data(v.juice, units),
        "dry_share": _round(v.dry_share),
        "dry_causes": [record(c) for c in v.dry],
        "notes": [said(words) for words in taste.verdict_notes(v)],
        "note_codes": list(v.notes),
    }


def sheet_data(sheet: TasteSheet) -> dict[str, Any]:
    """A coded tasting."""
    return {
        "seed": sheet.seed,
        "samples": [{"code": code, "sample": name} for code, name in sheet.samples],
        "tasters": [list(order) for order in sheet.orders],
    }


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, _DIGITS)
