"""What a tree stands on, by its looks: questions and answers, beliefs over stocks, what to look at next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from barkslip.domain.errors import InputError
from barkslip.domain.sign import Sign
from barkslip.domain.sourced import Source
from barkslip.domain.tree import ChainLink, Limb

#: A stock that belongs to none of the groups; a name of which nothing is known.
OTHER, ANY = "other", "any"
#: Questions whose answers never settle anything by themselves: many kinds are thorny, many are small or vigorous.
WEAK = ("thorns", "size")
#: Answers that may come from a disease: they move the belief, they name no disease.
SICK = ("scaling=yes", "pinholes=yes", "foot_rot=yes", "decline=sudden")
#: Belief from which on a group is called settled, and where its range must begin at least [1].
SETTLED, SETTLED_LOW = 0.95, 0.8


@dataclass(frozen=True)
class LookAnswer:
    """One answer to one question about a tree.

    Parameters
    ----------
    question, answer : str
        Keys ("leaflets", "3").
    text : str
        What is seen, in words.
    words : mapping
        Group of stocks -> how often it is so there ("usual", "sometimes", "rare", "never" ...).
    known : str
        How the look itself is known: "published", "recalled" or "assumption".
    source, status, note : str
        Of the words.
    """

    question: str
    answer: str
    text: str
    words: Mapping[str, str] = field(compare=False)
    known: str = "assumption"
    source: str = ""
    status: str = "assumption"
    note: str = ""

    @property
    def key(self) -> str:
        """ "leaflets=3", as it is typed."""
        return f"{self.question}={self.answer}"

    @property
    def row(self) -> str:
        """Key of its line in the knowledge base."""
        return f"{self.question}_{self.answer}"


@dataclass(frozen=True)
class LookQuestion:
    """A question with all its answers, which exclude each other.

    Parameters
    ----------
    place : bool
        True if it is about where and when the tree was planted or sold: its answers weigh the groups themselves.
    only_after : str
        The look that it takes for granted ("leaflets=1"); "" for none.
    """

    key: str
    asked: str
    answers: tuple[LookAnswer, ...]
    place: bool = False
    only_after: str = ""

    def answer(self, key: str) -> LookAnswer | None:
        """The answer of that key."""
        return next((a for a in self.answers if a.answer == key), None)


@dataclass(frozen=True)
class CountedLook:
    """A look that moves the beliefs.

    Parameters
    ----------
    sign : Sign or None
        Where it stands in the book; None if it was typed for this question only.
    implied : bool
        True if nobody said it, but another look takes it for granted.
    """

    look: LookAnswer
    sign: Sign | None = None
    implied: bool = False


@dataclass(frozen=True)
class RootBelief:
    """How far one answer to "what does it stand on?" is believed.

    Parameters
    ----------
    stock : str
        A stock or a group of stocks.
    group : str
        Key of the group by whose looks it is judged, `OTHER` or `ANY`.
    p : float
        Belief [0..1].
    low, high : float
        One in ten of the draws below, one in ten above.
    was : float
        Belief before the looks.
    stocks : tuple of str
        Stocks of the group, which looks do not tell apart; empty for a single one.
    speaks_for, speaks_against : tuple of str
        Looks that are twice as likely on it as on what else it may be; half as likely.
    named : bool
        True if the book names it.
    """

    stock: str
    group: str
    p: float
    low: float
    high: float
    was: float
    stocks: tuple[str, ...] = ()
    speaks_for: tuple[str, ...] = ()
    speaks_against: tuple[str, ...] = ()
    named: bool = False


@dataclass(frozen=True)
class ClassBelief:
    """How far a class of groups ("trifoliate orange and its hybrids") is believed; fields as in `RootBelief`."""

    name: str
    groups: tuple[str, ...]
    p: float
    low: float
    high: float


@dataclass(frozen=True)
class WouldBe:
    """What one answer to the next question would do.

    Parameters
    ----------
    chance : float
        How likely the answer is, by what is believed now [0..1].
    stock, p : str, float
        What would be believed most then, and how far.
    """

    look: LookAnswer
    chance: float
    stock: str
    p: float


@dataclass(frozen=True)
class NextLook:
    """A question not yet answered.

    Parameters
    ----------
    bits : float
        Information to be expected from it [bit], 0 or more.
    """

    question: LookQuestion
    bits: float
    answers: tuple[WouldBe, ...]


@dataclass(frozen=True)
class Clash:
    """Looks that contradict each other.

    Parameters
    ----------
    code : str
        "two_answers" (one question, two answers: each counts half), "takes_for_granted" (one look needs another than
        was seen), "hardly_together" (no stock shows both often), "against_belief" (what was believed hardly shows it).
    looks : tuple of LookAnswer
    """

    code: str
    looks: tuple[LookAnswer, ...]


@dataclass(frozen=True)
class RootVerdict:
    """The answer to "what does it stand on?".

    Parameters
    ----------
    beliefs : tuple of RootBelief
        Likeliest first; they add up to 1.
    classes : tuple of ClassBelief
    looks : tuple of CountedLook
        What was counted.
    older : tuple of Sign
        Looks of the book that are held to be in the belief already.
    next_looks : tuple of NextLook
        The one that tells most first.
    places : tuple of LookQuestion
        Questions about its past that have not been answered.
    clashes : tuple of Clash
    base : ChainLink or None
        The belief of the book from which it was reckoned; None if it was reckoned from the looks alone.
    kept : bool
        True if the newest belief of the book is this very reckoning.
    notes : tuple of str
        Codes of what else must be said.
    limbs : tuple of Limb
        Limbs that nothing has proved: not to be cut yet.
    history : tuple of ChainLink
        What was believed of the root, newest first.
    sources : mapping
        Sources of the looks, by key.
    tree, tree_name : str
        Code and name, if one was asked about.
    """

    beliefs: tuple[RootBelief, ...]
    classes: tuple[ClassBelief, ...]
    looks: tuple[CountedLook, ...]
    next_looks: tuple[NextLook, ...]
    places: tuple[LookQuestion, ...]
    clashes: tuple[Clash, ...] = ()
    older: tuple[Sign, ...] = ()
    base: ChainLink | None = None
    kept: bool = False
    notes: tuple[str, ...] = ()
    limbs: tuple[Limb, ...] = ()
    history: tuple[ChainLink, ...] = ()
    sources: Mapping[str, Source] = field(default_factory=dict)
    tree: str = ""
    tree_name: str = ""

    @property
    def best(self) -> RootBelief:
        """The likeliest."""
        return self.beliefs[0]

    @property
    def weak_only(self) -> bool:
        """True if all that was counted are thorns and size, which never settle it."""
        return bool(self.looks) and all(c.look.question in WEAK for c in self.looks)

    @property
    def settled(self) -> bool:
        """True if one answer is nearly sure over its range, without contradictions and not by thorns or size alone."""
        return self._sure(self.best.p, self.best.low)

    @property
    def settled_class(self) -> ClassBelief | None:
        """The class that is nearly sure, where no single answer is."""
        if self.settled:
            return None
        return next((c for c in self.classes if self._sure(c.p, c.low)), None)

    def _sure(self, p: float, low: float) -> bool:
        return p >= SETTLED and low >= SETTLED_LOW and not self.weak_only and not self.clashes


def read_looks(texts: Iterable[str], questions: Sequence[LookQuestion], *, field: str = "look") -> list[LookAnswer]:
    """Looks as typed, "leaflets=3"; each once.

    Raises
    ------
    InputError
        For a question or an answer that there is not.
    """
    by_key = {q.key: q for q in questions}
    out: dict[str, LookAnswer] = {}
    for text in texts:
        name, equals, answer = (part.strip().lower() for part in text.partition("="))
        key = "_".join(name.split())
        if not equals or key not in by_key:
            near = get_close_matches(key, by_key, n=3, cutoff=0.5)
            raise InputError(
                "Not a look that is known." if equals else "A look is a question with its answer.",
                given=text.strip() or "(nothing)",
                allowed=f"question=answer, such as leaflets=3; questions: {', '.join(by_key)}",
                next_step=f"Did you mean {' or '.join(near)}?" if near else "Choose a question from the list.",
                field=field,
            )
        found = by_key[key].answer("_".join(answer.split()))
        if found is None:
            raise InputError(
                "Not an answer to that question.",
                given=text.strip(),
                allowed=", ".join(a.key for a in by_key[key].answers),
                next_step="Choose one of these; if you cannot tell, leave it out.",
                field=field,
            )
        out[found.key] = found
    return list(out.values())
