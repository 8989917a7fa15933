"""Writes entries with made-up but repeatable identifiers and times."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any, TypeVar

import numpy as np

from barkslip.domain.entry import Entry, uuid7

E = TypeVar("E", bound=Entry)
#: Entries of one day are dated from this hour on [h UTC], one second apart: the evening of a day outside.
EVENING_H = 15


class Pen:
    """Makes entries; the same seed writes the same book.

    Parameters
    ----------
    rng : numpy.random.Generator
        Gives the random bits of the identifiers, and nothing else.
    """

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self._written: dict[date, int] = {}

    def _stamp(self, day: date) -> tuple[str, str]:
        n = self._written.get(day, 0)
        self._written[day] = n + 1
        moment = datetime(day.year, day.month, day.day, EVENING_H, tzinfo=UTC) + timedelta(seconds=n)
        high, low = (int(bits) for bits in self._rng.integers(0, 1 << 37, size=2))
        made = moment.strftime("%Y-%m-%dT%H:%M:%SZ")
        return uuid7(int(moment.timestamp()) * 1000, high << 37 | low), made

    def first(self, noun: type[E], day: date, **fields: Any) -> E:
        """The first line about a thing, written down on `day`."""
        name, made = self._stamp(day)
        return noun(id=name, thing=name, made_utc=made, **fields)

    def correct(self, old: E, day: date, **changes: Any) -> E:
        """A line written on `day` that corrects `old`."""
        name, made = self._stamp(day)
        return replace(old, id=name, corrects=old.id, made_utc=made, **changes)
