"""Speed of the wrapped graft: python benchmarks/covers.py. Seconds on the clock with two threads, best of three."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "kernels"))

from independent_wrap import Wrapped
from scipy.integrate import solve_ivp
from wraps import COVERS, KNOWN, day, hour_rows, members, run

from barkslip.domain.heat import Wrap, WrappedGraft
from barkslip.engines.heat import usual_wraps
from barkslip.engines.wrap_hours import wrap_hours

GRAFT = WrappedGraft()
MEMBERS, DAYS = 200, 90


def best(action: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    """Shortest of three [s]."""
    times = []
    for _ in range(3):
        began = clock()
        action()
        times.append(clock() - began)
    return min(times)


def lsoda(cover: str) -> float:
    """One day of one member by LSODA at tolerances like the model's own error [s]."""
    hours = day()
    one = Wrapped(hour_rows(hours, GRAFT, KNOWN), members(cover, GRAFT, hours, best=True)[0], 0.05)
    how = {"method": "LSODA", "rtol": 1e-4, "atol": 1e-3, "max_step": 900.0}
    return best(lambda: solve_ivp(one.right, (0.0, 82800.0), one.start(), **how))


def main() -> None:
    began = time.perf_counter()
    wrap_hours(day(), GRAFT, Wrap("brown_bag"), KNOWN, members=2, seed=1)
    print(f"first call (compiled, or read from the cache)     {time.perf_counter() - began:8.2f} s")
    season = day(days=DAYS)
    count = len(COVERS) * MEMBERS * DAYS * 24

    def all_covers() -> None:
        for wrap in usual_wraps():
            wrap_hours(season, GRAFT, wrap, KNOWN, members=MEMBERS, seed=1)

    spent, busy = best(all_covers), best(all_covers, time.process_time)
    print(f"{DAYS} days x {len(COVERS)} covers x {MEMBERS} members, two threads{spent:11.2f} s")
    each = f"{busy / count * 1e6:.2f} us an hour of a member"
    print(f"the same, of one processor                        {busy:8.2f} s  {each}")
    decades = day(days=3650)
    spent = best(lambda: wrap_hours(decades, GRAFT, Wrap("film"), KNOWN, members=1, seed=1, middle=True))
    print(f"10 years, best values, film alone                 {spent:8.2f} s")
    for cover in ("film", "brown_bag", "foil_pouch"):
        rows, p = hour_rows(day(), GRAFT, KNOWN), members(cover, GRAFT, day(), MEMBERS)
        ours = best(lambda r=rows, q=p: run(r, q), time.process_time) / MEMBERS
        theirs = lsoda(cover)
        print(f"one day by LSODA, {cover:<12}{theirs:10.3f} s  ours {ours * 1e6:.0f} us, {theirs / ours:.0f} times")


if __name__ == "__main__":
    main()
