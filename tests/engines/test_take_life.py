"""Looks as lives."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from barkslip.domain.take import Life
from barkslip.engines.take_life import life

SET = date(2022, 10, 5)


def seen(*looks):
    return [(SET + timedelta(days=d), SET + timedelta(days=d), state) for d, state in looks]


@pytest.mark.parametrize(
    ("looks", "expected"),
    [
        ((), Life(0.0)),
        (((7, "green and still"), (28, "swelling")), Life(28.0)),
        (((7, "green and still"), (28, "pushing"), (90, "pushing")), Life(90.0, "", 17.5)),
        (((7, "green and still"), (21, "shrivelled"), (42, "shrivelled")), Life(14.0, "failed")),
        (((10, "black"),), Life(5.0, "failed")),
        (((7, "green and still"), (30, "pushing"), (50, "broken")), Life(40.0, "other", 18.5)),
        (((30, "pushing"), (60, "eaten")), Life(45.0, "other", 15.0)),
        (((30, "pushing"), (340, "choked")), Life(185.0, "other", 15.0)),
        # what was taken for dead and grew later was never lost
        (((30, "green and still"), (270, "shrivelled"), (450, "pushing")), Life(450.0, "", 360.0)),
        (((7, "unknown"), (30, "green and still"), (60, "unknown")), Life(30.0)),
        (((7, "pushing"), (30, "stalled")), Life(30.0, "", 3.5)),
    ],
)
def test_life(looks, expected):
    assert life(seen(*looks), SET) == expected


def test_a_day_known_as_a_range_counts_by_its_middle():
    first, last = SET + timedelta(days=10), SET + timedelta(days=20)
    assert life([(first, last, "green and still")], SET) == Life(15.0)


def test_a_look_before_the_middle_of_a_vague_setting_is_day_zero():
    assert life([(SET - timedelta(days=3), SET - timedelta(days=3), "green and still")], SET) == Life(0.0)
