"""The demo garden, made once."""

from __future__ import annotations

import pytest

from barkslip.demo.garden import DemoGarden, build
from barkslip.domain.entry import Entry


class Book:
    """The demo as a reader sees it: the newest line of each thing, withdrawn ones gone."""

    def __init__(self, garden: DemoGarden) -> None:
        self.garden = garden
        newest: dict[str, Entry] = {}
        for entry in garden.entries:
            newest[entry.thing] = entry
        self.now = [entry for entry in newest.values() if not entry.withdrawn]

    def all(self, noun):
        """Newest lines of one noun."""
        return [entry for entry in self.now if type(entry) is noun]

    def lines(self, noun):
        """Every line of one noun, corrections too."""
        return [entry for entry in self.garden.entries if type(entry) is noun]

    def one(self, noun, **wanted):
        """The only newest line with these values."""
        found = [e for e in self.all(noun) if all(getattr(e, k) == v for k, v in wanted.items())]
        assert len(found) == 1, (noun.__name__, wanted, len(found))
        return found[0]


@pytest.fixture(scope="session")
def demo() -> DemoGarden:
    return build()


@pytest.fixture(scope="session")
def book(demo: DemoGarden) -> Book:
    return Book(demo)
