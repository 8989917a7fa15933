"""Looks at every graft of the demo: weekly at first, then ever rarer."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from barkslip.demo.pen import Pen
from barkslip.demo.place import Ground
from barkslip.demo.scenario import Table
from barkslip.domain.graft import Graft, Look, check_look_day, check_state
from barkslip.domain.when import on

#: Days after setting from which the next Sunday's walk-round looks at a graft [d].
ROUNDS_D = (6, 13, 20, 27, 34, 41, 47, 61, 75, 92, 120, 150, 185, 225, 275, 320, 367, 450, 560)
#: A young graft is also seen on the walk-round before today.
YOUNG_D = 300
#: A bud swells this long before its shoot shows [d].
SWELLING_D = 12
#: Share of full growing speed, January to December; the garden lies south of the equator.
GROWTH = (1.0, 1.0, 0.8, 0.5, 0.2, 0.0, 0.0, 0.2, 0.7, 1.0, 1.0, 1.0)
#: Growing days in which a shoot makes 63 % of its length [d].
SHOOT_D = 75.0
#: Months in which a shoot that has grown stands still.
REST = (6, 7, 8)


@dataclass(frozen=True)
class Sight:
    """What is seen at one graft on one day."""

    day: date
    state: str
    shoot_mm: float | None = None
    note: str = ""


def growing_days(start: date, end: date) -> float:
    """Days from `start` to `end`, each counted by its month's growing speed [d]."""
    return sum(GROWTH[(start + timedelta(days=n)).month - 1] for n in range((end - start).days))


def shoot_mm(push: date, day: date, full_mm: float) -> float:
    """Length of a shoot [mm] that shows on `push` and could reach `full_mm`, to the next 5 mm."""
    return max(5.0, 5.0 * round(full_mm * (1.0 - math.exp(-growing_days(push, day) / SHOOT_D)) / 5.0))


def round_days(set_on: date, today: date) -> list[date]:
    """Sundays on which a graft is looked at."""
    days = [set_on + timedelta(days=n) for n in ROUNDS_D]
    if (today - set_on).days < YOUNG_D:
        days.append(today - timedelta(days=10))
    sundays = {day + timedelta(days=(6 - day.weekday()) % 7) for day in days}
    return sorted(day for day in sundays if day <= today)


def write_looks(
    pen: Pen, book: Table, ground: Ground, grafts: dict[str, Graft], rng: np.random.Generator
) -> dict[str, list[Look]]:
    """Append the looks of all grafts, then the slips and what put them right.

    Returns
    -------
    dict
        Code of a graft -> its looks as first written, oldest first.
    """
    out: dict[str, list[Look]] = {}
    slips = {(slip["graft"], slip.get("look")): slip for slip in book["slip"]}
    for row in book["campaign"]:
        for n in range(1, row["n"] + 1):
            graft = grafts[f"{row['code']}-{n}"]
            vigour = float(rng.uniform(0.85, 1.12))
            written = out.setdefault(graft.code, [])
            for i, sight in enumerate(sights(row, n, graft, ground.today, vigour), start=1):
                look = _write(pen, graft, sight, slips.get((graft.code, i)), ground)
                written.append(look)
    for slip in book["slip"]:
        if slip["kind"] == "wrong graft":
            _wrong_graft(pen, grafts[slip["graft"]], slip, ground)
    return out


def _write(pen: Pen, graft: Graft, sight: Sight, slip: Table | None, ground: Ground) -> Look:
    check_look_day(on(sight.day), graft.set_on)
    length = sight.shoot_mm
    typed = length / 10.0 if slip and length else length
    look = pen.first(
        Look,
        sight.day,
        graft=graft.thing,
        state=check_state(sight.state),
        on=on(sight.day),
        shoot_mm=typed,
        note=sight.note,
    )
    ground.add(look)
    if slip:
        look = pen.correct(look, sight.day + timedelta(days=1), shoot_mm=length, note=slip["note"])
        ground.add(look)
    return look


def _wrong_graft(pen: Pen, graft: Graft, slip: Table, ground: Ground) -> None:
    day = date.fromisoformat(slip["on"])
    look = pen.first(Look, day, graft=graft.thing, state=slip["state"], on=on(day))
    ground.add(look)
    ground.add(pen.correct(look, day + timedelta(days=1), withdrawn=True, note=slip["note"]))


def sights(row: Table, n: int, graft: Graft, today: date, vigour: float) -> Iterator[Sight]:
    """What is seen at graft `n` of a campaign, oldest first."""
    lost = next((k for k in row.get("lost", []) if k["graft"] == n), None)
    end = date.fromisoformat(lost["on"]) if lost else today
    stall = next((date.fromisoformat(k["from"]) for k in row.get("stalled", []) if k["graft"] == n), None)
    push = date.fromisoformat(row["push"])
    full = row["full_mm"] * vigour
    if lost and "shoot_mm" in lost:
        full *= lost["shoot_mm"] / shoot_mm(push, end, full)
    told = [
        Sight(date.fromisoformat(k["on"]), k["state"], k.get("shoot_mm"), k.get("note", ""))
        for k in row.get("look", [])
    ]
    quiet = [date.fromisoformat(day) for day in row.get("silent", [])]
    seen = [
        _sight(day, push, full, stall, graft)
        for day in round_days(graft.set_on.first, today)
        if (not lost or day < end) and not (quiet and quiet[0] <= day <= quiet[1])
    ]
    days_told = {sight.day for sight in told}
    seen = sorted([s for s in seen if s.day not in days_told] + told, key=lambda s: s.day)
    yield from seen
    if lost:
        yield Sight(end, lost["state"], lost.get("shoot_mm"), lost["note"])
        again = end + timedelta(days=21)
        if again <= today:
            yield Sight(again, lost["state"], None, "The same.")


def _sight(day: date, push: date, full_mm: float, stall: date | None, graft: Graft) -> Sight:
    if stall and day >= stall:
        return Sight(day, "stalled", shoot_mm(push, stall, full_mm))
    if day >= push:
        length = shoot_mm(push, day, full_mm)
        resting = day.month in REST and (day - push).days > 60
        return Sight(day, "green and still" if resting else "pushing", length)
    if (push - day).days <= SWELLING_D:
        return Sight(day, "swelling")
    return Sight(day, "green and still")
