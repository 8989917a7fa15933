"""After a freeze, in words: what was likely hurt, and what not to do yet."""

from __future__ import annotations

from datetime import date

from barkslip.domain.night import AfterFreeze, TreeAfter
from barkslip.domain.sourced import Value
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates
from barkslip.present import units as u
from barkslip.present.night import chance_words, organ_words, spread_text

#: Code of a wait -> (what to do or to leave, why). From the trade's common practice.
WAITS: dict[str, tuple[str, str]] = {
    "no_cut": (
        "Do not prune and do not dig out",
        "wood that looks dead may still push; what is dead shows once new growth has hardened",
    ),
    "scratch": (
        "Scratch the bark with a thumbnail",
        "green under it is alive, brown and dry is dead; begin at the tips and go down to the union",
    ),
    "scratch_again": ("Scratch again", "cells that froze can look green for weeks; a first look may deceive"),
    "whiten": (
        "Whiten bark that has lost its leaves",
        "bark that was shaded burns in the sun; thinned white water paint or lime wash",
    ),
    "no_feed": ("Do not feed and do not force with water", "roots outlast the leaves that used what they bring"),
    "fruit": ("Cut open a few fruits", "frozen fruit dries out inside; use it soon, and judge no variety by it"),
    "union": (
        "Look where new shoots start",
        "shoots from below the lowest graft union are the rootstock, not your variety",
    ),
    "unwrap": ("Take wraps and banks away", "wet under them rots bark, and insects gather"),
}  # fmt: skip
#: A chance below which a part is not named as hurt.
NAMED_FROM = 0.05


def headline(after: AfterFreeze) -> str:
    """ "3 of 12 trees were likely hurt."; the answer at the head of the page."""
    if not after.trees:
        return "No tree of the book can be judged."
    hurt = sum(1 for t in after.trees if _worst(t) >= 0.5)
    doubtful = sum(1 for t in after.trees if 0.1 <= _worst(t) < 0.5)
    of = len(after.trees)
    if hurt:
        first = f"{hurt} of {counts.many(of, 'tree')} {'was' if hurt == 1 else 'were'} likely hurt"
        return f"{first}, {doubtful} perhaps." if doubtful else f"{first}."
    if doubtful:
        return f"No tree was likely hurt; {doubtful} of {counts.many(of, 'tree')} perhaps."
    return "Little harm is likely."


def _worst(tree: TreeAfter) -> float:
    return max((chance for _, chance in tree.organs), default=0.0)


def low_text(after: AfterFreeze, units: UnitChoice = METRIC) -> str:
    """The low and where it comes from."""
    if after.low_c is None:
        return "The low of that night is not known. Type it, or bring in a logger's file, and ask again."
    same = after.low_c.p10 == after.low_c.p90
    words = u.temperature(after.low_c.p50, units) if same else spread_text(after.low_c, units)
    return f"Low of the air {words}; {after.source_words.rstrip('.')}."


def tree_text(tree: TreeAfter) -> str:
    """ "outer leaves 8 in 10, twigs 4 in 10"; what is hardly likely is left out."""
    named = [f"{organ_words(organ)} {chance_words(chance)}" for organ, chance in tree.organs if chance >= NAMED_FROM]
    return ", ".join(named) or "little harm likely"


def wait_head(code: str) -> str:
    """What to do, or to leave."""
    return WAITS[code][0] if code in WAITS else counts.opening(code.replace("_", " "))


def wait_why(code: str) -> str:
    """Why."""
    return WAITS[code][1] if code in WAITS else ""


def wait_when(first: str, last: str) -> str:
    """ "from 3 Oct to 1 Nov 2024", "until 1 Nov 2024", "from 3 Oct 2024"."""
    if first and last:
        span = dates.range_text(date.fromisoformat(first), date.fromisoformat(last))
        return f"on {span}" if first == last else span
    if last:
        return f"until {dates.day_text(last)}"
    return f"from {dates.day_text(first)} on" if first else "until new growth shows"


def wait_known(value: Value, units: UnitChoice = METRIC) -> str:
    """How the time is known: "60 days (45 to 90), common practice"."""
    return f"{u.value_text(value, units)}, {value.status}"
