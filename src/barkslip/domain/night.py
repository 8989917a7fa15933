"""One cold night at one small tree: what is asked, and what comes out."""

from __future__ import annotations

from dataclasses import dataclass, field

from barkslip.domain.errors import InputError
from barkslip.domain.sourced import Value

#: Organs whose harm is judged, as the model knows them -> as a grower calls them.
ORGANS = {
    "leaf_exposed": "exposed leaf",
    "leaf_inner": "inner leaf",
    "twig": "young graft or twig",
    "bark": "trunk bark",
    "fruit": "fruit",
}
FRUIT_STATES = ("none", "green", "half ripe", "ripe")
SOILS = ("sand", "clay", "peat")
SOIL_STATES = ("dry", "moist", "saturated")
GROUNDS = ("bare", "grass")
#: Kinds of cover whose numbers are in the knowledge base.
COVERS = (
    "fleece_17", "fleece_50", "blanket", "tarp", "clear_pe", "thermal_film", "aluminised_in", "aluminised_out", "pvc",
    "polyester", "glass",
)  # fmt: skip
LAMPS = ("incandescent", "halogen", "led", "ceramic", "heat_cable")
#: Codes of cautions; each is worded in `present`.
HAZARDS = (
    "electric_outdoors", "lamp_fire", "no_flame", "scald", "water_and_electricity", "ice_load", "anchor_and_open",
    "plastic_touching", "wrap_and_bank", "estimate_only",
)  # fmt: skip
#: Codes of what is not known; each is worded in `present`.
UNKNOWNS = (
    "harm_curve", "graft_critical", "species_critical", "cover_optics", "cover_leak", "tent_sky_view", "hardening",
    "wind_guessed", "cloud_guessed", "dew_guessed", "site_spread", "offset_few_nights", "supercooling",
    "stale_forecast",
)  # fmt: skip
#: Codes of what would change the answer.
CHANGES = ("more_wind", "cloud", "lower_low", "higher_low", "dry_air")
WRAPS = ("paper", "foam", "fibreglass", "bank")


@dataclass(frozen=True)
class Spread:
    """A quantity over the ensemble: one in ten below, the middle, one in ten above."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class NightTree:
    """The tree that is asked about.

    Parameters
    ----------
    name : str
        What it is called; "" for a tree that is not in the book.
    species : str
        As the grower writes it ("sweet orange"); "" is a full answer and takes the tenderest.
    height_m, width_m : float
        [m], above 0.
    young_graft : bool
        True if grafts of the last months stand on it: no hardening is counted for them.
    flush, bloom : bool
        True if it is in tender growth, in flower: no hardening then.
    fruit : str
        One of `FRUIT_STATES`.
    chill_h : float or None
        Hours at or below the hardening line in the last 500 h [h]; None if not known: no hardening is counted.
    soil, soil_state, ground : str
        One of `SOILS`, of `SOIL_STATES`, of `GROUNDS`.
    kinds : int
        Kinds of fruit on it, of which `species` is the tenderest.
    """

    species: str
    height_m: float
    width_m: float
    name: str = ""
    young_graft: bool = False
    flush: bool = False
    bloom: bool = False
    fruit: str = "none"
    chill_h: float | None = None
    soil: str = "sand"
    soil_state: str = "moist"
    ground: str = "bare"
    kinds: int = 1

    def __post_init__(self) -> None:
        for name, value, low, high in (("height", self.height_m, 0.2, 8.0), ("width", self.width_m, 0.2, 10.0)):
            if not low <= value <= high:
                raise InputError(
                    f"The model is for one small tree; this {name} is outside it.",
                    given=f"{value:g} m",
                    allowed=f"{low:g} to {high:g} m",
                    next_step="Correct it, or ask for a smaller part of the tree.",
                    field=name,
                )
        if self.fruit not in FRUIT_STATES:
            raise InputError(
                "Not a state of fruit.",
                given=self.fruit,
                allowed=", ".join(FRUIT_STATES),
                next_step="Choose one.",
                field="fruit",
            )


@dataclass(frozen=True)
class Measures:
    """One set of measures, taken together. All empty is the bare tree.

    Parameters
    ----------
    cover : str
        One of `COVERS`; "" for none.
    cover_height_m, cover_width_m : float
        Size of the tent [m]; 0 takes the tree's with a hand's breadth to spare.
    skirt_m : float
        How far the foot stands out on each side [m].
    gap_m : float
        Open height above the ground [m]; 0 if it reaches the ground.
    lamp_w : float
        Electrical watts in all [W].
    lamp : str
        One of `LAMPS`.
    bucket_l, bucket_c : float
        Litres and temperature of hot water [L], [°C].
    buckets : int
    lid : bool
    refills : int
        How often the buckets are filled anew.
    water_l_h, water_c : float
        Water let run under the tree [L/h], [°C].
    spray : bool
        Sprayed, not dripped.
    wrap : str
        One of `WRAPS`; "" for none.
    watered : bool
        The ground was watered the day before.
    bared : bool
        Grass or mulch was cleared from under the tree.
    """

    cover: str = ""
    cover_height_m: float = 0.0
    cover_width_m: float = 0.0
    skirt_m: float = 0.0
    gap_m: float = 0.0
    lamp_w: float = 0.0
    lamp: str = "incandescent"
    bucket_l: float = 0.0
    bucket_c: float = 60.0
    buckets: int = 1
    lid: bool = True
    refills: int = 0
    water_l_h: float = 0.0
    water_c: float = 15.0
    spray: bool = False
    wrap: str = ""
    watered: bool = False
    bared: bool = False

    @property
    def parts(self) -> tuple[str, ...]:
        """Codes of what is in the set, in the order of doing."""
        found = (
            ("watered", self.watered),
            ("bared", self.bared),
            ("wrap", bool(self.wrap)),
            ("cover", bool(self.cover)),
            ("lamp", self.lamp_w > 0),
            ("bucket", self.bucket_l > 0),
            ("water", self.water_l_h > 0),
        )
        return tuple(code for code, there in found if there)


@dataclass(frozen=True)
class NightAir:
    """What the air of the night is expected to be, and how surely.

    Parameters
    ----------
    source : str
        "typed", "forecast", "measured": where the hours come from.
    source_words : str
        One sentence for people.
    day : str
        ISO day of the evening.
    sunset_s, sunrise_s : int
        Epoch seconds UTC.
    utc_offset_h : float
    time_s : tuple of int
        Epoch seconds UTC, evenly spaced, from sunset to some hours after sunrise.
    air_c, dew_c, wind_m_s, cloud, sun_w_m2 : tuple of float
        At the plot; same length as `time_s` [°C], [°C], [m/s], [0..1], [W/m²].
    low_sd_k : float
        Error of the expected low, one standard deviation [K].
    site_sd_k : float
        What the tree's own place may differ by from the plot's screen, one standard deviation [K].
    offset : Offset or None
        What was added for the plot, if anything.
    guessed : tuple of str
        Columns that were not given and were filled in ("cloud", "wind_m_s", ...): said, and drawn wider.
    """

    source: str
    source_words: str
    day: str
    sunset_s: int
    sunrise_s: int
    utc_offset_h: float
    time_s: tuple[int, ...]
    air_c: tuple[float, ...]
    dew_c: tuple[float, ...]
    wind_m_s: tuple[float, ...]
    cloud: tuple[float, ...]
    sun_w_m2: tuple[float, ...]
    low_sd_k: float
    site_sd_k: float
    offset: Offset | None = None
    guessed: tuple[str, ...] = ()

    @property
    def low_c(self) -> float:
        """Expected low [°C]."""
        return min(self.air_c)


@dataclass(frozen=True)
class OffsetPart:
    """Plot minus site's screen on one kind of night.

    Parameters
    ----------
    kind : {"still", "windy"}
    mean_k : float or None
        [K]; None without nights.
    low_k, high_k : float or None
        95 % interval of the mean [K]; None below three nights.
    sd_k : float or None
        Spread from night to night [K].
    nights : int
    """

    kind: str
    mean_k: float | None
    low_k: float | None
    high_k: float | None
    sd_k: float | None
    nights: int


@dataclass(frozen=True)
class Offset:
    """A plot's offset, learned from its own nights against the site's screen.

    Parameters
    ----------
    plot, site : str
        Codes of the plot and of the plot whose screen stands for the site.
    parts : tuple of OffsetPart
        Still nights and windy nights, apart.
    used : str
        Which part was used tonight ("still", "windy", "typed", "" for none).
    used_k : float
        What was added to the site's air at the low [K].
    """

    plot: str
    site: str
    parts: tuple[OffsetPart, ...]
    used: str = ""
    used_k: float = 0.0


@dataclass(frozen=True)
class OrganNight:
    """How one organ gets through the night.

    Parameters
    ----------
    organ : str
        Key of `ORGANS`.
    critical : Value
        Temperature at which harm starts, with source and status; its range is part of the ensemble.
    hardening_k : float
        What hardening lowers it by [K]; 0 for grafts, flush, bloom, fruit.
    low_c, margin_k, hours_below_critical : Spread
        Lowest temperature [°C]; that minus the critical one [K]; hours below it [h].
    coldest_at : str
        Local time of the middle member's low, "05:40".
    chance : float
        Chance of harm [0..1].
    stand_in : bool
        True if no number is known for this organ of this species and a tenderer one stands in.
    """

    organ: str
    critical: Value
    hardening_k: float
    low_c: Spread
    margin_k: Spread
    hours_below_critical: Spread
    coldest_at: str
    chance: float
    stand_in: bool = False


@dataclass(frozen=True)
class MeasureNight:
    """What one set of measures does tonight.

    Parameters
    ----------
    measures : Measures
    gain_k : Spread
        Low of the organ most at risk, with minus without the set, member by member [K].
    chances : dict
        Organ -> chance of harm left.
    chance : float
        The largest of them.
    watts, litres, kwh, work_min : float
    hazards : tuple of str
        Codes of cautions, worded in `present.night`.
    times : dict
        What is done when, local time: "cover_on", "cover_off", "lamp_on", "lamp_off", "bucket_placed", ...
    worse : bool
        True if in the middle it is colder than nothing.
    """

    measures: Measures
    gain_k: Spread
    chances: dict[str, float]
    chance: float
    watts: float = 0.0
    litres: float = 0.0
    kwh: float = 0.0
    work_min: float = 0.0
    hazards: tuple[str, ...] = ()
    times: dict[str, str] = field(default_factory=dict)
    worse: bool = False


@dataclass(frozen=True)
class NightSeries:
    """One line of the chart: local times and the middle with one in ten either side [°C]."""

    name: str
    p10_c: tuple[float, ...]
    p50_c: tuple[float, ...]
    p90_c: tuple[float, ...]


@dataclass(frozen=True)
class NightVerdict:
    """The answer for one tree and one night.

    Parameters
    ----------
    frost : {"still frost", "windy frost", "no frost"}
    organs : tuple of OrganNight
        Bare tree, most at risk first.
    air_low_c : Spread
        Low of the air at the tree.
    times : tuple of str
        Local times of the series, "18:00" ...
    series : tuple of NightSeries
        Bare tree: air, exposed leaf, twig, bark, fruit; and the least set's inside air and leaf.
    ladder : tuple of MeasureNight
        Nothing first, then from the least work up.
    least, runner_up : int or None
        Places in `ladder`; None if nothing offered keeps the chance under the target.
    target : float
        The grower's target chance [0..1].
    would_change : tuple of (code, low chance, high chance)
        What would turn the answer, as reworked chances of the organ most at risk.
    unknowns, cautions : tuple of str
        Codes worded in `present.night`.
    members, seed : int
    knowledge_hash : str
    """

    tree: NightTree
    plot: str
    air: NightAir
    frost: str
    organs: tuple[OrganNight, ...]
    air_low_c: Spread
    times: tuple[str, ...]
    series: tuple[NightSeries, ...]
    ladder: tuple[MeasureNight, ...]
    least: int | None
    runner_up: int | None
    target: float
    would_change: tuple[tuple[str, float, float], ...]
    unknowns: tuple[str, ...]
    cautions: tuple[str, ...]
    members: int
    seed: int
    knowledge_hash: str

    @property
    def worst(self) -> OrganNight:
        """The organ most at risk."""
        return self.organs[0]


@dataclass(frozen=True)
class NightScore:
    """A past answer beside what happened [°C]; None where it is not known."""

    day: str
    plot: str
    forecast_low_c: float | None
    our_low_c: Spread | None
    measured_low_c: float | None


@dataclass(frozen=True)
class PlotTonight:
    """One plot's night in one line.

    Parameters
    ----------
    plot_code, plot_name : str
    frost : {"still frost", "windy frost", "no frost", ""}
        "" if nothing is known of the night there.
    low : Spread or None
        Low of the air in the plot [°C].
    worst_organ : str
        Key of `ORGANS`; "" if no tree was asked about.
    chance : float or None
        Chance of harm of that organ, bare [0..1].
    words : tuple of str
        Codes worded in `present.night`: "no_forecast", or codes of `UNKNOWNS`.
    tree_code : str
        Tree that is most at risk there; "" if none.
    """

    plot_code: str
    plot_name: str
    frost: str
    low: Spread | None
    worst_organ: str
    chance: float | None
    words: tuple[str, ...] = ()
    tree_code: str = ""


@dataclass(frozen=True)
class TreeAfter:
    """One tree after a freeze: what was likely hurt.

    Parameters
    ----------
    code, name, plot_name : str
    organs : tuple of (organ, chance)
        Keys of `ORGANS` with their chance of harm [0..1], most likely first.
    """

    code: str
    name: str
    plot_name: str
    organs: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class AfterFreeze:
    """After a freeze: tree by tree what was likely hurt, and what to wait for.

    Parameters
    ----------
    day : str
        ISO day of the morning.
    low_c : Spread or None
        Low of the air; its three numbers agree if it was measured beside the trees [°C].
    source_words : str
        Where the low comes from.
    trees : tuple of TreeAfter
        Most at risk first.
    waits : tuple of (code, from_day, until_day, Value)
        Code worded in `present.night`, ISO days ("" where open), and the number behind them.
    """

    day: str
    low_c: Spread | None
    source_words: str
    trees: tuple[TreeAfter, ...]
    waits: tuple[tuple[str, str, str, Value], ...]
