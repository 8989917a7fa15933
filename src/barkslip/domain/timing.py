"""Days to graft: how fast a union heals, what ends it before, and which days are good for it."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.errors import InputError
from barkslip.domain.names import same_word
from barkslip.domain.night import Spread
from barkslip.domain.sourced import Value

#: Words for a test of the bark: a flap is lifted with the knife.
BARK_TESTS = {"lifts": "bark lifts", "tears": "bark tears", "sun side only": "lifts on the sunny side only"}
#: Other words for them.
_BARK_WORDS = {
    "slips": "lifts", "bark slips": "lifts", "lifts clean": "lifts", "does not lift": "tears", "sticks": "tears",
    "sunny side only": "sun side only", "sun side": "sun side only", "sunny side": "sun side only",
}  # fmt: skip
#: Ways a graft is meant to go: the bud grows this season, or sleeps until the next spring.
PATHS = {"growing": "growing bud", "sleeping": "sleeping bud"}
#: State of the buds on the wood when it is set.
BUDS = {"resting": "buds at rest", "swelling": "buds swelling", "pushing": "buds pushing"}
#: Codes of why a day is good or bad, worst first; each is worded in `present`.
REASONS = (
    "species_unknown", "no_weather", "bark_tears", "ask_bark_test", "too_cold", "too_hot", "drying", "frost_after",
    "frost_before_link", "buds_before_union", "heat_wave_ahead", "late_in_season", "false_spring", "drought", "good",
)  # fmt: skip
#: Codes of what is not known.
UNKNOWNS = (
    "healing_curve", "weak_species", "after_forecast", "own_years_few", "no_own_years", "take_other_causes",
    "bark_rule", "push_clock", "kill_point", "cover_guessed", "frost_plot", "union_temperature", "stale_forecast",
    "set_day",
)  # fmt: skip
#: Codes of cautions.
CAUTIONS = ("test_bark", "estimate_only", "clean_wood", "knife", "not_take")


def bark_test(words: str, *, field: str = "bark") -> str:
    """Key of `BARK_TESTS` for what a grower writes ("bark lifts", "sun side only").

    Raises
    ------
    InputError
        If it is no way a flap can part.
    """
    for key, label in BARK_TESTS.items():
        if same_word(words, key) or same_word(words, label):
            return key
    for other, key in _BARK_WORDS.items():
        if same_word(words, other):
            return key
    raise InputError(
        "Not what a test of the bark can show.",
        given=words.strip() or "(nothing)",
        allowed=", ".join(BARK_TESTS),
        next_step="Lift a small flap with the knife and say how it parts.",
        field=field,
    )


@dataclass(frozen=True)
class HealingCurve:
    """How fast the union of one kind heals by temperature, and how long it takes at its best.

    Parameters
    ----------
    species : str
        Key in the knowledge base ("citrus", "apple" ...).
    t_min, t_opt, t_max : Value
        No healing below, fastest at, none above [°C].
    hard_zero : Value or None
        Nothing heals below this whatever the curve says [°C].
    d_bridge, d_xylem, d_unwrap : Value
        Thermal days (days at the best temperature) to the callus bridge, the first water path, the day the binding
        may come off [d].
    evidence : str
        How much the curve leans on: "good", "medium", "weak", "guess".
    habit : str
        "evergreen" or "deciduous": which clock its buds keep, and how much cold a fresh union bears.
    """

    species: str
    t_min: Value
    t_opt: Value
    t_max: Value
    d_bridge: Value
    d_xylem: Value
    d_unwrap: Value
    evidence: str
    hard_zero: Value | None = None
    habit: str = "evergreen"


@dataclass(frozen=True)
class GraftPlan:
    """The graft that is thought of.

    Parameters
    ----------
    species : str
        As the grower writes it.
    method : str
        Key of a method in the knowledge base; "" if not said.
    path : str
        Key of `PATHS`.
    cover : str
        Key of `domain.heat.GRAFT_COVERS`.
    buds : str
        Key of `BUDS`.
    bark : str
        Key of `BARK_TESTS`; "" if not tested.
    flush : bool or None
        New growth is seen on the stock; None if not said.
    tree, plot : str
        Codes in the book; "" if none.
    limb_mm, scion_mm : float
        [mm]
    bearing_deg : float or None
    shade : float
    """

    species: str
    method: str = ""
    path: str = "growing"
    cover: str = "film"
    buds: str = "resting"
    bark: str = ""
    flush: bool | None = None
    tree: str = ""
    plot: str = ""
    limb_mm: float = 50.0
    scion_mm: float = 8.0
    bearing_deg: float | None = None
    shade: float = 0.0


@dataclass(frozen=True)
class DayToGraft:
    """What a graft set on this day meets.

    Parameters
    ----------
    date : str
        ISO day.
    healing_days : Spread
        Thermal days gathered on this day alone [d], 0 to 1.
    link_days : Spread or None
        Days from here to the first water path [d]; None if it is not reached within the time looked at.
    heat_dose : Spread
        Heat dose of the scion from this day to the link [1].
    water_lost_pct : Spread
        Share of the scion's water lost from this day to the link [%].
    frost_hours : Spread
        Hours below the frost line from this day to the end of the time looked at after it [h].
    chance : float
        Chance that the union links before drying, heat or frost ends it [0..1].
    ended_by : tuple of (code, chance)
        What ends it otherwise: "too_cold", "drying", "too_hot", "frost_after", "buds_before_union"; the chances and
        `chance` add to 1.
    reasons : tuple of str
        Codes of `REASONS`, the weightiest first.
    verdict : {"good", "fair", "poor", "unknown"}
    source : str
        "measured", "forecast", "own years", "typical year", "typed": where the hours of this day come from.
    air_low_c, air_high_c : float or None
        Of this day [°C].
    """

    date: str
    healing_days: Spread
    link_days: Spread | None
    heat_dose: Spread
    water_lost_pct: Spread
    frost_hours: Spread
    chance: float
    ended_by: tuple[tuple[str, float], ...] = ()
    reasons: tuple[str, ...] = ()
    verdict: str = "unknown"
    source: str = ""
    air_low_c: float | None = None
    air_high_c: float | None = None


@dataclass(frozen=True)
class DateSpread:
    """A day over the ensemble: early, middle, late; None where it is not reached in the time looked at."""

    p10: str | None
    p50: str | None
    p90: str | None


@dataclass(frozen=True)
class WeekOfYear:
    """What the years say about grafts set in one week of the year at this place.

    Parameters
    ----------
    month_day : str
        First day, "09-17".
    chance : Spread
        Chance by start day and year: one year in ten below, the middle, one in ten above.
    worked, years : int
        Years in which more often than not it would have linked, of the years looked at.
    ended_by : str
        What ended it most often; "" if nothing.
    false_spring : int
        Years in which a good week here was followed by a frost that would have hurt the new growth.
    """

    month_day: str
    chance: Spread
    worked: int
    years: int
    ended_by: str = ""
    false_spring: int = 0


@dataclass(frozen=True)
class DaysVerdict:
    """Which of the coming days are good to graft, and why.

    Parameters
    ----------
    verdict : {"today", "wait", "not now", "ask bark test", "unknown"}
    best_day : str
        ISO day to wait for; "" if none.
    reasons : tuple of str
        Codes of `REASONS` for the verdict.
    days : tuple of DayToGraft
    release_date, push_date, link_date : DateSpread
        If set on `set_on`: the binding may come off, first push, first water path.
    set_on : str
        The day these are counted from: the first if the verdict is today, else the best day.
    year : tuple of WeekOfYear
        Empty without years.
    years : int
        Years of weather looked at.
    curve : HealingCurve or None
        None if nothing is known of the species.
    bark_from : str
        Day from which the bark is worth testing, by the thermal rule; "" if not in the days looked at.
    bark_rule : str
        "test" if a test was made, "rule" if only the thermal rule speaks, "no need" if the method needs no lifting
        bark.
    source_words : str
        Where the hours come from.
    """

    plan: GraftPlan
    verdict: str
    best_day: str
    reasons: tuple[str, ...]
    days: tuple[DayToGraft, ...]
    release_date: DateSpread
    push_date: DateSpread
    link_date: DateSpread
    set_on: str
    year: tuple[WeekOfYear, ...]
    years: int
    curve: HealingCurve | None
    bark_from: str
    bark_rule: str
    source_words: str
    unknowns: tuple[str, ...]
    cautions: tuple[str, ...]
    members: int
    seed: int
    knowledge_hash: str


@dataclass(frozen=True)
class GraftClock:
    """The healing clock of one graft that has been set.

    Parameters
    ----------
    code, set_on, as_of : str
        Code of the graft; ISO days.
    species : str
        Key of the curve; "" if nothing is known of the species.
    so_far : Spread or None
        Thermal days gathered so far [d].
    bridge, link, release, push : DateSpread or None
        Dates; those to come by the years at this place.
    chance_bridge, chance_link : float or None
        Chance that the bridge, the first water path is there by now [0..1].
    latest_release : str
        Day by which the binding must be off whatever the clock says, from its kind; "" if not known.
    measured_share : float
        Share of the hours so far that have a reading [0..1].
    ahead : str
        Where the hours to come are from: "forecast and own years", "own years", "" for none.
    words : tuple of str
        Codes of `UNKNOWNS`.
    """

    code: str
    set_on: str
    as_of: str
    species: str
    so_far: Spread | None
    bridge: DateSpread | None
    link: DateSpread | None
    release: DateSpread | None
    push: DateSpread | None
    chance_bridge: float | None
    chance_link: float | None
    latest_release: str
    measured_share: float
    ahead: str
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class BackCast:
    """One past graft beside what the clock would have said on the day it was set.

    Parameters
    ----------
    code, set_on, method, species, cover : str
    outcome : str
        "took", "did not take", "waiting".
    healing_21, healing_45 : Spread or None
        Thermal days gathered in 21 and 45 days [d]; None without weather.
    chance : float or None
        Chance that the union links, from the hours that came [0..1].
    """

    code: str
    set_on: str
    method: str
    species: str
    cover: str
    outcome: str
    healing_21: Spread | None
    healing_45: Spread | None
    chance: float | None


@dataclass(frozen=True)
class ClockLearned:
    """What the garden's own takes say about the clock.

    Parameters
    ----------
    species : str
    grafts, took : int
        With a verdict and weather.
    before, after : dict
        Name of a parameter ("t_min_c", "d_xylem_d") -> Spread, as published and with the own takes weighed in.
    weight_left : float
        Effective members over members [0..1].
    rows : tuple of BackCast
    """

    species: str
    grafts: int
    took: int
    before: dict[str, Spread]
    after: dict[str, Spread]
    weight_left: float
    rows: tuple[BackCast, ...]
