"""Records written by hand for the tests of words and drawings; names from the invented garden Quarrow Flat."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta

import pytest

from barkslip.domain.cards import ChainPart, GraftCard, LimbCard, TreeCard, TreeStory
from barkslip.domain.garden import Plot
from barkslip.domain.graft import STATES, Graft, Look, standing
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
