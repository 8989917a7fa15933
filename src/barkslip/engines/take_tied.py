"""What goes with a group of grafts and with no other, so that it may be behind the difference.

Checked by tests/engines/test_take.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from barkslip.domain.take import UNKNOWN, Alone, TakeGraft

#: What may stand behind a difference, in the order in which it is named.
BEHIND = ("tree", "plot", "stock", "variety", "lot", "months", "season", "method", "cover", "side", "heat", "wood")
#: What a grouping settles by itself: a tree has one stock and one plot.
SETTLED = {
    "tree": ("plot", "stock"),
    "plot": ("tree", "stock"),
    "variety": ("lot",),
    "stock": ("tree",),
    "pair": ("tree", "stock", "variety", "lot"),
    "lot": ("variety",),
    "season": ("lot",),
    "months": ("lot",),
    "campaign": ("lot", "variety"),
}
#: A group that is spread over more of something does not hang on it.
MOST_NAMED = 3


def alone(groups: Mapping[str, Sequence[TakeGraft]], by: str) -> tuple[Alone, ...]:
    """What each group has and no other group."""
    if len(groups) < 2:
        return ()
    out = []
    for what in _behind(by):
        levels = {group: _levels(held, what) for group, held in groups.items()}
        for group, mine in levels.items():
            others = set().union(*(v for g, v in levels.items() if g != group))
            # spread over many of them, a group does not hang on one
            if mine and others and not mine & others and len(mine) <= MOST_NAMED:
                out.append(Alone(group, what, ", ".join(sorted(mine))))
    thick = {group: _span(held) for group, held in groups.items()}
    for group, span in thick.items():
        rest = [s for g, s in thick.items() if g != group and s]
        if span and rest and (span[0] > max(s[1] for s in rest) or span[1] < min(s[0] for s in rest)):
            out.append(Alone(group, "thickness", "thicker" if span[0] > max(s[1] for s in rest) else "thinner"))
    return tuple(sorted(out, key=lambda a: list(groups).index(a.group)))


def never_together(a: Sequence[TakeGraft], b: Sequence[TakeGraft], by: str) -> tuple[str, ...]:
    """What two groups have never shared."""
    out = []
    for what in _behind(by):
        mine, theirs = _levels(a, what), _levels(b, what)
        if mine and theirs and not mine & theirs and min(len(mine), len(theirs)) <= MOST_NAMED:
            out.append(what)
    x, y = _span(a), _span(b)
    if x and y and (x[0] > y[1] or x[1] < y[0]):
        out.append("thickness")
    return tuple(out)


def _behind(by: str) -> tuple[str, ...]:
    return tuple(what for what in BEHIND if what != by and what not in SETTLED.get(by, ()))


def _levels(held: Sequence[TakeGraft], what: str) -> set[str]:
    return {g.levels[what] for g in held if g.levels.get(what, UNKNOWN) != UNKNOWN}


def _span(held: Sequence[TakeGraft]) -> tuple[float, float] | None:
    known = [g.stock_mm for g in held if g.stock_mm is not None]
    return (min(known), max(known)) if len(known) > 1 else None
