"""Kinds of fruit that are grafted, and what they are grafted on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.known import SHIPPED
from barkslip.domain.sourced import Value

#: What a name is. Only a cultivar's epithet goes into single quotation marks.
RANKS = ("cultivar", "landrace", "species", "hybrid")


def written_name(
    epithet: str, common_name: str = "", *, rank: str = "cultivar", trade_name: str = "", taxon: str = ""
) -> str:
    """A plant's name as the code of cultivated plants writes it.

    A cultivar epithet stands in single quotation marks. A trade designation stands apart, never in quotation
    marks, and is told from the epithet by its letters: capitals here, since plain text has no small capitals.
    Names of species, hybrids and landraces carry no quotation marks.

    Parameters
    ----------
    epithet : str
        "Washington"; for species and hybrids the whole name, "rough lemon".
    common_name : str
        Unambiguous common name that follows, "navel orange". Left out if `taxon` is given, or for a species.
    rank : str
        One of `RANKS`.
    trade_name : str
        Name it is sold under, if there is one.
    taxon : str
        Botanical name that comes before, "Citrus × sinensis"; an x for the sign is put right.

    Notes
    -----
    International Code of Nomenclature for Cultivated Plants, 9th edition (2016).
    Checked by tests/knowledge/test_standards_against_published.py.
    """
    before = botanical_name(taxon)
    trade = trade_name.upper()
    quoted = rank == "cultivar"
    bare = epithet.strip("'‘’ ")
    name = f"'{bare}'" if quoted else epithet
    whole = rank in ("species", "hybrid") or common_name.lower() in epithet.lower()
    after = "" if before or (whole and not quoted) else common_name
    return " ".join(part for part in (before, trade, name, after) if part)


def botanical_name(taxon: str) -> str:
    """A botanical name with the multiplication sign where an x was typed: "Citrus x sinensis"."""
    return " ".join("×" if part in ("x", "X") else part for part in taxon.split())


@dataclass(frozen=True)
class Variety:
    """A kind that is grown for its fruit.

    Parameters
    ----------
    key : str
    epithet : str
        "Washington"; the whole name if `rank` is not cultivar.
    common_name : str
        "navel orange"
    group : str
        Key of its group ("navel", "satsuma" ...), by which fit and cold are looked up.
    rank : str
        One of `RANKS`.
    taxon : str
        Botanical name of the group.
    trade_name : str
    synonyms : tuple of str
    values : mapping
        Traits (season, cold class, vigour ...) with sources.
    owner : str
    """

    key: str
    epithet: str
    common_name: str
    group: str
    rank: str = "cultivar"
    taxon: str = ""
    trade_name: str = ""
    synonyms: tuple[str, ...] = ()
    values: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)
    owner: str = SHIPPED

    @property
    def name(self) -> str:
        """As the code of cultivated plants writes it, with the common name: 'Washington' navel orange."""
        return written_name(self.epithet, self.common_name, rank=self.rank, trade_name=self.trade_name)

    def value(self, trait: str) -> Value | None:
        """First value of a trait, or None if nothing is known."""
        return next(iter(self.values.get(trait, ())), None)


@dataclass(frozen=True)
class Rootstock:
    """A kind that is grafted on.

    Parameters
    ----------
    key, epithet, common_name, rank, synonyms, values, owner
        As for `Variety`.
    parentage : str
        Species or cross.
    group : str
        Key of its group ("citrange", "trifoliate" ...).
    sucker_leaf : str
        "simple", "trifoliolate", "mixed" or "as scion": what a shoot from it shows.
    """

    key: str
    epithet: str
    common_name: str
    group: str
    sucker_leaf: str
    rank: str = "cultivar"
    parentage: str = ""
    synonyms: tuple[str, ...] = ()
    values: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)
    owner: str = SHIPPED

    @property
    def name(self) -> str:
        """As the code of cultivated plants writes it: 'Carrizo' citrange, rough lemon."""
        return written_name(self.epithet, self.common_name, rank=self.rank)

    def value(self, trait: str) -> Value | None:
        """First value of a trait, or None if nothing is known."""
        return next(iter(self.values.get(trait, ())), None)
