"""Sides of a limb's bark through a day of sun: as it is and whitened."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.heat import FACES, FaceDay, Wrap, WrappedGraft
from barkslip.engines.frost_draws import Draws, Known, middle
from barkslip.engines.heat_harm import by_hour, spread
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.wrap_hours import hour_rows, member_params
from barkslip.kernels import bark_face
from barkslip.kernels import wrap_index as ix

Array = NDArray[np.float64]
#: members of the sides; a bark's range needs no more
MEMBERS = 300
#: hours before the first with its air
SETTLE_H = 3
_THREADS = 2


def bark_c(hours: SunHours, graft: WrappedGraft, known: Known, *, members: int, seed: int) -> Array:
    """Bark of the limb by hour and side, float64[members, n, 8] [°C], in the order of `FACES`.

    Parameters
    ----------
    graft : WrappedGraft
        Its limb, whether that is whitened, and its shade. The sun comes from all sides: a side that the tree shades is
        for the grower to see.
    """
    open_limb = replace(graft, bearing_deg=None)
    params = member_params(open_limb, Wrap("film"), Draws(members, seed), known, hours)
    rows = hour_rows(hours, open_limb, known)
    suns = np.stack([hours.dni_w_m2, hours.sun_up_deg, hours.sun_from_deg], axis=1)
    out = np.empty((members, len(hours), len(FACES)))
    cuts = np.linspace(0, members, _THREADS + 1).astype(int)

    def part(k: int) -> None:
        bark_face.run_into(
            rows, suns, params, params[:, ix.P_LIMB_ALPHA].copy(), out, SETTLE_H, int(cuts[k]), int(cuts[k + 1])
        )

    with ThreadPoolExecutor(_THREADS) as pool:
        list(pool.map(part, range(_THREADS)))
    return out


def faces(
    hours: SunHours, graft: WrappedGraft, known: Known, times: tuple[str, ...], *, members: int, seed: int
) -> tuple[FaceDay, ...]:
    """Each side of the limb's bark through the day, in the order of `FACES`.

    Parameters
    ----------
    times : tuple of str
        Local times of the hours.
    """
    members = min(members, MEMBERS)
    bare = bark_c(hours, graft, known, members=members, seed=seed)
    white = bare if graft.whitened else bark_c(hours, replace(graft, whitened=True), known, members=members, seed=seed)
    line_44, line_52 = middle(known("healing.heat.cuticle")), middle(known("healing.heat.necrosis"))
    out = []
    for i, face in enumerate(FACES):
        top = bare[:, :, i].max(axis=1)
        middles = by_hour(bare[:, :, i])[1]
        out.append(
            FaceDay(
                face=face,
                bark_max_c=spread(top),
                whitened_max_c=spread(white[:, :, i].max(axis=1)),
                hottest_at=times[int(np.argmax(middles))],
                chance_over_44=float(np.mean(top > line_44)),
                chance_over_52=float(np.mean(top > line_52)),
                by_hour_c=middles,
            )
        )
    return tuple(out)
