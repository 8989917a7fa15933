"""The demo garden in one call."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from barkslip.demo.acts import write_acts
from barkslip.demo.clean import write_clean
from barkslip.demo.days import write_days, write_readings
from barkslip.demo.grafts import write_wood_and_grafts
from barkslip.demo.loggers import logger_readings
from barkslip.demo.looks import write_looks
from barkslip.demo.pen import Pen
from barkslip.demo.place import Ground, write_place
from barkslip.demo.readings import TrialReading, trial_readings
from barkslip.demo.scenario import Table, read_scenario
from barkslip.demo.weather import Sky, make_sky, plot_series
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
        Plots first, then their forecasts, then loggers.
    readings : tuple of TrialReading
        Single readings of the cover trials E1, E2 and E5.
    """

    entries: tuple[Entry, ...]
    series: tuple[DemoSeries, ...]
    readings: tuple[TrialReading, ...]


def build(seed: int = DEMO_SEED) -> DemoGarden:
    """Make the demo garden. The same seed makes the same garden, to the last digit.

    Parameters
    ----------
    seed : int
        Seed of the identifiers, of small differences between grafts and of the weather between its fixed days.
    """
    book = read_scenario()
    ground = Ground(date.fromisoformat(book["first_day"]), date.fromisoformat(book["today"]))
    seeds = np.random.SeedSequence(seed).spawn(5)
    ids, lives, works, airs, reads = (np.random.default_rng(s) for s in seeds)
    pen = Pen(ids)
    write_place(pen, book, ground)
    grafts = write_wood_and_grafts(pen, book, ground, lives)
    looks = write_looks(pen, book, ground, grafts, lives)
    write_acts(pen, book, ground, grafts, looks, works)
    write_days(pen, book, ground)
    sky = make_sky(book, airs)
    readings = trial_readings(book, sky.days, ground.thing, reads)
    write_readings(pen, readings, ground)
    write_clean(pen, book, ground)
    return DemoGarden(tuple(ground.entries), _series(book, sky, ground, reads), readings)


def _series(book: Table, sky: Sky, ground: Ground, rng: np.random.Generator) -> tuple[DemoSeries, ...]:
    pairs = {plot["code"]: plot_series(book, sky, plot) for plot in book["plot"]}
    years = {code: pair[0] for code, pair in pairs.items()}
    out = [DemoSeries(ground.thing[code], None, series) for code, series in years.items()]
    out += [DemoSeries(ground.thing[code], None, pair[1]) for code, pair in pairs.items()]
    for one in logger_readings(book, years, rng):
        out.append(DemoSeries(ground.thing[one.plot], ground.thing[f"logger {one.logger}"], one.series))
    return tuple(out)
