"""From when the bark of citrus is worth testing: a heat sum, good to two weeks either way. The test decides."""

from __future__ import annotations

import numpy as np

from barkslip.domain.method import Method
from barkslip.domain.timing import GraftPlan, HealingCurve
from barkslip.engines.frost_draws import Array, Known, middle
from barkslip.engines.sun_hours import SunHours

DAY_H = 24


def needs_bark(method: Method | None) -> bool:
    """Whether the bark of the stock must lift for it."""
    return method is not None and method.bark_must_lift == "yes"


def daily_means(air_c: Array) -> Array:
    """Means of whole days [°C], float64[days]; hours past the last whole day are left out."""
    days = air_c.size // DAY_H
    return np.asarray(air_c[: days * DAY_H].reshape(days, DAY_H).mean(axis=1))


def lifting_days(means_c: Array, known: Known) -> Array:
    """Whether the rule holds on each day, from the days before it, bool[days].

    Heat above `healing.citrus.bark_slip_base` summed over `timing.bark.back_days`, and the mean of the last
    `timing.bark.mean_days`.
    """
    base, need = middle(known("healing.citrus.bark_slip_base")), middle(known("healing.citrus.bark_slip_sum"))
    warm = middle(known("healing.citrus.bark_slip_week_mean"))
    back, week = (int(middle(known(f"timing.bark.{name}"))) for name in ("back_days", "mean_days"))
    out = np.zeros(means_c.size, dtype=bool)
    for d in range(back, means_c.size):
        heat = np.maximum(means_c[d - back : d] - base, 0.0).sum()
        out[d] = heat >= need and means_c[d - week : d].mean() >= warm
    return out


def worth_testing_from(
    curve: HealingCurve, before: SunHours | None, ahead_c: Array, days: int, known: Known
) -> int | None:
    """Day from which a test of the bark is worth while, counted from the first; None if not in the days looked at, or
    if the rule cannot speak.

    Parameters
    ----------
    curve : HealingCurve
        The rule is for citrus.
    before : SunHours or None
        Hours up to the first day; three weeks are needed.
    ahead_c : float64[n]
        Air of the hours from the first day's midnight on [°C].
    days : int
        Days looked at.
    """
    back = int(middle(known("timing.bark.back_days")))
    if curve.species != "citrus" or before is None or len(before) < back * DAY_H:
        return None
    means = np.concatenate((daily_means(before.air_c[-back * DAY_H :]), daily_means(ahead_c)))
    lifting = np.flatnonzero(lifting_days(means, known)[back:])
    if not lifting.size:
        return None
    first = max(0, int(lifting[0]) - int(middle(known("healing.citrus.bark_slip_spread"))))
    return first if first < days else None


def speaks(curve: HealingCurve, before: SunHours | None, known: Known) -> bool:
    """Whether the rule can be asked at all."""
    back = int(middle(known("timing.bark.back_days")))
    return curve.species == "citrus" and before is not None and len(before) >= back * DAY_H


def bark_word(plan: GraftPlan, method: Method | None) -> str:
    """What speaks for the bark: "no need", "test" or "rule"."""
    if method is not None and method.bark_must_lift == "no":
        return "no need"
    return "test" if plan.bark else "rule"
