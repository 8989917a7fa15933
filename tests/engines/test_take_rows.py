"""Lives cut into windows, and covariates."""

from __future__ import annotations

import numpy as np
import pytest
from takes import KNOWN, graft, known

from barkslip.domain.errors import InputError
from barkslip.domain.take import Life
from barkslip.engines.take_rows import coded, design, other_rows, rules, take_rows, windows


def cut(days: float, end: str):
    w = windows([graft(lost=bool(end), days=days, end=end)])
    return [
        (int(k), float(f), float(o), round(float(x), 3))
        for k, f, o, x in zip(w.window, w.failed, w.other, w.lived, strict=True)
    ]


def test_a_graft_followed_for_half_a_year_lives_through_all_windows():
    assert cut(365.0, "") == [(k, 0.0, 0.0, 1.0) for k in range(5)]


def test_a_window_half_known_counts_as_half():
    assert cut(21.0, "") == [(0, 0.0, 0.0, 1.0), (1, 0.0, 0.0, 0.5)]


def test_a_loss_falls_into_its_window():
    assert cut(20.0, "failed") == [(0, 0.0, 0.0, 1.0), (1, 1.0, 0.0, 0.429)]
    assert cut(28.0, "failed")[-1] == (2, 1.0, 0.0, 0.0)
    assert cut(0.0, "failed") == [(0, 1.0, 0.0, 0.0)]


def test_a_loss_to_others_is_followed_until_then():
    assert cut(35.0, "other") == [(0, 0.0, 0.0, 1.0), (1, 0.0, 0.0, 1.0), (2, 0.0, 1.0, 0.25)]


def test_a_loss_after_half_a_year_is_none_of_taking():
    assert [row[1:3] for row in cut(200.0, "failed")] == [(0.0, 0.0)] * 5


def test_each_hazard_has_its_own_deaths():
    grafts = [graft(lost=True, days=20.0), graft(lost=True, days=35.0, end="other"), graft()]
    lived = windows(grafts)
    x, none = np.zeros((3, 0)), np.full(3, -1)
    fails, others = take_rows(lived, x, none, none), other_rows(lived, x)
    assert fails.died.sum() == others.died.sum() == 1.0
    assert fails.died[1] == 1.0
    assert others.died[2] == 1.0
    # in weeks 4 to 8 the one that a bird took had joined so far for a quarter of the window
    assert fails.lived[2] == pytest.approx(1.25)
    # in weeks 2 to 4 the one that failed had been spared by birds until then
    assert others.lived[1] == pytest.approx(2.0 + 6.0 / 14.0)


def test_covariates_are_centred_and_groups_are_not():
    rule = rules(KNOWN)
    grafts = [graft("a", hot=True), graft("a", hot=False), graft("b", hot=None), graft("b", hot=False)]
    plan = design(grafts, ["a", "a", "b", "b"], "method", rule)
    assert plan.names == ("group:a", "group:b", "heat")
    assert plan.x[:, 2] == pytest.approx([2 / 3, -1 / 3, 0.0, -1 / 3])
    assert plan.x[:, 0].tolist() == [1.0, 1.0, 0.0, 0.0]
    np.testing.assert_allclose(plan.beta, ((0.0, 0.57), (0.0, 0.57), (0.4, 0.8)))


def test_what_never_varies_is_no_covariate():
    plan = design([graft(hot=True), graft(hot=True)], ["bark graft"] * 2, "method", rules(KNOWN))
    assert plan.names == ()


def test_what_is_asked_for_is_not_taken_out_as_well():
    grafts = [graft(cover="no cover"), graft(cover="foil sleeve")]
    plan = design(grafts, ["no cover", "foil sleeve"], "cover", rules(KNOWN))
    assert plan.names == ("group:no cover", "group:foil sleeve")
    assert [mean for mean, _ in plan.beta] == [0.0, -0.4]


def test_one_tree_is_no_factor():
    assert coded(["T01"] * 3).tolist() == [-1, -1, -1]
    assert coded(["T01", "T02", "T01"]).tolist() == [0, 1, 0]


def test_the_prior_is_the_declared_one():
    rule = rules(KNOWN)
    assert rule.take.logit_take == (1.1, 1.4)
    assert rule.take.split == (0.25, 0.3, 0.2, 0.15, 0.1)
    assert (rule.take.window_sd, rule.take.spread_sd) == (0.3, 0.5)
    assert rule.take.spreads == (0.05, 0.25, 0.5, 0.8, 1.2)
    assert (rule.cover, rule.heat, rule.old_wood, rule.sunny_side) == (
        pytest.approx((-0.4, 0.8)), pytest.approx((0.4, 0.8)), pytest.approx((0.3, 0.8)), pytest.approx((0.0, 0.8)),
    )  # fmt: skip


def test_parts_that_do_not_add_up_are_refused():
    with pytest.raises(InputError) as refused:
        rules(known(take_window_w1=0.5))
    assert refused.value.message == (
        "The parts of the losses in the windows do not add up.\n"
        "Given: 0.5 + 0.3 + 0.2 + 0.15 + 0.1\n"
        "Allowed: five parts above 0 that sum to 1\n"
        "Next: Correct take.window in your own knowledge folder."
    )


def test_a_graft_without_a_day_or_a_look_has_no_window():
    from dataclasses import replace

    assert len(windows([replace(graft(), life=None), replace(graft(), life=Life(0.0))]).graft) == 0
