"""Moist air against published and worked pairs. Sources stand in the files under tests/published."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barkslip.kernels import humidity as hu

PUBLISHED = Path(__file__).parents[1] / "published"
ASHRAE = tomllib.loads((PUBLISHED / "frost_ashrae.toml").read_text())
FAO56 = tomllib.loads((PUBLISHED / "frost_fao56.toml").read_text())
WORKED = tomllib.loads((PUBLISHED / "frost_worked.toml").read_text())


@pytest.mark.parametrize(("temp_c", "pressure", "within"), ASHRAE["saturation_pa"]["rows"])
def test_saturation_against_ashrae(temp_c, pressure, within):
    slack = ASHRAE["saturation_pa"]["equations_within"] * pressure
    assert hu.sat_ashrae_pa(temp_c) == pytest.approx(pressure, abs=within + slack)


@pytest.mark.parametrize(("temp_c", "ratio", "within"), ASHRAE["saturated_ratio"]["rows"])
def test_saturated_ratio_against_ashrae(temp_c, ratio, within):
    # the table holds real moist air; the ideal-gas ratio is less by the enhancement factor, 0.4 to 0.5 % at 1 atm
    ideal = hu.humidity_ratio(hu.sat_ashrae_pa(temp_c), 101325.0)
    assert ratio * (1 - 0.006) - within <= ideal <= ratio + within


@pytest.mark.parametrize(("height_m", "pressure", "within"), ASHRAE["standard_atmosphere_pa"]["rows"])
def test_standard_atmosphere_against_ashrae(height_m, pressure, within):
    assert hu.pressure_at_pa(height_m) == pytest.approx(pressure, abs=within)


def test_iced_wet_bulb_against_ashrae():
    case = ASHRAE["iced_bulb"]
    assert hu.ratio_from_wet_bulb(case["air_c"], case["wet_c"], case["pressure_pa"]) == pytest.approx(
        case["ratio"], rel=1e-3
    )
    assert hu.wet_bulb_c(case["air_c"], case["ratio"], case["pressure_pa"]) == pytest.approx(case["wet_c"], abs=0.005)


def test_wet_bulb_against_ashrae():
    case = ASHRAE["cool_bulb"]
    vapour = case["relative_humidity"] * hu.sat_ashrae_pa(case["air_c"])
    ratio = hu.humidity_ratio(vapour, case["pressure_pa"])
    assert hu.wet_bulb_c(case["air_c"], ratio, case["pressure_pa"]) == pytest.approx(case["wet_c"], abs=0.005)


def stull(temp_c: float, percent: float) -> float:
    """Stull 2011, which the program does not use."""
    return (
        temp_c * math.atan(0.151977 * math.sqrt(percent + 8.313659))
        + math.atan(temp_c + percent)
        - math.atan(percent - 1.676331)
        + 0.00391838 * percent**1.5 * math.atan(0.023101 * percent)
        - 4.686035
    )


def test_stull_pair():
    assert stull(20.0, 50.0) == pytest.approx(13.7, abs=0.05)


@pytest.mark.parametrize(("air_c", "percent", "by_stull", "wet_c"), WORKED["wet_bulb_c"]["rows"])
def test_wet_bulb_near_freezing_is_warmer_than_stull(air_c, percent, by_stull, wet_c):
    # humidity is over water, as screens report it
    vapour = percent / 100.0 * hu.sat_water_pa(air_c)
    ours = hu.wet_bulb_c(air_c, hu.humidity_ratio(vapour, 101325.0), 101325.0)
    assert stull(air_c, percent) == pytest.approx(by_stull, abs=0.01)
    assert ours == pytest.approx(wet_c, abs=0.2)  # the worked figures keep the bulb wet below 0; ours ices
    assert ours > by_stull + 0.2


@pytest.mark.parametrize(("temp_c", "pressure"), WORKED["tetens_pa"]["rows"])
def test_tetens_over_water(temp_c, pressure):
    assert hu.sat_water_pa(temp_c) == pytest.approx(pressure, abs=0.005)


@pytest.mark.parametrize(("temp_c", "pressure"), WORKED["tetens_ice_pa"]["rows"])
def test_tetens_over_ice(temp_c, pressure):
    assert hu.sat_ice_pa(temp_c) == pytest.approx(pressure, abs=0.005)
    assert hu.sat_surface_pa(temp_c) == hu.sat_ice_pa(temp_c)


@pytest.mark.parametrize("temp_c", [-20.0, -10.0, -5.0, -2.0, 0.0, 5.0, 15.0])
def test_tetens_is_within_half_a_percent_of_ashrae(temp_c):
    assert hu.sat_surface_pa(temp_c) == pytest.approx(hu.sat_ashrae_pa(temp_c), rel=0.005)


@settings(deadline=None)  # the first call compiles
@given(st.floats(-60.0, 100.0))
def test_fast_saturation_is_the_exact_form(temp_c):
    def exact(at_c: float) -> float:
        return hu.vapour_density(hu.sat_surface_pa(at_c), at_c)

    density, slope = hu.sat_density(temp_c)
    assert density == pytest.approx(exact(temp_c), rel=1e-6)
    near = temp_c + (1e-3 if temp_c >= 0.0 else -1e-3)  # on the same side of freezing
    assert slope == pytest.approx(math.log(exact(near) / exact(temp_c)) / (near - temp_c), rel=1e-4)


@settings(deadline=None)  # the first call compiles
@given(st.floats(-6.0, 6.0))
def test_fast_exponential(x):
    assert hu.exp_near(x) == pytest.approx(math.exp(x), rel=1e-6)


@pytest.mark.parametrize(("pressure", "dew_c", "frost_c"), WORKED["dew_frost_c"]["rows"])
def test_dew_and_frost_point(pressure, dew_c, frost_c):
    assert hu.dew_point_c(pressure) == pytest.approx(dew_c, abs=0.005)
    assert hu.frost_point_c(pressure) == pytest.approx(frost_c, abs=0.005)
    assert hu.sat_water_pa(hu.dew_point_c(pressure)) == pytest.approx(pressure, rel=1e-12)
    assert hu.sat_ice_pa(hu.frost_point_c(pressure)) == pytest.approx(pressure, rel=1e-12)


@pytest.mark.parametrize(("wet_c", "dew_c", "air_c"), WORKED["sprinkle_start_c"]["rows"])
def test_air_at_which_sprinkling_starts(wet_c, dew_c, air_c):
    assert hu.air_at_wet_bulb_c(wet_c, dew_c, 101325.0) == pytest.approx(air_c, abs=0.02)


def test_pressure_and_psychrometer_against_fao_56():
    case = FAO56["example_2"]
    pressure = hu.pressure_fao_pa(case["height_m"])
    assert pressure / 1000 == pytest.approx(case["pressure_kpa"][0], abs=case["pressure_kpa"][1])
    assert hu.psychrometric_pa_k(pressure) / 1000 == pytest.approx(case["gamma_kpa_k"][0], abs=case["gamma_kpa_k"][1])
    wet = FAO56["example_4"]
    vapour = hu.vapour_from_wet_bulb_pa(wet["air_c"], wet["wet_c"], wet["pressure_kpa"] * 1000)
    assert vapour / 1000 == pytest.approx(wet["vapour_kpa"], abs=0.005)


def test_saturation_against_fao_56():
    rows = FAO56["example_3"]["rows"]
    for temp_c, kpa in rows:
        assert hu.sat_water_pa(temp_c) / 1000 == pytest.approx(kpa, abs=0.0005)
    mean = sum(hu.sat_water_pa(temp_c) for temp_c, _ in rows) / 2000
    assert mean == pytest.approx(FAO56["example_3"]["mean_kpa"], abs=0.005)
    dew = FAO56["example_20"]
    assert hu.sat_water_pa(dew["dew_c"]) / 1000 == pytest.approx(dew["vapour_kpa"], abs=0.005)
    slope = FAO56["example_17"]
    assert hu.sat_slope_pa_k(slope["temp_c"]) / 1000 == pytest.approx(slope["slope_kpa_k"], abs=0.0005)
