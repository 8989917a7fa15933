"""Made-up grafts for tests of take."""

from __future__ import annotations

from datetime import date

import numpy as np

from barkslip.domain.sourced import Value
from barkslip.domain.take import Life, TakeGraft
from barkslip.knowledge.load import load

KNOWN = load().value
DUE = date(2022, 10, 5)


def known(**changed: float):
    """The knowledge base with some best values changed."""

    def value(key: str) -> Value:
        found = KNOWN(key)
        new = changed.get(key.replace(".", "_"))
        return found if new is None else Value(new, found.unit, found.source, found.status, found.low, found.high)

    return value


def graft(method: str = "bark graft", lost: bool = False, *, days: float | None = None, end: str = "failed", **levels):
    """One graft: lost after three weeks, or followed for a year."""
    life = Life(20.0 if days is None else days, end) if lost else Life(365.0 if days is None else days, "", 30.0)
    verdict = "did not take" if lost else "took"
    extra = {k: levels.pop(k) for k in ("hot", "old", "sunny", "stock_mm", "alive_year", "lost_after") if k in levels}
    return TakeGraft("", {"method": method} | levels, verdict, DUE, life=life, **extra)


def count(method: str, took: int, n: int, **levels):
    """n grafts of which some took."""
    return [graft(method, i >= took, **levels) for i in range(n)]


def many(n: int, seed: int = 1, trees: int = 40):
    """Many grafts of three methods on many trees."""
    rng = np.random.default_rng(seed)
    out = []
    for _ in range(n):
        method = ("bark graft", "T-bud", "chip bud")[rng.integers(3)]
        tree = int(rng.integers(trees))
        lost = bool(rng.random() < 0.15 + 0.2 * (tree % 3 == 0) + 0.1 * (method == "chip bud"))
        out.append(
            graft(
                method, lost, days=float(rng.uniform(5, 170)) if lost else 365.0, tree=f"T{tree:03d}",
                pair=f"P{tree % 7}", cover="foil sleeve" if rng.random() < 0.5 else "no cover",
                hot=bool(rng.random() < 0.3),
            )
        )  # fmt: skip
    return out
