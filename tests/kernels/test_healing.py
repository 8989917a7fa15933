"""The rate of healing against its own points and published tables; sums and endings against plain loops."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barkslip.kernels import healing as h
from barkslip.knowledge.load import load

TABLE = tomllib.loads((Path(__file__).parents[1] / "published" / "healing_curves.toml").read_text(encoding="utf-8"))
KNOWN = load()
CITRUS = (13.0, 28.0, 38.0, 13.0)

curves = st.tuples(st.floats(-4.0, 21.0), st.floats(3.0, 20.0), st.floats(3.0, 20.0)).map(
    lambda c: (c[0], c[0] + c[1], c[0] + c[1] + c[2])
)


def cardinal(kind: str) -> tuple[float, float, float]:
    values = (KNOWN.value(f"healing.{kind}.{name}").value for name in ("t_min", "t_opt", "t_max"))
    t_min, t_opt, t_max = (float(v) for v in values if isinstance(v, (int, float)))
    return t_min, t_opt, t_max


def plain_rate(temp_c: np.ndarray, t_min: float, t_opt: float, t_max: float, zero: float) -> np.ndarray:
    """Written a second time, as the curve is printed: (2 (T-Tmin)^a (To-Tmin)^a - (T-Tmin)^2a) / (To-Tmin)^2a."""
    a = np.log(2.0) / np.log((t_max - t_min) / (t_opt - t_min))
    up, best = np.clip(temp_c - t_min, 0.0, None) ** a, (t_opt - t_min) ** a
    f = (2.0 * up * best - up**2) / best**2
    return np.where((temp_c > t_min) & (temp_c < t_max) & (temp_c >= zero), np.clip(f, 0.0, None), 0.0)


# -- the curve ------------------------------------------------------------------------------------------------


@settings(deadline=None)
@given(curves)
def test_nothing_at_both_ends_and_all_at_the_best(curve: tuple[float, float, float]) -> None:
    """Wang and Engel (1998), recalled: f(Tmin) = 0, f(Topt) = 1, f(Tmax) = 0."""
    t_min, t_opt, t_max = curve
    assert h.rate(t_min, *curve, t_min) == 0.0
    assert h.rate(t_max, *curve, t_min) == 0.0
    assert h.rate(t_opt, *curve, t_min) == pytest.approx(1.0, abs=1e-12)
    assert h.rate(t_max - 1e-7, *curve, t_min) == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize("kind", [k for k in TABLE["rates"] if k != "temp_c"])
def test_rates_of_all_kinds_against_another_program(kind: str) -> None:
    found = h.rates(np.array(TABLE["rates"]["temp_c"], float), *cardinal(kind.removesuffix("_without_zero")), -99.0)
    np.testing.assert_allclose(found, TABLE["rates"][kind], atol=5.1e-4)


def test_walnut_at_22_against_its_days() -> None:
    """heal.S4, quoted from others: 5 days at 27 °C over 7 days at 22 °C is 0.71; the curve was drawn by hand to it."""
    seen = TABLE["walnut_seen"]["days_at_27"] / TABLE["walnut_seen"]["days_at_22"]
    assert h.rate(22.0, *cardinal("walnut"), 17.0) == pytest.approx(seen, abs=0.02)


def test_walnut_needs_its_hard_zero() -> None:
    """heal.S4: none below 20 °C; the curve alone has a third to a half there."""
    assert h.rate(19.9, *cardinal("walnut"), 17.0) > 0.3
    assert h.rate(19.9, *cardinal("walnut"), 20.0) == 0.0
    assert h.rate(20.0, *cardinal("walnut"), 20.0) > 0.4


@pytest.mark.parametrize("i", range(8))
def test_days_that_swing_like_a_sine(i: int) -> None:
    days = TABLE["citrus_days"]
    low, high = days["low_c"][i], days["high_c"][i]
    temp = (low + high) / 2 + (high - low) / 2 * np.sin(2 * np.pi * np.arange(24) / 24)
    mean = float(h.rates(temp, *CITRUS).mean())
    assert mean == pytest.approx(days["mean_rate"][i], abs=0.006)
    assert 18.0 / mean == pytest.approx(days["days"][i], abs=0.6)


def test_the_mean_of_a_day_misleads_both_ways() -> None:
    days = TABLE["citrus_days"]
    cold, hot = (h.rate((days["low_c"][i] + days["high_c"][i]) / 2, *CITRUS) for i in (0, 5))
    assert cold == pytest.approx(days["rate_of_mean_first"], abs=0.006)
    assert hot == pytest.approx(days["rate_of_mean_sixth"], abs=0.006)
    assert cold < days["mean_rate"][0] / 3
    assert hot > days["mean_rate"][5] + 0.2


@settings(deadline=None)
@given(curves, st.lists(st.floats(-10.0, 60.0), min_size=1, max_size=50), st.floats(1e-9, 1.0))
def test_the_table_is_as_good_as_the_curve(curve: tuple[float, float, float], temps: list[float], near: float) -> None:
    t_min, t_opt, t_max = curve
    table = np.empty(h.TABLE_STEPS + 2)
    h.rate_table(*curve, table)
    for temp in (*temps, t_min + near, t_opt, t_max - near):
        exact = h.rate(temp, *curve, t_min)
        assert h.rate_from(table, temp, t_min, t_opt, t_max, t_min) == pytest.approx(exact, abs=1e-4)


@settings(deadline=None)
@given(curves, st.floats(-10.0, 60.0), st.floats(0.0, 10.0))
def test_warmer_below_the_best_is_never_slower_and_above_it_never_faster(
    curve: tuple[float, float, float], temp: float, more: float
) -> None:
    t_min, t_opt, _ = curve
    cool, warm = h.rate(temp, *curve, t_min), h.rate(temp + more, *curve, t_min)
    if temp + more <= t_opt:
        assert warm >= cool - 1e-12
    if temp >= t_opt:
        assert warm <= cool + 1e-12


# -- sums and pointers ----------------------------------------------------------------------------------------


def some_hours(days: int = 120, seed: int = 3) -> np.ndarray:
    t = np.arange(24 * days)
    noise = np.random.default_rng(seed).normal(0.0, 2.0, t.size)
    return 19.0 + 6.0 * np.sin(2 * np.pi * t / (24 * days)) + 7.0 * np.sin(2 * np.pi * t / 24) + noise


def plain_reached(temp: np.ndarray, curve: np.ndarray, need: float, start: int) -> int:
    """Hours until the sum is there, by a loop over the hours of one member and one start; -1 if it is not."""
    total = 0.0
    for i in range(start, temp.size):
        total += float(plain_rate(temp[i : i + 1], *curve)[0]) / 24.0
        if total >= need:
            return i + 1 - start
    return -1


def test_days_to_a_sum_against_a_plain_loop() -> None:
    temp = some_hours()
    rng = np.random.default_rng(5)
    members = np.column_stack((rng.normal(13, 1.5, 6), rng.normal(28, 2, 6), rng.normal(38, 1.5, 6), np.full(6, -9.0)))
    needs = np.column_stack((rng.normal(5, 1, 6), rng.normal(15, 3, 6), rng.normal(30, 5, 6)))
    starts = np.array([0, 10, 11, 500, 1500, 2800, 2879], dtype=np.int32)
    out = np.empty((6, 3, starts.size), dtype=np.int32)
    h.reached_into(temp[np.newaxis], members, needs, starts, 0, 6, out)
    for m in range(6):
        for k in range(3):
            for s, start in enumerate(starts):
                # a sum may pass a need by a hair one hour earlier or later where the table is off by 1e-4
                assert out[m, k, s] == pytest.approx(plain_reached(temp, members[m], needs[m, k], int(start)), abs=1)
    assert (out == -1).any()
    assert (out > 0).any()


def test_a_shared_row_is_as_a_row_each() -> None:
    temp = some_hours(60)
    curve = np.tile(CITRUS, (3, 1))
    needs, starts = np.array([[3.0], [6.0], [9.0]]), np.arange(0, 1000, 24, dtype=np.int32)
    one, each = (np.empty((3, 1, starts.size), dtype=np.int32) for _ in range(2))
    h.reached_into(temp[np.newaxis], curve, needs, starts, 0, 3, one)
    h.reached_into(np.repeat(temp[np.newaxis], 3, axis=0), curve, needs, starts, 0, 3, each)
    assert (one == each).all()


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 1000), st.floats(0.0, 5.0))
def test_warmer_weather_below_the_best_joins_no_later(seed: int, more: float) -> None:
    cool = np.clip(some_hours(100, seed), 0.0, 22.0)
    curve, needs = np.array([CITRUS]), np.array([[5.0, 15.0]])
    starts = np.arange(0, 1200, 240, dtype=np.int32)
    slow, fast = (np.empty((1, 2, starts.size), dtype=np.int32) for _ in range(2))
    h.reached_into(cool[np.newaxis], curve, needs, starts, 0, 1, slow)
    h.reached_into(cool[np.newaxis] + more, curve, needs, starts, 0, 1, fast)
    never = 10**6
    assert (np.where(fast < 0, never, fast) <= np.where(slow < 0, never, slow)).all()


# -- what comes first -----------------------------------------------------------------------------------------


def member(**change: float) -> np.ndarray:
    """One citrus member that only a long wait ends."""
    p = np.zeros((1, h.N_PARAMS))
    p[0, : h.P_ZERO + 1] = CITRUS
    p[0, h.P_D_LINK] = 10.0
    p[0, h.P_PUSH_T_MIN : h.P_PUSH_T_MAX + 1] = CITRUS[:3]
    p[0, h.P_D_PUSH], p[0, h.P_D_SPENT] = 15.0, 20.0
    p[0, h.P_KILL_LOSS], p[0, h.P_KILL_DOSE] = 0.3, 0.7
    p[0, h.P_LIMIT_H] = 50 * 24
    p[0, h.P_FROST_UNION], p[0, h.P_FROST_GROWTH] = -3.0, -2.0
    for name, value in change.items():
        p[0, getattr(h, f"P_{name.upper()}")] = value
    return p


def end_of(
    union: np.ndarray, p: np.ndarray, *, scion: np.ndarray | None = None, growth: np.ndarray | None = None,
    loss: float = 0.0, dose: float = 0.0, grows: bool = True, look: int = 75 * 24,
) -> tuple[int, int, int]:  # fmt: skip
    rows = [x[np.newaxis] for x in (union, union if scion is None else scion, union if growth is None else growth)]
    sums = [np.cumsum(np.concatenate(([0.0], np.full(union.size, each))))[np.newaxis] for each in (loss, dose)]
    ends, hours = np.empty((1, 1), dtype=np.int8), np.empty((1, 1, 2), dtype=np.int32)
    h.outcomes_into(*rows, *sums, p, np.zeros(1, dtype=np.int32), look, grows, 0, 1, ends, hours)
    return int(ends[0, 0]), int(hours[0, 0, 0]), int(hours[0, 0, 1])


DAYS = 90 * 24
BEST = np.full(DAYS, 28.0)


def test_ten_days_at_the_best_temperature_take_ten_days() -> None:
    code, link, push = end_of(BEST, member())
    assert code == h.LINKED
    assert (link, push) == pytest.approx((240, 360), abs=1)


def test_each_ending() -> None:
    frost = BEST.copy()
    frost[100] = -3.5
    late = BEST.copy()
    late[400] = -2.5
    assert end_of(np.full(DAYS, 14.0), member())[0] == h.TOO_COLD
    assert end_of(np.full(DAYS, 37.5), member(), scion=np.full(DAYS, 10.0))[0] == h.TOO_HOT
    assert end_of(BEST, member(), loss=0.31 / 240)[0] == h.DRYING
    assert end_of(BEST, member(), loss=0.29 / 240)[0] == h.LINKED
    assert end_of(BEST, member(), dose=0.71 / 240)[0] == h.HEAT
    assert end_of(BEST, member(), scion=frost)[0] == h.FROST_BEFORE
    assert end_of(BEST, member(), growth=late)[0] == h.FROST_AFTER
    assert end_of(np.full(DAYS, 15.0), member(), scion=BEST)[0] == h.BUDS_FIRST
    assert end_of(np.full(30 * 24, 15.0), member())[0] == h.NOT_KNOWN


def test_the_first_of_two_endings_counts() -> None:
    frost = BEST.copy()
    frost[100] = -3.5
    assert end_of(BEST, member(), scion=frost, loss=0.31 / 90)[0] == h.DRYING
    assert end_of(BEST, member(), scion=frost, loss=0.31 / 110)[0] == h.FROST_BEFORE


def test_a_frost_before_the_push_or_past_the_time_looked_at_leaves_new_growth_alone() -> None:
    growth = BEST.copy()
    growth[300] = -5.0
    assert end_of(BEST, member(), growth=growth)[0] == h.LINKED
    growth[500] = -5.0
    assert end_of(BEST, member(), growth=growth)[0] == h.FROST_AFTER
    assert end_of(BEST, member(), growth=growth, look=480)[0] == h.LINKED


def test_a_sleeping_bud_neither_pushes_nor_freezes_its_growth() -> None:
    growth = BEST.copy()
    growth[500] = -5.0
    code, _, push = end_of(BEST, member(), growth=growth, grows=False)
    assert (code, push) == (h.LINKED, -1)
    assert end_of(np.full(DAYS, 18.0), member(d_link=15.0), scion=BEST, grows=False)[0] == h.LINKED


def plain_outcome(
    union: np.ndarray, scion: np.ndarray, growth: np.ndarray, loss: np.ndarray, dose: np.ndarray, p: np.ndarray,
    start: int, look: int,
) -> int:  # fmt: skip
    """Hour by hour, as it is told in docs/models/healing.md; a growing bud."""
    healed = pushed = lost = dosed = cold_side = 0.0
    push_at = None
    linked = False
    heal = plain_rate(union, *p[:4]).tolist()
    push = plain_rate(scion, *p[h.P_PUSH_T_MIN : h.P_PUSH_T_MAX + 1], -99.0).tolist()
    for i in range(start, min(start + look, union.size)):
        if not linked and i - start >= p[h.P_LIMIT_H]:
            return h.TOO_COLD if cold_side >= 0.0 else h.TOO_HOT
        if push_at is None and pushed >= p[h.P_D_PUSH]:
            push_at = i
        if push_at is not None and growth[i] < p[h.P_FROST_GROWTH]:
            return h.FROST_AFTER
        if not linked and scion[i] < p[h.P_FROST_UNION]:
            return h.FROST_BEFORE
        f = heal[i]
        healed += f / 24.0
        cold_side += (1.0 - f) if union[i] < p[h.P_T_OPT] else f - 1.0
        pushed += push[i] / 24.0
        lost, dosed = lost + loss[i], dosed + dose[i]
        if not linked:
            linked = healed >= p[h.P_D_LINK]
            if not linked:
                for code, gone in (
                    (h.DRYING, lost >= p[h.P_KILL_LOSS]), (h.HEAT, dosed >= p[h.P_KILL_DOSE]),
                    (h.BUDS_FIRST, pushed >= p[h.P_D_SPENT]),
                ):  # fmt: skip
                    if gone:
                        return code
    return h.LINKED if linked else h.NOT_KNOWN


def test_endings_against_a_plain_loop_over_hours() -> None:
    """200 random members, each with its own weather; two may differ, where the table turns by a hair."""
    rng = np.random.default_rng(11)
    members, n, look = 200, 100 * 24, 75 * 24
    t = np.arange(n)
    union = rng.uniform(6, 32, (members, 1)) + 8.0 * np.sin(2 * np.pi * t / 24) + rng.normal(0, 2, (members, n))
    scion = union + rng.normal(2.0, 2.0, (members, 1))
    growth = union - rng.uniform(0, 3, (members, 1))
    loss = rng.uniform(0, 0.0008, (members, 1)) * np.ones(n)
    dose = np.where(scion > 40, rng.uniform(0, 0.05, (members, 1)), 0.0)
    p = np.repeat(member(), members, axis=0)
    p[:, h.P_D_LINK] = rng.uniform(5, 20, members)
    p[:, h.P_D_PUSH] = rng.uniform(5, 25, members)
    p[:, h.P_D_SPENT] = p[:, h.P_D_PUSH] + rng.uniform(2, 10, members)
    p[:, h.P_FROST_UNION], p[:, h.P_FROST_GROWTH] = rng.uniform(-6, 0, members), rng.uniform(-4, 2, members)
    starts = np.array([0, 10, 250], dtype=np.int32)
    sums = [np.concatenate((np.zeros((members, 1)), np.cumsum(x, axis=1)), axis=1) for x in (loss, dose)]
    ends, hours = np.empty((members, 3), dtype=np.int8), np.empty((members, 3, 2), dtype=np.int32)
    h.outcomes_into(union, scion, growth, *sums, p, starts, look, True, 0, members, ends, hours)
    plain = np.array(
        [
            [plain_outcome(union[m], scion[m], growth[m], loss[m], dose[m], p[m], int(s), look) for s in starts]
            for m in range(members)
        ]
    )
    assert set(np.unique(plain)) >= {
        h.LINKED, h.TOO_COLD, h.DRYING, h.HEAT, h.FROST_BEFORE, h.FROST_AFTER, h.BUDS_FIRST,
    }  # fmt: skip
    assert (ends != plain).sum() <= 2
