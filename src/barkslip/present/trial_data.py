"""Trials as plain data: what `barkslip trial --json` and the pages' JSON say.

Values of arms are in `unit`: shares for takes, kelvin or Fahrenheit differences, else the unit of what is looked at.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from barkslip.domain.trial_result import LOOKED_AT, Comparison, TrialResult, TrialStory
from barkslip.domain.units import METRIC, UnitChoice, k_to_f_difference
from barkslip.present import trial
from barkslip.present.keyed import said
from barkslip.present.records import record

_DIGITS = 4
Turn = Callable[[float | None], float | None]


def list_data(stories: list[TrialStory], units: UnitChoice = METRIC) -> dict[str, Any]:
    """All trials, a line each."""
    return {
        "trials": [
            {"code": s.trial.code, "season": s.trial.season, "question": s.trial.question,
             "planned": s.plan is not None, "kind": s.result.kind, "words": said(trial.headline(s, units))}
            for s in stories
        ]
    }  # fmt: skip


def story_data(story: TrialStory, units: UnitChoice = METRIC) -> dict[str, Any]:
    """One trial with its result."""
    return {
        "trial": record(story.trial, units),
        "plan": None if story.plan is None else record(story.plan, units),
        "words": said(trial.headline(story, units)),
        "result": result_data(story.result, units),
        "beside": [
            {
                "code": b.code,
                "nights": b.nights,
                "n": b.n,
                "arm": b.arm,
                "value": _turn(story.result.of, units)(b.value),
            }
            for b in story.beside
        ],
        "planned": [record(row) for row in story.sizes],
        "cautions": [said(words) for words in trial.cautions(story, units)],
        "readings": story.n_readings,
    }


def result_data(r: TrialResult, units: UnitChoice = METRIC) -> dict[str, Any]:
    """What a trial shows."""
    turn = _turn(r.of, units)
    return {
        "kind": r.kind,
        "of": r.of,
        "unit": _unit(r.of, units),
        "counts_as_one": r.replicate,
        "blocks": r.n_blocks,
        "nights": r.nights,
        "arms": [
            {"arm": a.arm, "n": a.n, "readings": a.readings, "took": a.took, "value": turn(a.value),
             "low": turn(a.low), "high": turn(a.high)}
            for a in r.arms
        ],
        "pairs": [_pair(p, turn) for p in r.pairs],
        "as_read": [_pair(p, turn) for p in r.as_read],
        "corrections": [record(c, units) for c in r.corrections],
        "tied": [record(t) for t in r.tied],
        "by_block": [
            {"block": b.block, "arms": {arm: {"took": took, "n": n} for arm, (took, n) in b.counts.items()}}
            for b in r.blocks
        ],
        "after_a_year": [
            {"arm": s.arm, "alive": s.alive if s.known else None, "known": s.known, "n": s.n,
             "known_from": None if s.due is None else s.due.isoformat()}
            for s in r.later
        ],
        "apart": [result_data(part, units) for part in r.apart],
        "sees": [record(row) for row in r.sizes],
        "worth_knowing": r.worth_knowing,
        "notes": list(r.notes),
        "grafts_say": [{"arm": arm, "took": took, "n": n} for arm, took, n in r.against_typed],
    }  # fmt: skip


def _pair(p: Comparison, turn: Turn) -> dict[str, Any]:
    return {
        "arm": p.arm,
        "against": p.against,
        "verdict": p.verdict,
        "difference": turn(p.difference),
        "low": turn(p.low),
        "high": turn(p.high),
        "better": None if p.better is None else round(p.better, _DIGITS),
        "p": round(p.p_value, 6),
        "p_in_blocks": None if p.in_blocks_p is None else round(p.in_blocks_p, 6),
    }


def _unit(of: str, units: UnitChoice) -> str:
    if of == "took":
        return "share"
    unit = LOOKED_AT.get(of, ("", "", None))[1]
    return "°F difference" if unit == "K" and units.temperature == "°F" else unit


def _turn(of: str, units: UnitChoice) -> Turn:
    fahrenheit = LOOKED_AT.get(of, ("", "", None))[1] == "K" and units.temperature == "°F"

    def turned(value: float | None) -> float | None:
        if value is None:
            return None
        return round(k_to_f_difference(value) if fahrenheit else value, _DIGITS)

    return turned
