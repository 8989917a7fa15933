"""The demo garden in one call."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from barkslip.demo.acts import write_acts
from barkslip.demo.days import write_days
from barkslip.demo.grafts import write_wood_and_grafts
from barkslip.demo.looks import write_looks
from barkslip.demo.pen import Pen
from barkslip.demo.place import Ground, write_place
from barkslip.demo.scenario import read_scenario
from barkslip.domain.entry import Entry
from barkslip.domain.weather import Series

#: The day on which the demo's clock stands, as a number.
DEMO_SEED = 20250630


@dataclass(frozen=True)
class DemoSeries:
    """A weather series of the demo and where it belongs.

    Parameters
    ----------
    plot : str
        Thing id of the plot.
    logger : str or None
        Thing id of the logger that read it; None for the made-up weather of a plot and for its forecast.
    series : Series
    """

    plot: str
    logger: str | None
    series: Series


@dataclass(frozen=True)
class DemoGarden:
    """Quarrow Flat, invented from end to end.

    Parameters
    ----------
    entries : tuple of Entry
        Each refers only to earlier ones.
    series : tuple of DemoSeries
    """

    entries: tuple[Entry, ...]
    series: tuple[DemoSeries, ...] = ()


def build(seed: int = DEMO_SEED) -> DemoGarden:
    """Make the demo garden. The same seed makes the same garden, to the last digit.

    Parameters
    ----------
    seed : int
        Seed of the identifiers, of small differences between grafts and of the weather between its fixed days.
    """
    book = read_scenario()
    ground = Ground(date.fromisoformat(book["first_day"]), date.fromisoformat(book["today"]))
    ids, lives, works, _sky = (np.random.default_rng(s) for s in np.random.SeedSequence(seed).spawn(4))
    pen = Pen(ids)
    write_place(pen, book, ground)
    grafts = write_wood_and_grafts(pen, book, ground, lives)
    looks = write_looks(pen, book, ground, grafts, lives)
    write_acts(pen, book, ground, grafts, looks, works)
    write_days(pen, book, ground)
    return DemoGarden(tuple(ground.entries))
