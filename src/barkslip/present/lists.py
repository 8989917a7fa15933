"""Furniture of lists: filters and pages of a long list, and the state of the book."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Filter:
    """One filter above a list, sent by GET.

    Parameters
    ----------
    name, label : str
    options : tuple of (value, words)
        The first one means all.
    value : str
        The one that holds.
    """

    name: str
    label: str
    options: tuple[tuple[str, str], ...]
    value: str = ""


@dataclass(frozen=True, slots=True)
class Pager:
    """Where a long list stands. Empty addresses mean that there is nothing that way."""

    first: int
    last: int
    total: int
    before: str = ""
    after: str = ""

    @property
    def words(self) -> str:
        """ "51 to 100 of 312"."""
        return f"{self.first} to {self.last} of {self.total}"


@dataclass(frozen=True, slots=True)
class BookView:
    """State of the book, for its page.

    Parameters
    ----------
    file : str
        Where it lies.
    size_bytes : int
    counts : tuple of (words, number)
        ("trees", 12) ...
    backup_at, backup_file : str
        Last backup in words and where it lies; empty if none is known.
    check : str
        Result of the last check in words; empty if none was made.
    sound : bool or None
        Whether that check found it sound.
    actions : tuple of (address, word, help)
        Buttons, each a POST.
    notes : tuple of str
    fresh : bool
        True if a backup was made just now.
    """

    file: str
    size_bytes: int = 0
    counts: tuple[tuple[str, int], ...] = ()
    backup_at: str = ""
    backup_file: str = ""
    check: str = ""
    sound: bool | None = None
    actions: tuple[tuple[str, str, str], ...] = ()
    notes: tuple[str, ...] = ()
    fresh: bool = False


#: Noun of the book -> one and many of it.
_THINGS = {
    "garden": ("garden", "gardens"), "plot": ("plot", "plots"), "logger": ("logger", "loggers"),
    "tree": ("tree", "trees"), "limb": ("limb", "limbs"), "chain_link": ("belief", "beliefs"),
    "wood_lot": ("wood lot", "wood lots"), "lot_find": ("name found", "names found"), "graft": ("graft", "grafts"),
    "look": ("look", "looks"), "act": ("piece of work", "pieces of work"), "event": ("event", "events"),
    "trial": ("trial", "trials"), "tasting": ("tasting", "tastings"), "photo": ("photo", "photos"),
    "record": ("record of weather", "records of weather"),
}  # fmt: skip


def things_word(noun: str, count: int) -> str:
    """A noun of the book as people say it, one or many: "wood lots"."""
    one, many = _THINGS.get(noun, (noun.replace("_", " "), noun.replace("_", " ") + "s"))
    return one if count == 1 else many


def size_text(size_bytes: int) -> str:
    """ "840 kB", "3.2 MB"."""
    if size_bytes < 1_000_000:
        return f"{size_bytes / 1000:.0f}\u00a0kB"
    return f"{size_bytes / 1_000_000:.1f}\u00a0MB"
