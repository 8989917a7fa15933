"""The night model against scipy's LSODA on the same equations, written a second time in `independent`."""

from __future__ import annotations

import independent
import nights
import numpy as np
import pytest
from nights import cover, measures, params, typed
from scipy.integrate import solve_ivp

from barkslip.kernels import night
from barkslip.kernels import night_index as ix

DT_S = 300.0
PLACES = {
    "leaf": ix.IX_LEAF_EXPOSED, "inner": ix.IX_LEAF_INNER, "twig": ix.IX_TWIG, "bark": ix.IX_BARK, "core": ix.IX_CORE,
    "fruit": ix.IX_FRUIT, "air": ix.IX_AIR_INSIDE, "cin": ix.IX_COVER_INSIDE, "cout": ix.IX_COVER_OUTSIDE,
    "soil1": ix.IX_SOIL, "bucket": ix.IX_BUCKET, "wet": ix.IX_WET_GROUND,
}  # fmt: skip
#: absolute tolerance of the integrator: temperatures [K], enthalpies [J], masses [kg]
ATOL = 1e-4 * np.r_[np.ones(5), 1e3, np.ones(4), 1e5, np.ones(5), 1e3, 1e3, 1.0, np.full(6, 0.01)]


def worst(forcing: np.ndarray, p: np.ndarray, m: np.ndarray) -> float:
    """Largest difference [K] of any temperature at any time from a quarter of an hour on."""
    start = night.start(float(forcing[0, 0, 0]), 8.0, nights.number("frost.ground_decay"))
    ours = night.run(forcing, p, m, start[np.newaxis], DT_S)[0]
    other = independent.Night(p[0], m[0], forcing[0], DT_S)
    done = solve_ivp(
        other.right, (0.0, other.times[-1]), other.start(start), method="LSODA", t_eval=other.times, rtol=1e-5,
        atol=ATOL, max_step=900.0,
    )  # fmt: skip
    assert done.success
    apart = 0.0
    for i in range(3, other.times.size):
        theirs = other.temps(done.y[:, i])
        for name, place in PLACES.items():
            if not np.isnan(ours[i, place]):
                apart = max(apart, abs(theirs[name] - ours[i, place]))
    return apart


def random_night(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A night, a tree and measures that last all night; the ground has a thin layer with heat of its own."""
    low = rng.uniform(-9.0, 0.0)
    forcing = typed(
        sunset=rng.uniform(1.0, 9.0), low=low, dew=rng.uniform(-14.0, low + 1.0), wind=rng.uniform(0.1, 4.0),
        cloud=rng.choice([0.0, rng.uniform(0.0, 1.0)]), night_h=rng.uniform(10.0, 14.0), dt_s=DT_S,
    )  # fmt: skip
    soil = rng.choice(["sand_moist", "sand_dry", "clay_moist", "peat_moist"])
    p = params(str(soil), leaf_width=rng.uniform(0.03, 0.07), leaf_sky_view=rng.uniform(0.6, 0.95),
               ground_layer_resistance=rng.uniform(0.02, 0.2), soil_wetness=rng.choice([0.0, 0.5]),
               trunk_diameter=rng.uniform(0.03, 0.1), fruit_count=float(rng.integers(1, 60)))  # fmt: skip
    given: dict[str, float] = {}
    if rng.random() < 0.6:
        kind = str(rng.choice(["clear_pe", "fleece_50", "blanket", "tarp", "aluminised_out"]))
        given |= cover(kind, cover_skirt=rng.choice([0.0, 0.5]), cover_gap=rng.choice([0.0, 0.3]))
    if rng.random() < 0.4:
        given |= {"lamp_power": rng.uniform(20.0, 200.0), "lamp_radiant": rng.uniform(0.3, 0.8)}
    if rng.random() < 0.4:
        given |= {"bucket_count": float(rng.integers(1, 3)), "bucket_litres": rng.uniform(5.0, 40.0),
                  "bucket_temp": rng.uniform(10.0, 70.0), "bucket_lid": rng.choice([0.0, 1.0])}  # fmt: skip
    if rng.random() < 0.3:
        given |= {"water_rate": rng.uniform(1.0, 40.0) / 3600.0, "water_temp": rng.uniform(2.0, 20.0),
                  "water_area": rng.uniform(0.3, 1.5), "water_spray": rng.choice([0.0, 1.0])}  # fmt: skip
    if rng.random() < 0.3:
        given |= {"wrap_resistance": rng.uniform(0.05, 0.9), "wrap_heat": rng.choice([0.0, 2e5]),
                  "wrap_to_ground": rng.choice([0.0, 3.0])}  # fmt: skip
    return forcing, p, measures(**given)


@pytest.mark.parametrize("seed", [1, 2])
def test_against_lsoda(seed):
    assert worst(*random_night(np.random.default_rng(seed))) < 0.05


@pytest.mark.slow
def test_against_lsoda_on_bare_ground():
    assert worst(typed(dt_s=DT_S), params(), measures()) < 0.05


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3, 51))
def test_against_lsoda_over_many_nights(seed):
    assert worst(*random_night(np.random.default_rng(seed))) < 0.05
