"""Why a graft was lost: causes, what was looked at, and what is believed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.errors import InputError
from barkslip.domain.sourced import Value

#: Causes, as the table of knowledge has them.
CAUSES = (
    "heat_desiccation", "incompatibility", "dominance_shade", "disease", "poor_cambium", "late_or_weak_wood", "other",
)  # fmt: skip
#: Question -> answer -> (sign, whether it is there), or None where an answer says nothing.
LOOKS: dict[str, dict[str, tuple[str, bool] | None]] = {
    "scion": {
        "brown": ("scion_brown_dry_within_3wk", True),
        "green": ("green_for_6wk_never_pushed", True),
        "wilted": ("pushed_then_wilted", True),
        "other": None,
    },
    "union": {"callus": ("no_callus_at_union", False), "none": ("no_callus_at_union", True),
              "brown": ("no_callus_at_union", True)},
    "line": {"yes": ("union_swelling_or_line", True), "no": ("union_swelling_or_line", False)},
    "ooze": {"yes": ("ooze_canker_or_black_margin", True), "no": ("ooze_canker_or_black_margin", False)},
    "neighbours": {"alive": ("neighbours_same_day_alive", True), "dead": ("neighbours_same_day_alive", False),
                   "none": None},
}  # fmt: skip
#: Question -> answer -> circumstance whose odds multiply, or "" where an answer leaves the odds as they are.
CIRCUMSTANCES: dict[str, dict[str, str]] = {
    "shoots": {"left": "stock_shoots_left_above_graft", "rubbed": ""},
    "heat": {"hot": "uncovered_above_38c_first_3wk", "shaded": "covered_and_shaded_first_3wk", "neither": ""},
    "pair": {"established": "same_pair_established_elsewhere", "reported": "pair_reported_incompatible", "neither": ""},
    "wood": {"old": "wood_older_than_6wk_or_pushing", "fresh": ""},
    "hand": {"first": "operator_first_20_grafts", "practised": ""},
}
#: The six looks; the rest comes from the book where it can.
SIX = ("scion", "union", "line", "ooze", "neighbours", "shoots")


def read_answers(texts: tuple[str, ...]) -> dict[str, str]:
    """Typed looks, such as "union=brown".

    Raises
    ------
    InputError
        If there is no such question or answer.
    """
    every: dict[str, tuple[str, ...]] = {q: tuple(a) for q, a in LOOKS.items()} | {
        q: tuple(a) for q, a in CIRCUMSTANCES.items()
    }
    out: dict[str, str] = {}
    for text in texts:
        question, _, answer = (part.strip().lower() for part in text.partition("="))
        if question not in every:
            raise InputError(
                "No such question about a lost graft.",
                given=text,
                allowed=", ".join(every),
                next_step="Write question=answer, such as union=brown.",
                field="looks",
            )
        if answer not in every[question]:
            raise InputError(
                "No such answer to that question.",
                given=text,
                allowed=", ".join(f"{question}={a}" for a in every[question]),
                next_step="Choose one of these; leave it out if you did not look.",
                field="looks",
            )
        out[question] = answer
    return out


@dataclass(frozen=True)
class CauseTable:
    """Shares and odds, as declared.

    Parameters
    ----------
    prior : tuple of float
        Share of each cause, in the order of `CAUSES`.
    odds : mapping
        Circumstance -> multiplier of each cause's odds.
    signs : mapping
        Sign -> how often a loss of each cause shows it [0..1].
    found : tuple of int
        Losses of this garden whose cause was found out, by cause.
    prior_weight, sign_weight : float
        Losses that the prior and each sign are worth.
    """

    prior: tuple[float, ...]
    odds: Mapping[str, tuple[float, ...]]
    signs: Mapping[str, tuple[float, ...]]
    found: tuple[int, ...] = (0,) * len(CAUSES)
    prior_weight: float = 20.0
    sign_weight: float = 10.0


@dataclass(frozen=True)
class CauseBelief:
    """One cause.

    Parameters
    ----------
    cause : str
        One of `CAUSES`.
    p, low, high : float
        Belief; 5 in 100 below and above if the tables are wrong as far as declared [0..1].
    before : float
        Before any look [0..1].
    speaks : tuple of (str, float)
        What was seen or known -> how many times likelier (over 1) or less likely (under 1) this cause becomes beside
        all others; the strongest first.
    """

    cause: str
    p: float
    low: float
    high: float
    before: float
    speaks: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class NextLook:
    """A look not taken yet.

    Parameters
    ----------
    question : str
    bits : float
        By how much it may be expected to lower the doubt [bit].
    would : tuple of (str, str, float)
        Answer, cause that leads then, belief in it.
    """

    question: str
    bits: float
    would: tuple[tuple[str, str, float], ...]


@dataclass(frozen=True)
class Answered:
    """One answer that was counted: where it is from ("typed", "signs", "looks", "book", "model") and its facts."""

    question: str
    answer: str
    how: str
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class LastDays:
    """The hours before the loss was seen, and what the model says of the graft.

    Parameters
    ----------
    set_on, seen_on : str
        ISO days: set, and first seen lost.
    days : int
        Days before it with readings.
    high_c, low_c : float or None
        [°C]
    dry_kpa : float or None
        Highest vapour pressure deficit [kPa].
    scion_c : float or None
        Hottest hour of the scion in the first three weeks, by the model [°C].
    dose : float or None
        Heat dose of the first three weeks [1].
    lost_pct : float or None
        Water that a cut scion would have lost in the first three weeks [%].
    link : float or None
        Chance that the union had linked, by the clock [0..1].
    cover : str
    measured_share : float
        Share of these days that have a reading [0..1].
    """

    set_on: str
    seen_on: str
    days: int = 0
    high_c: float | None = None
    low_c: float | None = None
    dry_kpa: float | None = None
    scion_c: float | None = None
    dose: float | None = None
    lost_pct: float | None = None
    link: float | None = None
    cover: str = ""
    measured_share: float = 0.0


@dataclass(frozen=True)
class LostGraft:
    """One graft of the question.

    Parameters
    ----------
    code, name : str
        Code and variety.
    tree : str
    standing : str
        One of the verdicts of a graft.
    lost : bool
        False if it lives or waits.
    answers : tuple of Answered
    beliefs : tuple of CauseBelief
        Most likely first.
    last : LastDays or None
    seen : str
        "broken", "choked" or "eaten" if that is how it was found; "" else.
    late : bool
        True if it was lost after the months that the tables are about.
    """

    code: str
    name: str
    tree: str
    standing: str
    lost: bool
    answers: tuple[Answered, ...]
    beliefs: tuple[CauseBelief, ...]
    last: LastDays | None = None
    seen: str = ""
    late: bool = False


@dataclass(frozen=True)
class WhyAnswer:
    """What speaks for and against each cause.

    Parameters
    ----------
    grafts : tuple of LostGraft
    cause : str
        The cause that is named; "" if it cannot be told.
    cannot_tell : float
        Share of what the tables may be in which no cause passes the line, or another one does [0..1].
    next_looks : tuple of NextLook
        For the first graft, the most telling first.
    same : float or None
        Chance that all of several grafts were lost to the same cause [0..1].
    shared : tuple of (str, float)
        Cause -> chance that it took all of them, the most likely first.
    found : mapping
        Cause -> losses of this garden whose cause was found out.
    line : float
        Belief from which a cause is named.
    values : mapping
        Numbers of the knowledge base that were used.
    """

    grafts: tuple[LostGraft, ...]
    cause: str
    cannot_tell: float
    next_looks: tuple[NextLook, ...]
    same: float | None = None
    shared: tuple[tuple[str, float], ...] = ()
    found: Mapping[str, int] = field(default_factory=dict)
    line: float = 0.5
    values: Mapping[str, Value] = field(default_factory=dict)
