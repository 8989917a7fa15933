"""Signs: answers to questions about what is seen at a tree or a graft, and what was found to be the cause of a loss."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.entry import Entry
from barkslip.domain.when import When


@dataclass(frozen=True, kw_only=True)
class Sign(Entry):
    """One answer to one question.

    Parameters
    ----------
    question : str
        Key of the question ("leaflets", "union_wood").
    answer : str
        Key of the answer ("3", "brown").
    on : When
    tree, graft : str or None
        Thing id of what was looked at: exactly one is set.
    note : str
    """

    question: str
    answer: str
    on: When
    tree: str | None = None
    graft: str | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Cause(Entry):
    """What a loss turned out to come from.

    Parameters
    ----------
    graft : str
        Thing id.
    cause : str
        Key of the cause ("dried").
    how : str
        By what it was known.
    on : When
    """

    graft: str
    cause: str
    on: When
    how: str = ""
