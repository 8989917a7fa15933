"""A number that knows where it comes from."""

from __future__ import annotations

from dataclasses import dataclass

#: How a number came to be known. A status is never upgraded on the way.
STATUSES = ("measured", "published", "recalled", "common practice", "assumption")


@dataclass(frozen=True)
class Source:
    """Where something was read.

    Parameters
    ----------
    key : str
        Short key, unique.
    citation : str
        Author, year, title, place.
    where : str
        Where the text was seen (a DOI, a page, an archive); may be empty.
    seen : str
        "text", "abstract or first page", "quoted elsewhere" or "not seen".
    owner : str
        "barkslip" for what ships with the program, else the name of the user's own folder.
    """

    key: str
    citation: str
    where: str = ""
    seen: str = "not seen"
    owner: str = "barkslip"


@dataclass(frozen=True)
class Value:
    """One quantity with range, unit, source and status.

    Parameters
    ----------
    value : float or str or None
        Best value; None if only a range is known; text for classes and words.
    unit : str
        Unit as written in `domain.units`, "1" for a pure number, "" for text.
    low, high : float or None
        Range; its meaning is in `note` where it is not "plausible range".
    source : str
        Key of a `Source`.
    status : str
        One of `STATUSES`.
    applies_to : str
        What it holds for (species, material, method ...).
    where : str
        Page, table or equation in the source.
    note : str
        Anything a user must know before leaning on it.
    """

    value: float | str | None
    unit: str
    source: str
    status: str
    low: float | None = None
    high: float | None = None
    applies_to: str = ""
    where: str = ""
    note: str = ""
