"""Looks at one graft as a life: how long it is known to have stood, how it ended, when it pushed.

Checked by tests/engines/test_take_life.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from barkslip.domain.graft import ALIVE, LOST
from barkslip.domain.take import OTHER_STATES, Life

#: First and last day that a look can have been on, and the state seen.
Seen = tuple[date, date, str]


def life(seen: Sequence[Seen], set_day: date) -> Life:
    """The life of a graft by its looks.

    A loss stands only if no later look saw it alive. It is put halfway between the last look that saw the graft alive,
    or its setting, and the first that saw it lost; so is the day on which a shoot grew.

    Parameters
    ----------
    seen : sequence of (first, last, state)
        Oldest first; looks that could not tell may be among them.
    set_day : date
    """
    looks = [(max(_days(set_day, first, last), 0.0), state) for first, last, state in seen if state in ALIVE + LOST]
    if not looks:
        return Life(0.0)
    alive = max((i for i, (_, state) in enumerate(looks) if state in ALIVE), default=-1)
    last_alive = looks[alive][0] if alive >= 0 else 0.0
    push = _push(looks[: alive + 1])
    if alive == len(looks) - 1:
        return Life(last_alive, "", push)
    days, state = looks[alive + 1]
    return Life((last_alive + days) / 2.0, "other" if state in OTHER_STATES else "failed", push)


def _push(looks: Sequence[tuple[float, str]]) -> float | None:
    before = 0.0
    for days, state in looks:
        if state in ("pushing", "stalled"):
            return (before + days) / 2.0
        before = days
    return None


def _days(set_day: date, first: date, last: date) -> float:
    return (first - set_day).days + (last - first).days / 2.0
