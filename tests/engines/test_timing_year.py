"""The year at a place from many years: weeks, what ended grafts, false springs; worked by hand where it can be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
import pytest

from barkslip.domain.timing import GraftPlan, HealingCurve
from barkslip.engines import timing_year
from barkslip.engines.frost_draws import Array
from barkslip.engines.healing_curve import curve_of
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.timing_year import WEEKS, weeks_of, year
from barkslip.kernels import healing as h
from barkslip.knowledge.load import load

KNOWN = load()


def curve(words: str = "citrus") -> HealingCurve:
    found = curve_of(words, KNOWN.table("healing_kinds"), KNOWN.value)
    assert found is not None
    return found


@dataclass(frozen=True, eq=False)
class Plain:
    """A stand-in for the wrap: everything at the air's temperature."""

    union_c: Array
    scion_c: Array
    loss_per_h: Array
    dose_per_h: Array


def plain(hours: SunHours, members: int, seed: int, best: bool) -> Plain:
    assert best
    air = hours.air_c[np.newaxis].copy()
    return Plain(air, air, np.full(air.shape, 0.001 / 24), np.zeros(air.shape))


def years(
    count: int, mean: float = 19.0, season_k: float = 8.0, first: int = 2001, utc_offset_h: float = -5.0
) -> SunHours:
    """Northern years: coldest in the middle of January, a day's swing of 10 K."""
    season_k, utc_offset_h = 8.0, -5.0
    start = int(datetime(first, 1, 1, tzinfo=UTC).timestamp() - 3600 * utc_offset_h)
    n = int((datetime(first + count, 1, 1, tzinfo=UTC) - datetime(first, 1, 1, tzinfo=UTC)).total_seconds() // 3600)
    t = np.arange(n)
    air = mean - season_k * np.cos(2 * np.pi * (t / 24 - 15) / 365.25) + 5.0 * np.sin(2 * np.pi * (t - 9) / 24)
    up = 55.0 * np.sin(2 * np.pi * (t - 6) / 24)
    even = np.ones(n)
    sun = np.clip(900.0 * np.sin(np.radians(up)), 0.0, None)
    return SunHours(
        start + 3600 * t.astype(np.int64), air, np.minimum(air, 8.0), 1.5 * even, 0.3 * even, sun, 0.75 * sun,
        0.25 * sun, up, 0.0 * even, utc_offset_h,
    )  # fmt: skip


def ask(stretches: tuple[SunHours, ...], words: str = "citrus") -> tuple[timing_year.WeekOfYear, ...]:
    return year(GraftPlan(words), curve(words), stretches, KNOWN.value, members=60, wrapping=plain)


def test_warm_weeks_work_and_cold_ones_do_not() -> None:
    weeks = ask((years(4),))
    assert len(weeks) == WEEKS
    assert [w.month_day for w in weeks[:2]] == ["01-01", "01-08"]
    by_day = {w.month_day: w for w in weeks}
    june, november = by_day["06-04"], by_day["11-12"]
    assert june.worked == june.years
    assert june.chance.p50 > 0.7
    assert (november.worked, november.ended_by) == (0, "too_cold")
    assert november.chance.p90 < 0.3


def test_each_week_counts_the_years_it_could_be_looked_at() -> None:
    """The last 75 days of the last year have no time ahead of them."""
    by_day = {w.month_day: w.years for w in ask((years(4),))}
    assert by_day["06-04"] == 4
    assert by_day["12-03"] == 3


def test_a_typical_year_goes_round_and_speaks_for_every_week() -> None:
    weeks = ask((years(1, first=2001),))
    assert len(weeks) == WEEKS
    assert {w.years for w in weeks} == {1}


def test_stretches_are_taken_together() -> None:
    both = ask((years(2, first=2001), years(2, first=2011)))
    assert {w.years for w in both if w.month_day == "06-04"} == {4}


def test_nothing_without_a_curve_or_years() -> None:
    assert year(GraftPlan("cherimoya"), None, (years(2),), KNOWN.value) == ()
    assert ask(()) == ()
    assert ask((years(1).part(0, 60 * 24),)) == ()


def test_a_false_spring_is_counted() -> None:
    """A warm April and a night of frost on the 25th of May in one year of three."""
    three = years(3, mean=21.0)
    t = (datetime(2002, 5, 25, tzinfo=UTC) - datetime(2001, 1, 1, tzinfo=UTC)).days * 24
    three.air_c[t : t + 6] = -8.0
    week = next(w for w in ask((three,)) if w.month_day == "04-16")
    assert (week.years, week.worked, week.false_spring) == (3, 2, 1)


def test_weeks_by_hand() -> None:
    """Two years, one week each; the 29th of February counts with the 28th and the 31st of December with week 52."""
    shares = np.zeros((14, h.N_ENDS))
    shares[:7, h.LINKED], shares[:7, h.TOO_COLD] = 0.8, 0.2
    shares[7:, h.LINKED], shares[7:, h.DRYING] = 0.4, 0.6
    day = np.concatenate(
        [np.arange("2001-01-01", "2001-01-08", dtype="M8[D]"), np.arange("2002-01-01", "2002-01-08", dtype="M8[D]")]
    )
    (week,) = weeks_of(day, shares, 0.1)
    assert (week.month_day, week.worked, week.years, week.ended_by, week.false_spring) == ("01-01", 1, 2, "drying", 0)
    assert (week.chance.p10, week.chance.p50, week.chance.p90) == pytest.approx((0.4, 0.6, 0.8))
    leap = np.arange("2004-01-01", "2005-01-01", dtype="M8[D]")
    found = weeks_of(leap, np.tile(shares[0], (366, 1)), 0.3)
    assert len(found) == WEEKS
    assert [w.month_day for w in found[8:10]] == ["02-26", "03-05"]
    assert {w.ended_by for w in found} == {""}
    few = weeks_of(day[:3], shares[:3], 0.1)
    assert few == ()
