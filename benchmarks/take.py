"""Speed of the pooled take: python benchmarks/take.py. Best of three on the clock; of one processor beside it."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from barkslip.engines import hazard
from barkslip.engines.hazard_mode import Rows, rows_of
from barkslip.engines.take import assess
from barkslip.engines.take_rows import coded, design, rules, take_rows, windows
from barkslip.knowledge.load import load
from take_coverage import TRUTHS, garden

#: Effects of the large case: six methods and eight covariates, all of which differ from graft to graft.
METHODS, COVARIATES = 6, 8


def best(action: Callable[[], object], times: int = 3) -> tuple[float, float]:
    """Shortest time on the clock and of one processor [s]."""
    clocks, busy = [], []
    for _ in range(times):
        began, used = time.perf_counter(), time.process_time()
        action()
        clocks.append(time.perf_counter() - began)
        busy.append(time.process_time() - used)
    return min(clocks), min(busy)


def sixty() -> tuple[Rows, hazard.Prior, tuple[tuple[float, float], ...]]:
    """Sixty grafts on eight trees, seed 60087."""
    rule = rules(load().value)
    grafts, _ = garden(TRUTHS[0], 60, 60087)
    plan = design(grafts, [g.levels["method"] for g in grafts], "method", rule)
    tree, pair = (coded([g.levels[k] for g in grafts]) for k in ("tree", "pair"))
    return take_rows(windows(grafts), plan.x, tree, pair), rule.take, plan.beta


def large(n: int, trees: int, pairs: int) -> tuple[Rows, list[tuple[float, float]]]:
    """Many grafts by the model's own law."""
    rng = np.random.default_rng(1)
    prior = rules(load().value).take
    method = rng.integers(0, METHODS, n)
    x = np.column_stack([np.eye(METHODS)[method], (rng.random((n, COVARIATES)) < 0.4).astype(float)])
    effects = rng.normal(0.0, 0.4, METHODS + COVARIATES)
    tree = rng.integers(0, trees, n)
    pair = (tree * 7 + rng.integers(0, 3, n)) % pairs
    level = prior.base + rng.normal(0.0, 0.3, 5)
    eta = level + (x @ effects + rng.normal(0.0, 0.5, trees)[tree] + rng.normal(0.0, 0.4, pairs)[pair])[:, None]
    died = rng.random((n, 5)) < 1.0 / (1.0 + np.exp(-eta))
    first = np.where(died.any(axis=1), died.argmax(axis=1), 5)
    end = np.where(rng.random(n) < 0.8, 5, rng.integers(1, 5, n))
    at, window = np.nonzero((np.arange(5) <= first[:, None]) & (np.arange(5) < end[:, None]))
    lost = (window == first[at]).astype(float)
    beta = [(0.0, 0.57)] * METHODS + [(0.0, 0.8)] * COVARIATES
    return rows_of((x - x.mean(axis=0))[at], window, pair[at], tree[at], lost, 1.0 - lost, 5), beta


def main() -> None:
    rows, prior, beta = sixty()
    clock, busy = best(lambda: hazard.fit(rows, prior, beta))
    print(f"60 grafts, 8 trees, 6 pairs: one fit               {clock:7.3f} s  ({busy:.3f} s of one processor)")
    grafts, _ = garden(TRUTHS[0], 60, 60087)
    known = load().value
    clock, busy = best(lambda: assess(grafts, "method", known))
    print(f"the whole answer (two fits, pairs, curves)         {clock:7.3f} s  ({busy:.3f} s)")
    for n, trees, pairs in ((1_000, 100, 20), (10_000, 1_000, 60), (100_000, 1_000, 60)):
        began, used = time.perf_counter(), time.process_time()
        many, sds = large(n, trees, pairs)
        made = time.perf_counter() - began
        began, used = time.perf_counter(), time.process_time()
        found = hazard.fit(many, prior, sds)
        clock, busy = time.perf_counter() - began, time.process_time() - used
        size = f"{n} grafts, {trees} trees, {pairs} pairs: {len(many.window)} rows"
        print(f"{size:50s} {clock:7.2f} s  ({busy:.2f} s; rows made in {made:.1f} s; draws worth {found.ess:.0f})")


if __name__ == "__main__":
    main()
