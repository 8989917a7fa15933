"""Curves of a group."""

from __future__ import annotations

from dataclasses import replace

import pytest
from takes import graft

from barkslip.domain.take import Life
from barkslip.engines.take_curves import curve


def lived(days: float, end: str = "", push: float | None = None):
    return replace(graft(), life=Life(days, end, push))


def test_four_grafts_by_hand():
    """One dries at week 1, a bird takes one at week 2, one leaves at week 3, the last dries at week 4."""
    c = curve([lived(7, "failed"), lived(14, "other"), lived(21), lived(28, "failed")])
    assert c is not None
    assert c.weeks == (0.0, 1.0, 2.0, 4.0)
    assert c.failed == pytest.approx((0.0, 0.25, 0.25, 0.75))
    assert c.other == pytest.approx((0.0, 0.0, 0.25, 0.25))
    assert c.standing == pytest.approx((1.0, 0.75, 0.5, 0.0))
    assert c.at_risk == (4, 4, 3, 1)


def test_lost_before_it_pushed_never_pushes():
    c = curve([lived(7, "failed"), lived(60, "", 28.0)])
    assert c is not None
    assert c.pushed[-1] == pytest.approx(0.5)


def test_a_push_is_kept_by_one_that_is_lost_later():
    c = curve([lived(60, "other", 28.0), lived(60, "", 28.0)])
    assert c is not None
    assert c.pushed[-1] == pytest.approx(1.0)
    assert c.standing[-1] == pytest.approx(0.5)


def test_what_happens_after_a_year_is_beyond_the_curve():
    c = curve([lived(500, "failed"), lived(400)])
    assert c is not None
    assert c.weeks[-1] == 52.0
    assert c.failed[-1] == 0.0


def test_nothing_lost_is_a_band():
    c = curve([lived(100), lived(100)])
    assert c is not None
    assert c.low[-1] < 0.6
    assert c.high[-1] == pytest.approx(1.0)


def test_nobody_looked():
    assert curve([lived(0.0), replace(graft(), life=None)]) is None
