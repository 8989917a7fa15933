"""What the model says of a lost graft: heat, drying and healing of its first weeks, and the air of the last days."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barkslip.domain.heat import Wrap, WrappedGraft
from barkslip.domain.method import Method
from barkslip.domain.timing import GraftPlan, HealingCurve
from barkslip.engines.frost_draws import Known
from barkslip.engines.graft_clock import back_cast
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.wrap_hours import wrap_hours
from barkslip.kernels.humidity import sat_water_pa

#: Weeks that decide whether a scion dries or cooks [h].
FIRST_H = 21 * 24
#: Covers that keep the sun off.
SHADING = ("white_paint", "foil_sleeve", "foil_pouch", "white_bag", "brown_bag", "clear_plastic_shade", "shade_cloth",
           "nurse_leaves")  # fmt: skip
_MEMBERS = 60


@dataclass(frozen=True)
class FirstWeeks:
    """Hottest hour of the scion [°C], heat dose [1], water a cut scion would have lost [%], in the first 21 days."""

    scion_c: float
    dose: float
    lost_pct: float


def first_weeks(plan: GraftPlan, hours: SunHours, known: Known) -> FirstWeeks | None:
    """The first three weeks by the middle member of the model; None without hours."""
    part = hours.part(0, min(len(hours), FIRST_H))
    if not len(part):
        return None
    graft = WrappedGraft(
        species=plan.species,
        scion_mm=plan.scion_mm,
        limb_mm=plan.limb_mm,
        bearing_deg=plan.bearing_deg,
        shade=plan.shade,
    )
    found = wrap_hours(part, graft, Wrap(plan.cover), known, members=1, seed=1, middle=True)
    kept = float(np.prod(1.0 - np.clip(found.loss_per_h[0], 0.0, 1.0)))
    return FirstWeeks(float(found.scion_c[0].max()), max(0.0, float(found.dose_per_h[0].sum())), 100.0 * (1.0 - kept))


def heat_answer(cover: str, scion_c: float, hot_c: float) -> str:
    """Answer to the question of heat: "hot" above the line under whatever cover, "shaded" if shaded and below it."""
    if scion_c > hot_c:
        return "hot"
    return "shaded" if cover in SHADING else "neither"


def link_chance(
    plan: GraftPlan, curve: HealingCurve | None, hours: SunHours | None, known: Known, method: Method | None
) -> float | None:
    """Chance that the union linked, from the hours that came; None where that cannot be told."""
    return back_cast(
        plan, curve, hours, known, code="", set_on="", outcome="did not take", method=method, members=_MEMBERS
    ).chance


def air_of(hours: SunHours) -> tuple[float, float, float] | None:
    """Highest and lowest temperature [°C] and the highest vapour pressure deficit [kPa]; None without hours."""
    if not len(hours):
        return None
    dry = [sat_water_pa(t) - sat_water_pa(min(d, t)) for t, d in zip(hours.air_c, hours.dew_c, strict=True)]
    return float(hours.air_c.max()), float(hours.air_c.min()), max(dry) / 1000.0
