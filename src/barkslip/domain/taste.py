"""What juice and tasters say of fruit: scores, standards met or not, and whether it is too early to judge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.sourced import Source, Value
from barkslip.domain.tasting import Tasting

#: The scale of nine points.
LIKING = {
    9: "like extremely", 8: "like very much", 7: "like moderately", 6: "like slightly", 5: "neither",
    4: "dislike slightly", 3: "dislike moderately", 2: "dislike very much", 1: "dislike extremely",
}  # fmt: skip
#: "early": something speaks against judging yet; "name": the name must be settled first.
VERDICTS = ("early", "name", "good", "middling", "poor once", "poor here", "no score")
#: Reasons for which a tasting judges nothing yet.
EARLY = ("first_crop", "few_fruit", "frozen", "not_ripe", "over_ripe")


@dataclass(frozen=True)
class Titration:
    """Acid from lye.

    Parameters
    ----------
    lye_ml, normality, juice_ml : float
    acid_pct : float
        Anhydrous citric acid [g in 100 mL].
    acid_mass_pct : float
        The same [% by mass], with the juice's usual density.
    """

    lye_ml: float
    normality: float
    juice_ml: float
    acid_pct: float
    acid_mass_pct: float


@dataclass(frozen=True)
class StandardCheck:
    """One line of a standard beside one juice.

    Parameters
    ----------
    key, standard, fruit, criterion, condition : str
    least : float or None
        What it asks for, in `unit`.
    unit : str
    found : float or None
        What this juice has; None if it was not measured.
    met : bool or None
        None if it cannot be told.
    value : Value
        With source and status.
    """

    key: str
    standard: str
    fruit: str
    criterion: str
    condition: str
    least: float | None
    unit: str
    found: float | None
    met: bool | None
    value: Value


@dataclass(frozen=True)
class JuiceScore:
    """One juice.

    Parameters
    ----------
    brix_read : float
        As the instrument showed it [°Brix].
    temp_c : float or None
        Of the juice [°C]; None if it was at 20 °C or the instrument corrects by itself.
    for_temp : float
        Added for temperature [°Brix].
    temp_recalled : bool
        True if the correction rests on rows that are recalled only (above 20 °C).
    brix : float
        At 20 °C [°Brix]: by this the rules go.
    acid_pct : float or None
        Anhydrous citric acid [%].
    for_acid : float or None
        To be added for the acid, which the instrument does not see as it sees sugar [°Brix].
    solids : float or None
        With it: soluble solids, acid counted [%].
    ratio : float or None
        Brix over acid.
    index_16_5 : float or None
        (Brix - 4 acid) 16.5, the Californian score of navels.
    index_least : float
        What that rule asks for.
    titration : Titration or None
    juice_pct : float or None
    fruit : str
        Kind of fruit that standards were looked up for; "" if none was named.
    standards : tuple of StandardCheck
    sources : mapping of key to Source
    notes : tuple of str
    """

    brix_read: float
    temp_c: float | None
    for_temp: float
    temp_recalled: bool
    brix: float
    acid_pct: float | None
    for_acid: float | None
    solids: float | None
    ratio: float | None
    index_16_5: float | None
    index_least: float
    titration: Titration | None = None
    juice_pct: float | None = None
    fruit: str = ""
    standards: tuple[StandardCheck, ...] = ()
    sources: Mapping[str, Source] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class DryCause:
    """One recorded cause of dry fruit.

    Parameters
    ----------
    key, name, detail, lies_in : str
    here : bool or None
        True if the book shows it for this fruit, False if it shows that it is not so, None if nothing is known.
    why : str
        What in the book says so: a key of a sentence.
    source, status : str
    """

    key: str
    name: str
    detail: str
    lies_in: str
    here: bool | None
    why: str
    source: str
    status: str


@dataclass(frozen=True)
class Identity:
    """Whether the fruit is what the label says, as far as months, seeds and finds can tell.

    Parameters
    ----------
    named : str
        As written on the sheet.
    known_as : str
        The variety of the knowledge base that this means; "" if none.
    months : str or None
        Its months as the knowledge base has them (northern half); None if they are not known.
    fits : str
        "its months", "beside its months", "not its months" or "not known".
    windows : tuple of (int, int)
        Half months in this half of the world.
    seeds : str
        "as told", "pollen" (told to have them near a pollen partner only), "more than told", "not counted" or
        "not known".
    told_seeds : str
        What is told of its seeds.
    found : str
        What the wood lot turned out to be, if that is another name.
    """

    named: str
    known_as: str = ""
    months: str | None = None
    fits: str = "not known"
    windows: tuple[tuple[int, int], ...] = ()
    seeds: str = "not counted"
    told_seeds: str = ""
    found: str = ""


@dataclass(frozen=True)
class TastingVerdict:
    """One tasting, judged or not.

    Parameters
    ----------
    tasting : Tasting
    tree : str
        Code and name.
    crop : int or None
        Which crop it is; None if nobody knows.
    crop_counted : bool
        True if that was counted from earlier tastings, not written down.
    verdict : str
        One of `VERDICTS`.
    early : tuple of str
        Of `EARLY`.
    notes : tuple of str
        Keys of sentences: "young_graft", "few_tasters", "no_liking" ...
    identity : Identity
    juice : JuiceScore or None
    dry_share : float or None
        [0..1]
    dry : tuple of DryCause
        Only if dryness is asked about.
    frost : (str, float or None) or None
        Day of the frost that may have frozen it, and the low there [°C].
    """

    tasting: Tasting
    tree: str
    tree_code: str
    crop: int | None
    crop_counted: bool
    verdict: str
    early: tuple[str, ...]
    notes: tuple[str, ...]
    identity: Identity
    juice: JuiceScore | None
    dry_share: float | None = None
    dry: tuple[DryCause, ...] = ()
    frost: tuple[str, float | None] | None = None


@dataclass(frozen=True)
class TasteLine:
    """Crops of one variety on one tree, oldest first."""

    tree: str
    tree_code: str
    variety: str
    tastings: tuple[TastingVerdict, ...]

    @property
    def newest(self) -> TastingVerdict:
        """The last tasting: what holds now."""
        return self.tastings[-1]


@dataclass(frozen=True)
class TasteSheet:
    """A coded tasting.

    Parameters
    ----------
    samples : tuple of (code, sample)
        Three figures for each sample, by lot: kept away from the tasters.
    orders : tuple of tuple of str
        For each taster the codes in the order in which they are tasted.
    seed : int
    """

    samples: tuple[tuple[str, str], ...]
    orders: tuple[tuple[str, ...], ...]
    seed: int
