"""Values of a member from the middle and the ends of a spread: the quantile that a uniform draw in 0 to 1 points at."""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]


@njit(cache=True, nogil=True, error_model="numpy")
def two_piece(share: Array, low: float, middle: float, high: float) -> Array:
    """Half the members evenly between `low` and `middle`, half between `middle` and `high`; the median is `middle`."""
    out = np.empty(share.size)
    for i in range(share.size):
        u = share[i]
        if u < 0.5:
            out[i] = low + (middle - low) * 2.0 * u
        else:
            out[i] = middle + (high - middle) * (2.0 * u - 1.0)
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def two_piece_log(share: Array, low: float, middle: float, high: float) -> Array:
    """As `two_piece`, on the scale of logarithms; all above 0."""
    return np.exp(two_piece(share, math.log(low), math.log(middle), math.log(high)))


@njit(cache=True, nogil=True, error_model="numpy")
def normal(share: Array, middle: float, sd: float) -> Array:
    """Normal quantiles: rational approximation of Acklam (relative error below 1.2e-9); share above 0 and below 1."""
    out = np.empty(share.size)
    for i in range(share.size):
        u = share[i]
        if u < 0.02425 or u > 0.97575:
            q = math.sqrt(-2.0 * math.log(min(u, 1.0 - u)))
            top = -7.784894002430293e-03
            for c in (-3.223964580411365e-01, -2.400758277161838e00, -2.549732539343734e00, 4.374664141464968e00,
                      2.938163982698783e00):  # fmt: skip
                top = top * q + c
            low = 7.784695709041462e-03
            for c in (3.224671290700398e-01, 2.445134137142996e00, 3.754408661907416e00, 1.0):
                low = low * q + c
            z = top / low
            out[i] = middle + sd * (z if u < 0.5 else -z)
        else:
            q = u - 0.5
            r = q * q
            top = -3.969683028665376e01
            for c in (2.209460984245205e02, -2.759285104469687e02, 1.383577518672690e02, -3.066479806614716e01,
                      2.506628277459239e00):  # fmt: skip
                top = top * r + c
            low = -5.447609879822406e01
            for c in (1.615858368580409e02, -1.556989798598866e02, 6.680131188771972e01, -1.328068155288572e01, 1.0):
                low = low * r + c
            out[i] = middle + sd * q * top / low
    return out
