"""How a union heals by temperature, and what comes first: the water path, or what ends the graft.

Equations W1 to W8: docs/models/healing.md. The rate is taken hour by hour, never from means of days. Sums run over the
hours once a member; each start is then answered by pointers that only move forward, so that the cost is linear in the
hours. Nothing is drawn at random here.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int32]

#: Steps of a member's table of the rate; they are even in the root of the temperature above the lowest, where the
#: rate may rise with an infinite slope.
TABLE_STEPS = 2048
#: Below this step of the table (less than 0.4 % of the way up) the rate is reckoned itself: it is too steep for a line.
STEEP_STEPS = 128
#: Hours in a day: sums are in days.
HOURS = 24.0
#: Never, as an hour.
NEVER = 2**30

# Columns of a member's parameters.
P_T_MIN, P_T_OPT, P_T_MAX, P_ZERO = 0, 1, 2, 3
P_D_LINK = 4
P_PUSH_T_MIN, P_PUSH_T_OPT, P_PUSH_T_MAX = 5, 6, 7
P_D_PUSH, P_D_SPENT = 8, 9
P_KILL_LOSS, P_KILL_DOSE = 10, 11
P_LIMIT_H = 12
P_FROST_UNION, P_FROST_GROWTH = 13, 14
N_PARAMS = 15

# What became of a start.
LINKED, TOO_COLD, TOO_HOT, DRYING, HEAT, FROST_BEFORE, FROST_AFTER, BUDS_FIRST, NOT_KNOWN = range(9)
N_ENDS = 9


@njit(cache=True, nogil=True, error_model="numpy")
def rate(temp_c: float, t_min: float, t_opt: float, t_max: float, zero_below: float) -> float:
    """Healing at a temperature over that at the best one, 0 to 1. Eq. W1, W2.

    Parameters
    ----------
    temp_c : float
        Union [°C].
    t_min, t_opt, t_max : float
        Nothing below, best, nothing above [°C]; in this order and apart.
    zero_below : float
        Nothing below this whatever the curve says [°C]; at or under `t_min` without effect.
    """
    if temp_c <= t_min or temp_c >= t_max or temp_c < zero_below:
        return 0.0
    power = math.log(2.0) / math.log((t_max - t_min) / (t_opt - t_min))
    x = ((temp_c - t_min) / (t_opt - t_min)) ** power
    return max(0.0, x * (2.0 - x))


@njit(cache=True, nogil=True, error_model="numpy")
def rates(temp_c: Array, t_min: float, t_opt: float, t_max: float, zero_below: float) -> Array:
    """`rate` of many temperatures, float64[n]."""
    out = np.empty(temp_c.size)
    for i in range(temp_c.size):
        out[i] = rate(temp_c[i], t_min, t_opt, t_max, zero_below)
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def rate_table(t_min: float, t_opt: float, t_max: float, out: Array) -> None:
    """A member's table, float64[TABLE_STEPS + 2]: the rate at even steps of the root of the way from lowest to
    highest. Eq. W3."""
    for k in range(TABLE_STEPS + 1):
        way = k / TABLE_STEPS
        out[k] = rate(t_min + way * way * (t_max - t_min), t_min, t_opt, t_max, t_min)
    out[TABLE_STEPS] = 0.0
    out[TABLE_STEPS + 1] = 0.0


@njit(cache=True, nogil=True, error_model="numpy")
def rate_from(table: Array, temp_c: float, t_min: float, t_opt: float, t_max: float, zero_below: float) -> float:
    """The rate out of a member's table, within 1e-4 of `rate`. Eq. W3."""
    if temp_c <= t_min or temp_c >= t_max or temp_c < zero_below:
        return 0.0
    place = TABLE_STEPS * math.sqrt((temp_c - t_min) / (t_max - t_min))
    k = int(place)
    if k < STEEP_STEPS:
        return rate(temp_c, t_min, t_opt, t_max, zero_below)
    return table[k] + (place - k) * (table[k + 1] - table[k])


@njit(cache=True, nogil=True, error_model="numpy")
def sum_into(
    temp_c: Array, t_min: float, t_opt: float, t_max: float, zero_below: float, table: Array, out: Array
) -> None:
    """Running sum of the rate in days: `out[i]` is what the hours before i brought, float64[n + 1]. Eq. W4."""
    rate_table(t_min, t_opt, t_max, table)
    total = 0.0
    out[0] = 0.0
    for i in range(temp_c.size):
        total += rate_from(table, temp_c[i], t_min, t_opt, t_max, zero_below) / HOURS
        out[i + 1] = total


@njit(cache=True, nogil=True, error_model="numpy")
def _first(total: Array, start: int, need: float, i: int) -> int:
    """First place at or after i by which the sum has grown by `need` since `start`; NEVER if none."""
    goal = total[start] + need
    last = total.size - 1
    while i <= last and total[i] < goal:
        i += 1
    return i if i <= last else NEVER


@njit(cache=True, nogil=True, error_model="numpy")
def reached_into(temp_c: Array, curves: Array, needs: Array, starts: Ints, first: int, last: int, out: Ints) -> None:
    """Hours from each start until a member's sum has reached each need. Eq. W5.

    Parameters
    ----------
    temp_c : float64[1 or members, n]
        Union, hourly [°C]; one row is shared by all.
    curves : float64[members, 4]
        t_min, t_opt, t_max, zero_below [°C].
    needs : float64[members, k]
        [d]
    starts : int32[s]
        Hours at which grafts are set, rising.
    first, last : int
        Members first <= m < last are reckoned, so that threads can share the work.
    out : int32[members, k, s]
        Hours after the start; -1 where it is not reached.
    """
    n = temp_c.shape[1]
    table = np.empty(TABLE_STEPS + 2)
    total = np.empty(n + 1)
    for m in range(first, last):
        row = m if temp_c.shape[0] > 1 else 0
        sum_into(temp_c[row], curves[m, 0], curves[m, 1], curves[m, 2], curves[m, 3], table, total)
        for k in range(needs.shape[1]):
            i = 0
            for s in range(starts.size):
                i = _first(total, starts[s], needs[m, k], max(i, starts[s]))
                out[m, k, s] = i - starts[s] if i != NEVER else -1
                i = min(i, n)


@njit(cache=True, nogil=True, error_model="numpy")
def next_below_into(temp_c: Array, line_c: float, out: Ints) -> None:
    """For each hour the next one, itself included, that is colder than a line; NEVER after the last. int32[n + 1]."""
    coming = NEVER
    out[temp_c.size] = NEVER
    for i in range(temp_c.size - 1, -1, -1):
        if temp_c[i] < line_c:
            coming = i
        out[i] = coming


@njit(cache=True, nogil=True, error_model="numpy")
def _lost_into(temp_c: Array, t_opt: float, heal: Array, out: Array) -> None:
    """Running sum of the healing that was missed: counted up on the cold side of the best temperature, down on the hot
    one, float64[n + 1]. Eq. W8."""
    out[0] = 0.0
    for i in range(temp_c.size):
        missed = 1.0 / HOURS - (heal[i + 1] - heal[i])
        out[i + 1] = out[i] + (missed if temp_c[i] < t_opt else -missed)


@njit(cache=True, nogil=True, error_model="numpy")
def _settle(events: Ints, frosted: int, n: int, limit: int) -> int:
    """Code of the first event. `events`: link, drying, heat, frost before, buds first, as hours. Eq. W6, W7."""
    first = events[0]
    code = LINKED
    for k in range(1, events.size):
        if events[k] < first:
            first = events[k]
            code = (LINKED, DRYING, HEAT, FROST_BEFORE, BUDS_FIRST)[k]
    if frosted < first and frosted <= limit:
        return FROST_AFTER
    if first > limit:
        return TOO_COLD if limit <= n else NOT_KNOWN
    if code == LINKED and frosted != NEVER:
        return FROST_AFTER
    return code


@njit(cache=True, nogil=True, error_model="numpy")
def _row(rows: Array, m: int) -> Array:
    return rows[m] if rows.shape[0] > 1 else rows[0]


@njit(cache=True, nogil=True, error_model="numpy")
def outcomes_into(
    union_c: Array, scion_c: Array, growth_c: Array, loss_sum: Array, dose_sum: Array, params: Array, starts: Ints,
    look_h: int, grows: bool, first: int, last: int, ends: NDArray[np.int8], hours: Ints,
) -> None:  # fmt: skip
    """What becomes of a graft of each member set at each start. Eq. W6, W7, W8.

    Parameters
    ----------
    union_c, scion_c, growth_c : float64[1 or members, n]
        Union, scion, new growth, hourly [°C]; one row is shared by all.
    loss_sum, dose_sum : float64[1 or members, n + 1]
        Running sums of the share of the scion's water lost and of its heat dose.
    params : float64[members, N_PARAMS]
    starts : int32[s]
        Hours at which grafts are set, rising.
    look_h : int
        How far ahead of each start frost on new growth counts [h].
    grows : bool
        The bud is to grow this season; False: it sleeps, and neither pushing nor frost on new growth counts.
    first, last : int
        Members first <= m < last.
    ends : int8[members, s]
        One of LINKED ... NOT_KNOWN.
    hours : int32[members, s, 2]
        Hours from the start to the first water path and to the push; -1 where not reached.
    """
    n = union_c.shape[1]
    table = np.empty(TABLE_STEPS + 2)
    heal = np.empty(n + 1)
    push = np.empty(n + 1)
    lost = np.empty(n + 1)
    cold_union = np.empty(n + 1, dtype=np.int32)
    cold_growth = np.empty(n + 1, dtype=np.int32)
    events = np.empty(5, dtype=np.int32)
    for m in range(first, last):
        p = params[m]
        union, scion, growth = _row(union_c, m), _row(scion_c, m), _row(growth_c, m)
        loss, dose = _row(loss_sum, m), _row(dose_sum, m)
        sum_into(union, p[P_T_MIN], p[P_T_OPT], p[P_T_MAX], p[P_ZERO], table, heal)
        _lost_into(union, p[P_T_OPT], heal, lost)
        next_below_into(scion, p[P_FROST_UNION], cold_union)
        if grows:
            sum_into(scion, p[P_PUSH_T_MIN], p[P_PUSH_T_OPT], p[P_PUSH_T_MAX], p[P_PUSH_T_MIN], table, push)
            next_below_into(growth, p[P_FROST_GROWTH], cold_growth)
        i_link = i_dry = i_heat = i_push = i_spent = 0
        for s in range(starts.size):
            start = starts[s]
            limit = start + int(p[P_LIMIT_H])
            i_link = _first(heal, start, p[P_D_LINK], max(min(i_link, n), start))
            i_dry = _first(loss, start, p[P_KILL_LOSS], max(min(i_dry, n), start))
            i_heat = _first(dose, start, p[P_KILL_DOSE], max(min(i_heat, n), start))
            frosted = NEVER
            if grows:
                i_push = _first(push, start, p[P_D_PUSH], max(min(i_push, n), start))
                i_spent = _first(push, start, p[P_D_SPENT], max(min(i_spent, n), start))
                if i_push <= n:
                    frosted = cold_growth[i_push]
                    if frosted >= min(start + look_h, n):
                        frosted = NEVER
            else:
                i_push = i_spent = NEVER
            events[0], events[1], events[2] = i_link, i_dry, i_heat
            events[3], events[4] = cold_union[start], i_spent
            code = _settle(events, frosted, n, limit)
            if code == TOO_COLD:
                code = TOO_COLD if lost[limit] >= lost[start] else TOO_HOT
            ends[m, s] = code
            hours[m, s, 0] = i_link - start if i_link != NEVER else -1
            hours[m, s, 1] = i_push - start if i_push != NEVER else -1
