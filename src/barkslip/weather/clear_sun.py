"""Sun on the level, simply: a clear sky by the height of the sun, less what cloud takes. For mornings after cold
nights; trees and bark get a finer sun.

Forms of Haurwitz (clear sky) and of Kasten and Czeplak (cloud), recalled; numbers from the knowledge base. Checked by
tests/weather/test_clear_sun.py against another program's clear sky.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barkslip.weather.sun import elevation_deg

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class ClearSun:
    """The sun at one place.

    Parameters
    ----------
    lat, lon : float
        [° north, ° east]
    top_w_m2, depth : float
        Clear sky: top · cos z · exp(-depth / cos z), z from the zenith.
    cloud_share, cloud_power : float
        Cloud c leaves 1 - share · c ** power.
    """

    lat: float
    lon: float
    top_w_m2: float
    depth: float
    cloud_share: float
    cloud_power: float

    def clear_w_m2(self, time_s: Ints) -> Floats:
        """Under a clear sky [W/m²] at epoch seconds UTC, shape (n,); 0 below the horizon."""
        cosine = np.sin(np.radians(elevation_deg(time_s, self.lat, self.lon)))
        up = np.maximum(cosine, 1e-3)
        return np.asarray(np.where(cosine > 0.0, self.top_w_m2 * up * np.exp(-self.depth / up), 0.0))

    def through(self, cloud: Floats) -> Floats:
        """Share that comes through a cloud cover of 0..1."""
        return np.asarray(1.0 - self.cloud_share * np.clip(cloud, 0.0, 1.0) ** self.cloud_power)

    def cloud_of(self, share: float) -> float:
        """The cloud cover [0..1] that leaves such a share of the clear sky's sun."""
        lost = min(max(1.0 - share, 0.0), self.cloud_share) / self.cloud_share
        return float(lost ** (1.0 / self.cloud_power))


def clear_sun(lat: float, lon: float, number: Callable[[str], float]) -> ClearSun:
    """With the numbers of the knowledge base; `number` gives the best value of a key."""
    return ClearSun(
        lat,
        lon,
        top_w_m2=number("night.clear_sun_top"),
        depth=number("night.clear_sun_depth"),
        cloud_share=number("night.cloud_sun_share"),
        cloud_power=number("night.cloud_sun_power"),
    )
