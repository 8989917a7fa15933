"""Coded tastings: codes of their own, orders that are balanced."""

from __future__ import annotations

from collections import Counter

import pytest

from barkslip.engines.taste_sheet import sheet, williams


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6, 8])
def test_each_stands_in_each_place_and_follows_each_other_as_often(n: int) -> None:
    rows = williams(n)
    assert all(sorted(row) == list(range(n)) for row in rows)
    for place in range(n):
        assert len(set(Counter(row[place] for row in rows).values())) == 1
    follows = Counter((row[i], row[i + 1]) for row in rows for i in range(n - 1))
    assert len(follows) == n * (n - 1)
    assert len(set(follows.values())) == 1


def test_codes() -> None:
    found = sheet(("own", "bought", "other"), 6, 12)
    codes = [code for code, _ in found.samples]
    assert len(set(codes)) == 3
    assert all(100 <= int(code) <= 999 for code in codes)
    assert all(sorted(order) == sorted(codes) for order in found.orders)
    assert len(set(found.orders)) == 6  # two mirrored squares of three: each order once
    assert sheet(("own", "bought", "other"), 6, 12) == found
    assert sheet(("own", "bought", "other"), 6, 13).samples != found.samples
