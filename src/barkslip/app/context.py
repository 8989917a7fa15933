"""What a use case is given: book, knowledge, clock, identifiers, settings. Made once, handed down."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING, Any

from barkslip.app.settings import Settings
from barkslip.domain.entry import uuid7
from barkslip.domain.garden import Garden
from barkslip.domain.units import UnitChoice, unit_choice
from barkslip.fieldbook.book import Book

if TYPE_CHECKING:
    from barkslip.app.names import Names
    from barkslip.domain.due import CareRules
    from barkslip.knowledge.load import Knowledge


def _now() -> datetime:
    return datetime.now(UTC)


def _random_bits(n: int) -> int:
    """n random bits from the system; `secrets` would load hashes and ciphers for it."""
    return int.from_bytes(os.urandom((n + 7) // 8)) >> (-n % 8)


@dataclass
class Context:
    """Everything a use case needs from the outside.

    Parameters
    ----------
    book : Book
    settings : Settings
    now : callable
        UTC clock.
    random_bits : callable
        n -> n random bits, for identifiers.
    kept : dict
        Answers that take long, by what they depend on; gone when the program ends.
    """

    book: Book
    settings: Settings
    now: Callable[[], datetime] = _now
    random_bits: Callable[[int], int] = field(default=_random_bits)
    kept: dict[str, Any] = field(default_factory=dict)

    @cached_property
    def knowledge(self) -> Knowledge:
        """The knowledge base, loaded when first asked."""
        from barkslip.knowledge.load import load

        return load(self.settings.knowledge)

    @cached_property
    def care(self) -> CareRules:
        """The numbers of the due list."""
        from barkslip.app.care import care_rules

        return care_rules(self.knowledge)

    @cached_property
    def names(self) -> Names:
        """Writer of names; what it has looked up once it remembers."""
        from barkslip.app.names import Names

        return Names(lambda: self.knowledge)

    def garden(self) -> Garden:
        """The garden of the book."""
        with self.book.read() as reader:
            return reader.every(Garden)[0]

    def units(self, garden: Garden) -> UnitChoice:
        """Units to show and to read: those asked for, else the garden's."""
        return unit_choice(self.settings.units or garden.units)

    def stamp(self) -> str:
        """Now, as the book writes it."""
        return self.now().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def new_id(self) -> str:
        """A fresh identifier."""
        return uuid7(int(self.now().timestamp() * 1000), self.random_bits(74))

    def today(self, garden: Garden) -> date:
        """Today in the garden: by its own clock, or where an invented garden's clock stands."""
        if garden.today:
            return date.fromisoformat(garden.today)
        return (self.now() + timedelta(hours=garden.utc_offset_h)).date()


def open_context(settings: Settings) -> Context:
    """Open the book named by the settings.

    Raises
    ------
    NotFoundError
        If there is none.
    """
    return Context(Book(settings.book), settings)
