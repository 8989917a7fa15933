"""What is recorded of one kind on another, and what follows for a whole chain. Pure: gets reports, looks nothing up."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, product

from barkslip.domain.fits import (
    GROUP,
    ITSELF,
    STRENGTHS,
    VERDICTS,
    WHOLE,
    Choice,
    JoinFit,
    Kind,
    Level,
    PairFit,
    Report,
    worst,
)

#: A more particular report overrules a more general one if this much speaks for it: steps of nearness plus of strength.
_OVERRULES = 3


@dataclass(frozen=True)
class Reports:
    """Reports in the order in which they are looked for: by what stands below."""

    by_lower: Mapping[tuple[str, str], tuple[Report, ...]]

    def on(self, upper: Kind, lower: Kind) -> list[tuple[Report, int, int]]:
        """Reports that speak of a pair, with how near they come to the upper and to the lower kind."""
        found: dict[str, tuple[Report, int, int]] = {}
        for place, near_lower in lower.scopes.items():
            for report in self.by_lower.get(place, ()):
                near_upper = upper.scopes.get(report.upper)
                if near_upper is not None:
                    found.setdefault(report.key, (report, near_upper, near_lower))
        return list(found.values())


def in_order(reports: Iterable[Report]) -> Reports:
    """Reports made ready for many questions."""
    by_lower: dict[tuple[str, str], list[Report]] = {}
    for report in reports:
        by_lower.setdefault(report.lower, []).append(report)
    return Reports({place: tuple(some) for place, some in by_lower.items()})


def pair_fit(
    upper: Kind, lower: Kind, reports: Reports, *, through: bool = False, present: Collection[str] = ()
) -> PairFit:
    """What is recorded of `upper` on `lower`.

    A report on a disease counts if it names both kinds, or if the disease is said to be `present`; one on any top or
    any stock is only shown beside. Where the two do not touch, only what travels counts: as mixed while nobody says
    that the disease is there, and so does what is not known to stay at the join.

    Parameters
    ----------
    through : bool
        The two do not touch.
    present : collection of str
        Keys of diseases that are in the wood, in the tree, or about.
    """
    met = _own_rows_only(reports.on(upper, lower), lower)
    there = [m[0] for m in met if m[0].pathogen and m[0].pathogen in present]
    beside = [m[0] for m in met if m[0].pathogen and m[0] not in there and WHOLE in m[1:]]
    kept, aside = _overruled([m for m in met if m[0] not in beside])
    if through:
        kept = _travelling(kept)
        aside = []
    kept.sort(key=lambda r: (r.verdict == "recorded_good", r.verdict == "recorded_doubt", -STRENGTHS[r.strength]))
    verdict = "recorded_bad" if there else _verdict(kept, through=through)
    return PairFit(upper, lower, verdict, through, tuple(kept), tuple(aside), tuple(beside))


def _travelling(reports: Sequence[Report]) -> list[Report]:
    """What a piece between does not stop, or may not: nothing of unknown cause where a report says it is localized."""
    localized = any(r.carried == "no" for r in reports)
    wanted = ("yes",) if localized else ("yes", "not known")
    return [r for r in reports if r.carried in wanted and r.verdict != "recorded_good"]


def _own_rows_only(met: list[tuple[Report, int, int]], lower: Kind) -> list[tuple[Report, int, int]]:
    """Without reports on the kind a stock was selected from, where the selection has reports of its own."""
    own = any(near == ITSELF and not r.by_disease and r.lower == (lower.table, lower.key) for r, _, near in met)
    if not own:
        return met
    return [m for m in met if m[2] != GROUP or m[0].lower[0] != "rootstocks" or m[0].by_disease]


def _overruled(met: Sequence[tuple[Report, int, int]]) -> tuple[list[Report], list[Report]]:
    """Reports that count, and general ones that a particular one overrules.

    A strong report on the kind itself overrules weaker ones on its group; a middling one only weak ones on a class.
    """
    kept: list[Report] = []
    aside: list[Report] = []
    for report, up, low in met:
        over = False
        for other, other_up, other_low in met:
            nearer = other_up - up + other_low - low
            stronger = STRENGTHS[other.strength] - STRENGTHS[report.strength]
            if other.by_disease or other.verdict == report.verdict or other_up < up or other_low < low:
                continue
            if nearer < 1 or stronger < 1:
                continue
            over = over or other.strength == "strong" or nearer + stronger >= _OVERRULES
        (aside if over and not report.by_disease else kept).append(report)
    return kept, aside


def _verdict(reports: Sequence[Report], *, through: bool) -> str:
    """Reports as one word; against each other, or of doubts only, they are mixed.

    What a disease does is a misfit only if nothing else is recorded of the two.
    """
    said = {r.verdict for r in reports}
    by_disease = [r for r in reports if r.verdict == "recorded_bad" and r.by_disease]
    bad = [r for r in reports if r.verdict == "recorded_bad"]
    if not said:
        return "no_record"
    if said == {"recorded_good"}:
        return "recorded_good"
    if through or "recorded_good" in said or not bad:
        return "mixed"
    return "recorded_bad" if len(by_disease) < len(bad) or len(bad) == len(reports) else "mixed"


@dataclass(frozen=True)
class Judged:
    """A chain judged: the whole of it, and the pairs of its top alone."""

    verdict: str
    shares: Mapping[str, float]
    decides: PairFit | None
    own_verdict: str
    own_shares: Mapping[str, float]
    own_decides: PairFit | None


class _Tally:
    """Shares of the beliefs by verdict, and the pairs behind each."""

    def __init__(self) -> None:
        self.shares: dict[str, float] = {}
        self._behind: dict[str, dict[int, tuple[PairFit, float]]] = {}

    def add(self, pairs: Sequence[PairFit], share: float) -> None:
        """One combination of answers with its pairs."""
        verdict = worst([p.verdict for p in pairs])
        self.shares[verdict] = self.shares.get(verdict, 0.0) + share
        behind = self._behind.setdefault(verdict, {})
        for pair in pairs:
            if pair.verdict == verdict:
                behind[id(pair)] = (pair, behind.get(id(pair), (pair, 0.0))[1] + share)

    def decides(self, verdict: str) -> PairFit | None:
        """The pair most often behind a verdict; of equals the first, which is the uppermost."""
        return max(self._behind.get(verdict, {}).values(), key=lambda p: p[1], default=(None, 0.0))[0]


@dataclass
class ChainEngine:
    """Judges chains; pairs that come up again are remembered.

    Parameters
    ----------
    likely : float
        Share of the beliefs from which on an answer decides [0..1].
    known : dict
        Pairs of kinds judged before, with the same reports and diseases.
    """

    reports: Reports
    likely: float
    present: frozenset[str] = frozenset()
    known: dict[tuple[str, ...], PairFit] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._pairs: dict[tuple[int, int, bool], PairFit] = {}
        self._held: list[Choice] = []

    def pair(self, upper: Choice, lower: Choice, *, through: bool = False) -> PairFit:
        """The worst over the kinds that two answers may stand for."""
        key = (id(upper), id(lower), through)
        if key not in self._pairs:
            fits = [self._kinds(a, b, through=through) for a, b in product(upper.kinds, lower.kinds)]
            self._pairs[key] = max(fits, key=lambda f: VERDICTS.index(f.verdict))
            self._held += [upper, lower]  # an id means nothing once its object is gone
        return self._pairs[key]

    def _kinds(self, upper: Kind, lower: Kind, *, through: bool) -> PairFit:
        key = (upper.table, upper.key, upper.name, lower.table, lower.key, lower.name, "through" if through else "")
        if key not in self.known:
            self.known[key] = pair_fit(upper, lower, self.reports, through=through, present=self.present)
        return self.known[key]

    def chain(self, levels: Sequence[Level], *, own_only: bool = False) -> Judged:
        """Verdict on a chain from the top down; with `own_only` of the top's own pairs, given for the whole too.

        Each combination of answers is as bad as its worst pair; the worst verdict that is likely enough decides. A pair
        that does not touch counts only if something is recorded of it. Pairs of the top itself are judged once more
        apart from those that stand already.
        """
        whole, new = _Tally(), _Tally()
        for combination in product(*(level.choices for level in levels)):
            share = 1.0
            for choice in combination:
                share *= choice.share
            own = [self.pair(*combination[:2]), *self._apart(combination[0], combination[2:])]
            new.add(own, share)
            if own_only:
                continue
            rest = combination[1:]
            old = [self.pair(a, b) for a, b in pairwise(rest)]
            for i, one in enumerate(rest):
                old += self._apart(one, rest[i + 2 :])
            whole.add(own + old, share)
        if own_only:
            whole = new
        verdict, own_verdict = self._likely(whole.shares), self._likely(new.shares)
        return Judged(verdict, whole.shares, whole.decides(verdict), own_verdict, new.shares, new.decides(own_verdict))

    def _apart(self, upper: Choice, lowers: Sequence[Choice]) -> list[PairFit]:
        return [fit for lower in lowers if (fit := self.pair(upper, lower, through=True)).reports]

    def joins(self, levels: Sequence[Level]) -> tuple[JoinFit, ...]:
        """Every pair of levels by itself: those that touch from the top down, then those that do not."""
        touching = [(a, b, False) for a, b in pairwise(levels)]
        apart = [(a, b, True) for i, a in enumerate(levels) for b in levels[i + 2 :]]
        return tuple(self._join(*one) for one in (*touching, *apart))

    def _join(self, upper: Level, lower: Level, through: bool) -> JoinFit:
        pairs = [
            (self.pair(a, b, through=through), a.share * b.share) for a, b in product(upper.choices, lower.choices)
        ]
        pairs.sort(key=lambda p: (-VERDICTS.index(p[0].verdict), -p[1]))
        shares: dict[str, float] = {}
        for pair, share in pairs:
            shares[pair.verdict] = shares.get(pair.verdict, 0.0) + share
        return JoinFit(upper.level, lower.level, through, self._likely(shares), shares, tuple(pairs))

    def _likely(self, shares: Mapping[str, float]) -> str:
        """The worst verdict whose share is likely enough; the likeliest if none is."""
        enough = [v for v, share in shares.items() if share >= self.likely]
        return worst(enough) if enough else max(shares, key=lambda v: shares[v], default="no_record")


def grid(uppers: Sequence[Kind], lowers: Sequence[Kind], reports: Reports) -> dict[tuple[str, str], str]:
    """Verdict of every upper kind on every lower one, by their keys."""
    return {(a.key, b.key): pair_fit(a, b, reports).verdict for a in uppers for b in lowers}
