"""Speed of a trace: python benchmarks/trace.py. Seconds on the clock with two threads, best of three.

Contacts fall at random between nodes; a share of the nodes is suspected from the start, so that much is carried and
every contact has work to do. First the same machine's plain way: one world after the other, a coin for each contact.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from barkslip.engines import trace_worlds as worlds
from barkslip.kernels import trace as kernel

CONTACTS, WORLDS, NODES = 1_000_000, 1_000, 100_000


def best(action: Callable[[], object]) -> float:
    """Shortest of three [s]."""
    times = []
    for _ in range(3):
        began = time.perf_counter()
        action()
        times.append(time.perf_counter() - began)
    return min(times)


def case(contacts: int, nodes: int, suspects: float, seed: int = 1) -> tuple[worlds.Ways, np.ndarray]:
    """Contacts in order of time, a coin for each; one in fifty is a cleaning."""
    rng = np.random.default_rng(seed)
    source = rng.integers(0, nodes, contacts).astype(np.int32)
    target = rng.integers(0, nodes, contacts).astype(np.int32)
    source[rng.random(contacts) < 0.02] = kernel.CLEAN
    first = int(nodes * suspects)
    source[:first] = kernel.SEED
    coin = np.arange(contacts, dtype=np.int32)
    coin[:first] = -1
    day = np.arange(contacts, dtype=np.int64)
    return worlds.Ways(source, target, coin, day, day, nodes), rng.uniform(0.05, 0.6, contacts)


def drawn(found: worlds.Ways, chance: np.ndarray, count: int) -> worlds.Chances:
    """All worlds, as a trace does it."""
    return worlds.chances(found, chance, seed=1, worlds=count, exact=False)


def one_by_one(found: worlds.Ways, chance: np.ndarray, count: int) -> None:
    """The plain way, in numpy for the coins and a set for what is carried."""
    rng = np.random.default_rng(1)
    rows = list(zip(found.source.tolist(), found.target.tolist(), found.coin.tolist(), strict=True))
    for _ in range(count):
        won = rng.random(chance.size) < chance
        carried: set[int] = set()
        for u, v, c in rows:
            if u in carried or u == kernel.SEED:
                if c < 0 or won[c]:
                    carried.add(v)
            elif u == kernel.CLEAN and won[c]:
                carried.discard(v)


def main() -> None:
    began = time.perf_counter()
    drawn(*case(1000, 100, 0.1), 64)
    print(f"first call (compiled, or read from the cache)      {time.perf_counter() - began:8.2f} s")
    small = case(CONTACTS // 10, NODES // 10, 0.05)
    spent = best(lambda: one_by_one(*small, 2)) / 2 * 10 * WORLDS
    print(f"the plain way, reckoned from two worlds of a tenth {spent:8.0f} s")
    for suspects in (0.001, 0.05, 0.5):
        found = case(CONTACTS, NODES, suspects)
        spent = best(lambda f=found: drawn(*f, WORLDS))
        share = float(drawn(*found, 64).ever.mean())
        print(f"1,000,000 contacts x 1,000 worlds, {share:4.0%} reached    {spent:8.2f} s")
    print("linear in both, 5 % suspected:")
    for contacts, count in ((250_000, 1000), (500_000, 1000), (1_000_000, 1000), (2_000_000, 1000),
                            (1_000_000, 2000), (1_000_000, 4000)):  # fmt: skip
        found = case(contacts, contacts // 10, 0.05)
        spent = best(lambda f=found, n=count: drawn(*f, n))
        each = spent / (contacts * count) * 1e9
        print(
            f"  {contacts:9,} contacts x {count:5,} worlds            {spent:8.2f} s  {each:.2f} ns a contact and world"
        )
    found, chance = case(300, 60, 0.02)
    few = np.where(np.arange(chance.size) % 20 == 7, chance, 1.0)
    spent = best(lambda: worlds.chances(found, few, seed=1))
    doubtful = int(((few > 0) & (few < 1)).sum())
    print(f"all cases of {doubtful} coins, 300 contacts, counted       {spent:8.3f} s")


if __name__ == "__main__":
    main()
