"""Clean wood: rules in force, tools that cut, wood handed on, and what is held back under suspicion."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.entry import Entry
from barkslip.domain.when import When

#: Why something is held back.
SUSPICIONS = ("infection", "wrong name")


@dataclass(frozen=True, kw_only=True)
class ToolUse(Entry):
    """One use of a blade, and what was done to it just before.

    Parameters
    ----------
    tool : str
        What it is called ("knife A").
    on : When
    place : int
        Place in the order of that day, from 1; 0 if it is not known.
    tree, graft, lot : str or None
        Thing id of what it cut: exactly one is set.
    cleaned : str
        What it was dipped in or wiped with before this cut, in words ("1 + 5 household bleach, 2 s"); "" for nothing.
    note : str
    """

    tool: str
    on: When
    place: int = 0
    tree: str | None = None
    graft: str | None = None
    lot: str | None = None
    cleaned: str = ""
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Handout(Entry):
    """Wood that left the garden.

    Parameters
    ----------
    lot : str
        Thing id.
    receiver : str
        Who has it now, in the grower's words.
    on : When
    sticks : int or None
    note : str
    """

    lot: str
    receiver: str
    on: When
    sticks: int | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class WoodRule(Entry):
    """What an office says about moving plants or wood, as the grower wrote it down.

    Parameters
    ----------
    area : str
        Where it holds.
    text : str
        The rule in the grower's words.
    office : str
        Who said so.
    on : When
        Day it was asked or read.
    until : When or None
        Day from which it must be asked again.
    """

    area: str
    text: str
    office: str
    on: When
    until: When | None = None


@dataclass(frozen=True, kw_only=True)
class Hold(Entry):
    """Something held back because it is under suspicion.

    Parameters
    ----------
    why : str
        One of `SUSPICIONS`.
    on : When
        Day from which it is held.
    tree, graft, lot : str or None
        Thing id of what is held: exactly one is set.
    agent : str
        Key of a pathogen in the knowledge base; "" if not known.
    lifted : When or None
        Day on which it was let go again.
    how : str
        By what it was suspected, or cleared ("test report of the plant health office").
    """

    why: str
    on: When
    tree: str | None = None
    graft: str | None = None
    lot: str | None = None
    agent: str = ""
    lifted: When | None = None
    how: str = ""
