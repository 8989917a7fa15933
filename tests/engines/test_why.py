"""Causes of lost grafts against figures worked out by hand from the declared tables."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from barkslip.domain.why import CAUSES, CIRCUMSTANCES, LOOKS, CauseTable, read_answers
from barkslip.engines import why as engine
from barkslip.knowledge.load import load

ROWS = load().table("why")


def numbers(row: object) -> tuple[float, ...]:
    return tuple(float(row.cell(c)) for c in CAUSES)  # type: ignore[attr-defined]


TABLE = CauseTable(
    prior=next(numbers(r) for r in ROWS if r.cell("kind") == "prior"),
    odds={r.key: numbers(r) for r in ROWS if r.cell("kind") == "context"},
    signs={r.key: numbers(r) for r in ROWS if r.cell("kind") == "sign"},
)
HEAT = {"heat": "hot", "scion": "brown", "neighbours": "dead"}


def believed(answers: dict[str, str]) -> dict[str, float]:
    return {b.cause: b.p for b in engine.beliefs(TABLE, answers)[0]}


def test_no_callus_alone_by_hand() -> None:
    """0.25 x 0.85 over the sum of all seven: 0.2125 / 0.456."""
    assert believed({"union": "none"})["poor_cambium"] == pytest.approx(0.2125 / 0.456)
    assert believed({"union": "none"})["poor_cambium"] == pytest.approx(0.466, abs=5e-4)


def test_a_hot_bare_graft_that_dried_with_its_neighbours_by_hand() -> None:
    found = believed(HEAT)
    assert found["heat_desiccation"] == pytest.approx(0.866, abs=5e-4)
    assert found["poor_cambium"] == pytest.approx(0.056, abs=5e-4)
    assert found["late_or_weak_wood"] == pytest.approx(0.044, abs=5e-4)
    assert sum(found.values()) == pytest.approx(1.0)


def pair(rho: float) -> tuple[float, float]:
    kept, signs = engine.split(HEAT)
    pi, like = engine.before(TABLE, tuple(kept.values())), engine.likelihood(TABLE, dict(signs.values()))
    same, by_cause, _ = engine.together([pi, pi], [like, like], rho)
    return same, float(by_cause[CAUSES.index("heat_desiccation")])


def test_two_such_grafts_by_hand() -> None:
    same, both_heat = pair(0.5)
    assert same == pytest.approx(0.892, abs=5e-4)
    assert both_heat == pytest.approx(0.866, abs=5e-4)
    assert pair(0.0)[1] == pytest.approx(0.750, abs=5e-4)


def test_two_grafts_against_all_pairs_of_causes() -> None:
    rng = np.random.default_rng(3)
    pi, likes = rng.dirichlet(np.ones(7)), rng.uniform(size=(2, 7))
    rho = 0.3
    joint = np.zeros((7, 7))
    for a, b in itertools.product(range(7), repeat=2):
        both = rho * pi[a] * (a == b) + (1.0 - rho) * pi[a] * pi[b]
        joint[a, b] = both * likes[0, a] * likes[1, b]
    joint /= joint.sum()
    same, by_cause, each = engine.together([pi, pi], list(likes), rho)
    assert same == pytest.approx(np.trace(joint))
    assert np.allclose(by_cause, np.diag(joint))
    assert np.allclose(each, [joint.sum(axis=1), joint.sum(axis=0)])


def test_the_band_of_the_tables() -> None:
    """Beta worth 10 and Dirichlet worth 20: heat between about .66 and .95."""
    (first, *_), _ = engine.beliefs(TABLE, HEAT, draws=20_000)
    assert first.cause == "heat_desiccation"
    assert first.low == pytest.approx(0.66, abs=0.03)
    assert first.high == pytest.approx(0.95, abs=0.02)


def test_the_next_look_by_hand() -> None:
    """Of what is left to look at there, callus at the union is expected to tell most: 0.044 bit."""
    kept, signs = engine.split(HEAT)
    looks = engine.next_looks(TABLE, tuple(kept.values()), dict(signs.values()))
    assert looks[0].question == "union"
    assert looks[0].bits == pytest.approx(0.044, abs=1e-3)
    assert {look.question for look in looks} == {"union", "line", "ooze"}


def test_expected_drop_of_doubt_against_both_answers() -> None:
    looks = {look.question: look for look in engine.next_looks(TABLE, (), {})}
    now = engine.posterior(TABLE, (), {})
    share = np.array(TABLE.signs["ooze_canker_or_black_margin"])
    there = float(now @ share)
    after = [engine.posterior(TABLE, (), {"ooze_canker_or_black_margin": yes}) for yes in (True, False)]
    drop = engine.entropy(now) - there * engine.entropy(after[0]) - (1.0 - there) * engine.entropy(after[1])
    assert looks["ooze"].bits == pytest.approx(drop)


def test_causes_found_out_move_the_shares() -> None:
    """Five losses found to be of poor cambium: (0.25 x 20 + 5) / 25."""
    found = tuple(5 if c == "poor_cambium" else 0 for c in CAUSES)
    taught = CauseTable(TABLE.prior, TABLE.odds, TABLE.signs, found)
    assert engine.before(taught)[CAUSES.index("poor_cambium")] == pytest.approx(10.0 / 25.0)


def test_without_a_look_nothing_can_be_told() -> None:
    (first, *_), many = engine.beliefs(TABLE, {})
    assert engine.cannot_tell(many, CAUSES.index(first.cause), 0.5) > 0.9


def test_what_speaks_for_a_cause_turns_its_odds() -> None:
    now = engine.posterior(TABLE, (), {"ooze_canker_or_black_margin": True})
    first = engine.before(TABLE)
    k = CAUSES.index("disease")
    ((question, factor),) = engine.speaks(TABLE, {}, {"ooze": ("ooze_canker_or_black_margin", True)}, k, first)
    assert question == "ooze"
    assert now[k] / (1 - now[k]) == pytest.approx(factor * first[k] / (1 - first[k]))


def test_every_answer_has_its_line_in_the_tables() -> None:
    signs = {found[0] for answers in LOOKS.values() for found in answers.values() if found}
    kept = {key for answers in CIRCUMSTANCES.values() for key in answers.values() if key}
    assert signs == set(TABLE.signs)
    assert kept == set(TABLE.odds)
    assert sum(TABLE.prior) == pytest.approx(1.0)
    assert all(0.0 < p < 1.0 for share in TABLE.signs.values() for p in share)
    assert all(r.cell("status") == "assumption" and "Declared judgement, editable" in r.cell("note") for r in ROWS)


def test_typed_looks() -> None:
    assert read_answers(("union=brown", " Line = yes")) == {"union": "brown", "line": "yes"}
