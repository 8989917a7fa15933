"""A wrapped graft through one day of sun: what is asked, and what comes out."""

from __future__ import annotations

from dataclasses import dataclass, field

from barkslip.domain.errors import InputError
from barkslip.domain.names import same_word
from barkslip.domain.night import Spread
from barkslip.domain.sourced import Value

#: Ways of covering a graft, as the model knows them -> as a grower calls them. All but the first have film under them.
GRAFT_COVERS = {
    "none": "no film, no cover",
    "film": "film alone",
    "white_paint": "white paint over the film",
    "foil_sleeve": "foil sleeve",
    "foil_pouch": "foil-lined bubble pouch",
    "white_bag": "white paper bag",
    "brown_bag": "brown paper bag",
    "dark_bag": "dark bag",
    "clear_plastic": "clear plastic in sun",
    "clear_plastic_shade": "clear plastic in shade",
    "shade_cloth": "shade cloth",
    "nurse_leaves": "leaves of a nurse limb",
}
#: Other words for them.
COVER_WORDS = {
    "bare": "none",
    "unwrapped": "none",
    "": "film",
    "wrapped": "film",
    "paint": "white_paint",
    "white paint": "white_paint",
    "foil": "foil_sleeve",
    "foil-lined pouch": "foil_pouch",
    "bubble pouch": "foil_pouch",
    "pouch": "foil_pouch",
    "paper bag": "brown_bag",
    "kraft bag": "brown_bag",
    "clear bag": "clear_plastic",
    "plastic bag": "clear_plastic",
    "shade net": "shade_cloth",
}
#: Covers that hold air of their own, open below or closed.
HOLDING_AIR = (
    "foil_sleeve", "foil_pouch", "white_bag", "brown_bag", "dark_bag", "clear_plastic", "clear_plastic_shade",
)  # fmt: skip
#: Bearings of bark faces, clockwise from north.
FACES = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
#: Codes of cautions; each is worded in `present`.
HAZARDS = (
    "sealed_plastic",
    "foil_lines_glare",
    "paint_water_based",
    "bag_nests",
    "people_heat",
    "ladder",
    "estimate_only",
)
#: Codes of what is not known; each is worded in `present`.
UNKNOWNS = (
    "paper_optics", "no_measured_graft", "wind_guessed", "cloud_guessed", "dew_guessed", "sun_guessed", "kill_point",
    "film_rate", "seal_unknown", "species_heat", "shade_unknown", "offset_unknown", "stale_forecast", "humid_bag",
)  # fmt: skip
#: Codes of what would change the answer.
CHANGES = ("more_wind", "cloud", "hotter", "shade", "touching", "closed")


def graft_cover(words: str) -> str:
    """Key of `GRAFT_COVERS` for what a grower writes ("foil-lined pouch", "foil_sleeve").

    Raises
    ------
    InputError
        If it is no cover the model knows.
    """
    asked = words.strip()
    for key, label in GRAFT_COVERS.items():
        if same_word(asked, key) or same_word(asked, label):
            return key
    for other, key in COVER_WORDS.items():
        if same_word(asked, other):
            return key
    raise InputError(
        "Nothing is known of this cover for a graft.",
        given=words,
        allowed=", ".join(GRAFT_COVERS),
        next_step="Choose the one whose stuff and colour come nearest.",
        field="cover",
    )


@dataclass(frozen=True)
class Wrap:
    """One way of covering a graft.

    Parameters
    ----------
    cover : str
        Key of `GRAFT_COVERS`.
    open_below : bool
        Air can leave at the foot; without meaning where no air is held.
    touching : bool
        The sunny wall lies against the scion.
    """

    cover: str
    open_below: bool = True
    touching: bool = False


@dataclass(frozen=True)
class WrappedGraft:
    """The graft that is asked about.

    Parameters
    ----------
    name : str
        Code in the book; "" for one that is not in it.
    species : str
        As the grower writes it; "" is a full answer.
    scion_mm, scion_length_mm, limb_mm : float
        Thickness and length of the scion, thickness of the limb or stub under it [mm].
    bearing_deg : float or None
        Side of the tree on which it stands, degrees clockwise from north; None for sun from all sides.
    shade : float
        Share of the sun that the tree, a cloth or a wall keeps off all day [0..1].
    whitened : bool
        The limb's bark is whitened.
    now : Wrap or None
        How it is covered now; None if not known.
    """

    species: str = ""
    name: str = ""
    scion_mm: float = 8.0
    scion_length_mm: float = 80.0
    limb_mm: float = 50.0
    bearing_deg: float | None = None
    shade: float = 0.0
    whitened: bool = False
    now: Wrap | None = None

    def __post_init__(self) -> None:
        for field_name, name, value, low, high, unit in (
            ("scion", "thickness of the scion", self.scion_mm, 2.0, 40.0, " mm"),
            ("scion_length", "length of the scion", self.scion_length_mm, 10.0, 400.0, " mm"),
            ("limb", "thickness of the limb", self.limb_mm, 3.0, 400.0, " mm"),
            ("shade", "share of shade", self.shade, 0.0, 1.0, ""),
        ):
            if not low <= value <= high:
                raise InputError(
                    f"The model is for a graft on a limb; this {name} is outside it.",
                    given=f"{value:g}{unit}",
                    allowed=f"{low:g} to {high:g}{unit}",
                    next_step="Correct it.",
                    field=field_name,
                )


@dataclass(frozen=True)
class SunAir:
    """Air and sun of some hours at a graft's place, and how surely.

    Parameters
    ----------
    source : str
        "typed", "forecast", "measured", "typical year".
    source_words : str
        One sentence for people.
    day : str
        ISO day on which it begins, local.
    lat, lon : float
        [° north, ° east]
    utc_offset_h : float
    time_s : tuple of int
        Epoch seconds UTC, hourly.
    air_c, dew_c, wind_m_s, cloud : tuple of float
        At the plot; wind at the height of the graft [°C], [°C], [m/s], [0..1].
    ghi_w_m2, dni_w_m2, dhi_w_m2 : tuple of float
        Sun on the level, direct on a face turned to it, from the sky; at the moment itself [W/m²].
    sun_up_deg, sun_from_deg : tuple of float
        Height of the sun above the horizon, its bearing clockwise from north [°].
    air_sd_k : float
        Error of the air's temperature, one standard deviation [K].
    guessed : tuple of str
        Columns that were not given and were filled in.
    wind_here : bool
        True if the wind is that at the graft; False if it is a mast's, and is scaled down.
    """

    source: str
    source_words: str
    day: str
    lat: float
    lon: float
    utc_offset_h: float
    time_s: tuple[int, ...]
    air_c: tuple[float, ...]
    dew_c: tuple[float, ...]
    wind_m_s: tuple[float, ...]
    cloud: tuple[float, ...]
    ghi_w_m2: tuple[float, ...]
    dni_w_m2: tuple[float, ...]
    dhi_w_m2: tuple[float, ...]
    sun_up_deg: tuple[float, ...]
    sun_from_deg: tuple[float, ...]
    air_sd_k: float = 0.0
    guessed: tuple[str, ...] = ()
    wind_here: bool = False

    @property
    def high_c(self) -> float:
        """Highest air [°C]."""
        return max(self.air_c)


@dataclass(frozen=True)
class HeatSeries:
    """One line of a chart: the middle by hour with one in ten either side [°C]."""

    name: str
    p10_c: tuple[float, ...]
    p50_c: tuple[float, ...]
    p90_c: tuple[float, ...]


@dataclass(frozen=True)
class CoverDay:
    """What one cover does to the graft through the day.

    Parameters
    ----------
    wrap : Wrap
    scion_max_c : Spread
        Hottest the scion gets, mean of its girth [°C].
    strip_max_c : Spread
        Hottest strip of its bark, the one turned to the sun [°C].
    excess_over_air_k : Spread
        Scion minus air of the same moment, at the scion's hottest [K].
    air_inside_max_c : Spread or None
        Hottest air in the cover [°C]; None where no air is held.
    low_c : Spread
        Coldest the scion gets [°C].
    degree_minutes_above_38, degree_minutes_above_44 : Spread
        [K min] over the day.
    water_lost_pct_day : Spread
        Share of the scion's water lost [%].
    heat_dose : Spread
        Heat dose of the scion's sunny strip less repair [1]; exp(-dose) of the tissue lives.
    chance_of_harm : float
        Chance that heat or drying of this day harms the scion [0..1].
    chance_over_44 : float
        Chance that the sunny strip passes 44 °C [0..1].
    hottest_at : str
        Local time of the middle member's hottest hour.
    series : tuple of HeatSeries
        "scion", "strip", "air_inside", "cover".
    verdict : {"choose", "bears", "helps", "avoid"}
        "bears": under the grower's target; "helps": over it, yet much better than film alone.
    hazards : tuple of str
        Codes of `HAZARDS`.
    learned_days : int
        Days of the grower's own logger that the numbers lean on.
    """

    wrap: Wrap
    scion_max_c: Spread
    strip_max_c: Spread
    excess_over_air_k: Spread
    air_inside_max_c: Spread | None
    low_c: Spread
    degree_minutes_above_38: Spread
    degree_minutes_above_44: Spread
    water_lost_pct_day: Spread
    heat_dose: Spread
    chance_of_harm: float
    chance_over_44: float
    hottest_at: str
    series: tuple[HeatSeries, ...] = ()
    verdict: str = "bears"
    hazards: tuple[str, ...] = ()
    learned_days: int = 0


@dataclass(frozen=True)
class FaceDay:
    """One face of the limb's bark through the day.

    Parameters
    ----------
    face : str
        One of `FACES`.
    bark_max_c, whitened_max_c : Spread
        Hottest bark, as it is and whitened [°C].
    hottest_at : str
        Local time.
    chance_over_44, chance_over_52 : float
        As it is [0..1].
    by_hour_c : tuple of float
        Middle, bark as it is, each hour of the day [°C].
    """

    face: str
    bark_max_c: Spread
    whitened_max_c: Spread
    hottest_at: str
    chance_over_44: float
    chance_over_52: float
    by_hour_c: tuple[float, ...] = ()


@dataclass(frozen=True)
class HeatVerdict:
    """The answer for one graft and one day.

    Parameters
    ----------
    covers : tuple of CoverDay
        Coolest first: ranked by chance of harm, then by the scion's hottest.
    choose : int or None
        Place in `covers` of the one to take; None if none keeps the chance under the target.
    now : int or None
        Place in `covers` of how it is covered now.
    faces : tuple of FaceDay
        In the order of `FACES`.
    times : tuple of str
        Local times of the series, "00:00" ...
    lines : tuple of (float, Value)
        The lines drawn across the chart [°C] with their sources: 38, 44, 52.
    would_change : tuple of (code, low, high)
        Code of `CHANGES`; chance of harm of the chosen (or the present) cover, before and with it.
    danger : str
        "none", "watch", "act": of the cover as it is now, else of film alone.
    target : float
        Chance of harm that the grower bears [0..1].
    """

    graft: WrappedGraft
    plot: str
    air: SunAir
    covers: tuple[CoverDay, ...]
    choose: int | None
    now: int | None
    faces: tuple[FaceDay, ...]
    times: tuple[str, ...]
    lines: tuple[tuple[float, Value], ...]
    would_change: tuple[tuple[str, float, float], ...]
    danger: str
    target: float
    unknowns: tuple[str, ...]
    cautions: tuple[str, ...]
    members: int
    seed: int
    knowledge_hash: str


@dataclass(frozen=True)
class PlotHeat:
    """One plot's coming hot day in one line, for Today.

    Parameters
    ----------
    plot_code, plot_name, day : str
    high_c : Spread or None
        Highest air [°C]; None if nothing is known of the day there.
    graft_code : str
        The graft most at risk; "" if none stands there.
    cover : str
        Its cover as written in the book.
    danger : {"none", "watch", "act", ""}
    chance : float or None
        Chance of harm under its present cover [0..1].
    better : str
        Key of the cover that would do; "" if none is needed or none does.
    words : tuple of str
        "no_forecast", or codes of `UNKNOWNS`.
    """

    plot_code: str
    plot_name: str
    day: str
    high_c: Spread | None
    graft_code: str = ""
    cover: str = ""
    danger: str = ""
    chance: float | None = None
    better: str = ""
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class MeasuredDay:
    """One day of a logger on a scion beside the model of the same hours [K].

    Parameters
    ----------
    day : str
    measured_k, model_k : float, Spread
        Scion minus shielded air, mean of the hours compared.
    """

    day: str
    measured_k: float
    model_k: Spread


@dataclass(frozen=True)
class CoverCheck:
    """A cover's model beside the grower's own logger, before and after learning from it.

    Parameters
    ----------
    wrap : Wrap
    logger : str
        Code of the logger.
    corrections : tuple of str
        One sentence for each correction that was made (bath, clock).
    from_h, to_h : float
        Local hours of the day that are compared.
    days : tuple of MeasuredDay
        Clear days used.
    left_out : int
        Days without enough sun or readings.
    before_k, after_k : Spread
        Scion minus air on such days, model alone and with what was learned [K].
    measured_k : Spread
        The measured days' middle with their spread [K].
    weight_left : float
        Share of the ensemble that still speaks (effective members over members) [0..1].
    astray : bool
        True if the measured days lie outside what the model can give: nothing is learned then.
    """

    wrap: Wrap
    logger: str
    corrections: tuple[str, ...]
    from_h: float
    to_h: float
    days: tuple[MeasuredDay, ...]
    left_out: int
    before_k: Spread
    after_k: Spread
    measured_k: Spread
    weight_left: float
    astray: bool


@dataclass(frozen=True)
class LearnedCover:
    """Weights of the ensemble's members for one cover, learned from own logger days."""

    cover: str
    days: int
    weights: tuple[float, ...] = field(default=(), repr=False)
