"""What fits as plain data: what `barkslip fits --json` and the page's JSON say."""

from __future__ import annotations

from typing import Any

from barkslip.domain.fits import FitTable, FitVerdict, JoinFit, Level, PairFit, Remedy, Report
from barkslip.present import fits
from barkslip.present.keyed import said
from barkslip.present.records import record

_DIGITS = 4


def fit_data(v: FitVerdict) -> dict[str, Any]:
    """The whole answer on one top and one chain."""
    return {
        "verdict": v.verdict,
        "words": said(fits.headline(v)),
        "scion": v.scion.name,
        "chain": [_level(level) for level in v.levels],
        "tree": v.tree,
        "shares": {verdict: round(share, _DIGITS) for verdict, share in v.shares.items()},
        "decides": None if v.decides is None else _pair(v.decides) | {"share": round(v.share, _DIGITS)},
        "new_joins": v.own_verdict,
        "pairs": [row for join in v.joins for row in _join(join)],
        "remedies": [_remedy(r) for r in v.remedies],
        "look_alikes": [
            {"disease": r.pathogen_name, "key": r.pathogen, "sign": r.sign, "condition": r.condition}
            for r in v.look_alikes
        ],
        "notes": [said(words) for words in fits.notes(v.notes)],
        "note_codes": list(v.notes),
        "sources": {key: {"citation": s.citation, "where": s.where, "seen": s.seen} for key, s in v.sources.items()},
    }


def _level(level: Level) -> dict[str, Any]:
    return {
        "level": level.level,
        "answers": [
            {"name": c.words, "kinds": [k.name for k in c.kinds], "belief_share": round(c.share, _DIGITS),
             "guessed": c.guessed}
            for c in level.choices
        ],
    }  # fmt: skip


def _join(join: JoinFit) -> list[dict[str, Any]]:
    rows = []
    for pair, share in join.pairs:
        if join.through and not pair.reports:
            continue
        rows.append(
            _pair(pair) | {"upper_level": join.upper, "lower_level": join.lower, "share": round(share, _DIGITS)}
        )
    return rows


def _pair(pair: PairFit) -> dict[str, Any]:
    low, high = pair.years_to_sign
    return {
        "upper": pair.upper.name,
        "lower": pair.lower.name,
        "verdict": pair.verdict,
        "touching": not pair.through,
        "doubt_only": pair.doubt_only,
        "by_disease_only": pair.disease_only,
        "years_to_sign": None if low is None and high is None else {"low": low, "high": high},
        "sign": "; ".join(pair.signs),
        "sources": list(pair.sources),
        "reports": [_report(r) for r in pair.reports],
        "overruled": [_report(r) for r in pair.aside],
        "if_infected": [_report(r) for r in pair.if_infected],
    }


def _report(report: Report) -> dict[str, Any]:
    value = report.years
    return {
        "key": report.key,
        "name": report.name,
        "verdict": report.verdict,
        "cause": report.cause,
        "goes_through_a_piece": report.carried,
        "strength": report.strength,
        "sign": report.sign,
        "condition": report.condition,
        "disease": report.pathogen_name,
        "years": record(value),
    }


def _remedy(remedy: Remedy) -> dict[str, Any]:
    return {
        "code": remedy.code,
        "name": remedy.kind.name if remedy.kind else "",
        "verdict": remedy.verdict,
        "below": remedy.below,
        "named_by_report": remedy.named,
        "words": said(fits.remedy_text(remedy)),
        "source": remedy.source,
    }


def table_data(t: FitTable) -> dict[str, Any]:
    """All varieties on one chain, or one top on all stocks."""
    return {
        "words": said(fits.table_headline(t)),
        "scion": t.scion.name if t.scion else "",
        "chain": [_level(level) for level in t.levels],
        "tree": t.tree,
        "standing": None if t.standing is None else _pair(t.standing.worst),
        "rows": [
            {"name": r.kind.name, "key": r.kind.key, "verdict": r.verdict, "share": round(r.share, _DIGITS),
             "decides": "" if r.decides is None else said(fits.pair_name(r.decides)),
             "sources": [] if r.decides is None else list(r.decides.sources)}
            for r in t.rows
        ],
        "notes": [said(words) for words in fits.notes(t.notes)],
        "note_codes": list(t.notes),
    }  # fmt: skip
