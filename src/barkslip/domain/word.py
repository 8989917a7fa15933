"""The trade's words and what they are called in six regions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.known import SHIPPED

#: Regions with their own words: code -> name.
REGIONS = {
    "us": "United States",
    "uk": "United Kingdom",
    "au": "Australia and New Zealand",
    "za": "South Africa",
    "in": "India",
    "es": "Spanish",
}


@dataclass(frozen=True)
class Word:
    """A word of the trade.

    Parameters
    ----------
    key, term : str
    label : str
        What the program writes.
    definition : str
    regional : mapping of region code to tuple of str
        Words used there; any of them finds the term.
    recalled : tuple of str
        Regions whose words are recalled, not read.
    not_for_labels : tuple of str
        Regions whose words serve for finding only.
    source, status : str
    note : str
    owner : str
    """

    key: str
    term: str
    label: str
    definition: str
    regional: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    recalled: tuple[str, ...] = ()
    not_for_labels: tuple[str, ...] = ()
    source: str = ""
    status: str = ""
    note: str = ""
    owner: str = SHIPPED

    def said_in(self, region: str) -> str:
        """The first word of a region that may be printed, else the program's own label."""
        words = self.regional.get(region, ())
        if not words or region in self.not_for_labels:
            return self.label
        return words[0]

    def status_in(self, region: str) -> str:
        """How the words of a region came to be known."""
        return "recalled" if region in self.recalled else self.status
