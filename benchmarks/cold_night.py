"""Speed of the night model: python benchmarks/cold_night.py. Times are processor seconds of one core, best of three."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "kernels"))

import independent
import nights
from nights import cover, measures, params, typed
from scipy.integrate import solve_ivp

from barkslip.kernels import night
from barkslip.kernels import night_index as ix

LAMP = {"lamp_power": 100.0, "lamp_radiant": 0.75}
BUCKET = {"bucket_count": 1.0, "bucket_litres": 19.0, "bucket_temp": 60.0, "bucket_lid": 1.0}
DRIP = {"water_rate": 10.0 / 3600.0, "water_temp": 15.0, "water_area": 1.0}
SETS = [
    {}, cover("clear_pe"), cover("blanket"), cover("blanket", cover_skirt=0.5), {**cover("blanket"), **LAMP},
    {**cover("blanket"), **BUCKET}, {**cover("blanket"), **LAMP, **BUCKET, **DRIP}, {"wrap_resistance": 0.3, **DRIP},
]  # fmt: skip


def members(count: int) -> np.ndarray:
    """Members that differ in wind, leaf and sky, so that nothing is reckoned once for all."""
    rng = np.random.default_rng(1)
    rows = np.repeat(params(), count, axis=0)
    rows[:, ix.P_WIND_SITE_FACTOR] = rng.uniform(0.3, 1.0, count)
    rows[:, ix.P_LEAF_WIDTH] = rng.uniform(0.03, 0.07, count)
    rows[:, ix.P_SKY_EMISSIVITY_ERROR] = rng.normal(0.0, 0.03, count)
    return rows


def best(action: Callable[[], object], clock: Callable[[], float] = time.process_time) -> float:
    """Shortest of three [s]."""
    times = []
    for _ in range(3):
        began = clock()
        action()
        times.append(clock() - began)
    return min(times)


def on_two_threads(forcing: np.ndarray, rows: np.ndarray, m: np.ndarray, dt_s: float) -> None:
    """The members shared by two threads; the model lets go of the interpreter."""
    starts = night.start(5.0, 8.0, 0.1)[np.newaxis]
    out = np.empty((rows.shape[0], forcing.shape[1], ix.N_STATES))
    half = rows.shape[0] // 2
    with ThreadPoolExecutor(2) as pool:
        for part in ((0, half), (half, rows.shape[0])):
            pool.submit(night.run_into, forcing, rows, m, starts, dt_s, out, *part)


def line(what: str, seconds: float, more: str) -> None:
    """One row of the table."""
    print(f"{what:<50}{seconds:8.2f} s  {more}")


def main() -> None:
    began = time.perf_counter()
    nights.run(typed(), params(), measures())
    line("first call (compiled, or read from the cache)", time.perf_counter() - began, "")
    for minutes in (2, 5, 10):
        forcing, rows = typed(night_h=15.0, dt_s=60.0 * minutes), members(200)
        spent = best(lambda f=forcing, r=rows, m=minutes: [nights.run(f, r, measures(**s), 60.0 * m) for s in SETS])
        steps = 200 * len(SETS) * (forcing.shape[1] - 1)
        line(f"200 members, 15 h, 8 sets, steps of {minutes} min", spent, f"{spent / steps * 1e6:.2f} us a step")
    for minutes in (10, 30):
        forcing, rows = typed(dt_s=60.0 * minutes), members(10_000)
        spent = best(lambda f=forcing, r=rows, m=minutes: nights.run(f, r, measures(), 60.0 * m))
        wall = best(lambda f=forcing, r=rows, m=minutes: on_two_threads(f, r, measures(), 60.0 * m), time.perf_counter)
        print(
            f"10,000 members, 12 h, bare, steps of {minutes:2} min        {spent:8.2f} s  {wall:5.2f} s on two threads"
        )
    forcing, p = typed(dt_s=600.0), params(ground_layer_resistance=0.05)
    other = independent.Night(p[0], measures()[0], forcing[0], 600.0)
    y = other.start(night.start(5.0, 8.0, 0.1))
    span = (0.0, 43200.0)
    lsoda = best(lambda: solve_ivp(other.right, span, y, method="LSODA", rtol=1e-4, atol=1e-3, max_step=900.0))
    ours = best(lambda: nights.run(forcing, np.repeat(p, 200, axis=0), measures(), 600.0)) / 200
    line("one night by LSODA", lsoda, f"{lsoda / ours:.0f} times ours")


if __name__ == "__main__":
    main()
