"""What the fruit of a variety on a chain may be: ranges, what they rest on, what the root stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.fits import Kind, Level
from barkslip.domain.known import Entry
from barkslip.domain.sourced import Source, Value

#: Share of cases that a range is meant to hold.
HELD = 0.8


@dataclass(frozen=True)
class Range:
    """A middle with the range that holds eight in ten."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Opinion:
    """What one trial or one rating says of one stock, in steps: 1 is a standard deviation of the stocks of a trial.

    Parameters
    ----------
    trial : str
        The trial, or the source of a rating: one voice.
    recalled : bool
        True if it is recalled only.
    """

    stock: str
    trial: str
    step: float
    source: str
    recalled: bool = False


@dataclass(frozen=True)
class Reading:
    """A figure of one stock in one trial; `groups` and `varieties` say on what."""

    stock: str
    trial: str
    value: float
    source: str
    varieties: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()


@dataclass(frozen=True)
class Quantity:
    """One thing about the fruit.

    Parameters
    ----------
    code : str
        "solids", "acid", "size", "yield", "juice", "ripening".
    unit : str
        "°Brix", "%", "1" for a ratio to a middling stock, "d" for days against it.
    range : Range
    against : bool
        True if it is against a middling stock; False if it is the thing itself.
    voices : int
        Trials and ratings that speak of the stock (for the thing itself: of the variety).
    sources : tuple of str
    recalled : bool
        True if all that speaks is recalled.
    own : int
        Own tastings in it.
    basis : str
        "own", "variety", "group", "all", "stocks" or "none": what the middle rests on.
    """

    code: str
    unit: str
    range: Range
    against: bool
    voices: int
    sources: tuple[str, ...] = ()
    recalled: bool = False
    own: int = 0
    basis: str = "stocks"


@dataclass(frozen=True)
class Score:
    """How a stock stands one thing: what each source says, kept side by side.

    Parameters
    ----------
    trait, label : str
        "tol_salinity", "salt".
    step : float or None
        From 1 (poor) to 5 (best) as the knowledge base pools it; None if nothing is known.
    words : str
        The step in words.
    opinions : tuple of Value
    differ : bool
        True if the sources do not agree.
    """

    trait: str
    label: str
    step: float | None
    words: str
    opinions: tuple[Value, ...]
    differ: bool


@dataclass(frozen=True)
class StockFruit:
    """The fruit on one stock, or on one tree's beliefs about its stock.

    Parameters
    ----------
    words : str
        What it stands on.
    kinds : tuple of (Kind, float)
        Stocks with their shares.
    quantities : tuple of Quantity
    dry : tuple of Value
        Causes of dry fruit that lie in this stock.
    scores : tuple of Score
        Of the likeliest stock.
    """

    words: str
    kinds: tuple[tuple[Kind, float], ...]
    quantities: tuple[Quantity, ...]
    dry: tuple[Value, ...]
    scores: tuple[Score, ...]


@dataclass(frozen=True)
class Beside:
    """One quantity on two stocks: second less first, or its ratio, and the chance that the second has more."""

    code: str
    unit: str
    range: Range
    chance: float


@dataclass(frozen=True)
class Counted:
    """How much one part of the chain counts, where a figure is known: "root", "piece", "line", "place"."""

    part: str
    value: Value | None
    range: Range | None = None


@dataclass(frozen=True)
class OwnTasting:
    """One own tasting, and why it does not count if it does not ("early")."""

    on: str
    tree: str
    fruit_n: int | None
    brix: float | None
    acid_pct: float | None
    score9: float | None
    dry_n: int | None
    seeds: float | None
    left_out: str = ""
    same_tree: bool = True


@dataclass(frozen=True)
class ColdFit:
    """How the variety, its stock and the place meet in the cold.

    Parameters
    ----------
    variety_class : Value or None
        "tender" to "hardiest".
    limits : tuple of (str, Value)
        What is told of its group, in words with figures.
    stock : Value or None
        What the stock does to the top.
    lows : tuple of (int, float)
        Lowest night of each year in the plot [°C].
    plot : str
    """

    variety_class: Value | None
    limits: tuple[tuple[str, Value], ...]
    stock: Score | None
    lows: tuple[tuple[int, float], ...] = ()
    plot: str = ""


@dataclass(frozen=True)
class FruitVerdict:
    """The answer.

    Parameters
    ----------
    stocks : tuple of StockFruit
        One; or two, to be seen side by side.
    beside : tuple of Beside
        The second stock against the first.
    months : tuple of (int, int)
        Windows in which it is ripe, as half months from 0 (1 January), turned to this garden's half of the world.
    season : Value or None
        The words they were read from.
    turned : bool or None
        True if they were turned for the south; None if the garden's place is not known.
    years : tuple of (str, Value)
        Years to first and to normal fruit.
    standards : tuple of (str, Value)
        When fruit of this group counts as ripe.
    alike : tuple of (str, Value)
        Trials that found no difference between stocks.
    dry_causes : tuple of (str, str, Value)
        Other causes of dry fruit: name, more or less, source.
    """

    variety: Kind
    levels: tuple[Level, ...]
    stocks: tuple[StockFruit, ...]
    beside: tuple[Beside, ...]
    counted: tuple[Counted, ...]
    months: tuple[tuple[int, int], ...]
    season: Value | None
    turned: bool | None
    years: tuple[tuple[str, Value], ...]
    cold: ColdFit
    standards: tuple[tuple[str, Value], ...]
    alike: tuple[tuple[str, Value], ...]
    dry_causes: tuple[tuple[str, str, Value], ...]
    own: tuple[OwnTasting, ...]
    notes: tuple[str, ...] = ()
    soil: str = ""
    water: str = ""
    sources: Mapping[str, Source] = field(default_factory=dict)
    entries: tuple[Entry, ...] = ()
    tree: str = ""
    tree_name: str = ""
