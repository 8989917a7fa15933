"""Readings of the demo's cover trials: what was written down, errors and all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from barkslip.demo.daily import Days
from barkslip.demo.scenario import Table

#: A day is clear below this cloud, a night still above this share [1].
CLEAR_CLOUD, STILL_NIGHT = 0.45, 0.9
#: Winter of the night trial.
NIGHTS = ("2022-06-05", "2022-08-31")
#: Spread of single readings beside that of nights [K].
SINGLE_K = 0.15
#: Trees that carried the scions of the day trial, and the sides of a limb they hung on.
DAY_TREES, SIDES = ("T01", "T02"), ("N", "E", "S", "W")


@dataclass(frozen=True)
class TrialReading:
    """One reading of a cover trial.

    Parameters
    ----------
    trial : str
        Code of the trial ("E1").
    day : str
        ISO day; for a night, the day of its dawn.
    unit : str
        What was measured ("E1-07" is a wrapped scion; "T03" a tree).
    tree : str
        Thing id.
    arm : str
        Cover.
    logger : str
        Code of the logger, "" if it was none of the five.
    excess_k : float
        E1: scion over shielded air, 13 to 15 h; E2 and E5: covered over bare at the night's low [K]. As read.
    block : str
        Within what the arms are compared: tree and side of E1, night of E2.
    """

    trial: str
    day: str
    unit: str
    tree: str
    arm: str
    logger: str
    excess_k: float
    block: str = ""


def trial_readings(
    book: Table, days: Days, thing: dict[str, str], rng: np.random.Generator
) -> tuple[TrialReading, ...]:
    """All readings of E1, E2 and E5, by trial and day.

    Parameters
    ----------
    book : table
        The scenario.
    days : Days
        For which days were clear and which nights still.
    thing : dict
        Tree code -> thing id.
    rng : numpy.random.Generator
    """
    truth = book["trial_truth"]
    last = truth["E5"]
    tree = last["tree"]
    windy = TrialReading("E5", last["night"], tree, thing[tree], last["arm"], "", last["gain_k"])
    return (*_day_trial(truth["E1"], days, thing, rng), *_night_trial(truth["E2"], days, thing, rng), windy)


def _day_trial(truth: Table, days: Days, thing: dict[str, str], rng: np.random.Generator) -> list[TrialReading]:
    arms, per_arm, biased = truth["arms"], truth["per_arm"], truth["biased"]
    slots = [(tree, side) for tree in DAY_TREES for side in SIDES for _ in range(len(arms) * per_arm // 8)]
    drawn = _draw(list(arms), slots, rng)
    own = {arm: truth["sd_unit_k"] * rng.standard_normal(per_arm) for arm in arms}
    own = {arm: values - values.mean() for arm, values in own.items()}
    first = date.fromisoformat(truth["first_day"])
    dates = [first + timedelta(days=n) for n in range(truth["days"])]
    clear = [d for d in dates if days.cloud[days.index(d)] < CLEAR_CLOUD]
    of_day = truth["sd_day_k"] * rng.standard_normal(len(clear))
    out = []
    for n, day in enumerate(clear):
        seen = dict.fromkeys(arms, 0)
        for unit, ((tree, side), arm) in enumerate(zip(slots, drawn, strict=True), start=1):
            excess = arms[arm] + own[arm][seen[arm]] + of_day[n] + SINGLE_K * rng.standard_normal()
            seen[arm] += 1
            with_bias = arm == biased["arm"] and (day - first).days < biased["first_days"]
            logger = biased["logger"] if with_bias else ""
            read = round(float(excess + (biased["bias_k"] if with_bias else 0.0)), 1)
            out.append(
                TrialReading("E1", day.isoformat(), f"E1-{unit:02d}", thing[tree], arm, logger, read, f"{tree} {side}")
            )
    return out


def _draw(arms: list[str], slots: list[tuple[str, str]], rng: np.random.Generator) -> list[str]:
    """A cover for each slot, by lot: all four on the two slots of a side on both trees."""
    out = [""] * len(slots)
    for side in SIDES:
        places = [i for i, slot in enumerate(slots) if slot[1] == side]
        for i, k in zip(places, rng.permutation(len(arms)), strict=True):
            out[i] = arms[int(k)]
    return out


def _night_trial(truth: Table, days: Days, thing: dict[str, str], rng: np.random.Generator) -> list[TrialReading]:
    arms, trees = list(truth["arms"]), truth["trees"]
    start, end = (days.index(day) for day in NIGHTS)
    still = [i for i in range(start, end + 1) if days.still[i] > STILL_NIGHT]
    picked = sorted(rng.choice(still, size=truth["nights"], replace=False))
    of_night = truth["sd_night_k"] * rng.standard_normal(len(picked))
    of_night = of_night - of_night.mean()
    out = []
    for n, i in enumerate(picked):
        for k, tree in enumerate(trees):
            arm = arms[(k + n) % len(arms)]
            gain = round(float(truth["arms"][arm] + of_night[n] + SINGLE_K * rng.standard_normal()), 1)
            night = days.dates[int(i)].isoformat()
            out.append(TrialReading("E2", night, tree, thing[tree], arm, "", gain, night))
    return out
