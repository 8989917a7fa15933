"""What fits on what: kinds, reports on pairs of them, and the verdict on a whole chain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.sourced import Source, Value

#: Best first; the worst of the parts is the verdict of the whole.
VERDICTS = ("recorded_good", "no_record", "mixed", "recorded_bad")
#: How near a report comes to a kind: itself, its group or the kind it was selected from, a class, everything.
ITSELF, GROUP, CLASS, WHOLE = 3, 2, 1, 0
STRENGTHS = {"weak": 1, "medium": 2, "strong": 3}
#: Where a new top may be set: on the tree's present top, or lower.
ONTO = ("top", "interstock", "rootstock")


@dataclass(frozen=True)
class Kind:
    """A kind that may stand at one level of a chain.

    Parameters
    ----------
    name : str
        As written.
    table, key : str
        Where it is known ("varieties", "rootstocks", "groups", "classes"); empty if it is not.
    group : str
        Key of its group.
    scopes : mapping
        (table, key) -> how near a report on that comes to this kind, `ITSELF` to `WHOLE`.
    """

    name: str
    table: str = ""
    key: str = ""
    group: str = ""
    scopes: Mapping[tuple[str, str], int] = field(default_factory=dict, compare=False)

    @property
    def known(self) -> bool:
        """False for a name that the knowledge base does not have."""
        return bool(self.key)


@dataclass(frozen=True)
class Choice:
    """One answer to what a level is.

    Parameters
    ----------
    words : str
        The answer as it was given.
    kinds : tuple of Kind
        What it may be: several where the answer is broad ("a citrange"); the worst of them counts.
    share : float
        Belief in it [0..1].
    guessed : bool
        True if it stands for a part of what is not known.
    """

    words: str
    kinds: tuple[Kind, ...]
    share: float = 1.0
    guessed: bool = False


@dataclass(frozen=True)
class Level:
    """A level of the chain, as in `domain.tree.LEVELS`, with all answers; shares add up to 1."""

    level: str
    choices: tuple[Choice, ...]

    @property
    def sure(self) -> bool:
        """True if there is one answer of one kind."""
        return len(self.choices) == 1 and len(self.choices[0].kinds) == 1


@dataclass(frozen=True)
class Report:
    """What one source says of one kind on another.

    Parameters
    ----------
    key, name : str
        "eureka_on_carrizo", "Eureka lemon on Carrizo citrange".
    upper, lower : (str, str)
        Table and key that it speaks of.
    verdict : str
        "recorded_good", "recorded_bad", or "recorded_doubt": said against it, but no misfit.
    cause, carried : str
        Cause, and whether that goes through a piece between ("yes", "no", "not known").
    strength : str
        Key of `STRENGTHS`.
    sign, remedy, condition : str
        What to look for; what the source does about it; where it holds.
    instead, between : tuple of str
        Keys of stocks on which it is good; of kinds that mend it as a piece between.
    pathogen, pathogen_name : str
        The disease behind it, where there is one.
    years : Value
        Years to the sign, or years watched without trouble; its source is the report's.
    """

    key: str
    name: str
    upper: tuple[str, str]
    lower: tuple[str, str]
    verdict: str
    strength: str
    years: Value
    cause: str = ""
    carried: str = ""
    sign: str = ""
    remedy: str = ""
    condition: str = ""
    instead: tuple[str, ...] = ()
    between: tuple[str, ...] = ()
    pathogen: str = ""
    pathogen_name: str = ""

    @property
    def by_disease(self) -> bool:
        """True if the trouble comes from something in the wood, not from the two kinds."""
        return bool(self.pathogen)


@dataclass(frozen=True)
class PairFit:
    """One kind on another.

    Parameters
    ----------
    through : bool
        True if they do not touch: only what travels through the pieces between is looked at.
    reports : tuple of Report
        What the verdict rests on, worst first.
    aside : tuple of Report
        General reports that a strong one on the kind itself overrules.
    if_infected : tuple of Report
        What a disease would do to this pair, if the wood or the tree carried it.
    """

    upper: Kind
    lower: Kind
    verdict: str
    through: bool = False
    reports: tuple[Report, ...] = ()
    aside: tuple[Report, ...] = ()
    if_infected: tuple[Report, ...] = ()

    @property
    def against(self) -> tuple[Report, ...]:
        """Reports that speak against it."""
        return tuple(r for r in self.reports if r.verdict != "recorded_good")

    @property
    def doubt_only(self) -> bool:
        """True if what is said against it is never called a misfit."""
        return bool(self.against) and all(r.verdict == "recorded_doubt" for r in self.against)

    @property
    def disease_only(self) -> bool:
        """True if everything said against it hangs on a disease in the wood."""
        return bool(self.against) and all(r.by_disease for r in self.against)

    @property
    def years_to_sign(self) -> tuple[float | None, float | None]:
        """Earliest and latest year in which trouble showed; None where no report gives one."""
        lows, highs = [], []
        for report in self.against:
            value = report.years
            best = value.value if isinstance(value.value, (int, float)) else None
            lows += [x for x in (value.low, best) if x is not None][:1]
            highs += [x for x in (value.high, best) if x is not None][:1]
        return (min(lows) if lows else None, max(highs) if highs else None)

    @property
    def signs(self) -> tuple[str, ...]:
        """What to look for, each once."""
        return tuple(dict.fromkeys(r.sign for r in self.against if r.sign))

    @property
    def sources(self) -> tuple[str, ...]:
        """Sources of the reports, each once."""
        return tuple(dict.fromkeys(r.years.source for r in self.reports))


@dataclass(frozen=True)
class JoinFit:
    """Two levels of a chain, over all answers to what they are.

    Parameters
    ----------
    upper, lower : str
        Levels.
    pairs : tuple of (PairFit, float)
        Each pair of answers with its share, worst first.
    """

    upper: str
    lower: str
    through: bool
    verdict: str
    shares: Mapping[str, float]
    pairs: tuple[tuple[PairFit, float], ...]

    @property
    def worst(self) -> PairFit:
        """The pair that decides."""
        return next((p for p, _ in self.pairs if p.verdict == self.verdict), self.pairs[0][0])


@dataclass(frozen=True)
class Remedy:
    """A way out.

    Parameters
    ----------
    code : str
        "stock" (another stock), "between" (a piece between), "said" (words of a source), "no_piece" (a piece is no
        cure), "piece_not_known" (whether a piece helps is not known), "old_join" (the pair stands already).
    kind : Kind or None
        The stock or the piece.
    verdict : str
        How the top fits on it.
    below : str
        How the piece fits on the stock, for "between".
    named : bool
        True if a source names it for this very pair.
    words, source : str
    """

    code: str
    kind: Kind | None = None
    verdict: str = ""
    below: str = ""
    named: bool = False
    words: str = ""
    source: str = ""


@dataclass(frozen=True)
class FitVerdict:
    """The answer on one top and one chain.

    Parameters
    ----------
    scion : Kind
    levels : tuple of Level
        What it would stand on, from the top down.
    verdict : str
        One of `VERDICTS`: the worst that is likely enough.
    shares : mapping
        Verdict -> share of the beliefs in which it holds.
    decides : PairFit or None
        The pair that decides.
    share : float
        Share of the beliefs that decide.
    own_verdict, own_decides
        The same for the pairs of the new top alone, without those that stand already.
    joins : tuple of JoinFit
        Touching pairs from the top down, then pairs that do not touch.
    remedies : tuple of Remedy
    notes : tuple of str
        Codes of what else must be said.
    sources : mapping
        Sources by key.
    tree : str
        Code of the tree, if one was asked about.
    """

    scion: Kind
    levels: tuple[Level, ...]
    verdict: str
    shares: Mapping[str, float]
    decides: PairFit | None
    share: float
    own_verdict: str
    own_decides: PairFit | None
    joins: tuple[JoinFit, ...]
    remedies: tuple[Remedy, ...] = ()
    notes: tuple[str, ...] = ()
    sources: Mapping[str, Source] = field(default_factory=dict)
    tree: str = ""
    tree_name: str = ""

    @property
    def look_alikes(self) -> tuple[Report, ...]:
        """Diseases that look like a misfit of a pair in this chain, each once."""
        found: dict[str, Report] = {}
        for join in self.joins:
            for pair, _ in join.pairs:
                for report in (*pair.if_infected, *(r for r in pair.reports if r.by_disease)):
                    found.setdefault(report.pathogen, report)
        return tuple(found.values())


@dataclass(frozen=True)
class FitRow:
    """One kind in a table: a variety on one chain, or a stock under one top.

    Parameters
    ----------
    verdict : str
        Of the pairs of the kind itself: what stands already is said once for the whole table.
    share : float
        Share of the beliefs in which it holds.
    """

    kind: Kind
    verdict: str
    share: float
    decides: PairFit | None


@dataclass(frozen=True)
class FitTable:
    """All varieties on one chain, or one top on all stocks (`scion` is set then); best first.

    Parameters
    ----------
    standing : JoinFit or None
        The worst join that stands already, if anything is recorded against it.
    """

    levels: tuple[Level, ...]
    rows: tuple[FitRow, ...]
    scion: Kind | None = None
    standing: JoinFit | None = None
    notes: tuple[str, ...] = ()
    tree: str = ""
    tree_name: str = ""


def worst(verdicts: tuple[str, ...] | list[str]) -> str:
    """The worst of some verdicts; no_record of none."""
    return max(verdicts, key=VERDICTS.index, default="no_record")
