"""What was written down a moment ago."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.entry import Entry


@dataclass(frozen=True)
class Written:
    """One entry, for the line that confirms it.

    Parameters
    ----------
    noun : str
        "look", "act", "graft" ...
    entry : Entry
    about : str
        What it is about: a graft's code, a tree's name ...
    code : str
        Code of that thing, for addresses; "" if it has none.
    count : int
        How many such entries were written together.
    taken_back : bool
        True if the thing has been taken back since.
    newest : bool
        True if nothing about the thing has been written since.
    """

    noun: str
    entry: Entry
    about: str
    code: str
    count: int = 1
    taken_back: bool = False
    newest: bool = True

    @property
    def corrected(self) -> bool:
        """True if the entry corrects an earlier one."""
        return self.entry.corrects is not None and not self.entry.withdrawn
