"""Curves without a model, against printed data worked by hand."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from barkslip.engines.survival import aalen_johansen, band, kaplan_meier, wilson

SIX_MP = tomllib.loads((Path(__file__).parents[1] / "published" / "survival_6mp.toml").read_text())
HALF_DIGIT = 0.00005


def test_kaplan_meier_against_6mp():
    found = kaplan_meier(np.array(SIX_MP["time_weeks"], float), np.array(SIX_MP["relapsed"], bool))
    assert found.time.tolist() == SIX_MP["at"]
    assert found.at_risk.tolist() == [21, 17, 15, 12, 11, 7, 6]
    np.testing.assert_allclose(found.share, SIX_MP["share"], atol=HALF_DIGIT)


def test_greenwood_against_6mp():
    found = kaplan_meier(np.array(SIX_MP["time_weeks"], float), np.array(SIX_MP["relapsed"], bool))
    np.testing.assert_allclose(found.error, SIX_MP["greenwood_error"], atol=HALF_DIGIT)


def test_kaplan_meier_is_the_hand_product_in_fractions():
    share, parts = Fraction(1), Fraction(0)
    for lost, risk in ((3, 21), (1, 17), (1, 15), (1, 12), (1, 11), (1, 7), (1, 6)):
        share *= 1 - Fraction(lost, risk)
        parts += Fraction(lost, risk * (risk - lost))
    found = kaplan_meier(np.array(SIX_MP["time_weeks"], float), np.array(SIX_MP["relapsed"], bool))
    assert found.share[-1] == pytest.approx(float(share), abs=1e-14)
    assert found.error[-1] == pytest.approx(float(share) * float(parts) ** 0.5, abs=1e-14)


def test_aalen_johansen_by_hand():
    """Four grafts: the first dies at 1, one is lost at 2, one leaves at 3, the last dies at 4.

    Way 1: 1/4, then of the half that stands at 4 all: 1/4 + 1/2 = 3/4. Way 2: 3/4 x 1/3 = 1/4.
    """
    found = aalen_johansen(np.array([1.0, 2.0, 3.0, 4.0]), np.array([1, 2, 0, 1]), 2)
    assert found.time.tolist() == [1.0, 2.0, 4.0]
    np.testing.assert_allclose(found.share, [[0.25, 0.0], [0.25, 0.25], [0.75, 0.25]], atol=1e-15)


def test_ways_and_what_stands_sum_to_one():
    rng = np.random.default_rng(3)
    time, way = rng.integers(1, 20, 200).astype(float), rng.integers(0, 4, 200)
    ways = aalen_johansen(time, way, 3)
    standing = kaplan_meier(time, way > 0)
    np.testing.assert_allclose(ways.share.sum(axis=1) + standing.share, 1.0, atol=1e-12)


def test_without_censoring_the_share_is_a_count():
    found = kaplan_meier(np.arange(1.0, 6.0), np.ones(5, bool))
    np.testing.assert_allclose(found.share, [0.8, 0.6, 0.4, 0.2, 0.0], atol=1e-12)
    assert found.error[-1] == 0.0


def test_nothing_lost_is_a_range_and_no_point():
    low, high = band(np.array([1.0]), np.array([0.0]), np.array([2]), 1.645)
    # Wilson with none of 2 lost: low = 1 / (1 + z²/2) = .425
    assert low[0] == pytest.approx(1 / (1 + 1.645**2 / 2), abs=1e-12)
    assert high[0] == pytest.approx(1.0)


def test_band_is_the_log_log_interval():
    found = kaplan_meier(np.array(SIX_MP["time_weeks"], float), np.array(SIX_MP["relapsed"], bool))
    low, high = band(found.share, found.error, found.at_risk, 1.959964)
    s, e = found.share[0], found.error[0]
    reach = np.exp(1.959964 * e / (s * np.log(s)))
    assert sorted((low[0], high[0])) == pytest.approx(sorted((s**reach, s ** (1 / reach))), abs=1e-12)
    assert (low < found.share).all() and (high > found.share).all()


def test_wilson_by_hand():
    """8 of 10 at 95 %: .490 to .943 (Wilson 1927; the usual worked example)."""
    low, high = wilson(np.array([0.8]), np.array([10]), 1.959964)
    assert (low[0], high[0]) == pytest.approx((0.4902, 0.9433), abs=HALF_DIGIT)
