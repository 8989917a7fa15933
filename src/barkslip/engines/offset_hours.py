"""What a plot differs by from the site, hour by hour over many days: grown after sunset, gone after sunrise.

The form is that of `night_hours.with_offset`, for many nights at once and without its look at the hour of the low.
Checked by tests/engines/test_offset_hours.py.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: A night's difference is looked at for so long after its sunrise [h].
_AFTER_H = 14.0


def offset_hours(
    time_s: Ints,
    sunset_s: Ints,
    sunrise_s: Ints,
    used_k: Callable[[float | None, float | None], float],
    wind_m_s: Floats,
    cloud: Floats,
    *,
    full_h: float,
    gone_h: float,
) -> Floats:
    """Difference of a plot's air from the site's at some hours [K].

    Parameters
    ----------
    time_s : int64 array, shape (n,)
        Epoch seconds UTC, rising.
    sunset_s, sunrise_s : int64 array, shape (nights,)
        Of each night, rising; nights that are none (sunrise before sunset) give nothing.
    used_k : callable
        Mean wind [m/s] and cloud [0..1] of a night, None if not known -> its full difference [K].
    wind_m_s, cloud : float64 array, shape (n,)
        Of the site; NaN where not known.
    full_h, gone_h : float
        It is full so long after sunset (sunrise at the latest) and gone so long after sunrise [h].
    """
    out = np.zeros(time_s.shape)
    for start, end in zip(sunset_s.tolist(), sunrise_s.tolist(), strict=True):
        if end <= start:
            continue
        first, dawn, last = np.searchsorted(time_s, [start, end, end + _AFTER_H * 3600.0])
        if first == last:
            continue
        k = used_k(_mean(wind_m_s[first:dawn]), _mean(cloud[first:dawn]))
        after = (time_s[first:last] - start) / 3600.0
        night_h = (end - start) / 3600.0
        grown = np.clip(after / min(full_h, night_h), 0.0, 1.0)
        left = np.clip(1.0 - (after - night_h) / gone_h, 0.0, 1.0)
        out[first:last] += k * grown * left
    return out


def _mean(values: Floats) -> float | None:
    good = values[np.isfinite(values)]
    return float(good.mean()) if good.size else None
