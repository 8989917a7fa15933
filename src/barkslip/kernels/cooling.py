"""The air of a night: square-root curve, hourly series on a finer grid, two-step regression of the low."""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: columns of a forcing array
(F_AIR_C, F_DEW_C, F_WIND, F_CLOUD, F_SUN) = range(5)
N_FORCING = 5
#: names of the columns, with units
FORCING_NAMES = ("air_temp_c", "dew_point_c", "wind_m_s", "cloud", "sun_w_m2")


@njit(cache=True, nogil=True, error_model="numpy")
def root_curve_c(hour: float, first_hour: float, first_c: float, low_hour: float, low_c: float) -> float:
    """Air [°C] at an hour after sunset, on a square root from the first point to the low. Eq. A1.

    With `first_hour` 2 and the temperature then, this is the curve of frost.fao-2005. Before the first hour it
    gives the first temperature, after the low hour the low.
    """
    if hour <= first_hour:
        return first_c
    if hour >= low_hour:
        return low_c
    return first_c + (low_c - first_c) * math.sqrt((hour - first_hour) / (low_hour - first_hour))


@njit(cache=True, nogil=True, error_model="numpy")
def typed_night(
    seconds: Array,
    sunset_c: float,
    low_c: float,
    dew_c: float,
    wind_m_s: float,
    cloud: float,
    night_h: float,
    first_c: float,
    warming_k_h: float,
) -> Array:
    """Forcing of a night from a few typed values. Eq. A2.

    Parameters
    ----------
    seconds : float64[n]
        Times after sunset [s].
    sunset_c, low_c, dew_c : float
        Air at sunset, expected low at sunrise, dew point at sunset [°C].
    wind_m_s, cloud : float
        Held all night [m/s], [0 to 1].
    night_h : float
        Hours from sunset to sunrise, above 2.
    first_c : float
        Air 2 hours after sunset [°C] if it was measured; NaN draws the root from sunset, which is an assumption: the
        published curve starts 2 hours after sunset.
    warming_k_h : float
        Rise of the air after sunrise [K/h].

    Returns
    -------
    float64[n, 5]
        Columns as `FORCING_NAMES`; the vapour pressure is held, so the dew point is that of sunset, never above the
        air. Sun is 0.
    """
    out = np.zeros((seconds.size, N_FORCING))
    for i in range(seconds.size):
        hour = seconds[i] / 3600.0
        if math.isnan(first_c):
            air = root_curve_c(hour, 0.0, sunset_c, night_h, low_c)
        elif hour < 2.0:
            air = sunset_c + (first_c - sunset_c) * hour / 2.0
        else:
            air = root_curve_c(hour, 2.0, first_c, night_h, low_c)
        if hour > night_h:
            air += warming_k_h * (hour - night_h)
        out[i, F_AIR_C] = air
        out[i, F_DEW_C] = min(dew_c, air)
        out[i, F_WIND] = wind_m_s
        out[i, F_CLOUD] = cloud
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def resampled(at_s: Array, rows: Array, seconds: Array) -> Array:
    """Rows of a series drawn straight between its points, at other times; ends are held.

    Parameters
    ----------
    at_s : float64[k]
        Times of the rows [s], rising.
    rows : float64[k, c]
    seconds : float64[n]
        Times wanted [s].

    Returns
    -------
    float64[n, c]
    """
    out = np.empty((seconds.size, rows.shape[1]))
    for c in range(rows.shape[1]):
        out[:, c] = np.interp(seconds, at_s, rows[:, c])
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def line_fit(x: Array, y: Array) -> tuple[float, float]:
    """Slope and intercept of the least-squares line."""
    mx = np.mean(x)
    my = np.mean(y)
    spread = np.sum((x - mx) ** 2)
    slope = np.sum((x - mx) * (y - my)) / spread if spread > 0.0 else 0.0
    return slope, my - slope * mx


@njit(cache=True, nogil=True, error_model="numpy")
def fit_low(first_c: Array, dew_c: Array, low_c: Array) -> Array:
    """Coefficients of the low in two steps: on the temperature, then the residual on the dew point. Eq. A3.

    Parameters
    ----------
    first_c, dew_c, low_c : float64[n]
        Air and dew point two hours after sunset and the low, of past radiation-frost nights [°C]; n of 3 or more.

    Returns
    -------
    float64[5]
        Slope on temperature, slope on dew point, constant, root mean square of the residuals of step 1 and step 2 [K].
    """
    a, c = line_fit(first_c, low_c)
    left = low_c - (a * first_c + c)
    b, d = line_fit(dew_c, left)
    after = left - (b * dew_c + d)
    return np.array([a, b, c + d, math.sqrt(np.mean(left**2)), math.sqrt(np.mean(after**2))])


@njit(cache=True, nogil=True, error_model="numpy")
def low_of(fit: Array, first_c: float, dew_c: float) -> float:
    """The low [°C] that a fit expects."""
    return float(fit[0] * first_c + fit[1] * dew_c + fit[2])
