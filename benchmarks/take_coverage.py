"""How often intervals of take hold the truth, in made-up gardens: python benchmarks/take_coverage.py [gardens [truth]].

The truth is not of the model's own kind: losses follow a falling hazard in continuous time (Weibull), proportional
and not logistic; trees differ by a skewed frailty (log of a gamma) and pairs evenly; birds and wind take grafts at a
steady rate, which triples once a shoot stands up; looks come on rounds, so that a loss is known only between two of
them; and grafts were set over two years, so that some are young. Prints a table; see docs/models/take.md.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from barkslip.domain.take import TakeGraft
from barkslip.engines.hazard import quantiles
from barkslip.engines.hazard_mode import FitFailedError
from barkslip.engines.take import draw
from barkslip.engines.take_life import life
from barkslip.engines.take_rows import design, rules
from barkslip.knowledge.load import load

WEEKS_26 = 182.0
WEEKLY = (6, 13, 20, 27, 34, 41, 47, 61, 75, 92, 120, 150, 185, 225)
SIZES = (10, 30, 60)


@dataclass(frozen=True)
class Truth:
    """How a made-up garden is drawn: log odds of take, shape of the hazard, what others take, effects, rounds."""

    name: str
    logit: tuple[float, float]
    rounds: tuple[int, ...] = WEEKLY
    shape: tuple[float, float] = (0.35, 0.6)
    other_26w: float = 0.03
    b_less_a: tuple[float, float] = (0.0, 0.6)
    cover: tuple[float, float] = (-0.5, 0.4)


TRUTHS = (
    Truth("fresh", (0.6, 1.0)),
    Truth("rare looks", (0.6, 1.0), rounds=(40, 80, 120, 160, 200)),
    Truth("late losses", (0.6, 1.0), shape=(0.6, 0.9)),
    Truth("hard garden", (-1.1, 0.3), other_26w=0.08),
)


def garden(truth: Truth, n: int, seed: int) -> tuple[list[TakeGraft], dict[str, tuple[float, float]]]:
    """Grafts of one garden, and of each method the true take and share standing at 26 weeks on the middle tree."""
    rng = np.random.default_rng(seed)
    level = rng.normal(*truth.logit)
    whole = -np.log(1.0 / (1.0 + np.exp(-level)))  # cumulative hazard of method A at 26 weeks
    shape = rng.uniform(*truth.shape)  # below 1: most is lost early
    b, cover = rng.normal(*truth.b_less_a), rng.normal(*truth.cover)
    hot, old = rng.normal(0.4, 0.4), rng.normal(0.3, 0.4)
    trees, pairs = max(2, n // 7), max(2, n // 9)
    k = rng.uniform(1.5, 12.0)
    frail = np.log(rng.gamma(k, 1.0, trees))
    frail -= _mean_log_gamma(k)
    pair = rng.uniform(-0.6, 0.6, pairs)
    rate = -np.log(1.0 - truth.other_26w) / WEEKS_26
    x = rng.random((n, 3)) < (0.5, 0.25, 0.3)
    of_tree, of_pair = rng.integers(0, trees, n), rng.integers(0, pairs, n)
    is_b = rng.random(n) < 0.5
    out = []
    for i in range(n):
        scale = np.exp(b * is_b[i] + x[i] @ (cover, hot, old) + frail[of_tree[i]] + pair[of_pair[i]])
        fails = WEEKS_26 * (rng.exponential() / (whole * scale)) ** (1.0 / shape)
        pushes = rng.uniform(14.0, 60.0)
        taken = _taken(rng, rate, pushes)
        followed = rng.uniform(20.0, 500.0)
        out.append(_graft(i, truth, fails, pushes, taken, followed, x[i], of_tree[i], of_pair[i], bool(is_b[i])))
    mean = x.mean(axis=0) @ (cover, hot, old)
    share = {}
    for name, effect in (("A", 0.0), ("B", b)):
        take = float(np.exp(-whole * np.exp(effect + mean)))
        share[name] = (take, take * _spared(rate))
    return out, share


def _mean_log_gamma(k: float) -> float:
    from scipy.special import digamma

    return float(digamma(k))


def _taken(rng: np.random.Generator, rate: float, pushes: float) -> float:
    """Day on which a bird or the wind takes it: at three times the rate once it has pushed."""
    first = rng.exponential(1.0 / rate)
    return first if first < pushes else pushes + rng.exponential(1.0 / (3.0 * rate))


def _spared(rate: float) -> float:
    """Share that other causes have spared at 26 weeks, over the day of pushing."""
    pushes = np.linspace(14.0, 60.0, 400)
    return float(np.exp(-rate * pushes - 3.0 * rate * (WEEKS_26 - pushes)).mean())


def _graft(
    i: int, truth: Truth, fails: float, pushes: float, taken: float, followed: float,
    x: np.ndarray, tree: int, pair: int, is_b: bool,
) -> TakeGraft:  # fmt: skip
    set_day = date(2021, 1, 1)
    end = min(fails, taken)
    seen = []
    for day in truth.rounds:
        if day > followed:
            break
        gone = day >= end
        state = ("broken" if taken < fails else "shrivelled") if gone else "pushing" if day >= pushes else "swelling"
        on = set_day + timedelta(days=day)
        seen.append((on, on, state))
        if gone:
            break
    return TakeGraft(
        code=f"g{i}",
        levels={
            "method": "B" if is_b else "A", "cover": "foil sleeve" if x[0] else "no cover",
            "tree": f"T{tree}", "pair": f"P{pair}",
        },
        verdict="waiting",
        year_due=set_day,
        life=life(seen, set_day),
        hot=bool(x[1]),
        old=bool(x[2]),
    )  # fmt: skip


def main() -> None:
    gardens = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    rule = rules(load().value)
    print(f"{gardens} gardens each; 90 % intervals; standard error of a coverage {np.sqrt(0.09 / gardens):.3f}")
    print("truth        grafts  take (width)  stands (width)  B less A (width)  right wrong silent failed  s/garden")
    for truth in TRUTHS:
        for n in SIZES if len(sys.argv) < 3 or truth.name == sys.argv[2] else ():
            print(one(truth, n, gardens, rule), flush=True)


def one(truth: Truth, n: int, gardens: int, rule: object) -> str:
    """One line of the table."""
    hits: dict[str, list[bool]] = {"take": [], "stands": [], "less": []}
    wide: dict[str, list[float]] = {"take": [], "stands": [], "less": []}
    told = {"right": 0, "wrong": 0, "silent": 0, "failed": 0}
    began = time.perf_counter()
    for seed in range(gardens):
        grafts, share = garden(truth, n, 1000 * n + seed)
        plan = design(grafts, [g.levels["method"] for g in grafts], "method", rule)  # type: ignore[arg-type]
        try:
            found = draw(grafts, plan, "method", rule, seed=seed, draws=1000)  # type: ignore[arg-type]
        except FitFailedError:
            told["failed"] += 1
            continue
        at = {name: i for i, name in enumerate(plan.groups)}
        for name, i in at.items():
            for what, values, true in (("take", found.take, share[name][0]), ("stands", found.stands, share[name][1])):
                low, high = quantiles(values[:, i], found.weight, (0.05, 0.95))
                hits[what].append(low <= true <= high)
                wide[what].append(high - low)
        if len(at) < 2:
            continue
        less = found.take[:, at["B"]] - found.take[:, at["A"]]
        low, high = quantiles(less, found.weight, (0.05, 0.95))
        true = share["B"][0] - share["A"][0]
        hits["less"].append(low <= true <= high)
        wide["less"].append(high - low)
        chance = float(found.weight @ (less > 0.0))
        told["silent" if 0.1 < chance < 0.9 else "right" if (chance > 0.5) == (true > 0.0) else "wrong"] += 1
    spent = (time.perf_counter() - began) / gardens
    cells = "  ".join(f"{np.mean(hits[k]):.3f} ({np.mean(wide[k]):.2f})" for k in hits)
    said = "  ".join(f"{told[k] / gardens:.3f}" for k in told)
    return f"{truth.name:12s} {n:6d}  {cells}  {said}  {spent:.2f}"


if __name__ == "__main__":
    main()
