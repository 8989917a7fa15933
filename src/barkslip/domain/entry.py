"""What every line of the book has in common.

The book only grows. A thing (a tree, a lot, a look ...) is a chain of entries: the first one names it, each later
one corrects an earlier one and says which. The newest is what is shown; all are kept. Two corrections of the same
look may stand side by side: nobody's note is thrown away.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One line of the book.

    Parameters
    ----------
    id : str
        UUIDv7 of this line, made where it was typed; sending it twice makes one line.
    thing : str
        `id` of the first line about the same thing.
    corrects : str or None
        `id` of the line that this one corrects.
    made_utc : str
        When it was written down, ISO 8601 with Z. When it happened is in the noun's own date.
    withdrawn : bool
        True if this line takes the thing back ("that never was").
    """

    id: str
    thing: str
    made_utc: str
    corrects: str | None = None
    withdrawn: bool = False


def uuid7(unix_ms: int, random_74: int) -> str:
    """An identifier that sorts by time: UUID version 7, RFC 9562 section 5.7.

    Parameters
    ----------
    unix_ms : int
        Milliseconds since 1970 [ms], 0 <= unix_ms < 2**48.
    random_74 : int
        74 random bits.
    """
    rand_a, rand_b = random_74 >> 62 & 0xFFF, random_74 & (1 << 62) - 1
    number = unix_ms << 80 | 0x7 << 76 | rand_a << 64 | 0b10 << 62 | rand_b
    text = f"{number:032x}"
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"
