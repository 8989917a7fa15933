"""Power of trials in words and as data: what a number of grafts can see, before they are set."""

from __future__ import annotations

from typing import Any

from barkslip.domain.power import MeasuredPower, StopRule, TakePower
from barkslip.present import counts
from barkslip.present import units as u
from barkslip.present.trial import in_ten

_DIGITS = 4


def headline(p: TakePower | MeasuredPower) -> str:
    """The answer at the head of a page."""
    if isinstance(p, MeasuredPower):
        unit = "pair" if p.paired else "unit"
        tail = "" if p.paired else " in each arm"
        return f"{counts.many(p.needed, unit)}{tail} {'is' if p.needed == 1 else 'are'} needed."
    if p.fisher is None:
        return f"More than a garden sets are needed: about {p.fleiss} in each arm."
    if p.per_tree > 1:
        return f"{p.with_trees} in each arm are needed, because whole trees stand in one arm."
    return f"{p.fisher} in each arm are needed."


def text(p: TakePower | MeasuredPower) -> str:
    """What is asked and by which lines."""
    if isinstance(p, MeasuredPower):
        spread = "differences within a pair" if p.paired else "units of one arm"
        return (
            f"To see a difference of {p.difference:g} where {spread} spread by {p.sd:g}, with a chance of "
            f"{u.percent(p.wanted)}; false alarm {u.percent(p.alpha)}, by a two-sided t."
        )
    return (
        f"To tell a take of {u.percent(p.a)} from one of {u.percent(p.b)} with a chance of {u.percent(p.wanted)}; "
        f"false alarm {u.percent(p.alpha)}, by Fisher's exact test."
    )


def own_text(p: TakePower | MeasuredPower) -> str:
    """What the number asked about sees; "" if none was."""
    if p.own_n is None or p.own_power is None:
        return ""
    see = f"{p.own_n} against {p.own_n}" if not (isinstance(p, MeasuredPower) and p.paired) else f"{p.own_n} pairs"
    if p.own_power >= p.wanted:
        return f"{see} are enough: they see it {in_ten(p.own_power)}."
    return f"{see} cannot decide: they see it {in_ten(p.own_power)}."


def rows(p: TakePower | MeasuredPower) -> tuple[tuple[str, str], ...]:
    """(number, chance) of sizes that are always told, and of the one asked about."""
    sizes = dict(p.at)
    if p.own_n is not None and p.own_power is not None and not (isinstance(p, TakePower) and p.per_tree > 1):
        sizes[p.own_n] = p.own_power
    each = "pairs" if isinstance(p, MeasuredPower) and p.paired else "each"
    return tuple((f"{n} {each}", u.percent(chance)) for n, chance in sorted(sizes.items()))


def ways(p: TakePower) -> tuple[tuple[str, str], ...]:
    """The three ways of counting, and what whole trees cost."""
    out = [
        ("Fisher, counted exactly", "more than a garden sets" if p.fisher is None else str(p.fisher)),
        ("usual approximation", u.number(p.normal, 1)),
        ("with the correction for counts", str(p.fleiss)),
    ]
    if p.per_tree > 1:
        grown = "" if p.with_trees is None else f": {p.with_trees}"
        out.append((f"{p.per_tree} on a tree, all in one arm, likeness {p.icc:g}", f"× {p.inflation:.2f}{grown}"))
    return tuple(out)


def stop_text(rule: StopRule) -> str:
    """The rule for stopping early, in words to be written into a plan."""
    step = rule.looks[0]
    words = (
        f"Look after every {step} in each arm, at most {rule.looks[-1]}. Stop as soon as the chance that one way is "
        f"better reaches {100 * rule.bound:.1f} in 100. Over all {counts.many(len(rule.looks), 'look')} that stops on "
        f"equal ways {100 * rule.error:.1f} times in 100 at most (exact count)."
    )
    if rule.power is not None and rule.mean_n is not None:
        words += f" With these takes it ends for the better way {in_ten(rule.power)}, after {rule.mean_n:.0f} in each "
        words += "arm on average."
    return words


ADVICE = (
    "Draw the ways by lot inside each tree: what a tree adds falls out of the comparison.",
    "Whole trees in one arm count as little more than one graft each.",
    "All against none tells earliest: 4 of 4 against 0 of 4 (p 0.03), never 3 against 0 of 3 (p 0.10).",
)


def data(p: TakePower | MeasuredPower) -> dict[str, Any]:
    """The whole answer as plain data."""
    own = {"own_n": p.own_n, "own_power": _round(p.own_power)}
    at = [{"n": n, "power": _round(chance)} for n, chance in p.at]
    common = {"alpha": p.alpha, "power_wanted": p.wanted, "power_at": at, **own}
    words = {"words": headline(p).replace(u.NBSP, " ")}
    if isinstance(p, MeasuredPower):
        return {**words, "difference": p.difference, "sd": p.sd, "paired": p.paired, "needed": p.needed, **common}
    return {
        **words,
        "a": p.a,
        "b": p.b,
        "per_arm_fisher": p.fisher,
        "per_arm_normal": round(p.normal, 2),
        "per_arm_fleiss": p.fleiss,
        **common,
        "per_tree": p.per_tree,
        "icc": p.icc,
        "inflation": _round(p.inflation),
        "per_arm_with_trees": p.with_trees,
        "stop_early": None if p.stop is None else stop_data(p.stop),
    }


def stop_data(rule: StopRule) -> dict[str, Any]:
    """A stopping rule as plain data."""
    return {
        "looks": list(rule.looks),
        "bound": rule.bound,
        "error": _round(rule.error),
        "error_at": rule.error_at,
        "power": _round(rule.power),
        "mean_n": None if rule.mean_n is None else round(rule.mean_n, 1),
    }


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, _DIGITS)
