"""Hours of air and sun at one place, as the engines of heat and healing read them."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.heat import SunAir

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SunHours:
    """Evenly spaced hours, arrays of shape (n,), without gaps.

    Parameters
    ----------
    time_s : int64 array
        Epoch seconds UTC, an hour apart.
    air_c, dew_c, wind_m_s, cloud : float64 array
        [°C], [°C], [m/s], [0..1]
    ghi_w_m2, dni_w_m2, dhi_w_m2 : float64 array
        Sun on the level, direct on a face turned to it, from the sky, at the moment itself [W/m²].
    sun_up_deg, sun_from_deg : float64 array
        Height of the sun above the horizon, its bearing clockwise from north [°].
    utc_offset_h : float
    air_sd_k : float
        Error of the air's temperature, one standard deviation [K].
    wind_here : bool
        True if the wind is that at the graft; False if it is a mast's.
    """

    time_s: NDArray[np.int64]
    air_c: Array
    dew_c: Array
    wind_m_s: Array
    cloud: Array
    ghi_w_m2: Array
    dni_w_m2: Array
    dhi_w_m2: Array
    sun_up_deg: Array
    sun_from_deg: Array
    utc_offset_h: float = 0.0
    air_sd_k: float = 0.0
    wind_here: bool = False

    def __len__(self) -> int:
        return int(self.time_s.shape[0])

    def part(self, first: int, last: int) -> SunHours:
        """Hours first <= i < last."""
        cut = {f.name: getattr(self, f.name)[first:last] for f in fields(self) if f.name not in _WHOLE}
        return replace(self, **cut)


_WHOLE = ("utc_offset_h", "air_sd_k", "wind_here")


def hours_of(air: SunAir) -> SunHours:
    """The hours of a domain record."""
    columns = {f.name: np.array(getattr(air, f.name)) for f in fields(SunHours) if f.name not in _WHOLE}
    return SunHours(**columns, utc_offset_h=air.utc_offset_h, air_sd_k=air.air_sd_k, wind_here=air.wind_here)
