"""Nights, trees and measures for the tests of the night model, with the numbers of the knowledge base."""

from __future__ import annotations

import numpy as np

from barkslip.kernels import cooling, night
from barkslip.kernels import night_index as ix
from barkslip.knowledge.load import load

KNOWN = load()
HEIGHT_M, WIDTH_M = 2.0, 1.5
COVER_FIELDS = ix.MEASURE_NAMES[ix.M_COVER_TAU : ix.M_COVER_LEAK_WIND + 1]


def number(key: str) -> float:
    value = KNOWN.value(key).value
    assert isinstance(value, int | float), key
    return float(value)


def params(soil: str = "sand_moist", **changed: float) -> np.ndarray:
    """One member in the middle of all ranges; wind as given, a tree 2 m high and 1.5 m wide on bare moist ground."""
    known = {"tree_height": HEIGHT_M, "tree_width": WIDTH_M, "wind_site_factor": 1.0} | changed
    row = []
    for name in ix.PARAM_NAMES:
        if name in known:
            row.append(known[name])
            continue
        key = f"frost_soil.{soil}.{ix.SOIL_NAMES[name]}" if name in ix.SOIL_NAMES else f"frost.{name}"
        row.append(number(key) * ix.PARAM_FACTORS.get(name, 1.0))
    return np.array([row])


def measures(**given: float) -> np.ndarray:
    """One row of measures; what is not named is 0."""
    row = np.zeros((1, ix.N_MEASURES))
    for name, value in given.items():
        row[0, ix.MEASURE_NAMES.index(name)] = value
    return row


def cover(kind: str, **changed: float) -> dict[str, float]:
    """Measures of a cover of a kind, as large as the tree and down to the ground."""
    known = {name: number(f"covers.{kind}.{name.removeprefix('cover_')}") for name in COVER_FIELDS}
    return {"cover": 1.0, "cover_height": HEIGHT_M, "cover_width": WIDTH_M, **known, **changed}


def typed(
    sunset: float = 5.0, low: float = -4.0, dew: float = -4.5, wind: float = 0.5, cloud: float = 0.0,
    night_h: float = 12.0, hours: float | None = None, dt_s: float = 300.0,
) -> np.ndarray:  # fmt: skip
    """Forcing of the reference night, or of another."""
    seconds = np.arange(0.0, (hours or night_h) * 3600.0 + 0.5 * dt_s, dt_s)
    rows = cooling.typed_night(seconds, sunset, low, dew, wind, cloud, night_h, np.nan, 2.5)
    return rows[np.newaxis]


def run(forcing: np.ndarray, p: np.ndarray, m: np.ndarray, dt_s: float = 300.0, deep: float = 8.0) -> np.ndarray:
    """Run with all temperatures at the air's in the beginning."""
    starts = night.start(float(forcing[0, 0, cooling.F_AIR_C]), deep, number("frost.ground_decay"))[np.newaxis]
    return night.run(forcing, p, m, starts, dt_s)
