"""Graft chimeras: layers against the one that is described, limits against published ones."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from barkslip.domain.chimera import AGAINST, LAYERS, TISSUES
from barkslip.engines import chimera
from barkslip.knowledge.load import load

SATSUMA, NAVEL = "'Owari' satsuma", "'Robertson' navel orange"


def test_zaohong_as_it_is_described() -> None:
    """Zhang et al. 2007 (J Amer Soc Hort Sci 132:374-380): L1 satsuma under the rest navel. Pulp colour like satsuma;
    shape of leaf and fruit, navel, colour and scent of the rind like the navel orange."""
    like = {t.name: t.donor for t in chimera.arrange((SATSUMA, NAVEL, NAVEL)).tissues}
    assert like["colour of the juice"] == SATSUMA
    assert like["juice sacs"] == SATSUMA
    assert like["rind: colour and scent"] == NAVEL
    assert like["shape of leaf and fruit, the navel"] == NAVEL
    assert like["months of ripening"] == "", "it ripened a month earlier, in whichever layer that lies"


def test_what_another_study_found_stands_beside_it() -> None:
    """Wu et al. 2014 found markers of both parents in the juice sacs of the same chimera."""
    tissues = {t.name: t for t in chimera.arrange((SATSUMA, NAVEL, NAVEL)).tissues}
    assert "layers_mixed" in tissues["juice sacs"].against
    facts = load(None).rows("chimera")
    assert facts["layers_mixed"].value is not None
    assert facts["layers_mixed"].value.source == "chain.WU2014"


def test_every_tissue_leans_on_a_row_of_the_knowledge_base() -> None:
    facts = load(None).rows("chimera")
    for layer, key in TISSUES.values():
        assert key in facts
        if layer is not None:
            assert facts[key].cell("layer") == layer
    assert set(AGAINST) <= set(facts)


def test_two_kinds_lie_in_three_layers_in_six_ways() -> None:
    found = chimera.all_arrangements("A", "B")
    assert sorted(a.layers for a in found) == sorted(
        [("A", "A", "B"), ("A", "B", "A"), ("A", "B", "B"), ("B", "A", "A"), ("B", "A", "B"), ("B", "B", "A")]
    )
    for one in found:
        place = dict(zip(LAYERS, one.layers, strict=True))
        for tissue in one.tissues:
            assert tissue.donor == (place[tissue.layer] if tissue.layer else "")
        assert one.written == "A + B"


@pytest.mark.parametrize(
    ("seen", "of", "low", "high"),
    [
        # Newcombe 1998, Statistics in Medicine 17:857-872, table I, method 5 (Clopper and Pearson), recalled
        (81, 263, 0.2527, 0.3676),
        (15, 148, 0.0578, 0.1617),
        (0, 20, 0.0, 0.1684),
        (1, 29, 0.0009, 0.1776),
    ],
)
def test_exact_limits_as_published(seen: int, of: int, low: float, high: float) -> None:
    assert chimera.exact_limits(seen, of, 0.95) == pytest.approx((low, high), abs=5e-5)


@settings(max_examples=50, deadline=None)
@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_exact_limits_are_where_the_tails_are(case: tuple[int, int]) -> None:
    seen, of = case
    low, high = chimera.exact_limits(seen, of, 0.95)
    assert 0.0 <= low <= seen / of <= high <= 1.0
    if seen:
        assert binom.sf(seen - 1, of, low) == pytest.approx(0.025, rel=1e-6)
    if seen < of:
        assert binom.cdf(seen, of, high) == pytest.approx(0.025, rel=1e-6)
        assert binom.cdf(seen, of, chimera.upper_limit(seen, of, 0.95)) == pytest.approx(0.05, rel=1e-6)


@pytest.mark.parametrize("of", [30, 100, 1000])
def test_the_rule_of_three_beside_the_exact_limit(of: int) -> None:
    """Hanley and Lippman-Hand 1983 (JAMA 249:1743-1745): 3/n, from 30 on within a hundredth or so of the exact one."""
    found = chimera.odds(0, of, 0.95)
    assert found is not None
    assert found.three == pytest.approx(3 / of)
    assert found.upper == pytest.approx(1 - 0.05 ** (1 / of))
    assert found.upper < found.three < found.upper * 1.06


def test_no_rule_of_three_for_few_unions_or_where_one_was_seen() -> None:
    for seen, of in ((0, 29), (1, 100)):
        found = chimera.odds(seen, of, 0.95)
        assert found is not None and found.three is None
    assert chimera.odds(0, 0, 0.95) is None


def test_how_many_unions_an_even_chance_takes() -> None:
    found = chimera.odds(0, 30, 0.95)
    assert found is not None and found.for_even_chance is not None
    assert 1 - (1 - found.upper) ** found.for_even_chance >= 0.5 > 1 - (1 - found.upper) ** (found.for_even_chance - 1)
    assert found.for_even_chance == math.ceil(math.log(2) / (math.log(20) / 30))


def test_all_seen_leaves_no_upper_limit_but_one() -> None:
    found = chimera.odds(3, 3, 0.95)
    assert found is not None
    assert (found.high, found.upper, found.for_even_chance) == (1.0, 1.0, None)
    assert found.low == pytest.approx(0.025 ** (1 / 3))
