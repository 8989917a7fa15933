"""Weather and members for the tests of the wrapped graft, with the numbers of the knowledge base."""

from __future__ import annotations

import numpy as np

from barkslip.domain.heat import GRAFT_COVERS, Wrap, WrappedGraft
from barkslip.engines.frost_draws import Draws
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.wrap_hours import hour_rows, member_params
from barkslip.kernels import wrap
from barkslip.kernels import wrap_index as ix
from barkslip.knowledge.load import load

KNOWN = load().value
COVERS = tuple(GRAFT_COVERS)


def steady(
    air: float, wind: float, *, dew: float = 15.0, dni: float = 850.0, dhi: float = 120.0, up: float = 55.0,
    cloud: float = 0.0, n: int = 12,
) -> SunHours:  # fmt: skip
    """The same air and sun for some hours; about 300 W/m2 fall on the mean of an upright cylinder."""
    one = np.ones(n)
    level = dni * np.sin(np.radians(up)) + dhi
    return SunHours(
        np.arange(n) * 3600, air * one, dew * one, wind * one, cloud * one, level * one, dni * one, dhi * one,
        up * one, 0.0 * one, wind_here=True,
    )  # fmt: skip


def day(
    high: float = 36.0, low: float = 19.0, wind: float = 0.7, *, dew: float = 12.0, days: int = 1, sun: float = 1.0,
    south: bool = False, lat: float = 34.0, declination: float = 22.0,
) -> SunHours:  # fmt: skip
    """Clear days, near midsummer if not said otherwise: sun by the sphere, beam by the thickness of the air; the air is
    highest at 15 h, the wind at 13 h."""
    hour = np.arange(24 * days) % 24.0
    north, tilt = np.radians(lat), np.radians(declination)
    angle = np.radians(15.0 * (hour - 12.0))
    sine = np.sin(north) * np.sin(tilt) + np.cos(north) * np.cos(tilt) * np.cos(angle)
    up = np.degrees(np.arcsin(sine))
    # clockwise from north; in the south the noon sun stands in the north
    x = np.cos(north) * np.sin(tilt) - np.sin(north) * np.cos(tilt) * np.cos(angle)
    bearing = np.degrees(np.arctan2(-np.cos(tilt) * np.sin(angle), x)) % 360.0
    bearing = (180.0 - bearing) % 360.0 if south else bearing
    shines = sine > 0.01
    dni = np.where(shines, sun * 1000.0 * np.exp(-0.15 / np.maximum(sine, 0.01)), 0.0)
    dhi = np.where(shines, sun * (30.0 + 80.0 * np.maximum(sine, 0.0)), 0.0)
    air = 0.5 * (high + low) + 0.5 * (high - low) * np.cos(np.radians(15.0 * (hour - 15.0)))
    gusts = wind * (0.4 + 0.6 * np.maximum(0.0, np.sin(np.radians(15.0 * (hour - 7.0)))))
    n = len(hour)
    return SunHours(
        np.arange(n) * 3600, air, np.minimum(np.full(n, dew), air), gusts, np.zeros(n),
        dni * np.maximum(sine, 0.0) + dhi, dni, dhi, up, bearing, wind_here=True,
    )  # fmt: skip


def members(
    cover: str, graft: WrappedGraft, hours: SunHours, count: int = 1, *, seed: int = 1, open_below: bool = True,
    touching: bool = False, best: bool = False,
) -> np.ndarray:  # fmt: skip
    """Parameters of some members, float64[count, N_PARAMS]."""
    return member_params(graft, Wrap(cover, open_below, touching), Draws(count, seed), KNOWN, hours, best=best)


def run(rows: np.ndarray, params: np.ndarray, steps: int = wrap.STEPS) -> np.ndarray:
    """float64[members, n, N_OUT]"""
    out = np.empty((params.shape[0], rows.shape[0], ix.N_OUT))
    wrap.run_into(rows, params, out, 0, params.shape[0], steps)
    return out


__all__ = ["COVERS", "KNOWN", "day", "hour_rows", "members", "run", "steady"]
