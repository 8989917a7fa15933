"""The night model: budget, limits, plateaus, order, events, and that it runs alike jitted and as plain Python."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from pathlib import Path

import nights
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nights import cover, measures, number, params, run, typed

from barkslip.kernels import convection as cv
from barkslip.kernels import cooling, draws, night, phase, soil
from barkslip.kernels import night_index as ix
from barkslip.kernels.constants import HEAT_ICE, HEAT_WATER, LATENT_FUSION, PRANDTL, ZERO_C

LEAF, TWIG, BARK, FRUIT = ix.IX_LEAF_EXPOSED, ix.IX_TWIG, ix.IX_BARK, ix.IX_FRUIT
LAMP = {"lamp_power": 100.0, "lamp_radiant": 0.75}
BUCKET = {"bucket_count": 1.0, "bucket_litres": 19.0, "bucket_temp": 60.0, "bucket_lid": 1.0}
DRIP = {"water_rate": 10.0 / 3600.0, "water_temp": 15.0, "water_area": 1.0}
SETS = {
    "bare": {},
    "all": {**cover("clear_pe", cover_skirt=0.3), **LAMP, **BUCKET, **DRIP, "wrap_resistance": 0.3, "wrap_heat": 1e5,
            "wrap_to_ground": 3.0},
    "open": {**LAMP, **BUCKET, "bucket_lid": 0.0, **DRIP, "water_spray": 1.0},
    "late": {**cover("blanket", cover_on=3 * 3600.0, cover_off=9 * 3600.0), **LAMP, "lamp_on": 7200.0,
             "lamp_off": 18000.0, **BUCKET, "bucket_placed": 4 * 3600.0, "bucket_refill": 3 * 3600.0, **DRIP,
             "water_on": 3600.0, "water_off": 14400.0},
}  # fmt: skip

# -- names -----------------------------------------------------------------------------------------------------


def test_constants_stand_at_their_names():
    for prefix, names in (("P_", ix.PARAM_NAMES), ("M_", ix.MEASURE_NAMES)):
        for place, name in enumerate(names):
            assert getattr(ix, prefix + name.upper()) == place
    for place, name in enumerate(ix.STATE_NAMES):
        if not name.startswith("soil_"):
            assert getattr(ix, "IX_" + name.upper()) == place
    assert ix.STATE_NAMES[ix.IX_SOIL] == "soil_1"
    assert ix.STATE_NAMES[ix.IX_BUCKET] == "bucket"
    assert ix.STATE_NAMES.index("budget_error") == ix.N_STATES - 1


def test_every_parameter_is_a_number_of_the_knowledge_base_in_its_unit():
    given_by_tree = {"tree_height", "tree_width"}
    for name, unit in ix.PARAM_UNITS.items():
        if name in given_by_tree:
            assert name in ix.TREE_NAMES
            continue
        key = f"frost_soil.sand_moist.{ix.SOIL_NAMES[name]}" if name in ix.SOIL_NAMES else f"frost.{name}"
        assert nights.KNOWN.value(key).unit == unit, name
    assert set(ix.DRAWN_LOG) | set(ix.DRAWN_NORMAL) <= set(ix.PARAM_NAMES)


def test_every_field_of_every_cover_is_there():
    kinds = {entry.key.split(".")[1] for entry in nights.KNOWN.entries("covers")}
    assert len(kinds) == 12
    for kind in kinds:
        fields = cover(kind)
        assert fields["cover_tau"] + fields["cover_eps_in"] <= 1.0 + 1e-12
        assert set(fields) <= set(ix.MEASURE_NAMES)


# -- budget and steps ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("dt_s", [300.0, 1800.0])
def test_no_heat_goes_astray(name, dt_s):
    out = run(typed(dt_s=dt_s, low=-8.0), params(), measures(**SETS[name]), dt_s)
    assert np.nanmax(np.abs(out[0, :, ix.IX_BUDGET_ERROR])) < 1e-9
    assert np.isfinite(out[0, -1, LEAF])


@pytest.mark.parametrize("name", SETS)
def test_half_the_step_changes_no_organ_by_002_k(name):
    m = measures(**SETS[name])
    for forcing in ({"low": -8.0}, {"dew": -10.0, "wind": 0.2}):
        whole = run(typed(dt_s=300.0, **forcing), params(), m, 300.0)[0]
        seconds = np.arange(typed().shape[1]) * 300.0
        finer = cooling.resampled(seconds, typed(dt_s=300.0, **forcing)[0], np.arange(0.0, seconds[-1] + 1.0, 150.0))
        half = run(finer[np.newaxis], params(), m, 150.0)[0, ::2]
        assert np.abs(whole - half)[:, list(ix.ORGANS)].max() < 0.02


def test_a_step_of_hours_is_stable():
    out = run(typed(dt_s=7200.0), params(), measures(**SETS["all"]), 7200.0)[0]
    fine = run(typed(dt_s=300.0), params(), measures(**SETS["all"]), 300.0)[0]
    assert np.abs(out[-1, list(ix.ORGANS)] - fine[-1, list(ix.ORGANS)]).max() < 0.3


# -- limits with an answer of their own ------------------------------------------------------------------------


def still(air_c: float, hours: float, dt_s: float = 300.0, wind: float = 1.0, cloud: float = 0.0, dew: float = -40.0):
    rows = np.zeros((1, int(hours * 3600 / dt_s) + 1, cooling.N_FORCING))
    rows[0, :, : cooling.F_CLOUD + 1] = (air_c, dew, wind, cloud)
    return rows


def root(f, low, high):
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if f(middle) > 0 else (low, middle)
    return 0.5 * (low + high)


def test_twig_under_the_open_sky_comes_to_its_balance():
    p = params(twig_sky_view=1.0, twig_horizon_view=0.0, twig_ground_view=0.0, crown_exchange=1e6)
    row = run(still(0.0, 12.0), p, measures())[0, -1]
    vapour = 610.8 * math.exp(17.27 * -40.0 / (237.3 - 40.0))
    x = 46.5 * vapour / 100 / ZERO_C
    clear = 0.5 * (1 - (1 + x) * math.exp(-math.sqrt(1.2 + 3 * x))) + 0.5 * (
        0.70 + 5.95e-5 * vapour / 100 * math.exp(1500 / ZERO_C)
    )
    d = number("frost.twig_diameter")
    forced = 1.4 * cv.h_of(cv.cylinder_forced(cv.reynolds(1.0, d), PRANDTL), d)

    def gain(t: float) -> float:
        free = cv.h_of(cv.cylinder_free(cv.grashof(t, d)), d)
        h = (forced**3.5 + free**3.5) ** (1 / 3.5)
        return number("frost.wood_emissivity") * 5.670e-8 * (clear * ZERO_C**4 - (t + ZERO_C) ** 4) - h * t

    assert row[TWIG] == pytest.approx(root(gain, -20.0, 0.0), abs=1e-3)
    assert row[TWIG] < -0.5


def test_everything_comes_to_the_air_under_a_sky_as_warm():
    p = params(surroundings_above_air=0.0, sky_emissivity_error=1.0, soil_wetness=0.0)
    starts = night.start(6.0, 6.0, 0.1)[np.newaxis]
    out = night.run(still(6.0, 30.0, dew=-20.0), p, measures(**cover("blanket")), starts, 300.0)[0, -1]
    present = [i for i in range(ix.N_NODES) if not math.isnan(out[i])]
    assert np.abs(out[present] - 6.0).max() < 1e-6


@pytest.mark.parametrize(("resistance", "hours"), [(0.0, 1.3), (0.2, 3.3), (0.7, 8.4)])
def test_time_constant_of_a_trunk(resistance, hours):
    """Worked figures for h = 8 W/m2K in all (tests/published/frost_worked.toml); radiation is 4.4 of it."""
    p = params(crown_exchange=1e6, trunk_height=2.0, sky_emissivity_error=1.0, surroundings_above_air=0.0,
               trunk_horizon_view=1.0, trunk_sky_view=0.0, trunk_ground_view=0.0, enhancement=1.0)  # fmt: skip
    d = 0.06
    wind = root(lambda u: 3.6 - cv.h_of(cv.cylinder_forced(cv.reynolds(u, d), PRANDTL), d), 0.01, 1.0)
    starts = night.start(0.0, 0.0, 0.1)
    starts[[ix.IX_BARK, ix.IX_CORE]] = 1.0
    p[0, ix.P_WIND_MIN] = 0.01
    out = night.run(still(0.0, 30.0, wind=wind), p, measures(wrap_resistance=resistance), starts[np.newaxis], 300.0)[0]
    mean = 0.36 * out[:, ix.IX_BARK] + 0.64 * out[:, ix.IX_CORE]
    tau = float(np.interp(-math.exp(-1), -mean, np.arange(mean.size) * 300.0)) / 3600.0
    # the worked figures take the trunk for one lump; heat must also come out of the wood: 1 + h r / 4k
    inside = 1.0 + 0.03 / (1.0 / 8.0 + resistance) / (4.0 * number("frost.wood_conductivity"))
    assert tau == pytest.approx(hours * inside, rel=0.06)


def test_bucket_holds_at_zero_until_its_heat_of_freezing_is_gone():
    """Stefan's balance: mass times heat of freezing over the power lost at 0 °C."""
    p = params(crown_exchange=1e6, surroundings_above_air=0.0, bucket_radiant_share=0.0, bucket_top_area=0.0)
    m = measures(**{**BUCKET, "bucket_temp": 0.5, "bucket_litres": 4.0})
    out = run(still(-10.0, 90.0, dt_s=600.0), p, m, 600.0, deep=-10.0)[0]
    area = number("frost.bucket_side_area") * (4.0 / 19.0) ** (2 / 3)
    power = number("frost.bucket_transfer") * area * 10.0
    at_zero = np.flatnonzero(np.abs(out[:, ix.IX_BUCKET]) < 1e-6).size * 600.0
    assert at_zero == pytest.approx(4.0 * LATENT_FUSION / power, abs=1800.0)
    first = int(np.argmax(out[:, ix.IX_BUCKET_ICE] > 0.2))
    rate = (out[first + 30, ix.IX_BUCKET_ICE] - out[first, ix.IX_BUCKET_ICE]) / (30 * 600.0)
    assert rate * 4.0 * LATENT_FUSION == pytest.approx(power, rel=2e-3)
    assert out[-1, ix.IX_BUCKET_ICE] == 1.0
    assert out[-1, ix.IX_BUCKET] < -1.0


def test_orange_takes_hours_to_freeze_a_tenth_of_its_water():
    """By hand: 3.5 h (2.4 to 5.5) for an orange in air 1.7 K below its freezing point, at h = 12 W/m2K."""
    p = params(crown_exchange=1e6, fruit_sky_view=0.0, fruit_horizon_view=0.0, fruit_ground_view=0.0,
               fruit_conductivity=1e6, fruit_density=730.0, wind_site_factor=1.0)  # fmt: skip
    # the leaves it sees are at the air's temperature under this sky
    p[0, [ix.P_SKY_EMISSIVITY_ERROR, ix.P_SURROUNDINGS_ABOVE_AIR]] = 1.0, 0.0
    air = number("frost.fruit_freezing") - 1.7
    forced = root(lambda u: 7.0 - 1.4 * cv.h_of(cv.sphere_forced(cv.reynolds(u, 0.075)), 0.075), 0.01, 2.0)
    starts = night.start(air, air, 0.1)
    starts[FRUIT] = 0.0
    out = night.run(still(air, 24.0, wind=forced, dew=-40.0), p, measures(), starts[np.newaxis], 300.0)[0]
    hours = np.arange(out.shape[0]) / 12.0
    begins = hours[int(np.argmax(out[:, ix.IX_FRUIT_ICE] > 0.0))]
    tenth = hours[int(np.argmax(out[:, ix.IX_FRUIT_ICE] > 0.1))]
    assert 0.4 < begins < 2.5
    assert 2.4 < tenth - begins < 5.5


def test_four_hours_and_half_an_hour_at_minus_2_2_are_not_the_same_for_an_orange():
    p = params(crown_exchange=1e6)
    starts = night.start(1.0, 8.0, 0.1)[np.newaxis]
    out = night.run(still(-2.2, 6.0, wind=0.5, dew=-3.0), p, measures(), starts, 300.0)[0]
    assert out[6, ix.IX_FRUIT_ICE] == 0.0
    assert 0.0 < out[48, ix.IX_FRUIT_ICE] < out[72, ix.IX_FRUIT_ICE] < 0.4
    assert out[48, FRUIT] > -2.2


def test_ground_under_a_steady_loss_cools_like_a_slab():
    """Surface of moist sand against Brunt's root of time, for the mean of the loss the model itself reckons."""
    p = params(ground_sky_view=1.0, ground_horizon_view=0.0, ground_wind_share=1e-9, leaf_area_index=0.05,
               inner_ground_view=0.0, leaf_ground_view=0.0, twig_ground_view=0.0, trunk_ground_view=0.0,
               fruit_count=0.0, soil_water=0.0, crown_exchange=1e6, surroundings_above_air=0.0,
               enhancement=1e-9)  # fmt: skip
    starts = night.start(10.0, 10.0, 0.1)[np.newaxis]
    out = night.run(still(10.0, 12.0, wind=0.1, dew=-5.0), p, measures(), starts, 300.0)[0]
    k, heat = number("frost_soil.sand_moist.conductivity"), number("frost_soil.sand_moist.heat") * 1e6
    stored = sum((10.0 - out[:, ix.IX_SOIL + i]) * soil.LAYERS_M[i] * heat for i in range(soil.N_LAYERS))
    flux = stored[-1] / (12 * 3600.0)
    drop = soil.slab_drop_k(flux, 12 * 3600.0, k, heat)
    assert 10.0 - out[-1, ix.IX_GROUND] == pytest.approx(drop, rel=0.06)  # the loss lessens while the surface cools
    assert drop > 3.0


# -- enthalpy --------------------------------------------------------------------------------------------------


@given(st.floats(-40.0, 40.0), st.floats(0.0, 1e6))
def test_enthalpy_of_what_freezes_at_zero_and_back(temp_c, latent):
    heat = phase.plateau_heat(temp_c, HEAT_WATER, HEAT_ICE, latent)
    back, capacity = phase.plateau_point(heat, HEAT_WATER, HEAT_ICE, latent)
    assert back == pytest.approx(temp_c, abs=1e-6)
    assert capacity > 0
    assert phase.plateau_ice(heat, latent) == (0.0 if temp_c >= 0 or latent == 0 else 1.0)


@given(st.floats(-40.0, 40.0), st.floats(0.1, 1e6), st.floats(-3.0, -0.5))
def test_enthalpy_of_a_solution_and_back(temp_c, latent, freezing_c):
    heat = phase.solution_heat(temp_c, 4000.0, latent, freezing_c)
    back, capacity = phase.solution_point(heat, 4000.0, latent, freezing_c)
    assert back == pytest.approx(temp_c, abs=1e-6)
    assert capacity >= 4000.0


# -- order -----------------------------------------------------------------------------------------------------

NIGHT = {"low": st.floats(-9.0, 1.0), "dew": st.floats(-15.0, -2.0), "wind": st.floats(0.1, 5.0)}


def last(forcing, m=None, p=None):
    return run(forcing, params() if p is None else p, measures() if m is None else m, 600.0)[0, -1]


@settings(max_examples=40, deadline=None)
@given(more=st.floats(0.1, 3.0), **NIGHT)
def test_more_wind_brings_the_leaf_closer_to_the_air(low, dew, wind, more):
    calm, windy = (last(typed(low=low, dew=dew, wind=u, dt_s=600.0)) for u in (wind, wind + more))
    assert windy[LEAF] - windy[ix.IX_AIR] > calm[LEAF] - calm[ix.IX_AIR]
    assert calm[LEAF] < calm[ix.IX_AIR]


@settings(max_examples=40, deadline=None)
@given(cloud=st.floats(0.0, 0.7), more=st.floats(0.05, 0.3), **NIGHT)
def test_more_cloud_warms_every_organ(low, dew, wind, cloud, more):
    clear, cloudy = (last(typed(low=low, dew=dew, wind=wind, cloud=c, dt_s=600.0)) for c in (cloud, cloud + more))
    assert (cloudy[list(ix.ORGANS)] > clear[list(ix.ORGANS)] - 1e-9).all()
    assert cloudy[LEAF] > clear[LEAF]


@settings(max_examples=40, deadline=None)
@given(watts=st.floats(0.0, 300.0), more=st.floats(5.0, 200.0), covered=st.booleans(), **NIGHT)
def test_more_watts_warm_every_organ(low, dew, wind, watts, more, covered):
    under = cover("blanket") if covered else {}
    dim, bright = (
        last(typed(low=low, dew=dew, wind=wind, dt_s=600.0), measures(**under, lamp_power=w, lamp_radiant=0.5))
        for w in (watts, watts + more)
    )
    assert (bright[list(ix.ORGANS)] >= dim[list(ix.ORGANS)] - 1e-9).all()
    assert bright[LEAF] > dim[LEAF]


@pytest.mark.parametrize("kind", ["incandescent", "led", "heat_cable"])
def test_every_watt_is_heat_whatever_the_kind(kind):
    radiant = number(f"frost.lamp_radiant.{kind}")
    m = cover("blanket", cover_tau=0.0)
    gain = last(typed(dt_s=600.0), measures(**m, lamp_power=100.0, lamp_radiant=radiant)) - last(
        typed(dt_s=600.0), measures(**m)
    )
    assert 1.2 < gain[ix.IX_LEAF_INNER] < 2.6
    assert 1.0 < gain[ix.IX_AIR_INSIDE] < 2.6


def test_a_cover_may_score_below_nothing_and_a_better_one_above():
    bare = last(typed(dt_s=600.0))[LEAF]
    gains = {k: last(typed(dt_s=600.0), measures(**cover(k)))[LEAF] - bare for k in ("clear_pe", "tarp", "blanket")}
    assert gains["clear_pe"] < 0.0 < gains["tarp"] < gains["blanket"]
    wide = last(typed(dt_s=600.0), measures(**cover("blanket", cover_skirt=0.5)))[LEAF] - bare
    assert wide > gains["blanket"] + 0.5


def test_a_gap_at_the_foot_lets_the_warmth_out():
    shut, open_ = (
        last(typed(dt_s=600.0), measures(**cover("blanket", cover_gap=gap), **LAMP))[ix.IX_AIR_INSIDE]
        for gap in (0.0, 0.5)
    )
    assert open_ < shut - 0.3


def test_wraps_and_banks_warm_the_bark_in_order():
    bark = [
        last(typed(wind=1.0, dt_s=600.0), measures(wrap_resistance=number(f"frost.wrap_resistance.{k}")))[BARK]
        for k in ("paper", "foam", "fibreglass")
    ]
    assert bark == sorted(bark)
    bank = measures(
        wrap_resistance=number("frost.wrap_resistance.bank"),
        wrap_heat=number("frost.bank_heat"),
        wrap_to_ground=number("frost.bank_to_ground"),
    )
    assert last(typed(wind=1.0, dt_s=600.0), bank)[BARK] > bark[1]


def test_dew_warms_and_is_counted():
    moist, dry = last(typed(dew=-4.1, dt_s=600.0)), last(typed(dew=-20.0, dt_s=600.0))
    assert moist[ix.IX_LEAF_DEW] > 0.01
    assert dry[ix.IX_LEAF_DEW] == 0.0
    assert moist[LEAF] > dry[LEAF] + 0.3


def test_watered_ground_and_bare_ground_can_be_told_by_a_measure():
    wet = {"soil_changed": 1.0, "soil_conductivity": 2.1, "soil_heat": 2.12e6, "soil_water": 0.2}
    dry = params("sand_dry")
    as_parameter = last(typed(dt_s=600.0), p=params("sand_moist"))
    as_measure = last(typed(dt_s=600.0), measures(**wet), dry)
    assert as_measure[:-1] == pytest.approx(as_parameter[:-1], abs=1e-9, nan_ok=True)
    assert as_measure[LEAF] > last(typed(dt_s=600.0), p=dry)[LEAF]
    grassed = params(ground_layer_resistance=0.1)
    bared = measures(**wet, ground_layer_resistance=0.0)
    assert last(typed(dt_s=600.0), bared, grassed)[:-1] == pytest.approx(as_parameter[:-1], abs=1e-9, nan_ok=True)


def test_sun_of_the_morning_warms():
    dark = typed(hours=14.0, dt_s=600.0)
    light = dark.copy()
    light[0, 72:, cooling.F_SUN] = 200.0
    gain = run(light, params(), measures(), 600.0)[0] - run(dark, params(), measures(), 600.0)[0]
    assert (gain[-1, list(ix.ORGANS)] > 0.05).all()
    assert np.nanmax(np.abs(gain[:72, :-1])) == 0.0


# -- events ----------------------------------------------------------------------------------------------------


def test_what_is_not_there_is_nan():
    out = run(typed(), params(fruit_count=0.0), measures())[0]
    absent = [FRUIT, ix.IX_COVER_INSIDE, ix.IX_COVER_OUTSIDE, ix.IX_BUCKET, ix.IX_WET_GROUND, ix.IX_FRUIT_ICE]
    assert np.isnan(out[:, absent]).all()
    assert np.isfinite(np.delete(out, absent, axis=1)).all()


def test_measures_begin_and_end_at_their_times():
    out = run(typed(), params(), measures(**SETS["late"]))[0]
    bare = run(typed(), params(), measures())[0]
    hour = 12
    assert (out[:hour, LEAF] == bare[:hour, LEAF]).all()
    assert np.isnan(out[: 3 * hour + 1, ix.IX_COVER_INSIDE]).all()
    assert np.isfinite(out[3 * hour + 1 : 9 * hour + 1, ix.IX_COVER_INSIDE]).all()
    assert np.isnan(out[9 * hour + 1 :, ix.IX_COVER_INSIDE]).all()
    bucket = out[:, ix.IX_BUCKET]
    assert np.isnan(bucket[: 4 * hour + 1]).all()
    assert bucket[4 * hour + 1] == pytest.approx(60.0, abs=1.5)
    assert bucket[7 * hour] < 45.0 < 58.5 < bucket[7 * hour + 1]
    assert bucket[10 * hour] < 45.0 < 58.5 < bucket[10 * hour + 1]
    assert np.isnan(out[:hour, ix.IX_WET_GROUND]).all()
    assert np.isfinite(out[hour + 1 :, ix.IX_WET_GROUND]).all()


def test_bucket_set_at_dusk_is_spent_at_dawn():
    with_, without = (run(typed(), params(), measures(**cover("blanket"), **b))[0, :, LEAF] for b in (BUCKET, {}))
    gain = with_ - without
    assert gain[24] > gain[72] > gain[144] > 0.3
    assert gain[24] > 2.5 * gain[144]
    late = measures(**cover("blanket"), **BUCKET, bucket_placed=8 * 3600.0)
    assert run(typed(), params(), late)[0, -1, LEAF] > with_[-1] + 0.5


def test_dripped_water_freezes_on_cold_ground_and_gives_its_heat():
    p = params("clay_dry")
    m = measures(water_rate=5.0 / 3600.0, water_temp=2.0, water_area=1.5)
    out = run(typed(low=-10.0, sunset=-2.0, dew=-12.0), p, m, deep=0.0)[0]
    bare = run(typed(low=-10.0, sunset=-2.0, dew=-12.0), p, measures(), deep=0.0)[0]
    assert out[-1, ix.IX_GROUND_ICE] > 1.0
    assert np.abs(out[72:, ix.IX_WET_GROUND]).max() < 1e-3
    assert out[-1, LEAF] > bare[-1, LEAF]


# -- members ---------------------------------------------------------------------------------------------------


def test_members_stand_alone_and_can_be_shared_out():
    p = np.vstack([params(leaf_width=w, wind_site_factor=u) for w, u in ((0.03, 1.0), (0.045, 0.5), (0.07, 0.3))])
    m = measures(**SETS["all"])
    forcing = typed(dt_s=600.0)
    whole = run(forcing, p, m, 600.0)
    for i in range(3):
        one = run(forcing, p[i : i + 1], m, 600.0)
        np.testing.assert_array_equal(one[0], whole[i])
    starts = night.start(5.0, 8.0, number("frost.ground_decay"))[np.newaxis]
    out = np.empty_like(whole)
    night.run_into(forcing, p, m, starts, 600.0, out, 2, 3)
    night.run_into(forcing, p, m, starts, 600.0, out, 0, 2)
    np.testing.assert_array_equal(out, whole)
    each = run(np.repeat(forcing, 3, axis=0), p, np.repeat(m, 3, axis=0), 600.0)
    np.testing.assert_array_equal(each, whole)


def test_spread_of_draws():
    share = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
    assert draws.two_piece(share, 1.0, 2.0, 6.0) == pytest.approx([1.0, 1.5, 2.0, 4.0, 6.0])
    assert draws.two_piece_log(share, 0.5, 1.0, 4.0) == pytest.approx([0.5, 0.5**0.5, 1.0, 2.0, 4.0])
    # quantiles of the standard normal from printed tables
    z = draws.normal(np.array([0.001, 0.025, 0.1, 0.5, 0.9, 0.975, 0.999]), 0.0, 1.0)
    assert z == pytest.approx([-3.090232, -1.959964, -1.281552, 0.0, 1.281552, 1.959964, 3.090232], abs=1e-6)


PLAIN = """
import json, sys
sys.path.insert(0, {folder!r})
import numba
import test_night as t
out = {{name: t.run(t.typed(dt_s=1800.0, low=-8.0), t.params(), t.measures(**m), 1800.0).tolist()
       for name, m in t.SETS.items()}}
print(json.dumps([bool(numba.config.DISABLE_JIT), out]))
"""


def test_jitted_and_plain_python_agree():
    folder = str(Path(__file__).parent)
    env = {**os.environ, "NUMBA_DISABLE_JIT": "" if os.environ.get("NUMBA_DISABLE_JIT") == "1" else "1"}
    if not env["NUMBA_DISABLE_JIT"]:
        del env["NUMBA_DISABLE_JIT"]
    code = PLAIN.format(folder=folder)
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=env, timeout=300)
    plain, out = json.loads(done.stdout)
    assert plain == ("NUMBA_DISABLE_JIT" in env)
    for name, m in SETS.items():
        ours = run(typed(dt_s=1800.0, low=-8.0), params(), measures(**m), 1800.0)
        theirs = np.array(out[name])
        np.testing.assert_allclose(ours[..., :-1], theirs[..., :-1], rtol=1e-10, atol=1e-10)
