"""Curves of a day against their published form, written out here once more by hand."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barkslip.domain.errors import InputError
from barkslip.weather.diurnal import CURVES, curve_named, day_temp_c, hours_of_days, night_temp_c, sunset_temp_c
from barkslip.weather.sun import SunTimes

LOW, HIGH, LENGTH = 4.0, 20.0, 12.0
SUN = SunTimes(np.full(3, 6.0), np.full(3, 18.0), np.full(3, LENGTH))  # three days with sun from 6 to 18
NAMES = list(CURVES)


def at(hours: list[float], name: str, low: float = LOW, high: float = HIGH) -> list[float]:
    """Hours of the middle day of three equal days."""
    hour = np.array(hours)
    day = np.full(hour.size, 1)
    joined = np.array([False, True, True])
    made = hours_of_days(hour, day, np.full(3, low), np.full(3, high), joined, SUN, curve_named(name))
    return [float(value) for value in made]


def test_coefficients_are_the_quoted_ones(published: Callable[[str], dict[str, Any]]) -> None:
    quoted = published("diurnal_curves.toml")
    pl, wann, gvl = (CURVES[n] for n in ("parton-logan", "wann", "goudriaan-van-laar"))
    q = quoted["parton_logan"]
    assert (pl.sine_extra_h, pl.decay, pl.low_after_rise_h, pl.closed) == (2 * q["a"], q["b"], q["c"], False)
    q = quoted["wann"]
    assert (wann.low_after_rise_h, wann.decay) == (q["beta"], q["gamma"])
    assert wann.sine_extra_h == pytest.approx(2 * (q["alpha"] - q["beta"]))
    q = quoted["goudriaan_van_laar"]
    assert (gvl.sine_extra_h, gvl.time_constant_h, gvl.low_after_rise_h) == (2 * q["p"], q["tc"], 0.0)
    assert CURVES["linvill"].sine_extra_h == quoted["linvill"]["extra"]


def test_parton_logan_by_hand() -> None:
    a, b, c = 1.86, 2.20, -0.17
    rise, set_, night = 6.0, 18.0, 12.0

    def day(t: float) -> float:
        return LOW + (HIGH - LOW) * math.sin(math.pi * (t - rise - c) / (LENGTH + 2 * a))

    def dark(n: float) -> float:
        return LOW + (day(set_) - LOW) * math.exp(-b * n / night)

    hours = [0.0, 3.0, 5.5, 6.0, 9.0, 12.0, 13.69, 15.0, 18.0, 18.5, 21.0, 23.0]
    expected = [dark(6), dark(9), dark(11.5), *(day(t) for t in (6, 9, 12, 13.69, 15, 18)), dark(0.5), dark(3), dark(5)]
    assert at(hours, "parton-logan") == pytest.approx(expected, abs=1e-12)
    # Hottest at noon + a + c, as hot as the high.
    assert day(12 + a + c) == pytest.approx(HIGH, abs=1e-12)


def test_wann_by_hand() -> None:
    alpha, beta, gamma = 2.59, 1.55, 2.20
    rise, set_ = 6.0, 18.0

    def day(t: float) -> float:
        return LOW + (HIGH - LOW) * math.sin(math.pi * (t - rise - beta) / (LENGTH + 2 * (alpha - beta)))

    def dark(n: float) -> float:
        return LOW + (day(set_) - LOW) * math.exp(-gamma * n / (24 - LENGTH + beta))

    hours = [0.0, 6.0, 7.5, 7.6, 12.0, 14.59, 18.0, 22.0]
    expected = [dark(6), dark(12), dark(13.5), day(7.6), day(12), HIGH, day(18), dark(4)]
    assert at(hours, "wann") == pytest.approx(expected, abs=1e-12)


def test_goudriaan_van_laar_by_hand() -> None:
    p, tc, rise, night = 1.5, 4.0, 6.0, 12.0

    def day(t: float) -> float:
        return LOW + (HIGH - LOW) * math.sin(math.pi * (t - rise) / (LENGTH + 2 * p))

    def dark(n: float) -> float:
        sunset = day(18.0)
        gone = math.exp(-night / tc)
        return (LOW - sunset * gone + (sunset - LOW) * math.exp(-n / tc)) / (1 - gone)

    hours = [0.0, 5.0, 6.0, 13.5, 18.0, 20.0]
    expected = [dark(6), dark(11), LOW, HIGH, day(18), dark(2)]
    assert at(hours, "goudriaan-van-laar") == pytest.approx(expected, abs=1e-12)


def test_linvill_by_hand() -> None:
    def day(t: float) -> float:
        return LOW + (HIGH - LOW) * math.sin(math.pi * (t - 6.0) / (LENGTH + 4.0))

    def dark(n: float) -> float:
        sunset = day(18.0)
        return sunset - (sunset - LOW) / math.log(24 - LENGTH) * math.log(n)

    hours = [0.0, 5.0, 6.0, 14.0, 18.0, 19.0, 23.0]
    expected = [dark(6), dark(11), LOW, HIGH, day(18), day(18), dark(5)]
    assert at(hours, "linvill") == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_no_jump_at_sunset(name: str) -> None:
    before, after = at([18.0 - 1e-9, 18.0 + 1e-9], name)
    assert after == pytest.approx(before, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_the_night_ends_at_the_low_only_where_it_is_closed(name: str) -> None:
    curve = CURVES[name]
    low_at = 6.0 + curve.low_after_rise_h
    before = at([low_at - 1e-9], name)[0]
    if curve.closed:
        assert before == pytest.approx(LOW, abs=1e-6)
    else:
        # exp(−b) of the fall from sunset is left, as published; nearly so for Parton and Logan, whose night is 12 h.
        sunset = float(sunset_temp_c(np.array([LOW]), np.array([HIGH]), SUN, curve)[0])
        assert before == pytest.approx(LOW + (sunset - LOW) * math.exp(-2.2), abs=0.06)


@pytest.mark.parametrize("name", NAMES)
def test_a_colder_next_night_is_reached_from_this_sunset(name: str) -> None:
    lows, highs, joined = np.array([5.0, -6.0]), np.array([18.0, 15.0]), np.array([False, True])
    sun = SunTimes(np.full(2, 6.0), np.full(2, 18.0), np.full(2, 12.0))
    curve = CURVES[name]
    late = hours_of_days(np.array([23.99]), np.array([0]), lows, highs, joined, sun, curve)
    early = hours_of_days(np.array([0.0]), np.array([1]), lows, highs, joined, sun, curve)
    assert early[0] == pytest.approx(late[0], abs=0.05)
    alone = hours_of_days(np.array([23.99]), np.array([0]), lows, highs, np.array([False, False]), sun, curve)
    assert late[0] < alone[0] - 1.0


@given(
    st.sampled_from(NAMES),
    st.floats(-20, 25),
    st.floats(0, 25),
    st.floats(3, 21),
    st.lists(st.floats(0, 23.99), min_size=1, max_size=20),
)
def test_stays_between_low_and_high(name: str, low: float, span: float, length: float, hours: list[float]) -> None:
    sun = SunTimes(np.full(3, 12 - length / 2), np.full(3, 12 + length / 2), np.full(3, length))
    hour = np.array(hours)
    got = hours_of_days(
        hour,
        np.full(hour.size, 1),
        np.full(3, low),
        np.full(3, low + span),
        np.array([False, True, True]),
        sun,
        CURVES[name],
    )
    assert np.isfinite(got).all()
    assert got.min() >= low - 1e-9 and got.max() <= low + span + 1e-9


def test_single_equations() -> None:
    curve = CURVES["parton-logan"]
    one = np.array([1.0])
    assert day_temp_c(0 * one, 12 * one, LOW * one, HIGH * one, curve)[0] == LOW
    assert night_temp_c(0 * one, 12 * one, HIGH * one, LOW * one, curve)[0] == pytest.approx(HIGH)


def test_unknown_curve() -> None:
    with pytest.raises(InputError) as caught:
        curve_named("cosine")
    assert caught.value.message == (
        "No such curve for the hours of a day.\nGiven: cosine\n"
        "Allowed: parton-logan, wann, goudriaan-van-laar, linvill\nNext: Choose one of these."
    )
