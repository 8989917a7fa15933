"""Records written by hand for the tests of words and drawings; names from the invented garden Quarrow Flat."""

from __future__ import annotations

import math
import random
import sys
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from barkslip.domain.cards import ChainPart, GraftCard, LimbCard, TreeCard, TreeStory
from barkslip.domain.garden import Plot
from barkslip.domain.graft import STATES, Graft, Look, standing
from barkslip.domain.heat import (
    HOLDING_AIR,
    CoverCheck,
    CoverDay,
    FaceDay,
    HeatSeries,
    HeatVerdict,
    MeasuredDay,
    SunAir,
    Wrap,
    WrappedGraft,
)
from barkslip.domain.night import (
    MeasureNight,
    Measures,
    NightAir,
    NightSeries,
    NightTree,
    NightVerdict,
    OrganNight,
    Spread,
)
from barkslip.domain.sourced import Value
from barkslip.domain.tree import BEARINGS, Candidate, Limb, Tree
from barkslip.domain.when import on

sys.path.insert(0, str(Path(__file__).parent))

ON = date(2024, 9, 13)
VARIETIES = (
    "'Washington' navel",
    "'Minneola' tangelo",
    "'Nules' clementine",
    "'Owari' satsuma",
    "willow-leaf mandarin",
    "?",
)


class Garden:
    """Makes records with running ids."""

    def __init__(self) -> None:
        self.count = 0
        self.plot = Plot(**self.line(), code="YARD", name="House yard")

    def line(self) -> dict[str, str]:
        """What every line of the book has."""
        self.count += 1
        name = f"id{self.count}"
        return {"id": name, "thing": name, "made_utc": "2024-09-01T06:00:00Z"}

    def tree(self, **values: object) -> Tree:
        """A tree."""
        fixed: dict[str, object] = {"code": "T02", "name": "Well", "plot": self.plot.thing} | values
        return Tree(**self.line(), **fixed)  # type: ignore[arg-type]

    def limb(self, tree: Tree, address: str, **values: object) -> Limb:
        """A limb at an address."""
        bearing, band, *path = address.split("-")
        return Limb(**self.line(), tree=tree.thing, bearing=bearing, band=band, path=path[0] if path else "", **values)  # type: ignore[arg-type]

    def look(self, state: str, day: date, **values: object) -> Look:
        """A look."""
        return Look(**self.line(), graft="g", state=state, on=on(day), **values)  # type: ignore[arg-type]

    def graft(self, tree: Tree, limb: Limb | None = None, states: tuple[str, ...] = (), **values: object) -> GraftCard:
        """A card of a graft set 100 days ago, looked at every tenth day from day 70 on."""
        variety = str(values.pop("variety", "'Washington' navel"))
        due = values.pop("due", ())
        doubt = str(values.pop("name_doubt", ""))
        set_on = on(ON - timedelta(days=100))
        graft = Graft(
            **self.line(), code=f"G04-{self.count}", tree=tree.thing, method="bark graft", set_on=set_on,
            limb=limb.thing if limb else None, **values,
        )  # type: ignore[arg-type]  # fmt: skip
        looks = [self.look(s, ON - timedelta(days=30 - 10 * i)) for i, s in enumerate(states)]
        stood = standing(looks, set_on, false_take_days=60)
        address = limb.address if limb else ""
        return GraftCard(graft, tree, self.plot, limb, variety, doubt, address, stood, due, set_on.days_to(ON))  # type: ignore[arg-type]

    def story(
        self, tree: Tree, limbs: tuple[LimbCard, ...] = (), loose: tuple[GraftCard, ...] = (), **values: object
    ) -> TreeStory:
        """A tree's page."""
        grafts = [g for card in limbs for g in card.grafts] + list(loose)
        marks: dict[str, int] = {}
        for one in grafts:
            marks[one.standing.mark] = marks.get(one.standing.mark, 0) + 1
        stands = ChainPart(
            "rootstock", "trifoliate orange", 0.45, (Candidate("trifoliate orange", 0.45), Candidate("unknown", 0.55))
        )
        fixed: dict[str, object] = {
            "card": TreeCard(tree, self.plot, len(limbs), len(grafts), marks, stands, ()), "chain": (stands,),
            "links": (), "beliefs": (), "limbs": limbs, "loose": loose, "acts": (), "events": (), "photos": (),
            "tastings": (), "past": (),
        }  # fmt: skip
        return TreeStory(**(fixed | values))  # type: ignore[arg-type]

    def random_story(self, seed: int) -> TreeStory:
        """Any tree a garden might hold: 0 to 14 limbs in any bearing, 0 to 6 grafts on each, heights or none."""
        rng = random.Random(seed)
        measured = rng.choice(["all", "some", "none"])
        tree = self.tree(
            union_mm=rng.choice([None, 250.0, 620.0]), bench_mm=rng.choice([None, 380.0]),
            height_mm=rng.choice([None, 2600.0]), spread_mm=rng.choice([None, 3100.0]),
        )  # fmt: skip
        limbs = []
        for i in range(rng.randint(0, 14)):
            bearing = rng.choice([*BEARINGS, "C"]) if rng.random() < 0.8 else "E"
            tip = rng.uniform(700, 2500) if measured == "all" or (measured == "some" and rng.random() < 0.5) else None
            limb = self.limb(
                tree, f"{bearing}-{rng.choice('LMH')}-{i}", tip_mm=tip, proved=rng.random() < 0.5,
                carries=rng.choice(["", "", "thick-skinned lemon of the old yard"]),
            )  # fmt: skip
            grafts = tuple(
                self.graft(
                    tree, limb, tuple(rng.choices(list(STATES), k=rng.randint(0, 2))), variety=rng.choice(VARIETIES)
                )
                for _ in range(rng.choice([0, 1, 1, 2, 2, 3, 6]))
            )
            limbs.append(LimbCard(limb, grafts, ()))
        loose = tuple(
            self.graft(tree, None, ("pushing",), variety=rng.choice(VARIETIES)) for _ in range(rng.choice([0, 0, 2, 9]))
        )
        return self.story(tree, tuple(limbs), loose)


@pytest.fixture
def garden() -> Garden:
    """A maker of records."""
    return Garden()


def spread(middle: float, wide: float = 1.5) -> Spread:
    """A spread around a middle."""
    return Spread(middle - wide, middle, middle + wide)


def critical(value: float = -2.2, status: str = "recalled") -> Value:
    """A critical temperature."""
    return Value(value, "°C", "frost.made-up", status, value - 0.6, value + 0.5, note="for the tests")


def rung(measures: Measures, gain: float, chance: float, **values: object) -> MeasureNight:
    """A set of measures on the ladder."""
    fixed: dict[str, object] = {"chances": {"twig": chance, "bark": chance / 4}, "worse": gain < 0} | values
    return MeasureNight(measures, spread(gain, 0.7), chance=chance, **fixed)  # type: ignore[arg-type]


class Nights:
    """Makes verdicts: a still frost on the lower paddock, as a grower would meet it."""

    #: Sunset 17:00 and sunrise 06:00 of 13 and 14 Sep 2024 at UTC+2.
    SUNSET = 1_726_239_600
    BLANKET = Measures(cover="blanket", cover_height_m=2.2, cover_width_m=1.8)

    def air(self, **values: object) -> NightAir:
        """The hours from sunset to 08:00."""
        count = 16
        fall = [6.0 - 2.6 * min(i, 13) ** 0.5 + 2.5 * max(i - 13, 0) for i in range(count)]
        fixed: dict[str, object] = {
            "source": "forecast", "source_words": "Forecast of 13 Sep 2024, 12:00, five hours old",
            "day": "2024-09-13", "sunset_s": self.SUNSET, "sunrise_s": self.SUNSET + 13 * 3600, "utc_offset_h": 2.0,
            "time_s": tuple(self.SUNSET + 3600 * i for i in range(count)), "air_c": tuple(fall),
            "dew_c": tuple(v - 2.0 for v in fall), "wind_m_s": (0.5,) * count, "cloud": (0.0,) * count,
            "sun_w_m2": (0.0,) * count, "low_sd_k": 1.5, "site_sd_k": 1.0,
        }  # fmt: skip
        return NightAir(**(fixed | values))  # type: ignore[arg-type]

    def series(self, name: str, above: float = 0.0, wide: float = 1.0) -> NightSeries:
        """A line that lies so far above the air."""
        grown = [min(i / 3, 1.0) for i in range(16)]
        middle = [v + above * g for v, g in zip(self.air().air_c, grown, strict=True)]
        return NightSeries(
            name,
            tuple(v - wide * g for v, g in zip(middle, grown, strict=True)),
            tuple(middle),
            tuple(v + wide * g for v, g in zip(middle, grown, strict=True)),
        )

    def organ(self, organ: str, low: float, chance: float, **values: object) -> OrganNight:
        """One part of the tree."""
        fixed: dict[str, object] = {
            "organ": organ, "critical": critical(), "hardening_k": 0.0, "low_c": spread(low),
            "margin_k": spread(low + 2.2), "hours_below_critical": Spread(1.0, 4.0, 8.0), "coldest_at": "05:40",
            "chance": chance,
        }  # fmt: skip
        return OrganNight(**(fixed | values))  # type: ignore[arg-type]

    def ladder(self) -> tuple[MeasureNight, ...]:
        """Nothing, clear film that is colder, a blanket, the blanket with a lamp, with a lamp and a bucket, a wrap."""
        on_off = {"cover_on": "17:07", "cover_off": "07:31"}
        lamp = on_off | {"lamp_on": "21:56", "lamp_off": "07:31"}
        lit = replace(self.BLANKET, lamp_w=60.0)
        return (
            rung(Measures(), 0.0, 0.71, worse=False),
            rung(Measures(cover="clear_pe"), -0.4, 0.79, work_min=10.0, times=on_off),
            rung(self.BLANKET, 0.9, 0.52, work_min=10.0, times=on_off),
            rung(lit, 2.6, 0.08, work_min=15.0, watts=60.0, kwh=0.6, times=lamp),
            rung(
                replace(lit, bucket_l=19.0, refills=1), 3.4, 0.03, work_min=45.0, watts=60.0, kwh=0.6, litres=38.0,
                times=lamp | {"bucket_placed": "00:00"},
            ),
            rung(Measures(wrap="bank"), 0.0, 0.71, work_min=30.0, chances={"twig": 0.71, "bark": 0.02}),
        )  # fmt: skip

    def verdict(self, **values: object) -> NightVerdict:
        """The whole answer."""
        tree = NightTree("satsuma", 2.0, 1.5, name="Thornback", young_graft=True)
        fixed: dict[str, object] = {
            "tree": tree, "plot": "LOW", "air": self.air(), "frost": "still frost",
            "organs": (
                self.organ("twig", -4.4, 0.71), self.organ("leaf_exposed", -5.3, 0.44), self.organ("bark", -3.0, 0.18),
            ),
            "air_low_c": spread(-3.6), "times": tuple(f"{(17 + i) % 24:02d}:00" for i in range(16)),
            "series": (
                self.series("air"), self.series("leaf_exposed", -1.7), self.series("twig", -0.8),
                self.series("bark", 0.6), self.series("least_leaf_exposed", 1.5),
                self.series("least_air_inside", 1.1),
            ),
            "ladder": self.ladder(), "least": 3, "runner_up": 4, "target": 0.1,
            "would_change": (("more_wind", 0.71, 0.55), ("cloud", 0.71, 0.70), ("lower_low", 0.71, 0.9)),
            "unknowns": ("cover_leak", "graft_critical", "harm_curve", "tent_sky_view"),
            "cautions": ("estimate_only",), "members": 1000, "seed": 1, "knowledge_hash": "abc123",
        }  # fmt: skip
        return NightVerdict(**(fixed | values))  # type: ignore[arg-type]


@pytest.fixture
def nights() -> Nights:
    """A maker of cold nights."""
    return Nights()


def span(middle: float, below: float, above: float) -> Spread:
    """A spread that need not be even."""
    return Spread(middle - below, middle, middle + above)


class Heats:
    """Makes answers about a wrapped graft: a hot still day in January at 33.6° south."""

    #: 00:00 of 10 Jan 2026 at UTC+2.
    MIDNIGHT = 1_767_996_000
    LINES = (
        (38.0, Value(38.0, "°C", "heal.S1", "published", applies_to="scion and union, for days", note="Mango.")),
        (44.0, Value(44.0, "°C", "heal.S48", "published", applies_to="citrus cuticle", note="Fats change phase.")),
        (52.0, Value(52.0, "°C", "heal.S51", "published", 51.0, 53.0, applies_to="apple peel, 10 minutes")),
    )
    #: Cover -> excess of the scion over the air at its hottest [K], water lost [%], chance of harm, verdict.
    COVERS = {
        "white_paint": (1.2, 0.1, 0.01, "bears"),
        "foil_sleeve": (1.8, 0.1, 0.03, "choose"),
        "foil_pouch": (3.1, 0.1, 0.09, "bears"),
        "film": (3.9, 0.2, 0.34, "avoid"),
        "brown_bag": (7.2, 0.2, 0.93, "avoid"),
        "clear_plastic": (10.7, 0.3, 0.99, "avoid"),
    }

    def day(self, hour: float, low: float = 20.0, high: float = 38.0) -> float:
        """Air of an hour, hottest at 15:00."""
        return low + (high - low) * max(math.sin(math.pi * (hour - 6.0) / 18.0), 0.0) if hour >= 6 else low

    def sun(self, hour: float) -> float:
        """Share of the noon sun, up from 05:30 to 19:30."""
        return max(math.sin(math.pi * (hour - 5.5) / 14.0), 0.0)

    def air(self, **values: object) -> SunAir:
        """24 hours of a hot day."""
        hours = range(24)
        fixed: dict[str, object] = {
            "source": "forecast", "source_words": "Forecast of 9 Jan 2026, 06:00", "day": "2026-01-10", "lat": -33.6,
            "lon": 21.0, "utc_offset_h": 2.0, "time_s": tuple(self.MIDNIGHT + 3600 * h for h in hours),
            "air_c": tuple(self.day(h) for h in hours), "dew_c": (11.0,) * 24, "wind_m_s": (0.5,) * 24,
            "cloud": (0.0,) * 24, "ghi_w_m2": tuple(1000 * self.sun(h) for h in hours),
            "dni_w_m2": tuple(850 * self.sun(h) for h in hours), "dhi_w_m2": tuple(120 * self.sun(h) for h in hours),
            "sun_up_deg": tuple(78 * self.sun(h) if self.sun(h) else -10.0 for h in hours),
            "sun_from_deg": tuple((90 - 13 * (h - 6)) % 360.0 for h in hours), "air_sd_k": 1.5,
            "guessed": ("cloud",), "wind_here": True,
        }  # fmt: skip
        return SunAir(**(fixed | values))  # type: ignore[arg-type]

    def series(self, name: str, excess: float, wide: float = 0.5) -> HeatSeries:
        """A line above the air by so much at noon."""
        middle = [self.day(h) + excess * self.sun(h) for h in range(24)]
        spare = [0.2 + wide * self.sun(h) * abs(excess) / 3 for h in range(24)]
        return HeatSeries(
            name,
            tuple(v - s for v, s in zip(middle, spare, strict=True)),
            tuple(middle),
            tuple(v + s for v, s in zip(middle, spare, strict=True)),
        )

    def cover(self, cover: str, **values: object) -> CoverDay:
        """One cover's day."""
        excess, water, chance, verdict = self.COVERS.get(cover, (5.0, 0.2, 0.5, "avoid"))
        hottest = 38.0 + excess
        wrap = Wrap(cover)
        fixed: dict[str, object] = {
            "wrap": wrap, "scion_max_c": span(hottest, 1.5 + excess / 3, 1.5 + excess / 2),
            "strip_max_c": span(hottest + 1.4 + excess / 4, 1.5 + excess / 3, 1.5 + excess / 2),
            "excess_over_air_k": span(excess, excess / 3, excess / 2),
            "air_inside_max_c": span(hottest - 0.4, 1.5, 2.0) if cover in HOLDING_AIR else None,
            "low_c": span(19.4, 0.5, 0.5), "degree_minutes_above_38": span(120 * excess, 60 * excess, 90 * excess),
            "degree_minutes_above_44": span(max(excess - 5, 0) * 90, max(excess - 5, 0) * 60, excess * 20),
            "water_lost_pct_day": Spread(water / 3, water, 3 * water),
            "heat_dose": span(chance / 2, chance / 4, chance), "chance_of_harm": chance,
            "chance_over_44": chance, "hottest_at": "14:00",
            "series": (self.series("scion", excess), self.series("strip", excess * 1.3)), "verdict": verdict,
            "hazards": (),
        }  # fmt: skip
        return CoverDay(**(fixed | values))  # type: ignore[arg-type]

    def faces(self) -> tuple[FaceDay, ...]:
        """Sides of the bark; in the south the sun stands in the north, and afternoons are hotter."""
        peak = {"N": (45.5, 13), "NE": (46.0, 10), "E": (44.5, 9), "SE": (41.0, 8),
                "S": (39.5, 15), "SW": (47.0, 17), "W": (53.0, 16), "NW": (52.5, 15)}  # fmt: skip
        return tuple(
            FaceDay(
                face, span(hot, 3.0, 3.5), span(38.6 + (hot - 38) / 3, 1.5, 2.0), f"{at:02d}:00",
                min(max((hot - 40.0) / 8.0, 0.0), 0.97), min(max((hot - 48.0) / 9.0, 0.0), 0.9),
                tuple(20.0 + (hot - 20.0) * max(1.0 - abs(h - at) / 9.0, 0.0) for h in range(24)),
            )
            for face, (hot, at) in peak.items()
        )  # fmt: skip

    def verdict(self, *covers: CoverDay, **values: object) -> HeatVerdict:
        """The whole answer; a brown bag is on the graft."""
        graft = WrappedGraft(species="lemon", name="G14-10", bearing_deg=315.0, now=Wrap("brown_bag"))
        every = covers or tuple(self.cover(name) for name in self.COVERS)
        fixed: dict[str, object] = {
            "graft": graft, "plot": "LOW", "air": self.air(), "covers": every, "choose": 1, "now": 4,
            "faces": self.faces(), "times": tuple(f"{h:02d}:00" for h in range(24)), "lines": self.LINES,
            "would_change": (("more_wind", 0.03, 0.01), ("hotter", 0.03, 0.22), ("touching", 0.03, 0.03)),
            "danger": "act", "target": 0.1, "unknowns": ("paper_optics", "kill_point", "film_rate"),
            "cautions": ("estimate_only", "people_heat"), "members": 400, "seed": 1, "knowledge_hash": "abc123",
        }  # fmt: skip
        return HeatVerdict(**(fixed | values))  # type: ignore[arg-type]

    def check(self, **values: object) -> CoverCheck:
        """Eight clear days of a logger in a brown bag."""
        days = tuple(
            MeasuredDay(f"2021-11-{23 + i}", 5.6 + 0.3 * (i % 3), span(6.9 - 0.2 * (i % 2), 2.1, 2.5)) for i in range(8)
        )
        fixed: dict[str, object] = {
            "wrap": Wrap("brown_bag"), "logger": "LG-D", "corrections": ("Bath of 1 Nov 2021: 0.3 °C taken off.",),
            "from_h": 11.0, "to_h": 16.0, "days": days, "left_out": 3, "before_k": span(6.8, 2.1, 2.5),
            "after_k": span(5.9, 0.4, 0.4), "measured_k": span(5.9, 0.3, 0.3), "weight_left": 0.21, "astray": False,
        }  # fmt: skip
        return CoverCheck(**(fixed | values))  # type: ignore[arg-type]


@pytest.fixture
def heats() -> Heats:
    """A maker of hot days."""
    return Heats()


@pytest.fixture
def grafting():
    """A maker of days to graft and of healing clocks."""
    from days_records import Days

    return Days()
