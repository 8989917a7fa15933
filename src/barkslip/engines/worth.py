"""Years of good fruit that keeping, reworking and replacing a tree bring: expected worth, options, value of knowing.

Equations are in docs/models/worth.md; hand-worked figures in tests/engines/test_worth.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.worth import WAYS, Belief, Turn, WorthNumbers

Floats = NDArray[np.float64]

#: Steps in which a turning point is closed in on.
_HALVINGS = 14
_NODES = 9
#: Steps to the limit in which a change of the answer is looked for.
_STEPS = 16


@lru_cache(maxsize=4096)
def annuity(d: float, first: float, last: float) -> float:
    """Sum of d^t over the years `first` to `last`; 0 if none lies between.

    A first year between two whole ones is the one or the other with that chance (3.5: half and half).

    Parameters
    ----------
    d : float
        [0..1].
    first, last : float
        `last` is taken down to a whole year.
    """
    floor = math.floor(first)
    rest = first - floor
    low = _whole(d, floor, math.floor(last))
    return low if rest == 0.0 else (1.0 - rest) * low + rest * _whole(d, floor + 1, math.floor(last))


def _whole(d: float, first: int, last: int) -> float:
    if last < first:
        return 0.0
    n = last - first + 1
    return float(n) * d**first if d == 1.0 else float(d**first) * (1.0 - d**n) / (1.0 - d)


def normal_belief(mean: float, sd: float, worth: Callable[[float], float] = lambda x: x) -> Belief:
    """A normal belief as nine points (Gauss and Hermite), each put through `worth`."""
    if sd <= 0.0:
        return Belief((worth(mean),), (1.0,))
    nodes, weights = _nodes()
    return Belief(tuple(worth(mean + sd * x) for x in nodes), weights)


@lru_cache(maxsize=1)
def _nodes() -> tuple[tuple[float, ...], tuple[float, ...]]:
    from numpy.polynomial.hermite_e import hermegauss

    nodes, weights = hermegauss(_NODES)
    return tuple(nodes.tolist()), tuple((weights / weights.sum()).tolist())


def learned(mean: float, sd: float, tastings: tuple[float, ...], spread: float) -> tuple[float, float]:
    """Mean and standard deviation of a normal belief after some tastings that each stray by `spread`."""
    if not tastings:
        return mean, sd
    before, each = 1.0 / sd**2, 1.0 / spread**2
    after = before + each * len(tastings)
    return (before * mean + each * sum(tastings)) / after, after**-0.5


def straight(none: float, full: float) -> Callable[[float], float]:
    """Worth of a liking: 0 up to `none`, 1 from `full`, a straight line between."""
    return lambda score: min(1.0, max(0.0, (score - none) / (full - none)))


def bearing_share(n: WorthNumbers, after: float = 0.0) -> float:
    """Discounted bearing years of grafts set `after` years from now, a second try for those that fail [year]."""
    d = n.d * (1.0 - n.give_out)
    left = n.years - after
    took = n.take * annuity(d, n.bears, left) + (1.0 - n.take) * n.take * annuity(d, n.bears + 1.0, left)
    return float(d**after) * took


def new_share(n: WorthNumbers, after: float = 0.0) -> float:
    """Discounted bearing years of a new tree planted `after` years from now [year]."""
    return float(n.d**after) * n.stands * annuity(n.d * (1.0 - n.give_out_new), n.bears_new, n.years - after)


def _kept(n: WorthNumbers, first: float = 1.0) -> float:
    """Discounted bearing years of what stands, from a year on."""
    return annuity(n.d * (1.0 - n.give_out), max(first, n.bears_now), n.years)


def _upkeep(n: WorthNumbers, first: float = 1.0) -> float:
    return n.upkeep * annuity(n.d * (1.0 - n.give_out), first, n.years)


def _upkeep_new(n: WorthNumbers, after: float = 0.0) -> float:
    return float(n.upkeep_new * n.d**after) * annuity(n.d * (1.0 - n.give_out_new), 1.0, n.years - after)


def keep(n: WorthNumbers, quality: float | None = None) -> float:
    """Worth of keeping the tree as it is [year of good fruit]."""
    return (n.now.mean if quality is None else quality) * _kept(n) - _upkeep(n)


def rework(n: WorthNumbers, quality: float | None = None) -> float:
    """Worth of top-working the whole tree now."""
    return (n.rework.mean if quality is None else quality) * bearing_share(n) - n.cost_rework - _upkeep(n)


def replace_tree(n: WorthNumbers, quality: float | None = None) -> float:
    """Worth of taking the tree out and planting another."""
    return (n.replace.mean if quality is None else quality) * new_share(n) - n.cost_replace - _upkeep_new(n)


def trial_limb(n: WorthNumbers) -> float:
    """Worth of working one limb first and deciding on the rest when it has borne.

    The limb's fruit tells the quality; if neither of two grafts took, nothing is learned and the rest is kept.
    """
    return sum(w * trial_known(n, q, n.now.mean) for q, w in zip(n.rework.values, n.rework.weights, strict=True))


def trial_known(n: WorthNumbers, quality: float, now: float, *, believed_now: float | None = None) -> float:
    """The same, if the new kind turns out to be of one quality and the old one of another."""
    d = n.d * (1.0 - n.give_out)
    rest, took = 1.0 - n.share, 1.0 - (1.0 - n.take) ** 2
    later = bearing_share(n, n.bears)
    price = n.cost_rework * d**n.bears
    until = _kept(n) - _kept(n, n.bears + 1.0)
    believed = now if believed_now is None else believed_now
    goes_on = quality * later - price > believed * (_kept(n) - until)
    if_took = now * until + quality * later - price if goes_on else now * _kept(n)
    limb = n.share * quality * bearing_share(n) - n.cost_trial
    return limb + rest * (took * if_took + (1.0 - took) * now * _kept(n)) - _upkeep(n)


def one_more_crop(n: WorthNumbers) -> float:
    """Worth of waiting for one more crop, tasting it, and choosing then."""
    other = max(_later(n, "rework", n.rework.mean), _later(n, "replace", n.replace.mean))
    first = _first_year(n, n.now.mean)
    values, weights = np.array(n.now.values), np.array(n.now.weights)
    if _blind(n):
        means, chances = np.array([n.now.mean]), np.ones(1)
    elif len(values) == 1 or n.crop_spread <= 0.0:
        means, chances = values, weights
    else:
        reach = 4.0 * n.crop_spread
        seen = np.linspace(values.min() - reach, values.max() + reach, 101)
        like = np.exp(-0.5 * ((seen[:, None] - values) / n.crop_spread) ** 2) * weights
        whole = like.sum(axis=1)
        chances = whole / whole.sum()
        means = (like @ values) / np.where(whole > 0.0, whole, 1.0)
    goes_on = means * _kept(n, 2.0) - _upkeep(n, 2.0)
    return float(first + np.sum(chances * np.maximum(goes_on, other)))


def _blind(n: WorthNumbers) -> bool:
    """True if the next crop teaches nothing: there is none, or how it eats is known to the grower already."""
    return n.bears_now > 1.0 or math.isinf(n.crop_spread)


def _first_year(n: WorthNumbers, quality: float) -> float:
    """Worth of the first year alone."""
    return quality * (_kept(n) - _kept(n, 2.0)) - (_upkeep(n) - _upkeep(n, 2.0))


def _later(n: WorthNumbers, way: str, quality: float) -> float:
    """Worth of a way that begins after the first year, without that year."""
    if way == "keep":
        return quality * _kept(n, 2.0) - _upkeep(n, 2.0)
    if way == "rework":
        return quality * bearing_share(n, 1.0) - n.cost_rework * n.d * (1.0 - n.give_out) - _upkeep(n, 2.0)
    return quality * new_share(n, 1.0) - n.cost_replace * n.d - _upkeep_new(n, 1.0)


def worths(n: WorthNumbers) -> dict[str, float]:
    """Expected worth of every way, by code."""
    found = {
        "keep": keep(n),
        "wait": one_more_crop(n),
        "trial": trial_limb(n),
        "rework": rework(n),
        "replace": replace_tree(n),
    }
    return {code: found[code] for code in WAYS}


def best_of(found: Mapping[str, float], barred: frozenset[str] = frozenset(), margin: float = 1e-9) -> str:
    """Of the ways that nothing bars and that come within `margin` of the best, the one that changes least."""
    open_ways = [code for code in WAYS if code not in barred]
    most = max(found[code] for code in open_ways)
    return next(code for code in open_ways if found[code] >= most - margin)


def knowing(n: WorthNumbers, only: str = "", barred: frozenset[str] = frozenset()) -> float:
    """Value of knowing qualities before choosing between keep, rework and replace: E max - max E.

    Parameters
    ----------
    only : str
        "now", "rework" or "replace": that quality alone; all three if empty.
    """
    ways = (("now", "keep", keep), ("rework", "rework", rework), ("replace", "replace", replace_tree))
    open_ways = [(name, way) for name, code, way in ways if code not in barred]
    beliefs = [getattr(n, name) if not only or name == only else None for name, _ in open_ways]
    sets = [list(zip(b.values, b.weights, strict=True)) if b is not None else [(None, 1.0)] for b in beliefs]
    worth = [[(way(n, q), w) for q, w in one] for (_, way), one in zip(open_ways, sets, strict=True)]
    mean_of_max = sum(math.prod(w for _, w in point) * max(v for v, _ in point) for point in product(*worth))
    return max(0.0, mean_of_max - max(way(n) for _, way in open_ways))


def break_even(difference: Callable[[float], float], low: float, high: float) -> float | None:
    """Where a difference of two ways is nought between two values of a number; None if it keeps its sign."""
    at_low, at_high = difference(low), difference(high)
    if at_low == 0.0:
        return low
    if at_low * at_high > 0.0:
        return None
    for _ in range(60):
        middle = 0.5 * (low + high)
        if difference(middle) * at_low > 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@dataclass(frozen=True)
class Handle:
    """One number that can be moved: where it stands, its range, its limits, and the numbers with it moved."""

    key: str
    value: float
    low: float
    high: float
    least: float
    most: float
    moved: Callable[[float], WorthNumbers]


def turns(
    n: WorthNumbers, handles: tuple[Handle, ...], barred: frozenset[str] = frozenset(), margin: float = 1e-9
) -> tuple[Turn, ...]:
    """Where each number turns the answer, all others as they are; those within their own range first.

    On either side the nearest step to the limit is closed in on by halving.
    """
    best = best_of(worths(n), barred, margin)
    out = []
    for handle in handles:
        for end in (handle.least, handle.most):
            found = _turn(handle, end, best, lambda m: best_of(worths(m), barred, margin))
            if found is not None:
                out.append(found)
    return tuple(sorted(out, key=lambda t: not t.within))


def _turn(handle: Handle, end: float, best: str, best_with: Callable[[WorthNumbers], str]) -> Turn | None:
    def choice(at: float) -> str:
        return best_with(handle.moved(at))

    if choice(handle.value) != best:
        return None
    last, steps = handle.value, _STEPS
    for k in range(1, steps + 1):
        at = handle.value + (end - handle.value) * k / steps
        if choice(at) != best:
            break
        last = at
    else:
        return None
    for _ in range(_HALVINGS):
        middle = 0.5 * (last + at)
        if choice(middle) == best:
            last = middle
        else:
            at = middle
    return Turn(handle.key, at, choice(at), handle.low <= at <= handle.high)


@dataclass(frozen=True)
class Ranges:
    """What is in doubt besides the qualities: Beta of take, spans of bearing years, of standing and of giving out."""

    take: tuple[float, float] | None
    bears: tuple[float, float]
    bears_new: tuple[float, float]
    stands: tuple[float, float]
    give_out: tuple[float, float]


def draws(n: WorthNumbers, ranges: Ranges, *, count: int = 1000, seed: int = 1) -> Floats:
    """Worth of every way in draws of all that is in doubt: shape (count, len(WAYS)).

    A way that decides later decides by what it will have learned, and bears what is so.
    """
    rng = np.random.default_rng(seed)
    took = rng.beta(*ranges.take, size=count) if ranges.take else np.full(count, n.take)
    spans = [rng.uniform(*s, size=count) for s in (ranges.bears, ranges.bears_new, ranges.stands, ranges.give_out)]
    qualities = [rng.choice(b.values, size=count, p=b.weights) for b in (n.now, n.rework, n.replace)]
    tasted = qualities[0] + (0.0 if _blind(n) else rng.normal(0.0, max(n.crop_spread, 1e-12), size=count))
    table = np.empty((count, len(WAYS)))
    for i in range(count):
        bears, bears_new, stands, give_out = (float(s[i]) for s in spans)
        one = replace(
            n, take=float(took[i]), bears=round(bears), bears_new=round(bears_new), stands=stands, give_out=give_out
        )  # fmt: skip
        table[i] = _drawn(n, one, tuple(float(q[i]) for q in qualities), float(tasted[i]))
    return table


def spread_of(table: Floats, best: str) -> dict[str, tuple[float, float, float]]:
    """(one in ten below, one in ten above, share of draws in which it brings more than the best way) of every way."""
    low, high = np.percentile(table, [10, 90], axis=0)
    more = (table > table[:, [WAYS.index(best)]] + 1e-6).mean(axis=0)
    return {code: (float(low[k]), float(high[k]), float(more[k])) for k, code in enumerate(WAYS)}


def _drawn(n: WorthNumbers, one: WorthNumbers, q: tuple[float, ...], tasted: float) -> list[float]:
    """Worths of one draw: `n` is what is believed, `one` what is so."""
    now, new, bought = q
    kept, worked, planted = keep(one, now), rework(one, new), replace_tree(one, bought)
    trial = trial_known(one, new, now, believed_now=n.now.mean)
    chosen = _after_crop(n, None if _blind(n) else tasted)
    later = _first_year(one, now) + _later(one, chosen, {"keep": now, "rework": new, "replace": bought}[chosen])
    return [kept, later, trial, worked, planted]


def _after_crop(n: WorthNumbers, tasted: float | None) -> str:
    """What is chosen after one more crop that tasted so; None if there is none to taste."""
    values, weights = n.now.values, n.now.weights
    mean = n.now.mean
    if tasted is not None:
        s = max(n.crop_spread, 1e-9)
        closest = min((tasted - v) ** 2 for v in values)
        like = [w * math.exp(-0.5 * ((tasted - v) ** 2 - closest) / s**2) for v, w in zip(values, weights, strict=True)]
        mean = sum(v * k for v, k in zip(values, like, strict=True)) / sum(like)
    found = {
        "keep": _later(n, "keep", mean),
        "rework": _later(n, "rework", n.rework.mean),
        "replace": _later(n, "replace", n.replace.mean),
    }
    return max(found, key=lambda code: found[code])
