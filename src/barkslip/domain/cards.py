"""What use cases hand to pages, commands and paper: nouns of the book brought together for one question.

A card is one line of a list; a story is one page. They hold facts only; `present` words them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from barkslip.domain.act import Act, Event, Photo
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.due import Due
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import Graft, Look, Standing
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import Candidate, ChainLink, Limb, Tree

if TYPE_CHECKING:  # weather needs numpy, looks must not
    from barkslip.domain.weather import MonthSummary, SeriesInfo


@dataclass(frozen=True)
class ChainPart:
    """One level of a written chain.

    Parameters
    ----------
    level : str
        "scion", "framework", "interstock", "rootstock" or "own roots".
    name : str
        Written by the Code's rules (ICNCP); "?" if nothing is known or unknown is the likeliest.
    belief : float or None
        Belief in `name` [0..1]; None where it was set by the grower's own hand (scion of a graft).
    candidates : tuple of Candidate
        All answers, likeliest first, unknown included.
    limb_only : bool
        True if it holds for the limb, not for the whole tree.
    """

    level: str
    name: str
    belief: float | None
    candidates: tuple[Candidate, ...] = ()
    limb_only: bool = False


@dataclass(frozen=True)
class GraftCard:
    """One graft as a line of a list.

    Parameters
    ----------
    variety : str
        Written by the Code's rules; "?" if not known.
    name_doubt : str
        Name found instead, if its lot turned out to be something else.
    address : str
        Limb's address, "" if only the tree is known.
    days : (int, int)
        Fewest and most days since it was set.
    """

    graft: Graft
    tree: Tree
    plot: Plot
    limb: Limb | None
    variety: str
    name_doubt: str
    address: str
    standing: Standing
    due: tuple[Due, ...]
    days: tuple[int, int]


@dataclass(frozen=True)
class Version:
    """An entry that is no longer current, and the one that replaced it."""

    old: Graft | Look | Tree | Limb | ChainLink | WoodLot | Act
    made_utc: str
    withdrawn: bool = False


@dataclass(frozen=True)
class WeatherSince:
    """Weather a graft has had since it was set, from one series.

    Parameters
    ----------
    series : str
        Name of the series.
    source : str
        Its source line.
    hours : float
        Hours with readings; `share` of the hours since setting.
    low_c, high_c : float or None
        Extremes [°C], with their local times.
    frost_hours, healing_hours, heat_hours : float
        Hours below the frost line, in the citrus healing band, above the heat line [h].
    healing_low_c, healing_high_c, heat_c : float
        The lines used [°C].
    days : tuple of (day, low, high)
        Local days for the chart; None where there is no reading.
    whole : bool
        False if `days` are only the first ones: a union heals or fails in its first months.
    """

    series: str
    source: str
    hours: float
    share: float
    low_c: float | None
    low_at: str
    high_c: float | None
    high_at: str
    frost_hours: float
    healing_hours: float
    heat_hours: float
    frost_c: float
    healing_low_c: float
    healing_high_c: float
    heat_c: float
    days: tuple[tuple[str, float | None, float | None], ...] = ()
    whole: bool = True


@dataclass(frozen=True)
class GraftStory:
    """One graft's page."""

    card: GraftCard
    chain: tuple[ChainPart, ...]
    lot: WoodLot | None
    finds: tuple[LotFind, ...]
    looks: tuple[Look, ...]  # newest first
    acts: tuple[Act, ...]  # newest first, on the graft itself
    photos: tuple[Photo, ...]
    weather: WeatherSince | None
    past: tuple[Version, ...]
    siblings: tuple[GraftCard, ...]  # same campaign


@dataclass(frozen=True)
class TreeCard:
    """One tree as a line of a list. `marks` counts grafts by mark."""

    tree: Tree
    plot: Plot
    limbs: int
    grafts: int
    marks: dict[str, int]
    stands_on: ChainPart | None
    due: tuple[Due, ...]


@dataclass(frozen=True)
class LimbCard:
    """One limb with its grafts and its former names ((name, until), newest first)."""

    limb: Limb
    grafts: tuple[GraftCard, ...]
    former: tuple[tuple[str, str], ...]
    due: tuple[Due, ...] = ()


@dataclass(frozen=True)
class TreeStory:
    """One tree's page. `links` are current, roots first; `beliefs` all of them, newest first."""

    card: TreeCard
    chain: tuple[ChainPart, ...]
    links: tuple[ChainLink, ...]
    beliefs: tuple[ChainLink, ...]
    limbs: tuple[LimbCard, ...]
    loose: tuple[GraftCard, ...]  # grafts whose limb is not known
    acts: tuple[Act, ...]
    events: tuple[Event, ...]
    photos: tuple[Photo, ...]
    tastings: tuple[Tasting, ...]
    past: tuple[Version, ...]


@dataclass(frozen=True)
class PlotDay:
    """One local day in one plot: the night's low is the lowest from noon before to noon of the day."""

    day: str
    night_low_c: float | None
    high_c: float | None
    hours: float
    forecast: bool = False


@dataclass(frozen=True)
class PlotToday:
    """One plot on the Today page.

    Parameters
    ----------
    trees : tuple of (TreeCard, tuple of GraftCard)
        Walking order; trees with something due (of the tree or of its grafts), grafts that have something due.
    waiting : int
        Grafts that wait for a verdict.
    due : int
        Things due, all counted even where the list is cut.
    last, coming : tuple of PlotDay
    source, forecast_source : str
        Series behind `last` and `coming`; "" if there is none.
    """

    plot: Plot
    trees: tuple[tuple[TreeCard, tuple[GraftCard, ...]], ...]
    waiting: int
    due: int
    last: tuple[PlotDay, ...]
    coming: tuple[PlotDay, ...]
    source: str = ""
    forecast_source: str = ""


@dataclass(frozen=True)
class Today:
    """The Today page."""

    on: date
    garden: Garden
    plots: tuple[PlotToday, ...]
    waiting: int
    due: int
    overdue: int
    cut: bool = False  # True if lists were cut; the walk-round has them all


@dataclass(frozen=True)
class Walk:
    """One stop of the walk-round: `place` of `stops`, with the neighbours' codes."""

    on: date
    garden: Garden
    place: int
    stops: int
    card: GraftCard | None
    tree_due: tuple[Due, ...]
    before: str
    after: str
    last_looks: tuple[Look, ...]


@dataclass(frozen=True)
class LotCard:
    """One wood lot as a line of a list: grafts set from it, counts by verdict, name found."""

    lot: WoodLot
    grafts: int
    verdicts: dict[str, int]
    found: str  # other name found, "" if confirmed or not known
    confirmed: bool


@dataclass(frozen=True)
class LotStory:
    """One lot's page: its finds, its grafts, lots cut from those grafts."""

    card: LotCard
    finds: tuple[LotFind, ...]
    grafts: tuple[GraftCard, ...]
    descendants: tuple[LotCard, ...]
    from_words: tuple[str, str, str]  # codes of tree, limb address, graft it was cut from
    photos: tuple[Photo, ...]
    past: tuple[Version, ...]
    mcpd: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Hit:
    """One search result: what it is, its code, words and address in the app ("graft", "G04-3", ...)."""

    kind: str
    code: str
    thing: str
    title: str
    detail: str = ""


@dataclass(frozen=True)
class SeriesCard:
    """One weather series as a line of a list.

    Parameters
    ----------
    thing : str
    plot_code, plot_name : str
        "" for a station elsewhere.
    info : SeriesInfo
    first_day, last_day : str
        Local ISO days of the first and the last reading.
    readings : int
    columns : tuple of str
    """

    thing: str
    plot_code: str
    plot_name: str
    info: SeriesInfo
    first_day: str
    last_day: str
    readings: int
    columns: tuple[str, ...]


@dataclass(frozen=True)
class SeriesStory:
    """A series with its months; `lines` are the temperatures counted by [°C]: frost_c, healing_low_c, healing_high_c,
    heat_c."""

    card: SeriesCard
    months: tuple[MonthSummary, ...]
    lines: dict[str, float]
