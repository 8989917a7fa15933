"""Records of days to graft, written by hand: two weeks of September at 33.6° south, and a graft set in October."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from barkslip.domain.night import Spread
from barkslip.domain.sourced import Value
from barkslip.domain.timing import (
    BackCast,
    ClockLearned,
    DateSpread,
    DaysVerdict,
    DayToGraft,
    GraftClock,
    GraftPlan,
    HealingCurve,
    WeekOfYear,
)

CURVE = HealingCurve(
    "citrus",
    *(Value(v, "°C", "heal.made-up", "assumption", v - 1.5, v + 1.5) for v in (13.0, 28.0, 38.0)),
    *(Value(v, "d", "heal.made-up", "assumption", v - 3.0, v + 3.0) for v in (5.0, 15.0, 20.0)),
    "medium",
)


def spread(middle: float, width: float = 0.2) -> Spread:
    """A spread of so much of its middle either way."""
    return Spread(middle * (1 - width), middle, middle * (1 + width))


class Days:
    """Makes days and verdicts on them."""

    FIRST = date(2024, 9, 13)
    #: Chance, ended by, reasons, verdict: frost first for six days, then good.
    COLD = (0.31, (("frost_before_link", 0.52), ("drying", 0.12), ("too_cold", 0.05)),
            ("frost_before_link", "drying"), "poor")  # fmt: skip
    GOOD = (0.84, (("drying", 0.11), ("too_cold", 0.05)), ("drying", "good"), "good")

    def day(self, i: int, kind: tuple[object, ...] = GOOD, **values: object) -> DayToGraft:
        """The day so far after the first."""
        chance, ended, reasons, verdict = kind
        source = "measured" if i == 0 else "forecast" if i < 7 else "own years"
        fixed: dict[str, object] = {
            "date": (self.FIRST + timedelta(days=i)).isoformat(), "healing_days": Spread(0.31, 0.38, 0.45),
            "link_days": Spread(23.0, 35.0, 46.0), "heat_dose": Spread(0.0, 0.0, 0.0),
            "water_lost_pct": Spread(1.6, 9.2, 42.0), "frost_hours": Spread(0.0, 6.0, 12.0), "chance": chance,
            "ended_by": ended, "reasons": reasons, "verdict": verdict, "source": source, "air_low_c": -1.5 + i,
            "air_high_c": 17.0 + i,
        }  # fmt: skip
        return DayToGraft(**(fixed | values))  # type: ignore[arg-type]

    def ribbon(self) -> tuple[DayToGraft, ...]:
        """Six days of frost to come, then eight good ones."""
        return tuple(self.day(i, self.COLD if i < 6 else self.GOOD) for i in range(14))

    def verdict(self, *days: DayToGraft, **values: object) -> DaysVerdict:
        """The whole answer: wait until the 19th."""
        plan = GraftPlan("citrus", method="bark_graft", bark="lifts", tree="T02", plot="YARD", cover="foil_sleeve")
        every = days or self.ribbon()
        fixed: dict[str, object] = {
            "plan": plan, "verdict": "wait", "best_day": "2024-09-19", "reasons": every[0].reasons, "days": every,
            "release_date": DateSpread("2024-10-20", "2024-11-03", "2024-11-18"),
            "push_date": DateSpread("2024-10-12", "2024-11-08", None),
            "link_date": DateSpread("2024-10-12", "2024-10-24", "2024-11-04"), "set_on": "2024-09-19",
            "year": self.year(), "years": 5, "curve": CURVE, "bark_from": "", "bark_rule": "test",
            "source_words": "From “House yard (YARD)”", "unknowns": ("take_other_causes", "after_forecast"),
            "cautions": ("test_bark", "estimate_only", "not_take", "clean_wood", "knife"), "members": 200, "seed": 1,
            "knowledge_hash": "abc123",
        }  # fmt: skip
        return DaysVerdict(**(fixed | values))  # type: ignore[arg-type]

    def good(self, **values: object) -> DaysVerdict:
        """Good from the first day on."""
        every = tuple(self.day(i) for i in range(14))
        fixed: dict[str, object] = {"verdict": "today", "best_day": "", "set_on": every[0].date}
        return self.verdict(*every, **(fixed | values))

    def bad(self, **values: object) -> DaysVerdict:
        """No day is good."""
        every = tuple(self.day(i, self.COLD) for i in range(14))
        fixed: dict[str, object] = {"verdict": "not now", "best_day": "", "set_on": every[0].date}
        return self.verdict(*every, **(fixed | values))

    def nothing(self, why: str = "species_unknown", **values: object) -> DaysVerdict:
        """Nothing is known."""
        never = DateSpread(None, None, None)
        found = self.good(
            verdict="unknown", reasons=(why,), release_date=never, push_date=never, link_date=never, set_on="",
            year=(), years=0, bark_from="", bark_rule="", source_words="", unknowns=("healing_curve",),
            plan=GraftPlan("jaboticaba"), curve=None if why == "species_unknown" else CURVE,
        )  # fmt: skip
        return replace(found, days=(), **values)  # type: ignore[arg-type]

    def year(self) -> tuple[WeekOfYear, ...]:
        """52 weeks: frost until the end of August with false springs, good until April, cold after it."""
        out = []
        for i in range(52):
            day = date(2023, 1, 1) + timedelta(days=7 * i)
            worked = 5 if day.month in (1, 2, 3, 9, 10, 11, 12) else 1 if day.month in (4, 8) else 0
            ended = "" if worked == 5 else "frost_before_link" if day.month in (7, 8) else "too_cold"
            chance = {5: 0.86, 1: 0.4, 0: 0.1}[worked]
            false = 2 if day.month == 8 and day.day > 14 else 0
            out.append(WeekOfYear(f"{day:%m-%d}", spread(chance, 0.1), worked, 5, ended, false))
        return tuple(out)

    def clock(self, **values: object) -> GraftClock:
        """A graft of 6 October, looked at on the 30th."""
        fixed: dict[str, object] = {
            "code": "G14-5", "set_on": "2024-10-06", "as_of": "2024-10-30", "species": "citrus",
            "so_far": Spread(8.1, 9.9, 12.4), "bridge": DateSpread("2024-10-14", "2024-10-20", "2024-10-26"),
            "link": DateSpread("2024-10-28", "2024-11-14", "2024-11-26"),
            "release": DateSpread("2024-11-05", "2024-11-18", "2024-12-03"),
            "push": DateSpread("2024-11-03", "2024-11-26", "2024-12-24"), "chance_bridge": 0.98, "chance_link": 0.13,
            "latest_release": "2025-01-04", "measured_share": 1.0, "ahead": "forecast and own years",
            "words": ("union_temperature", "push_clock"),
        }  # fmt: skip
        return GraftClock(**(fixed | values))  # type: ignore[arg-type]

    def dark(self, **values: object) -> GraftClock:
        """A graft of which no clock can be told."""
        never = {"bridge": None, "link": None, "release": None, "push": None}
        fixed = {"so_far": None, "chance_bridge": None, "chance_link": None, "words": ("no_own_years",), "ahead": ""}
        return self.clock(**(never | fixed | {"latest_release": ""} | values))

    def learned(self, **values: object) -> ClockLearned:
        """Eight own grafts that make the clock slower."""
        row = BackCast(
            "G02-1", "2021-09-14", "bark_graft", "'Fuyu' persimmon", "foil_sleeve", "did not take",
            Spread(6.3, 7.9, 9.5), Spread(14.3, 18.1, 21.6), 0.38,
        )  # fmt: skip
        dark = BackCast("G01-9", "2020-03-01", "t_bud", "persimmon", "film", "waiting", None, None, None)
        fixed: dict[str, object] = {
            "species": "persimmon", "grafts": 8, "took": 4,
            "before": {"t_min_c": Spread(9.8, 13.1, 16.2), "d_xylem_d": Spread(3.3, 7.1, 11.1)},
            "after": {"t_min_c": Spread(9.9, 13.1, 16.2), "d_xylem_d": Spread(4.5, 7.9, 11.4)}, "weight_left": 0.55,
            "rows": (row, dark),
        }  # fmt: skip
        return ClockLearned(**(fixed | values))  # type: ignore[arg-type]
