"""Causes of a lost graft: one cause each, signs independent given the cause, circumstances that multiply its odds.

Equations and worked figures are in docs/models/why.md; checked by tests/engines/test_why.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.why import CAUSES, CIRCUMSTANCES, LOOKS, CauseBelief, CauseTable, NextLook

Floats = NDArray[np.float64]
#: Draws of the tables.
DRAWS = 2000
_TINY = 1e-9


def before(table: CauseTable, circumstances: Sequence[str] = ()) -> Floats:
    """Shares of the causes before any sign; causes that were found out count as so many losses more."""
    shares = np.array(table.prior) * table.prior_weight + np.array(table.found)
    for key in circumstances:
        shares = shares * np.array(table.odds[key])
    return np.asarray(shares / shares.sum())


def likelihood(table: CauseTable, signs: Mapping[str, bool]) -> Floats:
    """How likely each cause makes what was seen; what was not looked at is left out."""
    out = np.ones(len(CAUSES))
    for key, there in signs.items():
        share = np.array(table.signs[key])
        out *= share if there else 1.0 - share
    return out


def posterior(table: CauseTable, circumstances: Sequence[str], signs: Mapping[str, bool]) -> Floats:
    """Belief in each cause."""
    found = before(table, circumstances) * likelihood(table, signs)
    return np.asarray(found / found.sum())


def drawn(
    table: CauseTable, circumstances: Sequence[str], signs: Mapping[str, bool], *, draws: int = DRAWS, seed: int = 1
) -> Floats:
    """Beliefs under tables drawn as wrong as they are declared to be: shape (draws, causes).

    Shares of causes from a Dirichlet, each share of a sign from a Beta. The odds of circumstances are held, so that
    the band is too narrow.
    """
    rng = np.random.default_rng(seed)
    weights = np.array(table.prior) * table.prior_weight + np.array(table.found)
    found = rng.dirichlet(np.maximum(weights, _TINY), size=draws)
    for key in circumstances:
        found = found * np.array(table.odds[key])
    for key, there in signs.items():
        share = np.clip(np.array(table.signs[key]), _TINY, 1.0 - _TINY)
        one = rng.beta(table.sign_weight * share, table.sign_weight * (1.0 - share), size=(draws, len(CAUSES)))
        found = found * (one if there else 1.0 - one)
    return np.asarray(found / found.sum(axis=1, keepdims=True))


def cannot_tell(beliefs: Floats, leads: int, line: float) -> float:
    """Share of drawn tables in which the leading cause does not lead, or does not pass the line [0..1]."""
    named = (beliefs.argmax(axis=1) == leads) & (beliefs[:, leads] >= line)
    return float(1.0 - named.mean())


def speaks(
    table: CauseTable, circumstances: Mapping[str, str], signs: Mapping[str, tuple[str, bool]], cause: int,
    belief: Floats,
) -> tuple[tuple[str, float], ...]:  # fmt: skip
    """What speaks for (over 1) and against (under 1) one cause beside all others: Bayes factors, the strongest first.

    Parameters
    ----------
    circumstances, signs : mapping
        Question -> circumstance; question -> (sign, whether it is there).
    belief : Floats
        Belief in each cause, by which the others are weighed.
    """
    others = np.delete(belief, cause)
    others = others / others.sum() if others.sum() > 0 else np.full(len(others), 1.0 / len(others))
    out = []
    for question, key in circumstances.items():
        odds = np.array(table.odds[key])
        out.append((question, float(odds[cause] / (others @ np.delete(odds, cause)))))
    for question, (key, there) in signs.items():
        share = np.array(table.signs[key])
        seen = share if there else 1.0 - share
        out.append((question, float(seen[cause] / (others @ np.delete(seen, cause)))))
    return tuple(sorted(out, key=lambda pair: -abs(np.log(max(pair[1], _TINY)))))


def together(priors: Sequence[Floats], likelihoods: Sequence[Floats], rho: float) -> tuple[float, Floats, Floats]:
    """Several grafts lost together: with chance `rho` all to one cause, else each to its own.

    P(c1..cn) = rho pi(c) [all the same c] + (1 - rho) pi(c1) ... pi(cn), and signs independent given the causes. Where
    circumstances differ, pi(c) of the shared cause is the mean of theirs.

    Returns
    -------
    same : float
        Chance that all were lost to the same cause [0..1].
    by_cause : Floats
        Chance that this cause took all of them.
    each : Floats
        Belief in each cause for each graft, shape (grafts, causes).
    """
    pi, like = np.array(priors), np.array(likelihoods)
    shared = rho * pi.mean(axis=0) * like.prod(axis=0)
    alone = pi * like
    sums = alone.sum(axis=1)
    apart = (1.0 - rho) * float(sums.prod())
    whole = float(shared.sum()) + apart
    alike = (1.0 - rho) * alone.prod(axis=0)
    by_cause = (shared + alike) / whole
    each = (shared + apart * alone / sums[:, None]) / whole
    return float(by_cause.sum()), by_cause, each


def entropy(belief: Floats) -> float:
    """Doubt left [bit]."""
    kept = belief[belief > 0.0]
    return float(-(kept * np.log2(kept)).sum())


def next_looks(table: CauseTable, circumstances: Sequence[str], signs: Mapping[str, bool]) -> tuple[NextLook, ...]:
    """Looks that were not taken, by how much each may be expected to lower the doubt.

    A question about a circumstance changes the odds themselves and has no expectation; it is left to the asker.
    """
    now = posterior(table, circumstances, signs)
    out = []
    for question, answers in LOOKS.items():
        keys = [found for found in answers.values() if found is not None]
        if any(key in signs for key, _ in keys):
            continue
        # answers of one sign are that sign there or not; several signs under one question are asked one by one
        best: NextLook | None = None
        for key in dict.fromkeys(k for k, _ in keys):
            look = _look(table, now, question, key)
            best = look if best is None or look.bits > best.bits else best
        if best is not None:
            out.append(best)
    return tuple(sorted(out, key=lambda one: -one.bits))


def _look(table: CauseTable, now: Floats, question: str, key: str) -> NextLook:
    share = np.array(table.signs[key])
    left, would = 0.0, []
    for there in (True, False):
        joint = now * (share if there else 1.0 - share)
        chance = float(joint.sum())
        after = joint / chance
        left += chance * entropy(after)
        answer = next((a for a, found in LOOKS[question].items() if found == (key, there)), "")
        lead = int(after.argmax())
        would.append((answer or f"not {_answer(question, key)}", CAUSES[lead], float(after[lead])))
    return NextLook(question, max(0.0, entropy(now) - left), tuple(would))


def _answer(question: str, key: str) -> str:
    return next(a for a, found in LOOKS[question].items() if found == (key, True))


def beliefs(
    table: CauseTable, answers: Mapping[str, str], *, draws: int = DRAWS, seed: int = 1
) -> tuple[tuple[CauseBelief, ...], Floats]:
    """Belief in every cause from answered questions, the most likely first; and beliefs under drawn tables."""
    kept, signs = split(answers)
    keys = tuple(kept.values())
    seen = dict(signs.values())
    now, first = posterior(table, keys, seen), before(table)
    many = drawn(table, keys, seen, draws=draws, seed=seed)
    low, high = np.percentile(many, [5, 95], axis=0)
    found = [
        CauseBelief(
            cause, float(now[k]), float(low[k]), float(high[k]), float(first[k]), speaks(table, kept, signs, k, now)
        )
        for k, cause in enumerate(CAUSES)
    ]
    return tuple(sorted(found, key=lambda b: -b.p)), many


def split(answers: Mapping[str, str]) -> tuple[dict[str, str], dict[str, tuple[str, bool]]]:
    """Answers as circumstances (question -> key) and signs (question -> (key, whether it is there))."""
    kept = {q: CIRCUMSTANCES[q][a] for q, a in answers.items() if q in CIRCUMSTANCES and CIRCUMSTANCES[q][a]}
    signs: dict[str, tuple[str, bool]] = {}
    for question, answer in answers.items():
        found = LOOKS[question][answer] if question in LOOKS else None
        if found is not None:
            signs[question] = found
    return kept, signs
