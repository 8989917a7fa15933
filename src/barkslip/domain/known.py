"""What the knowledge base hands out: sourced entries, rows of tables, and what a search found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.sourced import Source, Value

#: Owner of what ships with the program; anything else is the name of a user's own folder.
SHIPPED = "barkslip"


@dataclass(frozen=True)
class Entry:
    """One value with its full source, and the shipped value beside it when a user's own replaces it.

    Parameters
    ----------
    key : str
        "care.first_look_days", "rootstocks.carrizo.tree_size".
    label : str
        Words for the value, such as "size of the tree".
    value : Value
        What holds now.
    source : Source
        The source that `value.source` names.
    owner : str
        `SHIPPED`, or the name of the user's own folder.
    shipped : Value or None
        What the program ships, if the value is the user's own and replaces it.
    """

    key: str
    label: str
    value: Value
    source: Source
    owner: str = SHIPPED
    shipped: Value | None = None

    @property
    def known(self) -> bool:
        """False for a hole: neither a value nor a range is known, and the note says why."""
        return self.value.value is not None or self.value.low is not None or self.value.high is not None


@dataclass(frozen=True)
class Row:
    """One line of a knowledge table.

    Parameters
    ----------
    table, key : str
        Where it stands; `key` is unique within its table.
    cells : mapping of str to str
        The words, by column.
    value : Value or None
        The number or class of the row itself, in tables where each row is one fact.
    values : mapping of str to tuple of Value
        Traits; several values of one trait are kept side by side where sources disagree.
    owner : str
        Whose the words are.
    theirs : frozenset of str
        Traits that a user's own folder has set.
    shipped : Row or None
        The shipped row that a user's own row replaces.
    shipped_values : mapping of str to tuple of Value
        Shipped values of the traits in `theirs`.
    """

    table: str
    key: str
    cells: Mapping[str, str]
    value: Value | None = None
    values: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)
    owner: str = SHIPPED
    theirs: frozenset[str] = frozenset()
    shipped: Row | None = None
    shipped_values: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)

    def cell(self, column: str) -> str:
        """The words in a column; empty if there are none."""
        return self.cells.get(column, "")

    def cell_list(self, column: str) -> tuple[str, ...]:
        """The words in a column that holds several, separated by semicolons."""
        return tuple(part for part in (p.strip() for p in self.cell(column).split(";")) if part)

    def first(self, trait: str) -> Value | None:
        """The first value of a trait, or None if nothing is known."""
        values = self.values.get(trait, ())
        return values[0] if values else None


@dataclass(frozen=True)
class Found:
    """One thing that a search found, with everything needed to show it.

    Parameters
    ----------
    kind : str
        "variety", "rootstock", "method", "binding", "word", "growth stage", "number", "source" ...
    key : str
        Key of the row, entry or source.
    name : str
        The name as it is written for people.
    how : str
        "same", "starts", "part" (the text occurs in a name), or "near" (spelled almost so).
    words : tuple of (label, text)
        What is said about it in words.
    values : tuple of Entry
        Its values with their sources.
    sources : tuple of Source
        Sources of the words.
    owner : str
    """

    kind: str
    key: str
    name: str
    how: str
    words: tuple[tuple[str, str], ...] = ()
    values: tuple[Entry, ...] = ()
    sources: tuple[Source, ...] = ()
    owner: str = SHIPPED
