"""Grafts, looks at them, and the verdict as a fold over looks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from barkslip.domain.entry import Entry
from barkslip.domain.errors import InputError
from barkslip.domain.when import When

#: State -> what is seen. These are looks, not judgements.
STATES = {
    "green and still": "plump and green, no bud moving",
    "swelling": "a bud is getting fat",
    "pushing": "a shoot is growing",
    "stalled": "started, then stopped",
    "shrivelled": "wrinkled or dry",
    "black": "black or rotten",
    "broken": "snapped or knocked out",
    "choked": "strangled by its binding, a wire or a crease",
    "eaten": "chewed off",
    "unknown": "could not tell",
}
ALIVE = ("green and still", "swelling", "pushing", "stalled")
LOST = ("shrivelled", "black", "broken", "choked", "eaten")
VERDICTS = ("took", "waiting", "did not take")
#: How a graft is drawn: shape and word, colour only as a help.
MARKS = ("took", "pushing", "waiting", "stalled", "lost", "unknown")


@dataclass(frozen=True, kw_only=True)
class Graft(Entry):
    """One scion or bud set on one limb.

    Parameters
    ----------
    code : str
        "G04-3".
    campaign : str
        Name shared by grafts set together ("G04"); may be empty.
    tree : str
        Thing id.
    limb : str or None
        Thing id; None if only the tree is known.
    lot : str or None
        Thing id of the wood lot.
    name : str
        Variety as written when it was set, used when there is no lot.
    method : str
        Name of a method ("bark graft").
    set_on : When
    binding : str
        Material of the binding ("vinyl tape").
    cover : str
        Cover put on when it was set ("" for none).
    scion_mm, stock_mm : float or None
        Diameters [mm].
    side : str
        Side of the limb it sits on ("NW", "upper").
    arm : str
        Arm of a trial, if it belongs to one.
    note : str
    """

    code: str
    tree: str
    method: str
    set_on: When
    campaign: str = ""
    limb: str | None = None
    lot: str | None = None
    name: str = ""
    binding: str = ""
    cover: str = ""
    scion_mm: float | None = None
    stock_mm: float | None = None
    side: str = ""
    arm: str = ""
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Look(Entry):
    """What was seen at one graft on one day.

    Parameters
    ----------
    graft : str
        Thing id.
    state : str
        Key of `STATES`.
    on : When
    shoot_mm : float or None
        Length of the longest new shoot [mm].
    note : str
    """

    graft: str
    state: str
    on: When
    shoot_mm: float | None = None
    note: str = ""


@dataclass(frozen=True)
class Turn:
    """A look that changed the verdict, or showed a graft that had taken as lost, or as alive again."""

    on: date
    look: str
    state: str
    word: str


@dataclass(frozen=True)
class Standing:
    """Where a graft stands, folded from its looks.

    Parameters
    ----------
    word : str
        One of `VERDICTS`.
    state : str
        State of the newest look; "unknown" without one.
    mark : str
        One of `MARKS`.
    lost_after : bool
        True if it had taken and was lost later.
    taken_back : bool
        True if it was once judged lost and a later look showed it alive.
    turns : tuple of Turn
        Looks that changed the verdict, oldest first.
    last_on : date or None
        Day of the newest look.
    looks : int
    """

    word: str
    state: str
    mark: str
    lost_after: bool
    taken_back: bool
    turns: tuple[Turn, ...]
    last_on: date | None
    looks: int


def ordered(looks: Iterable[Look]) -> list[Look]:
    """Looks oldest first; of one day, in the order they were written down."""
    return sorted(looks, key=lambda k: (k.on.first, k.made_utc, k.id))


def standing(looks: Iterable[Look], set_on: When, *, false_take_days: int) -> Standing:
    """Fold looks into a verdict. Time alone never makes one: a graft without looks waits.

    Took: seen pushing on or after day `false_take_days` (earlier a scion can push from its own store), and not
    lost before. Did not take: seen shrivelled, black, broken, choked or eaten and never taken. Any later look at a
    living scion takes a loss back.

    Parameters
    ----------
    looks : iterable of Look
        Current looks of one graft, any order.
    set_on : When
    false_take_days : int
        Days after setting before pushing counts as taken [d].
    """
    word, lost_after, taken_back = "waiting", False, False
    state = "unknown"
    took = lost = False
    turns: list[Turn] = []
    last_on: date | None = None
    series = ordered(looks)
    for look in series:
        if look.state == "unknown":
            last_on = look.on.last
            continue
        before = (word, lost_after)
        state, last_on = look.state, look.on.last
        if state in LOST:
            lost, lost_after = True, took
        else:
            taken_back = taken_back or lost
            lost = lost_after = False
            days_least, _ = set_on.days_to(look.on.first)
            took = took or (state == "pushing" and days_least >= false_take_days)
        word = "took" if took else "did not take" if lost else "waiting"
        if (word, lost_after) != before:
            turns.append(Turn(look.on.first, look.id, state, word))
    return Standing(
        word, state, _mark(word, state, lost_after), lost_after, taken_back, tuple(turns), last_on, len(series)
    )


def _mark(word: str, state: str, lost_after: bool) -> str:
    if word == "did not take" or lost_after:
        return "lost"
    if state == "pushing":
        return "took" if word == "took" else "pushing"
    if state == "stalled":
        return "stalled"
    if word == "took":
        return "took"
    return "unknown" if state == "unknown" else "waiting"


def alive_on(looks: Iterable[Look], day: date) -> bool | None:
    """Whether a graft was alive on a day, as far as its looks can tell.

    A look at a living scion on or after the day proves it. A loss seen by the day, never taken back, disproves it.
    Everything else is not known.
    """
    series = [k for k in ordered(looks) if k.state != "unknown"]
    if any(k.state in ALIVE and k.on.first >= day for k in series):
        return True
    before = [k for k in series if k.on.last <= day]
    if before and before[-1].state in LOST:
        return False
    return None


def check_state(state: str) -> str:
    """The state as the book writes it ("green" and "Still green" are read as "green and still").

    Raises
    ------
    InputError
    """
    word = " ".join(state.strip().lower().replace("_", " ").replace("-", " ").split())
    word = {"green": "green and still", "still": "green and still", "still green": "green and still",
            "green still": "green and still", "shriveled": "shrivelled", "?": "unknown"}.get(word, word)  # fmt: skip
    if word not in STATES:
        raise InputError(
            "No such state of a graft.",
            given=state or "(nothing)",
            allowed=", ".join(STATES),
            next_step="Choose what you see; the verdict follows from the looks.",
            field="state",
        )
    return word


def check_look_day(on: When, set_on: When) -> None:
    """Refuse a look before its graft.

    Raises
    ------
    InputError
    """
    if on.last < set_on.first:
        raise InputError(
            "That look is older than the graft.",
            given=f"look on {on.iso()}, graft set {set_on.iso()}",
            allowed=f"{set_on.first.isoformat()} or later",
            next_step="Correct the day of the look, or the day the graft was set.",
            field="on",
        )


def check_wood_day(set_on: When, cut: When, lot: str) -> None:
    """Refuse a graft set before its wood was cut.

    Raises
    ------
    InputError
    """
    if set_on.last < cut.first:
        raise InputError(
            "That graft would be older than its wood.",
            given=f"set {set_on.iso()}, lot {lot} cut {cut.iso()}",
            allowed=f"{cut.first.isoformat()} or later",
            next_step="Check the day, or choose another lot.",
            field="set_on",
        )
