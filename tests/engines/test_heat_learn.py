"""A cover learned from days of a logger that are made up here with a known truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.errors import InputError
from barkslip.domain.heat import Wrap, WrappedGraft
from barkslip.engines.heat_learn import learn_cover
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.wrap_hours import wrap_hours
from barkslip.knowledge.load import load

KNOWN = load().value
GRAFT = WrappedGraft()
BAG = Wrap("brown_bag")
MEMBERS = 400


def day(k: int, *, sun: float = 1.0) -> SunHours:
    hour = np.arange(24.0)
    height = np.maximum(0.0, np.sin(np.pi * (hour - 6.0) / 12.0))
    air = 24.0 + (k % 4) + 7.0 * np.cos(2.0 * np.pi * (hour - 15.0) / 24.0)
    dni, dhi = sun * 850.0 * height**0.3, sun * 110.0 * height
    return SunHours(
        (1_767_225_600 + 86400 * k + 3600 * np.arange(24)), air, np.full(24, 10.0), np.full(24, 0.6 + 0.2 * (k % 3)),
        np.zeros(24), dni * height * 0.9 + dhi, dni, dhi, np.degrees(np.arcsin(0.9 * height)), 15.0 * hour,
        wind_here=True,
    )  # fmt: skip


def measured(days: int, excess: float, sd: float = 0.7, **more: float) -> list[tuple[SunHours, np.ndarray]]:
    rng = np.random.default_rng(3)
    return [(day(k, **more), np.full(24, excess + rng.normal(0.0, sd))) for k in range(days)]


def learn(days: list[tuple[SunHours, np.ndarray]], wrap: Wrap = BAG):
    return learn_cover(GRAFT, wrap, days, KNOWN, from_h=13.0, to_h=15.0, members=MEMBERS, seed=1)


def test_the_model_moves_to_the_measurement_and_narrows() -> None:
    check, learned = learn(measured(10, 5.0))
    assert not check.astray
    assert check.before_k.p50 > 5.6
    assert abs(check.after_k.p50 - 5.0) < abs(check.before_k.p50 - 5.0)
    assert check.after_k.p90 - check.after_k.p10 < check.before_k.p90 - check.before_k.p10
    assert 0.02 < check.weight_left < 0.9
    assert learned.cover == "brown_bag"
    assert learned.days == len(check.days) == 10
    assert len(learned.weights) == MEMBERS
    assert sum(learned.weights) == pytest.approx(1.0)
    assert all(w >= 0.0 for w in learned.weights)
    assert check.days[0].day == "2026-01-01"
    assert check.measured_k.p50 == pytest.approx(5.0, abs=0.6)


def test_more_days_weigh_more_but_never_more_than_one_beads_place() -> None:
    widths = []
    for days in (1, 4, 16, 64):
        check, _ = learn(measured(days, 5.0, sd=1e-6))
        widths.append(check.after_k.p90 - check.after_k.p10)
    assert widths == sorted(widths, reverse=True)
    # a bead's place alone leaves 1.28 sd of 0.5 K either side, whatever the number of days
    assert widths[-1] > 0.6 * 2.0 * 1.28 * 0.5


def test_a_truth_from_the_model_is_found() -> None:
    """Days made with one member's own numbers, with errors of days: its weight is above the mean of all."""
    truth = 17
    days = []
    rng = np.random.default_rng(7)
    for k in range(12):
        hours = day(k)
        run = wrap_hours(hours, GRAFT, BAG, KNOWN, members=MEMBERS, seed=1)
        days.append((hours, run.scion_c[truth] - hours.air_c + rng.normal(0.0, 0.3)))
    check, learned = learn(days)
    assert learned.weights[truth] > 2.0 / MEMBERS
    mean = np.mean([d[1][13:16].mean() for d in days])
    assert check.after_k.p50 == pytest.approx(mean, abs=0.4)


def test_what_the_model_cannot_give_is_said_and_not_learned() -> None:
    check, learned = learn(measured(8, 25.0))
    assert check.astray
    assert learned.days == 0
    assert set(learned.weights) == {1.0 / MEMBERS}
    assert check.after_k == check.before_k
    assert check.weight_left == pytest.approx(1.0)


def test_cloudy_days_and_days_with_gaps_are_left_out() -> None:
    days = measured(4, 5.0)
    days[0] = (day(0, sun=0.1), days[0][1])
    gap = days[1][1].copy()
    gap[13:15] = np.nan
    days[1] = (days[1][0], gap)
    one_missing = days[2][1].copy()
    one_missing[13] = np.nan
    days[2] = (days[2][0], one_missing)
    check, learned = learn(days)
    assert check.left_out == 2
    assert learned.days == 2


def test_the_error_of_a_forecast_plays_no_part() -> None:
    days = measured(4, 5.0)
    unsure = [(replace(hours, air_sd_k=3.0), excess) for hours, excess in days]
    assert learn(days) == learn(unsure)


def test_nothing_to_compare() -> None:
    with pytest.raises(InputError) as caught:
        learn(measured(3, 5.0, sun=0.1))
    assert caught.value.message == (
        "No clear day with readings in these hours; there is nothing to compare.\n"
        "Given: 3 days, 13 to 15 h\n"
        "Allowed: half of the hours read, with direct sun of 300 W/m² in the mean\n"
        "Next: Take other days or other hours."
    )
