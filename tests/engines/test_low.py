"""The low foretold from one's own nights, and the air of a typed night."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from barkslip.domain.errors import InputError
from barkslip.domain.low import LowPair
from barkslip.domain.night import NightAir
from barkslip.engines.low import dew_point_c, expected_low, fit_low, frost_kind, pairs_of, typed_night
from barkslip.engines.offset import Limits, limits_from
from barkslip.engines.own_nights import OwnNight
from barkslip.knowledge.load import load

FAO: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "fao_two_step.toml").read_text(encoding="utf-8")
)
PAIRS = tuple(
    LowPair(f"{i}", *values) for i, values in enumerate(zip(FAO["evening_c"], FAO["dew_c"], FAO["low_c"], strict=True))
)


def test_the_printed_forecast_of_the_published_nights() -> None:
    fit = fit_low(PAIRS, fewest=5)
    printed = FAO["printed"]
    assert expected_low(fit, printed["evening_c"], printed["dew_c"]).low_c == pytest.approx(printed["low_c"], abs=1e-6)
    # a joint regression would foretell something else, so this can fail
    assert abs(FAO["worked_out"]["joint_low_c"] - printed["low_c"]) > 0.25


def test_coefficients_of_the_published_nights() -> None:
    fit, known = fit_low(PAIRS, fewest=5), FAO["worked_out"]
    assert (fit.slope_air, fit.slope_dew) == pytest.approx((known["slope_air"], known["slope_dew"]), abs=1e-6)
    assert fit.constant_c == pytest.approx(known["constant_c"], abs=1e-6)
    assert (fit.rmse_air_k, fit.rmse_k) == pytest.approx((known["rmse_air_k"], known["rmse_k"]), abs=6e-4)
    lows = [expected_low(fit, p.evening_c, p.dew_c).low_c for p in PAIRS]
    assert lows == pytest.approx(known["two_step_low_c"], abs=0.006)
    assert (fit.nights, fit.hour) == (10, 2)


def test_nights_left_out_are_foretold_worse_than_those_fitted() -> None:
    """Each night refitted without it, by numpy's own polynomial fit."""
    fit = fit_low(PAIRS, fewest=5)
    air, dew, low = (np.array(FAO[k]) for k in ("evening_c", "dew_c", "low_c"))
    errors = []
    for i in range(air.size):
        keep = np.arange(air.size) != i
        a, c = np.polyfit(air[keep], low[keep], 1)
        b, d = np.polyfit(dew[keep], low[keep] - (a * air[keep] + c), 1)
        errors.append(a * air[i] + c + b * dew[i] + d - low[i])
    assert fit.left_out_k == pytest.approx(float(np.sqrt(np.mean(np.square(errors)))), abs=1e-9)
    assert fit.left_out_k > fit.rmse_k * 1.1


def test_outside_the_fitted_evenings_the_error_grows_and_it_is_said() -> None:
    fit = fit_low(PAIRS, fewest=5)
    inside, outside = expected_low(fit, 4.0, -3.0), expected_low(fit, 9.6, -3.0)
    assert (inside.beyond, outside.beyond) == (False, True)
    assert inside.sd_k == pytest.approx(fit.left_out_k)
    assert outside.sd_k == pytest.approx(float(np.hypot(fit.left_out_k, fit.slope_air * 4.0)))


def test_four_nights_are_too_few() -> None:
    with pytest.raises(InputError) as caught:
        fit_low(PAIRS[:4], fewest=5)
    assert caught.value.message == (
        "Too few still nights of your own to foretell a low from them.\nGiven: 4 nights with air and dew point\n"
        "Allowed: 5 nights or more\nNext: Type the low that the forecast gives."
    )
    fit_low(PAIRS[:5], fewest=5)


def test_only_still_nights_with_a_dew_point_teach() -> None:
    night = OwnNight("2024-06-01", -1.0, 9.0, 5.0, -1.5, -2.0, 0.5, 0.1)
    nights = [
        night,
        replace(night, day="windy", wind_m_s=1.4),
        replace(night, day="cloudy", cloud=0.5),
        replace(night, day="no dew", later_dew_c=None),
        replace(night, day="rising", low_c=5.0),
    ]
    assert pairs_of(nights, Limits()) == (LowPair("2024-06-01", 5.0, -2.0, -1.0),)
    assert pairs_of(nights[:1], Limits(), hour=0) == (LowPair("2024-06-01", 9.0, -1.5, -1.0),)


def test_the_published_curve_from_two_hours_after_sunset() -> None:
    trend = FAO["trend"]
    seconds = np.array(trend["hours"], dtype=float) * 3600.0
    rows = typed_night(
        seconds, sunset_c=6.0, later_c=trend["first_c"], low_c=trend["low_c"], dew_c=-9.0, wind_m_s=0.5, cloud=0.0,
        night_h=trend["night_h"], warming_k_h=2.5,
    )  # fmt: skip
    assert rows[:, 0] == pytest.approx(trend["air_c"], abs=2e-6)


def test_a_typed_night_reaches_its_low_at_sunrise_and_then_warms() -> None:
    seconds = np.arange(0, 15 * 3600 + 1, 600.0)
    rows = typed_night(
        seconds, sunset_c=5.0, low_c=-4.0, dew_c=-1.0, wind_m_s=0.7, cloud=0.3, night_h=12.0, warming_k_h=2.0
    )
    air = rows[:, 0]
    assert (air[0], air[72], air[90]) == pytest.approx((5.0, -4.0, 2.0))
    assert np.all(np.diff(air[:73]) < 0)
    assert np.all(rows[:, 1] <= air) and rows[0, 1] == -1.0 and rows[72, 1] == -4.0
    assert set(rows[:, 2]) == {0.7} and set(rows[:, 3]) == {0.3} and not rows[:, 4].any()


def test_dew_point_from_humidity() -> None:
    """Saturation at 15 °C is 1705 Pa, at 24.5 °C 3075 Pa (FAO-56, example 3): 55.45 % at 24.5 °C is a dew of 15 °C."""
    dew = dew_point_c(np.array([24.5, 5.0, np.nan, 4.0]), np.array([100.0 * 1.705 / 3.075, 100.0, 50.0, 0.0]))
    assert dew[:2] == pytest.approx([15.0, 5.0], abs=0.02)
    assert np.isnan(dew[2:]).all()


def night(low: float, wind: float, cloud: float = 0.0) -> NightAir:
    n = 5
    return NightAir(
        "typed", "", "2026-01-15", 0, 7200, 0.0, tuple(range(0, 3600 * n, 3600)), (low,) * n, (low,) * n,
        (wind,) * 3 + (9.0,) * 2, (cloud,) * n, (0.0,) * n, 1.0, 1.0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("low", "wind", "cloud", "kind"),
    [
        (-3.0, 0.5, 0.0, "still frost"), (1.5, 0.5, 0.0, "still frost"), (2.5, 0.5, 0.0, "no frost"),
        (-3.9, 4.1, 0.3, "windy frost"), (0.5, 4.1, 0.0, "no frost"), (-1.0, 0.5, 0.9, "windy frost"),
    ],
)  # fmt: skip
def test_still_and_windy_frost(low: float, wind: float, cloud: float, kind: str) -> None:
    """The wind after sunrise (9 m/s here) does not count."""
    assert frost_kind(night(low, wind, cloud)) == kind


def test_the_limits_that_are_used_without_asking_are_those_of_the_knowledge_base() -> None:
    assert limits_from(load().value) == Limits()
