"""Events, finds, trials, tastings, canopy shares and places of loggers of the demo."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from barkslip.demo.pen import Pen
from barkslip.demo.place import Ground
from barkslip.demo.readings import TrialReading as Read
from barkslip.demo.scenario import Table, when
from barkslip.domain.act import EVENTS, Event
from barkslip.domain.budwood import LotFind
from barkslip.domain.tasting import Tasting
from barkslip.domain.trial import CanopyShare, Placement, Trial, TrialReading

#: Season "2021/22" is written up on 30 June of its second year.
SEASON_END = (6, 30)
#: Trials whose readings are gains of covered over bare at the night's low.
NIGHT_TRIALS = ("E2", "E5")


def write_days(pen: Pen, book: Table, ground: Ground) -> None:
    """Append events, finds about lots, trials, tastings, where loggers sat and canopy shares."""
    for row in sorted(book["event"], key=lambda r: when(r["on"], ground.today)):
        _write_event(pen, row, ground)
    for lot in book["lot"]:
        if "found" in lot:
            _write_find(pen, lot, ground)
    for row in book["trial"]:
        day = date(int(row["season"][:4]) + 1, *SEASON_END)
        ground.add(pen.first(Trial, min(day, ground.today), **row), row["code"])
    for row in sorted(book["tasting"], key=lambda r: str(r["on"])):
        given = {k: v for k, v in row.items() if k not in ("on", "tree")}
        day_on = when(row["on"], ground.today)
        ground.add(pen.first(Tasting, day_on.first, on=day_on, tree=ground.thing[row["tree"]], **given))
    for row in book["placement"]:
        _write_placement(pen, row, ground)
    for row in book["canopy"]:
        day_on = when(row["on"], ground.today)
        for label, share in row["shares"].items():
            limb = ground.thing[f"{row['tree']}/{label}"]
            given = {"tree": ground.thing[row["tree"]], "limb": limb, "name": label, "share": share}
            ground.add(pen.first(CanopyShare, day_on.last, on=day_on, **given))


def write_readings(pen: Pen, readings: Sequence[Read], ground: Ground) -> None:
    """Append the single readings of the cover trials, each written down on its day."""
    for one in readings:
        day = date.fromisoformat(one.day)
        of = "gain_k" if one.trial in NIGHT_TRIALS else "excess_k"
        line = pen.first(
            TrialReading, day, trial=ground.thing[one.trial], unit=one.unit, arm=one.arm, block=one.block,
            on=when(one.day, ground.today), value=one.excess_k, of=of,
            logger=ground.thing[f"logger {one.logger}"] if one.logger else None,
        )  # fmt: skip
        ground.add(line)


def _write_event(pen: Pen, row: Table, ground: Ground) -> None:
    if row["kind"] not in EVENTS:
        raise ValueError(f"no such kind of event: {row['kind']}")
    day = when(row["on"], ground.today)
    event = pen.first(
        Event,
        min(day.last, ground.today),
        kind=row["kind"],
        on=day,
        text=row["text"],
        plots=tuple(ground.thing[plot] for plot in row.get("plots", [])),
        tree=ground.thing[row["tree"]] if "tree" in row else None,
        figures=dict(row.get("figures", {})),
    )
    ground.add(event)


def _write_find(pen: Pen, lot: Table, ground: Ground) -> None:
    found = lot["found"]
    day = when(found["on"], ground.today)
    ground.add(
        pen.first(
            LotFind,
            min(day.last, ground.today),
            lot=ground.thing[lot["code"]],
            found=found["name"],
            how=found["how"],
            on=day,
        )
    )


def _write_placement(pen: Pen, row: Table, ground: Ground) -> None:
    since, until = (when(row[name], ground.today) for name in ("since", "until"))
    given = row | {"since": since, "until": until, "logger": ground.thing[f"logger {row['logger']}"]}
    ground.add(pen.first(Placement, until.last, **given | {"tree": ground.thing[row["tree"]]}))
