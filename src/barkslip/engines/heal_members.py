"""The ensemble's parameters of healing: curves, clocks of buds, and what a graft bears of drying, heat and frost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barkslip.domain.method import Method
from barkslip.domain.timing import GraftPlan, HealingCurve
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.engines.healing_curve import drawn_days, drawn_temps
from barkslip.kernels import healing as kernel

_DAY_H = 24.0


@dataclass(frozen=True, eq=False)
class Members:
    """Members of one question.

    Parameters
    ----------
    params : float64[members, kernel.N_PARAMS]
    days : float64[members, 3]
        Days at the best temperature to bridge, first water path, unwrapping [d].
    """

    params: Array
    days: Array

    @property
    def curves(self) -> Array:
        """Lowest, best, highest temperature and the line of no healing [°C], float64[members, 4]."""
        return np.ascontiguousarray(self.params[:, :4])


def members_of(plan: GraftPlan, curve: HealingCurve, draws: Draws, known: Known, method: Method | None) -> Members:
    """Draw the ensemble.

    Parameters
    ----------
    plan : GraftPlan
        Buds and method decide when a bud pushes.
    curve : HealingCurve
    draws : Draws
    known : callable
        key -> sourced number.
    method : Method or None
    """
    out = np.empty((draws.members, kernel.N_PARAMS))
    temps, days = drawn_temps(curve, draws, known), drawn_days(curve, draws, known)
    out[:, kernel.P_T_MIN : kernel.P_ZERO + 1] = temps
    out[:, kernel.P_D_LINK] = days[:, 1]
    _buds(out, plan, curve, draws, known, method)
    out[:, kernel.P_KILL_LOSS] = kill_loss(draws, known)
    out[:, kernel.P_KILL_DOSE] = draws.of("timing.kill_dose", known("timing.kill.dose"), log=True)
    limit = draws.of("timing.limit", known("care.false_take_until_days"))
    out[:, kernel.P_LIMIT_H] = np.round(limit * _DAY_H)
    union = "measures.tender_growth" if curve.habit == "evergreen" else "timing.frost.deciduous_union"
    out[:, kernel.P_FROST_UNION] = killing_cold("union", union, draws, known)
    out[:, kernel.P_FROST_GROWTH] = killing_cold("growth", "measures.tender_growth", draws, known)
    return Members(out, days)


def kill_loss(draws: Draws, known: Known) -> Array:
    """Loss of water that kills each member's scion [1], float64[members]: a logistic through one in ten and eight in
    ten dead."""
    tenth = draws.of("timing.dry_tenth", known("wrap.dry.tenth"))
    most = draws.of("timing.dry_most", known("wrap.dry.most"))
    share = draws.share("timing.dry")
    from_tenth = (_logit(share) - _logit(0.1)) / (_logit(0.8) - _logit(0.1))
    return np.asarray(np.maximum(0.02, tenth + from_tenth * np.maximum(most - tenth, 0.01)))


def killing_cold(name: str, key: str, draws: Draws, known: Known) -> Array:
    """Temperature that ends each member's graft [°C], float64[members]: a logistic, one in ten at the start of harm,
    nine in ten `frost.harm_span` below it."""
    start = draws.of(f"timing.cold.{name}", known(key))
    span = draws.of("harm_span", known("frost.harm_span"))
    share = draws.share(f"timing.frost.{name}")
    return np.asarray(start - span * (0.5 + _logit(share) / (2.0 * np.log(9.0))))


def _logit(share: Array | float) -> Array:
    return np.asarray(np.log(share / (1.0 - np.asarray(share))))


def _buds(
    out: Array, plan: GraftPlan, curve: HealingCurve, draws: Draws, known: Known, method: Method | None
) -> None:  # fmt: skip
    """The clock of the buds: its temperatures, the way left to the push, and to the end of the bud's own store."""
    if curve.habit == "evergreen":
        out[:, kernel.P_PUSH_T_MIN : kernel.P_PUSH_T_MAX + 1] = out[:, kernel.P_T_MIN : kernel.P_T_MAX + 1]
        one_bud = method is not None and method.key.endswith("bud")
        days = known("healing.push.tbud_forced_days" if one_bud else "healing.push.bark_or_cleft_days")
    else:
        for k, name in enumerate(("t_min", "t_opt", "t_max")):
            drawn = draws.of(f"timing.push.{name}", known(f"timing.push.deciduous.{name}"), normal=True)
            out[:, kernel.P_PUSH_T_MIN + k] = drawn
        days = known("timing.push.deciduous.days")
    whole = np.maximum(0.25 * middle(days), draws.of("timing.push.days", days, normal=True))
    gone = np.zeros(draws.members) if plan.buds == "resting" else draws.of("gone", known(f"timing.push.{plan.buds}"))
    store = draws.of("timing.push.reserve", known("timing.push.reserve"), normal=True)
    out[:, kernel.P_D_PUSH] = whole * np.maximum(0.0, 1.0 - gone)
    out[:, kernel.P_D_SPENT] = out[:, kernel.P_D_PUSH] + np.maximum(0.5, store)
