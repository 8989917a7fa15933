"""What a bare count says with the prior as a Beta."""

from __future__ import annotations

import numpy as np
import pytest

from barkslip.engines.take_counts import CountPrior, answer, beta_of, information, more_for_width

PRIOR = CountPrior(2.04, 0.91)


@pytest.mark.parametrize(
    ("took", "n", "mean", "low", "high", "prior"),
    [
        (0, 2, 0.41, 0.10, 0.76, 0.60),
        (2, 2, 0.82, 0.49, 0.99, None),
        (8, 10, 0.78, 0.57, 0.93, 0.23),
        (24, 30, 0.79, 0.67, 0.89, 0.09),
    ],
)
def test_too_few_grafts_to_tell(took, n, mean, low, high, prior):
    """The worked table of docs/models/take.md: 0 of 2, 2 of 2, 8 of 10, 24 of 30."""
    found = answer(took, n, PRIOR)
    assert (found.mean, found.low, found.high) == pytest.approx((mean, low, high), abs=0.005)
    if prior is not None:
        assert found.prior_share == pytest.approx(prior, abs=0.005)


def test_the_beta_has_the_mean_and_spread_of_the_prior():
    """N(1.1, 1.4²) on the log odds is Beta(2.04, .91) by its first two moments."""
    found = beta_of(1.1, 1.4)
    assert (found.a, found.b) == pytest.approx((2.04, 0.91), abs=0.005)
    draws = 1.0 / (1.0 + np.exp(-np.random.default_rng(1).normal(1.1, 1.4, 400_000)))
    assert found.a / (found.a + found.b) == pytest.approx(draws.mean(), abs=0.002)


@pytest.mark.parametrize(("n", "bits"), [(1, 0.20), (5, 0.67), (10, 1.01), (20, 1.41)])
def test_information_of_more_grafts(n, bits):
    assert information(n, PRIOR) == pytest.approx(bits, abs=0.005)


def test_information_by_plain_sums():
    """The same mutual information summed over a fine grid of shares: sum p(k, share) log2 p(k | share) / p(k)."""
    from scipy.stats import beta, binom

    n = 40
    edges = beta.ppf(np.linspace(0.0, 1.0, 20_001), PRIOR.a, PRIOR.b)
    share = (edges[1:] + edges[:-1]) / 2.0
    likely = binom.pmf(np.arange(n + 1)[:, None], n, share)
    chance = likely.mean(axis=1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        bits = np.where(likely > 0.0, likely * np.log2(likely / chance), 0.0)
    assert information(n, PRIOR) == pytest.approx(bits.sum(axis=0).mean(), abs=0.002)


def test_more_grafts_for_a_width():
    """Share .8, a range of 20 points at 90 %: .16 x (2 x 1.645 / .2)² - 1 = 42.3; 13 are held."""
    assert more_for_width(0.8, 13.0, 0.2) == 30
    assert more_for_width(0.8, 100.0, 0.2) == 0
