"""What the night model gives for the measured cases of tests/published/frost_cases.toml."""

from __future__ import annotations

from collections.abc import Callable

import nights
import numpy as np
from nights import cover, measures, params, typed

from barkslip.kernels import night_index as ix

LEAF, FRUIT, INSIDE, GROUND, AIR = ix.IX_LEAF_EXPOSED, ix.IX_FRUIT, ix.IX_AIR_INSIDE, ix.IX_GROUND, ix.IX_AIR
DRY = {"dew": -10.0, "wind": 0.3}


def dawn(p: np.ndarray | None = None, m: np.ndarray | None = None, **night: float) -> np.ndarray:
    """The last row of a typed night; the bare middle tree if nothing else is said."""
    bare = measures() if m is None else m
    return nights.run(typed(**night), params() if p is None else p, bare)[0, -1]


def leaf_size() -> list[float]:
    nights_ = [{"dew": -10.0, "wind": wind} for wind in (0.3, 0.5, 1.0)]
    return [dawn(params(leaf_width=0.08), **n)[LEAF] - dawn(params(leaf_width=0.02), **n)[LEAF] for n in nights_]


def leaf_angle() -> list[float]:
    out = []
    for width in (0.08, 0.03):
        level, upright = (dawn(params(leaf_width=width, leaf_sky_view=view), **DRY)[LEAF] for view in (0.85, 0.35))
        out.append(level - upright)
    return out


def ground_order() -> list[float]:
    grassed = params(ground_layer_resistance=nights.number("frost.grass_resistance"))
    grass, dry, moist = (dawn(p, **DRY)[LEAF] for p in (grassed, params("sand_dry"), params("sand_moist")))
    return [dry - grass, moist - dry]


def leaf_less_air() -> list[float]:
    rows = [dawn(dew=-10.0, wind=wind) for wind in (0.1, 0.3)]
    return [row[LEAF] - row[AIR] for row in rows]


def leaf_bound() -> list[float]:
    row = dawn(params(leaf_width=0.07, leaf_sky_view=0.95), dew=-10.0, wind=0.1)
    return [row[LEAF] - row[AIR]]


def fruit_less_air() -> list[float]:
    slow = {"sunset": 6.0, "low": 1.0, "wind": 0.3, "night_h": 14.0}
    rows = [dawn(params(fruit_sky_view=0.35), dew=dew, **slow) for dew in (-10.0, 0.0)]
    return [row[FRUIT] - row[AIR] for row in rows]


def foil_shield() -> list[float]:
    return [dawn(params(leaf_sky_view=0.5), wind=0.3)[LEAF] - dawn(wind=0.3)[LEAF]]


def film_cut() -> list[float]:
    return [1.0 - nights.number(f"covers.{kind}.tau") for kind in ("clear_pe", "pvc", "polyester", "glass")]


def fleece() -> list[float]:
    bare = dawn()[LEAF]
    return [dawn(m=measures(**cover(kind)))[LEAF] - bare for kind in ("fleece_17", "fleece_50")]


def _low(kind: str, at: int, **night: float) -> float:
    p = params("clay_moist", tree_height=0.4, tree_width=0.6)
    m = measures(**cover(kind, cover_height=0.5, cover_width=1.2))
    return float(dawn(p, m, **night)[at] - dawn(p, **night)[at])


CLEAR = {"wind": 0.5, "low": 4.0, "sunset": 10.0, "dew": 3.0}
OVERCAST = {"wind": 1.0, "cloud": 1.0, "low": 4.0, "sunset": 8.0, "dew": 3.0}


def row_cover_mean() -> list[float]:
    mean = 0.5 * (_low("fleece_17", INSIDE, **CLEAR) + _low("fleece_17", INSIDE, **OVERCAST))
    return [mean, mean]


def row_cover_clear() -> list[float]:
    return [_low("fleece_17", INSIDE, **CLEAR)]


def jug() -> list[float]:
    p = params("clay_moist", tree_height=0.2, tree_width=0.12, leaf_area_index=1.5, fruit_count=0.0)
    gain = dawn(p, measures(**cover("clear_pe", cover_height=0.28, cover_width=0.15))) - dawn(p)
    return [gain[INSIDE], gain[LEAF]]


def tunnel_order() -> list[float]:
    night = {"wind": 1.0, "low": 2.0, "sunset": 8.0, "dew": 1.0}
    pvc, eva, pe = (_low(kind, INSIDE, **night) for kind in ("pvc", "thermal_film", "clear_pe"))
    return [pvc - eva, eva - pe]


def _sprayed(at: int, wind: float) -> float:
    m = measures(water_rate=40.0 / 3600.0, water_temp=20.0, water_area=3.0, water_spray=1.0)
    return float(dawn(m=m, wind=wind, dew=-6.0)[at] - dawn(wind=wind, dew=-6.0)[at])


def spray_under_tree() -> list[float]:
    return [_sprayed(LEAF, 0.5), _sprayed(LEAF, 4.0)]


def spray_order() -> list[float]:
    return [_sprayed(INSIDE, 0.5)]


def bare_ground() -> list[float]:
    grassed = params(ground_layer_resistance=nights.number("frost.grass_resistance"))
    grass, moist, dry = (dawn(p, **DRY)[GROUND] for p in (grassed, params(), params("sand_dry")))
    return [moist - grass, dry - grass]


CASES: dict[str, Callable[[], list[float]]] = {
    f.__name__: f
    for f in (leaf_size, leaf_angle, ground_order, leaf_less_air, leaf_bound, fruit_less_air, foil_shield, film_cut,
              fleece, row_cover_mean, row_cover_clear, jug, tunnel_order, spray_under_tree, spray_order, bare_ground)
}  # fmt: skip
