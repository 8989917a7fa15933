"""Where a suspicion leads: things that touched, what they may have handed on, and how surely."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from barkslip.domain.errors import InputError
from barkslip.domain.known import Row
from barkslip.domain.sourced import Value

#: What a trace runs through. A receiver is somebody who was given wood.
KINDS = ("lot", "graft", "tree", "tool", "receiver")
#: Word typed for a suspicion -> word of the book (`domain.clean.SUSPICIONS`).
WHY = {"infection": "infection", "wrong-name": "wrong name", "wrong name": "wrong name", "wrong_name": "wrong name"}
#: How something can pass from one to the next -> what that means.
WAYS = {
    "wood": "a graft set from this wood",
    "union": "joined to the tree it was set on",
    "cut": "wood cut from it",
    "blade": "cut with the same tool",
    "given": "wood given away",
}
#: A trace needs this much certainty before it says so [1]: rounding of chances.
SURE = 1e-9


@dataclass(frozen=True)
class Node:
    """One thing in a trace.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    id : str
        Its code as the grower knows it; a tool's name; a receiver in the grower's words.
    thing : str
        Thing id; "" for tools and receivers.
    state : str
        What has become of it: state of a lot, verdict of a graft; "" if there is nothing to say.
    gone : bool
        True for wood that is used up, refused or thrown away, and for lost grafts: nothing of it can be held.
    name : str
        Variety, or the tree's own name.
    held : bool
        True if it is held back already.
    came : str
        Of a lot from outside: where it came from.
    """

    kind: str
    id: str
    thing: str = ""
    state: str = ""
    gone: bool = False
    name: str = ""
    held: bool = False
    came: str = ""

    @property
    def order(self) -> tuple[tuple[int, str], ...]:
        """Sorts "G11-2" before "G11-10"."""
        parts = re.split(r"(\d+)", self.id)
        return tuple((int(p), "") if p.isdigit() else (-1, p) for p in parts if p)


@dataclass(frozen=True)
class Odds:
    """A chance with its range.

    Parameters
    ----------
    best, low, high : float
        [0..1]; low <= best <= high.
    known : bool
        False if no figure is known: `best` is then only the middle of the range.
    """

    best: float
    low: float
    high: float
    known: bool = True

    @property
    def certain(self) -> bool:
        """True if there is no doubt at all."""
        return self.low >= 1.0 - SURE

    @property
    def never(self) -> bool:
        """True if it cannot be."""
        return self.high <= SURE


CERTAIN = Odds(1.0, 1.0, 1.0)
NEVER = Odds(0.0, 0.0, 0.0)
UNKNOWN_ODDS = Odds(0.5, 0.0, 1.0, known=False)


@dataclass(frozen=True)
class Cleaning:
    """What the book says was done to a tool, set against what is recorded.

    Parameters
    ----------
    words : str
        As written in the book.
    code : str
        "works", "partly", "fails", "too_short", "too_weak", "no_time", "recipe", "other_agent", "not_known".
    row : Row or None
        The recorded fact it was set against.
    clears : Odds
        Chance that it rids the blade of the agent.
    """

    words: str
    code: str
    row: Row | None
    clears: Odds


@dataclass(frozen=True)
class Agent:
    """A disease as a trace needs it.

    Parameters
    ----------
    key, name : str
        "" if no disease is named: a suspicion of anything that wood carries.
    wood, union, blade : Odds
        Chance that wood cut from a carrier carries it, that a graft hands it on over its union, and that one cut with
        a soiled blade does.
    other_fruit : Odds
        What a contact into a tree of another kind of fruit is worth, as a share of the chance.
    order : Odds
        Chance that two uses of one tool came in the order needed, where the order is not written down.
    row : Row or None
        Its line in the knowledge base.
    values : tuple of (words, Value)
        The figures behind these chances.
    crop : str
        Kind of fruit tree that the table speaks of.
    """

    key: str
    name: str
    wood: Odds
    union: Odds
    blade: Odds
    other_fruit: Odds = UNKNOWN_ODDS
    order: Odds = UNKNOWN_ODDS
    row: Row | None = None
    values: tuple[tuple[str, Value], ...] = ()
    crop: str = "citrus"


@dataclass(frozen=True)
class Contact:
    """One way from one thing to another, as drawn.

    Parameters
    ----------
    source, target : int
        Places in `Trace.nodes`.
    way : str
        Key of `WAYS`.
    on : date
        Day on which it could have passed.
    odds : Odds
    first : bool
        True if it lies on the way by which the target was reached earliest.
    """

    source: int
    target: int
    way: str
    on: date
    odds: Odds
    first: bool = False


@dataclass(frozen=True)
class Reached:
    """One thing that a suspicion reaches.

    Parameters
    ----------
    node : int
        Place in `Trace.nodes`.
    earliest : date or None
        First day on which it can have been reached; backward: the day from which it was there.
    latest : date or None
        Backward only: last day on which it can still have handed it on.
    odds : Odds
        Chance that it was reached; backward: chance that it would have handed it on, had it carried it.
    steps : int
        Contacts on the earliest way.
    now : Odds or None
        Of a tool: chance that it is soiled still.
    """

    node: int
    earliest: date | None
    latest: date | None
    odds: Odds
    steps: int
    now: Odds | None = None


@dataclass(frozen=True)
class Given:
    """Wood that was reached and given away.

    Parameters
    ----------
    receiver, lot : str
    on : date
    sticks : int or None
    odds : Odds
    """

    receiver: str
    lot: str
    on: date
    sticks: int | None
    odds: Odds


@dataclass(frozen=True)
class Problem:
    """Something in the book that a trace stumbled over.

    Parameters
    ----------
    code : str
        Key of `PROBLEMS`.
    about : str
        Codes of the things concerned.
    detail : str
        Dates or words as they stand in the book.
    """

    code: str
    about: str
    detail: str = ""


#: Code -> what is wrong. A trace goes on all the same, and says so.
PROBLEMS = {
    "graft_before_wood": "set before its wood was cut",
    "wood_before_graft": "cut before the graft it came from was set",
    "wood_before_tree": "cut before its tree was planted",
    "given_before_cut": "given away before it was cut",
    "used_before_there": "cut by a tool before it was there",
    "order_not_known": "uses of one tool on one day without their order",
    "limb_of_grafts": "cut from a limb that carries grafts, without saying from which",
}


@dataclass(frozen=True)
class Trace:
    """The answer.

    Parameters
    ----------
    origin : int
        Place in `nodes` of what is suspected.
    why : str
        "infection" or "wrong name".
    backward : bool
    since : date or None
        Day from which the suspect counts as carrying it; None for as long as it has been there.
    on : date
        Day of asking.
    nodes : tuple of Node
    contacts : tuple of Contact
        Between the origin and what it reaches, in order of time.
    reached : tuple of Reached
        The origin is left out; earliest first.
    given : tuple of Given
    hold : tuple of int
        Places in `nodes` of what to hold back, most urgent first.
    test : tuple of (int, float)
        Places in `nodes` of what a test would tell most about, with the uncertainty it would end [bit].
    cleanings : tuple of Cleaning
        Each way of cleaning that was met, once.
    agent : Agent or None
    problems : tuple of Problem
    unknowns : tuple of str
        Codes worded in `present.trace`.
    exact : bool
        True if all worlds were counted; False if `worlds` were drawn.
    worlds, seed : int
    knowledge_hash : str
    """

    origin: int
    why: str
    backward: bool
    since: date | None
    on: date
    nodes: tuple[Node, ...]
    contacts: tuple[Contact, ...]
    reached: tuple[Reached, ...]
    given: tuple[Given, ...] = ()
    hold: tuple[int, ...] = ()
    test: tuple[tuple[int, float], ...] = ()
    cleanings: tuple[Cleaning, ...] = ()
    agent: Agent | None = None
    problems: tuple[Problem, ...] = ()
    unknowns: tuple[str, ...] = ()
    exact: bool = True
    worlds: int = 0
    seed: int = 0
    knowledge_hash: str = ""


def check_why(word: str) -> str:
    """The suspicion as the book writes it.

    Raises
    ------
    InputError
    """
    found = WHY.get(" ".join(word.strip().lower().split()) or "infection")
    if found is None:
        raise InputError(
            "No such suspicion.",
            given=word,
            allowed="infection, wrong-name",
            next_step="Say what is suspected: an infection, or a wrong name.",
            field="why",
        )
    return found
