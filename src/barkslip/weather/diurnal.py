"""Curves that turn a low and a high into the hours of a day.

By day a sine from the low, by night a fall towards the next low. The equations are numbered as in docs/weather.md;
there also how far each curve is from a real hourly year.
Checked by tests/weather/test_diurnal.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barkslip.domain.errors import InputError
from barkslip.weather.sun import Floats, SunTimes

#: Days and nights are taken as at least this long [h]; nearer the poles no curve was made for them (assumption).
SHORTEST_H = 2.0


@dataclass(frozen=True)
class Curve:
    """One published curve with its coefficients.

    Parameters
    ----------
    name : str
    low_after_rise_h : float
        Time of the low after sunrise [h]; c in equation 1.
    sine_extra_h : float
        The half period of the sine is the length of the day plus this [h]; 2a in equation 2.
    night : {"exponential", "logarithm"}
    decay : float
        b of equation 3 [1], or 0 if `time_constant_h` is given.
    time_constant_h : float
        Of the fall at night [h], or 0.
    closed : bool
        The fall ends exactly at the next low (equation 4) instead of a little above it.
    source, status : str
        Where the form and the coefficients were seen, and what they are.
    """

    name: str
    low_after_rise_h: float
    sine_extra_h: float
    night: str
    decay: float
    time_constant_h: float
    closed: bool
    source: str
    status: str


CURVES: dict[str, Curve] = {
    curve.name: curve
    for curve in (
        Curve(
            "parton-logan", -0.17, 2 * 1.86, "exponential", 2.20, 0.0, False,
            "Parton, W.J. and Logan, J.A. (1981), A model for diurnal variation in soil and air temperature, Agric. "
            "Meteorol. 23, 205-216: abstract seen; equations and table 1 (air at 150 cm, shortgrass prairie) quoted "
            "elsewhere, twice and alike",
            "published",
        ),
        Curve(
            "wann", 1.55, 2 * (2.59 - 1.55), "exponential", 2.20, 0.0, False,
            "Wann, M., Yen, D. and Gold, H.J. (1985), Evaluation and calibration of three models for daily cycle of "
            "air temperature, Agric. For. Meteorol. 34, 121-128: mean of five sites in North Carolina, quoted "
            "elsewhere",
            "published",
        ),
        Curve(
            "goudriaan-van-laar", 0.0, 2 * 1.5, "exponential", 0.0, 4.0, True,
            "Goudriaan, J. and van Laar, H.H. (1994), Modelling potential crop growth processes: form and "
            "coefficients quoted elsewhere",
            "published",
        ),
        Curve(
            "linvill", 0.0, 4.0, "logarithm", 0.0, 0.0, True,
            "Linvill, D.E. (1990), Calculating chilling hours and chill units from daily maximum and minimum "
            "temperature observations, HortScience 25, 14-16: quoted elsewhere; the first hour of the night is held "
            "at the sunset value (assumption)",
            "published",
        ),
    )
}  # fmt: skip


def curve_named(name: str) -> Curve:
    """The curve called `name`.

    Raises
    ------
    InputError
    """
    try:
        return CURVES[name]
    except KeyError:
        raise InputError(
            "No such curve for the hours of a day.",
            given=name,
            allowed=", ".join(CURVES),
            next_step="Choose one of these.",
            field="curve",
        ) from None


def sunset_temp_c(low_c: Floats, high_c: Floats, sun: SunTimes, curve: Curve) -> Floats:
    """Temperature at sunset [°C]: equation 2 at the time of sunset; arrays of shape (days,)."""
    length = np.clip(sun.length_h, SHORTEST_H, 24.0 - SHORTEST_H)
    m = length - curve.low_after_rise_h
    return low_c + (high_c - low_c) * np.sin(np.pi * m / (length + curve.sine_extra_h))


def day_temp_c(m_h: Floats, length_h: Floats, low_c: Floats, high_c: Floats, curve: Curve) -> Floats:
    """Equation 2: `m_h` hours after the low, on a day `length_h` long [°C]."""
    return low_c + (high_c - low_c) * np.sin(np.pi * m_h / (length_h + curve.sine_extra_h))


def night_temp_c(n_h: Floats, night_h: Floats, sunset_c: Floats, low_c: Floats, curve: Curve) -> Floats:
    """Equations 3, 4 or 5: `n_h` hours after sunset, in a night of `night_h` from sunset to the next low [°C]."""
    if curve.night == "logarithm":
        fallen = np.log(np.maximum(n_h, 1.0)) / np.log(night_h)
        return sunset_c - (sunset_c - low_c) * np.minimum(fallen, 1.0)
    rate = curve.decay / night_h if curve.decay else np.full_like(night_h, 1.0 / curve.time_constant_h)
    left = np.exp(-rate * n_h)
    if curve.closed:
        end = np.exp(-rate * night_h)
        left = (left - end) / (1.0 - end)
    return low_c + (sunset_c - low_c) * left


def hours_of_days(
    hour: Floats,
    day: np.ndarray,
    low_c: Floats,
    high_c: Floats,
    joined: np.ndarray,
    sun: SunTimes,
    curve: Curve,
) -> Floats:
    """Temperature at times within some days.

    Parameters
    ----------
    hour : float64 array, shape (n,)
        Local standard time [h from midnight].
    day : int array, shape (n,)
        Index of the day of each time.
    low_c, high_c : float64 array, shape (days,)
        Low of the morning and high of the afternoon [°C].
    joined : bool array, shape (days,)
        True if the day before is the previous day of the calendar. Else the day is its own neighbour.
    sun : SunTimes
        Of the days.
    curve : Curve

    Returns
    -------
    float64 array, shape (n,)
        [°C]
    """
    count = low_c.shape[0]
    index = np.arange(count)
    before = np.where(joined & (index > 0), index - 1, index)
    after = np.where(np.append(joined[1:], False), np.minimum(index + 1, count - 1), index)
    length = np.clip(sun.length_h, SHORTEST_H, 24.0 - SHORTEST_H)
    middle = 0.5 * (sun.rise_h + sun.set_h)
    rise, end = middle - 0.5 * length, middle + 0.5 * length
    low_at = rise + curve.low_after_rise_h
    sunset_c = sunset_temp_c(low_c, high_c, sun, curve)
    # Parton and Logan divide by the length of the night; with their c of -0.17 h it ends 10 minutes before that.
    reach = 0.0 if curve.name == "parton-logan" else curve.low_after_rise_h
    t_low, t_end = low_at[day], end[day]
    yesterday, tomorrow = before[day], after[day]
    night_before = (rise[day] + reach) - (end[yesterday] - 24.0)
    night_after = (rise[tomorrow] + reach) + 24.0 - t_end
    early = night_temp_c(hour - (end[yesterday] - 24.0), night_before, sunset_c[yesterday], low_c[day], curve)
    late = night_temp_c(hour - t_end, night_after, sunset_c[day], low_c[tomorrow], curve)
    light = day_temp_c(hour - t_low, length[day], low_c[day], high_c[day], curve)
    return np.where(hour < t_low, early, np.where(hour <= t_end, light, late))
