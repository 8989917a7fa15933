"""Speed of healing over decades: python benchmarks/healing_years.py. Processor seconds of one core, best of three.

Three ways to the same numbers, in one run: a plain numpy loop that goes through the hours after each start day for each
draw; numpy with running sums, once a draw; and the kernel.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from barkslip.kernels import healing as kernel

DRAWS, LOOK_H, DAY_H = 200, 75 * 24, 24


def weather(years: int) -> np.ndarray:
    """Hours of a mild place [°C]: a year's and a day's swing, and noise."""
    n = years * 365 * DAY_H
    t = np.arange(n)
    noise = np.random.default_rng(1).normal(0.0, 1.5, n)
    return 19.0 + 7.0 * np.sin(2 * np.pi * t / (365 * DAY_H)) + 6.0 * np.sin(2 * np.pi * t / DAY_H) + noise


def draws(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Curves float64[count, 4] [°C] and days to the first water path float64[count, 1] [d]."""
    rng = np.random.default_rng(2)
    t_min, t_opt, t_max = (rng.normal(m, s, count) for m, s in ((13.0, 1.5), (28.0, 2.0), (38.0, 1.5)))
    return np.column_stack((t_min, t_opt, t_max, t_min)), np.clip(rng.normal(15.0, 4.0, (count, 1)), 4.0, None)


def rate(temp: np.ndarray, t_min: float, t_opt: float, t_max: float) -> np.ndarray:
    """The curve in plain numpy."""
    power = np.log(2.0) / np.log((t_max - t_min) / (t_opt - t_min))
    x = np.clip((temp - t_min) / (t_opt - t_min), 0.0, None) ** power
    return np.where(temp < t_max, np.clip(2.0 * x - x * x, 0.0, None), 0.0)


def loop(temp: np.ndarray, curves: np.ndarray, needs: np.ndarray, starts: np.ndarray) -> np.ndarray:
    """Each draw, each start day: the rate of the hours after it, summed up, until it is enough."""
    out = np.full((curves.shape[0], starts.size), -1)
    for m in range(curves.shape[0]):
        for s, start in enumerate(starts):
            total = np.cumsum(rate(temp[start : start + LOOK_H], *curves[m, :3])) / DAY_H
            place = int(np.searchsorted(total, needs[m, 0]))
            if place < total.size:
                out[m, s] = place + 1
    return out


def sums(temp: np.ndarray, curves: np.ndarray, needs: np.ndarray, starts: np.ndarray) -> np.ndarray:
    """Each draw: the rate of all hours once, running sums, all start days at once by bisection."""
    out = np.empty((curves.shape[0], starts.size), dtype=int)
    for m in range(curves.shape[0]):
        total = np.concatenate(([0.0], np.cumsum(rate(temp, *curves[m, :3])) / DAY_H))
        place = np.searchsorted(total, total[starts] + needs[m, 0])
        out[m] = np.where(place < total.size, place - starts, -1)
    return out


def ours(temp: np.ndarray, curves: np.ndarray, needs: np.ndarray, starts: np.ndarray) -> np.ndarray:
    """The kernel."""
    out = np.empty((curves.shape[0], 1, starts.size), dtype=np.int32)
    kernel.reached_into(temp[np.newaxis], curves, needs, starts, 0, curves.shape[0], out)
    return out[:, 0, :]


def endings(temp: np.ndarray, curves: np.ndarray, needs: np.ndarray, starts: np.ndarray) -> np.ndarray:
    """The kernel with all that may end a graft."""
    params = np.zeros((curves.shape[0], kernel.N_PARAMS))
    params[:, :4], params[:, kernel.P_D_LINK] = curves, needs[:, 0]
    params[:, kernel.P_PUSH_T_MIN : kernel.P_PUSH_T_MAX + 1] = curves[:, :3]
    params[:, kernel.P_D_PUSH : kernel.P_KILL_DOSE + 1] = (21.0, 28.0, 0.3, 0.7)
    params[:, kernel.P_LIMIT_H], params[:, kernel.P_FROST_UNION], params[:, kernel.P_FROST_GROWTH] = 1440, -3.0, -2.0
    ends = np.empty((curves.shape[0], starts.size), dtype=np.int8)
    hours = np.empty((curves.shape[0], starts.size, 2), dtype=np.int32)
    row, zero = temp[np.newaxis], np.zeros((1, temp.size + 1))
    kernel.outcomes_into(row, row, row, zero, zero, params, starts, LOOK_H, True, 0, curves.shape[0], ends, hours)
    return ends


def best(action: Callable[[], object], times: int = 3) -> float:
    """Shortest of some [s]."""
    spent = []
    for _ in range(times):
        began = time.process_time()
        action()
        spent.append(time.process_time() - began)
    return min(spent)


def line(what: str, seconds: float, more: str = "") -> None:
    """One row of the table."""
    print(f"{what:<62}{seconds:9.3f} s  {more}")


def start_days(temp: np.ndarray) -> np.ndarray:
    """Every day that has the whole time looked at before it."""
    return np.arange(0, temp.size - LOOK_H, DAY_H, dtype=np.int32)


def main() -> None:
    curves, needs = draws(DRAWS)
    small = weather(1)
    ours(small, curves[:2], needs[:2], start_days(small))
    endings(small, curves[:2], needs[:2], start_days(small))
    spent = {}
    for years in (10, 20, 40):
        temp = weather(years)
        starts = start_days(temp)
        spent[years] = best(lambda t=temp, s=starts: ours(t, curves, needs, s))
        per_hour = spent[years] / DRAWS / temp.size * 1e9
        line(
            f"kernel, {years} years, {starts.size} start days, {DRAWS} draws",
            spent[years],
            f"{per_hour:.1f} ns an hour",
        )
        line("  with all that may end a graft", best(lambda t=temp, s=starts: endings(t, curves, needs, s)))
    print(f"40 years over 10 years: {spent[40] / spent[10]:.2f} times")
    temp = weather(40)
    starts = start_days(temp)
    few = 10
    by_sums = best(lambda: sums(temp, curves[:few], needs[:few], starts)) * DRAWS / few
    line(f"numpy with running sums, 40 years ({few} draws, the rest in proportion)", by_sums, "")
    some = starts[::40]
    by_loop = best(lambda: loop(temp, curves[:few], needs[:few], some)) * DRAWS / few * starts.size / some.size
    line(f"plain numpy loop, 40 years ({few} draws, {some.size} start days, the rest in proportion)", by_loop)
    print(f"ratio to the plain loop {by_loop / spent[40]:.0f}, to running sums {by_sums / spent[40]:.1f}")
    plain, mine = loop(temp, curves[:few], needs[:few], some), ours(temp, curves[:few], needs[:few], some)
    inside = (mine > 0) & (mine <= LOOK_H)
    print(f"largest difference {np.abs(plain - mine)[inside].max()} h of {int(inside.sum())} answers")


if __name__ == "__main__":
    main()
