"""Beliefs over what a tree stands on, moved by its looks.

Each look multiplies the belief in an answer by the share that the look has among the answers to its question on such
stocks (Bayes' rule, looks taken as independent given the stock). The weights of the words are drawn from their ranges:
column 0 of every array holds the best values, the other columns the draws.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.errors import KnowledgeError
from barkslip.domain.root import ANY, OTHER, Clash, LookAnswer, LookQuestion, NextLook, WouldBe
from barkslip.domain.sourced import Value

Array = NDArray[np.float64]
#: Draws of an answer, and where they begin: the same question always gets the same answer.
DRAWS, SEED = 2000, 1
#: A look speaks for an answer from this ratio on, and against it below the inverse [1].
SPEAKS = 2.0


@dataclass(frozen=True)
class Start:
    """One answer before any look.

    Parameters
    ----------
    name : str
        Several may have the same name; their beliefs are added up.
    group : str
        By whose looks it is judged.
    share : float
        Belief in it [0..1]; 0 for one that has only a part of what is left.
    weight : Value or None
        Its weight among those that share what is left; None for none of it.
    """

    name: str
    group: str
    share: float = 0.0
    weight: Value | None = None


@dataclass(frozen=True)
class Believed:
    """Beliefs over named answers, float64[answers, 1 + draws]; columns add up to 1."""

    names: tuple[str, ...]
    share: Array

    def range_of(self, rows: Sequence[int]) -> tuple[float, float, float]:
        """Belief in some of the answers together: best value, one in ten below, one in ten above."""
        total = self.share[list(rows)].sum(axis=0)
        p = float(min(total[0], 1.0))
        low, high = (float(x) for x in np.quantile(total[1:], (0.1, 0.9)))
        return p, min(low, p), min(max(high, p), 1.0)


class StockLooks:
    """The table of looks with its weights drawn.

    Parameters
    ----------
    questions : sequence of LookQuestion
    groups : sequence of str
        Groups that have a word in every answer.
    weights : mapping of str to Value
        Weight of each word.
    like : sequence of str
        Groups that a stock of none of the groups resembles.
    other : mapping of str to str
        Word of such a stock for single answers ("place=brazil_1950"), where it is known.
    clash : float
        Two looks contradict each other if no group shows both at least so often as each at its best [1].
    """

    def __init__(
        self,
        questions: Sequence[LookQuestion],
        groups: Sequence[str],
        weights: Mapping[str, Value],
        *,
        like: Sequence[str],
        other: Mapping[str, str],
        clash: float,
    ) -> None:
        self.questions = {q.key: q for q in questions}
        self.groups = (*groups, OTHER, ANY)
        self.clash = clash
        self._weights = weights
        self._named = tuple(groups)
        self._like = [self._named.index(g) for g in like]
        self._other = other
        self._kept: dict[str, dict[str, Array]] = {}

    def shares(self, question: str) -> dict[str, Array]:
        """Answer -> its share in each group, float64[groups, 1 + draws].

        For a question about the past: the weight of each group itself; alike for all where the answer says nothing.
        """
        if question not in self._kept:
            asked = self.questions[question]
            raw = {a.answer: self._raw(a) for a in asked.answers}
            if asked.place:
                says_nothing = {a.answer for a in asked.answers if len(set(a.words.values())) == 1}
                self._kept[question] = {k: np.ones_like(w) if k in says_nothing else w for k, w in raw.items()}
            else:
                total = np.sum(list(raw.values()), axis=0)
                self._kept[question] = {k: w / total for k, w in raw.items()}
        return self._kept[question]

    def _raw(self, answer: LookAnswer) -> Array:
        """Weights of one answer in all groups; a stock of none looks like the mean of those it resembles."""
        rows = [drawn(f"{answer.row}.{g}", self._weights[answer.words[g]]) for g in self._named]
        if answer.key in self._other:
            rows.append(drawn(f"{answer.row}.{OTHER}", self._weights[self._other[answer.key]]))
        else:
            rows.append(np.mean([rows[i] for i in self._like], axis=0))
        rows.append(np.mean(rows, axis=0))
        return np.array(rows)

    def share(self, looks: Sequence[LookAnswer]) -> Array:
        """Share of the looks of one question; if there are several answers each counts alike."""
        shares = self.shares(looks[0].question)
        mean: Array = np.mean([shares[k] for k in sorted({one.answer for one in looks})], axis=0)
        return mean

    def rows(self, starts: Sequence[Start]) -> list[int]:
        """Row of each start in an array over the groups."""
        return [self.groups.index(s.group) for s in starts]


def drawn(name: str, value: Value) -> Array:
    """Best value and draws of one weight, float64[1 + draws].

    Half of the draws lie between low and best, half between best and high, evenly on the scale of logarithms; each
    name has a stream of its own, so that a look moves the same way whatever else was seen.
    """
    best = float(value.value) if isinstance(value.value, (int, float)) else math.nan
    low = best if value.low is None else float(value.low)
    high = best if value.high is None else float(value.high)
    if not 0.0 < low <= best <= high:
        raise KnowledgeError(
            "A weight of a look must be more than nothing and lie within its range.",
            given=f"{name}: {value.value} ({value.low} to {value.high})",
            allowed="numbers above 0; low, value and high in order",
            next_step="Correct stock_looks.toml in your own folder.",
        )
    rng = np.random.default_rng([SEED, zlib.crc32(name.encode())])
    places = rng.permutation((np.arange(DRAWS) + 0.5) / DRAWS)
    out = np.interp(places, (0.0, 0.5, 1.0), np.log((low, best, high)))
    return np.concatenate(([best], np.exp(out)))


def before(starts: Sequence[Start], left: Value | None) -> Array:
    """Beliefs before any look, float64[starts, 1 + draws].

    Parameters
    ----------
    left : Value or None
        Room for being wrong: so much is taken from the fixed shares and spread by weight [0..1].
    """
    fixed = np.array([[s.share] for s in starts]) * np.ones(1 + DRAWS)
    weight = np.array([np.zeros(1 + DRAWS) if s.weight is None else drawn(s.name, s.weight) for s in starts])
    rest = np.maximum(1.0 - fixed.sum(axis=0), 0.0)
    if left is not None and fixed.sum() > 0:
        room = drawn("room", left)
        fixed, rest = fixed * (1.0 - room), rest * (1.0 - room) + room
    total = weight.sum(axis=0)
    spread = np.divide(weight, total, out=np.zeros_like(weight), where=total > 0) * rest
    share: Array = fixed + spread
    share /= share.sum(axis=0)
    return share


def after(table: StockLooks, starts: Sequence[Start], prior: Array, looks: Iterable[LookAnswer]) -> Array:
    """Beliefs after some looks; their order does not matter, and the same look twice counts once."""
    rows = table.rows(starts)
    out = prior
    for several in by_question(looks).values():
        out = out * table.share(several)[rows]
    share: Array = out / out.sum(axis=0)
    return share


def by_question(looks: Iterable[LookAnswer]) -> dict[str, list[LookAnswer]]:
    """Looks by their question, in order of the keys."""
    out: dict[str, list[LookAnswer]] = {}
    for look in sorted({one.key: one for one in looks}.values(), key=lambda one: one.key):
        out.setdefault(look.question, []).append(look)
    return out


def named(starts: Sequence[Start], share: Array) -> Believed:
    """Beliefs by name: those of the same name are added up."""
    names = tuple(dict.fromkeys(s.name for s in starts))
    total = np.array([share[[i for i, s in enumerate(starts) if s.name == name]].sum(axis=0) for name in names])
    return Believed(names, total)


def speaks(table: StockLooks, groups: Sequence[str], prior: Array, looks: Iterable[LookAnswer]) -> list[Array]:
    """For each question: how much likelier its looks are on each answer than on the others, float64[answers]."""
    rows = [table.groups.index(g) for g in groups]
    out = []
    for several in by_question(looks).values():
        share = table.share(several)[rows, 0]
        rest = np.maximum(1.0 - prior[:, 0], 1e-12)
        others = (prior[:, 0] @ share - prior[:, 0] * share) / rest
        out.append(share / np.maximum(others, 1e-12))
    return out


def entropy(share: Array) -> float:
    """Uncertainty of beliefs that add up to 1 [bit]."""
    some = share[share > 0]
    return float(-(some * np.log2(some)).sum())


def next_looks(
    table: StockLooks, starts: Sequence[Start], now: Array, looks: Iterable[LookAnswer]
) -> tuple[NextLook, ...]:
    """Questions not yet answered, the one first from which most is to be learned.

    The information to be expected is the uncertainty now less the mean of the uncertainties after each answer, weighed
    by how likely the answers are; it is never negative (Shannon's mutual information).
    """
    answered = {look.question for look in looks}
    seen = {look.key for look in looks}
    rows = table.rows(starts)
    p = now[:, 0]
    out = []
    for question in table.questions.values():
        if question.place or question.key in answered or (question.only_after and question.only_after not in seen):
            continue
        left, would = 0.0, []
        for answer in question.answers:
            joint = p * table.shares(question.key)[answer.answer][rows, 0]
            chance = float(joint.sum())
            left += chance * entropy(joint / chance)
            then = named(starts, (joint / chance)[:, None])
            best = int(np.argmax(then.share[:, 0]))
            would.append(WouldBe(answer, chance, then.names[best], float(then.share[best, 0])))
        out.append(NextLook(question, max(entropy(p) - left, 0.0), tuple(would)))
    return tuple(sorted(out, key=lambda n: (-n.bits, n.question.key)))


def implied(table: StockLooks, looks: Sequence[LookAnswer]) -> tuple[LookAnswer, ...]:
    """Looks that others take for granted and that nobody named."""
    seen = {look.key for look in looks}
    out: dict[str, LookAnswer] = {}
    for look in looks:
        needs = table.questions[look.question].only_after
        if needs and needs not in seen:
            question, _, answer = needs.partition("=")
            found = table.questions[question].answer(answer)
            if found is not None:
                out[needs] = found
    return tuple(out.values())


def clashes(table: StockLooks, starts: Sequence[Start], looks: Sequence[LookAnswer]) -> tuple[Clash, ...]:
    """What contradicts itself among some looks (without those implied), or what was believed before."""
    out = []
    several = by_question(looks)
    for answers in several.values():
        if len(answers) > 1:
            out.append(Clash("two_answers", tuple(answers)))
    for look in sorted(looks, key=lambda one: one.key):
        needs = table.questions[look.question].only_after
        against = [one for one in several.get(needs.partition("=")[0], []) if one.key != needs]
        if needs and against and not any(one.key == needs for one in looks):
            out.append(Clash("takes_for_granted", (look, *against)))
    single = {k: v[0] for k, v in several.items() if len(v) == 1 and not table.questions[k].place}
    rows = [i for i, g in enumerate(table.groups) if g != ANY]
    share = {k: table.shares(k)[look.answer][rows, 0] for k, look in single.items()}
    for a, b in combinations(single, 2):
        if table.questions[a].only_after or table.questions[b].only_after:
            continue
        if float((share[a] * share[b]).max()) < table.clash * float(share[a].max() * share[b].max()):
            out.append(Clash("hardly_together", (single[a], single[b])))
    held = np.array([s.share for s in starts])
    if held.sum() > 0:
        by_start = table.rows(starts)
        for key, look in single.items():
            mean = float(held @ table.shares(key)[look.answer][by_start, 0] / held.sum())
            if held.sum() > 0.5 and mean < table.clash * float(share[key].max()):
                out.append(Clash("against_belief", (look,)))
    return tuple(out)
