"""Measured cases as the model of a wrapped graft can be put to them; what is not told of a case is written down here.

A fruit is put as a cylinder as thick as it that takes up what a sphere does: a quarter of the beam on the mean, half of
it as the first harmonic at its sunny point. A sphere loses somewhat more to the air.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from wraps import KNOWN, day, hour_rows, members, run, steady

from barkslip.domain.heat import FACES, WrappedGraft
from barkslip.engines.heat_faces import bark_c
from barkslip.engines.sun_hours import SunHours
from barkslip.kernels import wrap_index as ix

COUNT = 300
#: a clear noon in a summer orchard, wind not told [m/s]
WIND = 1.0


def _fruit(cover: str, air: float = 30.0, vent: float = 1.0) -> tuple[float, float]:
    """Sunny middle of a fruit of 70 mm, and its far side, less the air [K], after six hours of the same sun."""
    hours = steady(air, WIND, dew=18.0, up=60.0)
    graft = WrappedGraft()
    rows = hour_rows(hours, graft, KNOWN)
    rows[:, ix.F_BEAM_FRONT] = hours.dni_w_m2 * np.pi / 4.0
    p = members(cover, graft, hours, COUNT)
    p[:, ix.P_SCION_D], p[:, ix.P_SCION_LENGTH], p[:, ix.P_BUD_HEIGHT] = 0.07, 0.07, 0.2
    p[:, ix.P_COVER_D] = np.maximum(p[:, ix.P_COVER_D], 0.12)
    p[:, ix.P_COVER_LENGTH], p[:, ix.P_VENT] = 0.15, vent * p[:, ix.P_VENT]
    out = run(rows, p)[:, 6]
    scion = out[:, ix.O_SCION]
    first = 4.0 / np.pi * (out[:, ix.O_STRIP] - scion)
    # opposite the sun the first harmonic has the other sign and the second the same: 0.7 and 0.3 of both
    return float(np.median(scion + first - air)), float(np.median(scion - 0.4 * first - air))


def _trunk(hours: SunHours, face: str, mm: float = 150.0, **more: float | bool) -> np.ndarray:
    """Bark of one side, float64[members, n] [°C]."""
    graft = replace(WrappedGraft(limb_mm=mm), **more)
    return bark_c(hours, graft, KNOWN, members=COUNT, seed=1)[:, :, FACES.index(face)]


def _winter() -> SunHours:
    """A clear still winter noon in Georgia, 32.5° N, near midwinter: air 12.8 °C at its highest."""
    return day(12.8, 0.0, 0.7, dew=-2.0, lat=32.5, declination=-21.0)


def _germany() -> SunHours:
    """A hot clear summer day in south-west Germany, 48° N."""
    return day(33.0, 17.0, 1.5, dew=14.0, lat=48.0, declination=20.0)


def apple_bare() -> list[float]:
    return [_fruit("none")[0]]


def apple_in_bag() -> list[float]:
    return [_fruit("brown_bag")[0]]


def apple_in_torn_bag() -> list[float]:
    return [_fruit("brown_bag", vent=20.0)[0]]


def apple_bag_cools() -> list[float]:
    return [_fruit("none")[0] - _fruit("brown_bag")[0]]


def apple_far_side() -> list[float]:
    sunny, far = _fruit("none")
    return [sunny - far]


def cherry_trunk() -> list[float]:
    bark = np.median(_trunk(_germany(), "SW", 200.0), axis=0)
    return [float(bark.max())]


def cherry_trunk_white() -> list[float]:
    hours = _germany()
    bare, white = (np.median(_trunk(hours, "SW", 200.0, whitened=w), axis=0).max() for w in (False, True))
    return [float(white - bare)]


def peach_trunk() -> list[float]:
    hours = _winter()
    bark = np.median(_trunk(hours, "S"), axis=0)
    return [float(np.max(bark - hours.air_c))]


def peach_trunk_white() -> list[float]:
    hours = _winter()
    bare, white = (np.median(_trunk(hours, "S", whitened=w) - hours.air_c, axis=0).max() for w in (False, True))
    return [float(white), float(white - bare)]


def under_canopy() -> list[float]:
    hours = day(32.0, 18.0, 1.0, lat=42.0)
    bare, white = (np.median(_trunk(hours, "SW", shade=0.85, whitened=w), axis=0).max() for w in (False, True))
    return [float(bare - white)]


def paper_trunk_wrap() -> list[float]:
    """A trunk of 60 mm in paper 15 mm off it, winter: its day's swing with paper less without [K]."""
    hours = _winter()
    graft = WrappedGraft(scion_mm=40.0)
    swings = []
    for cover in ("none", "brown_bag"):
        p = members(cover, graft, hours, COUNT)
        p[:, ix.P_SCION_D], p[:, ix.P_SCION_LENGTH], p[:, ix.P_BUD_HEIGHT] = 0.06, 0.5, 0.4
        p[:, ix.P_SCION_ALPHA] = p[:, ix.P_LIMB_ALPHA]
        p[:, ix.P_COVER_D], p[:, ix.P_COVER_LENGTH] = 0.09, 0.5
        scion = run(hour_rows(hours, graft, KNOWN), p)[:, :, ix.O_SCION]
        swings.append(np.median(scion.max(axis=1) - scion.min(axis=1)))
    return [float(swings[1] - swings[0])]


CASES = {
    "apple_bare": apple_bare,
    "apple_bare_other": apple_bare,
    "apple_far_side": apple_far_side,
    "apple_bag_cools": apple_bag_cools,
    "apple_in_bag": apple_in_bag,
    "apple_in_torn_bag": apple_in_torn_bag,
    "cherry_trunk": cherry_trunk,
    "cherry_trunk_white": cherry_trunk_white,
    "peach_trunk": peach_trunk,
    "peach_trunk_white": peach_trunk_white,
    "under_canopy": under_canopy,
    "paper_trunk_wrap": paper_trunk_wrap,
}
