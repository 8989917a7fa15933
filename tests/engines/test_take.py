"""Groups of grafts: what can be said of few, what cannot be told apart, and what a failed fit shows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from takes import KNOWN, count, graft, many

from barkslip.domain.graft import VERDICTS
from barkslip.domain.take import LUMPED
from barkslip.engines import take as engine
from barkslip.engines.hazard_mode import FitFailedError
from barkslip.engines.take import assess, assess_counts


def one(verdict, name):
    return next(g for g in verdict.groups if g.group == name)


# -- harmful answer: "method A is best, 100 %" from 1 of 1 ------------------------------------------------------------


def test_one_of_one_is_never_best():
    """1 of 1 stands beside 6 of 10: no 100 %, no rank, no chance of being better, most of it not its own."""
    found = assess([*count("cleft graft", 1, 1), *count("T-bud", 6, 10)], "method", KNOWN)
    single = one(found, "cleft graft")
    assert (single.took, single.n) == (1, 1)
    assert not single.ranked
    assert single.better_than == {}
    assert one(found, "T-bud").better_than == {}
    assert found.pairs == ()
    assert "no_ranking" in found.notes
    assert single.take_26w.p95 < 0.99
    assert single.take_26w.p05 < 0.6
    assert single.shares.own < 0.2
    assert found.groups[0].group == "T-bud"


@pytest.mark.parametrize(("n", "ranked"), [(4, False), (5, True)])
def test_no_ranking_below_five(n, ranked):
    found = assess([*count("a", n, n), *count("b", 2, 8)], "method", KNOWN)
    assert one(found, "a").ranked is ranked
    assert bool(found.pairs) is ranked


def test_grafts_that_wait_do_not_count_towards_five():
    grafts = [replace(graft("a"), verdict="waiting") for _ in range(8)]
    found = assess([*grafts, *count("b", 6, 8)], "method", KNOWN)
    assert one(found, "a").waiting == 8
    assert not one(found, "a").ranked


def test_what_goes_with_a_method_is_named():
    """Every T-bud on thin stocks of one tree, every bark graft on thick ones of another."""
    thick = count("bark graft", 9, 10, tree="T01", stock="rough lemon", cover="foil sleeve", stock_mm=60.0)
    thin = count("T-bud", 5, 10, tree="T02", stock="rough lemon", cover="foil sleeve", stock_mm=9.0)
    found = assess([*thick, *thin], "method", KNOWN)
    assert found.pairs[0].never_together == ("tree", "thickness")
    assert {(a.group, a.what, a.value) for a in found.alone} == {
        ("bark graft", "tree", "T01"), ("bark graft", "thickness", "thicker"),
        ("T-bud", "tree", "T02"), ("T-bud", "thickness", "thinner"),
    }  # fmt: skip


def test_shared_trees_and_times_are_not_named():
    a = count("a", 4, 6, tree="T01", months="January to March") + count(
        "a", 1, 2, tree="T02", months="July to September"
    )
    b = count("b", 4, 6, tree="T02", months="January to March")
    found = assess([*a, *b], "method", KNOWN)
    assert found.pairs[0].never_together == ()
    assert found.alone == ()


def test_a_tree_that_kills_is_not_laid_to_the_method():
    """Method b stands mostly on a tree where everything dies: pooled over trees it looks less bad than its count."""
    grafts = [
        *count("a", 9, 10, tree="T01", pair="P1"), *count("a", 1, 5, tree="T02", pair="P1"),
        *count("b", 4, 5, tree="T01", pair="P1"), *count("b", 3, 15, tree="T02", pair="P1"),
    ]  # fmt: skip
    found = assess(grafts, "method", KNOWN)
    raw = 10 / 15 - 7 / 20
    pair = found.pairs[0]
    assert pair.better == "a"
    assert pair.points.p50 < raw - 0.05


# -- few, many, none -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("took", "n", "mean", "prior"), [(0, 2, 0.36, 0.60), (2, 2, 0.82, 0.60), (8, 10, 0.78, 0.23), (24, 30, 0.79, 0.09)]
)
def test_the_table_of_few_grafts_with_lives(took, n, mean, prior):
    """The hazard's answer for one group lies near that of the Beta, whose middles these are."""
    found = assess(count("bark graft", took, n), "method", KNOWN).groups[0]
    assert found.take_26w.p50 == pytest.approx(mean, abs=0.06)
    assert found.shares.prior == pytest.approx(prior, abs=0.16)
    assert found.shares.others == pytest.approx(0.0, abs=1e-9)


def test_no_grafts_say_the_prior():
    found = assess([], "method", KNOWN)
    assert found.groups == ()
    assert found.notes == ("no_grafts",)
    assert found.whole.take_26w.p50 == pytest.approx(0.75, abs=0.02)
    assert found.whole.shares.prior == pytest.approx(1.0)


@pytest.mark.parametrize(("took", "note"), [(6, "none_lost"), (0, "all_lost")])
def test_none_and_all_lost_are_said(took, note):
    found = assess(count("a", took, 6), "method", KNOWN)
    assert note in found.notes
    assert "one_group" in found.notes
    assert 0.0 < found.groups[0].take_26w.p05 < found.groups[0].take_26w.p95 < 1.0


def test_nobody_has_looked():
    grafts = [replace(graft("a"), verdict="waiting", life=None) for _ in range(6)]
    found = assess(grafts, "method", KNOWN)
    assert found.groups[0].waiting == 6
    assert found.groups[0].curve is None
    assert {"no_lives", "left_out"} <= set(found.notes)
    assert found.left_out == 6


def test_separated_groups():
    """All of one took, none of the other: told, and still a range."""
    found = assess([*count("a", 12, 12), *count("b", 0, 12)], "method", KNOWN)
    assert found.pairs[0].told
    assert found.pairs[0].better == "a"
    assert one(found, "a").take_26w.p95 < 1.0
    assert one(found, "b").take_26w.p05 > 0.0
    assert one(found, "a").better_than["b"] == pytest.approx(1.0, abs=0.02)
    assert one(found, "b").better_than["a"] == pytest.approx(0.0, abs=0.02)


def test_equal_groups_cannot_be_told():
    found = assess([*count("a", 8, 10), *count("b", 8, 10)], "method", KNOWN)
    pair = found.pairs[0]
    assert not pair.told
    assert 0.3 < pair.chance < 0.7
    assert pair.needed_each is None
    assert one(found, "a").needed is None
    assert one(found, "a").needed_for == "b"


def test_grafts_still_needed():
    """.5 against .9 takes 25 of each by the corrected count; 10 are held by each, as far apart as the middles are."""
    found = assess([*count("a", 9, 10), *count("b", 3, 10)], "method", KNOWN)
    pair = found.pairs[0]
    assert pair.needed_each is not None
    assert one(found, "a").needed == max(pair.needed_each - 10, 0)


def test_other_causes_are_no_failure_to_join():
    """Ten joined and birds took five of them: the join is good, what stands is not."""
    grafts = [
        *count("a", 10, 10),
        *[replace(graft("a", True, days=60.0, end="other"), verdict="took", lost_after=True)] * 5,
    ]
    found = assess(grafts, "method", KNOWN).groups[0]
    assert found.take_26w.p50 > 0.85
    assert found.stands_26w.p50 < found.take_26w.p50 - 0.1
    assert (found.took, found.lost_after) == (15, 5)


def test_a_year_not_yet_over_waits():
    grafts = [replace(graft("a"), alive_year=True), replace(graft("a"), alive_year=False)]
    grafts += [replace(graft("a"), year_due=date(2025, 10, 6))] * 3
    year = assess(grafts, "method", KNOWN).groups[0].year
    assert (year.alive, year.known, year.waiting, year.due) == (1, 2, 3, date(2025, 10, 6))


def test_counts_add_up_and_chances_mirror():
    grafts = many(120)
    found = assess(grafts, "method", KNOWN)
    assert sum(g.n for g in found.groups) == 120
    for g in found.groups:
        assert g.took + g.waiting + g.lost == g.n
        assert g.shares.prior + g.shares.others + g.shares.own == pytest.approx(1.0)
        assert g.take_26w.p05 < g.take_26w.p50 < g.take_26w.p95
        assert g.stands_26w.p50 <= g.take_26w.p50
        for name, chance in g.better_than.items():
            assert chance + one(found, name).better_than[g.group] == pytest.approx(1.0)
    assert sum(sum(x.verdict == w for x in grafts) for w in VERDICTS) == 120


def test_the_same_seed_gives_the_same_answer():
    grafts = many(60)
    assert assess(grafts, "method", KNOWN, seed=4) == assess(grafts, "method", KNOWN, seed=4)
    assert assess(grafts, "method", KNOWN, seed=4) != assess(grafts, "method", KNOWN, seed=5)


def test_order_of_grafts_does_not_matter():
    grafts = many(60)
    a, b = assess(grafts, "method", KNOWN), assess(grafts[::-1], "method", KNOWN)
    assert [g.group for g in a.groups] == [g.group for g in b.groups]
    for x, y in zip(a.groups, b.groups, strict=True):
        assert x.take_26w.p50 == pytest.approx(y.take_26w.p50, abs=0.02)


def test_very_many_groups_are_put_together():
    grafts = [g for i in range(60) for g in count("a", 2, 2 + (i < 20), tree=f"T{i:02d}")]
    found = assess(grafts, "tree", KNOWN)
    assert len(found.groups) == engine.MOST_GROUPS + 1
    assert found.groups[-1].group == LUMPED
    assert not found.groups[-1].ranked
    assert len(found.lumped) == 20


# -- a fit that failed -----------------------------------------------------------------------------------------------


def test_a_failed_fit_shows_counts_alone_and_compares_nothing(monkeypatch):
    def fails(*args, **kwargs):
        raise FitFailedError("ess", 12.0)

    monkeypatch.setattr(engine.hazard, "fit", fails)
    found = assess([*count("a", 8, 10), *count("b", 2, 10)], "method", KNOWN)
    assert found.notes[0] == "fit_failed"
    assert "no_ranking" not in found.notes
    assert found.pairs == ()
    assert not any(g.ranked or g.better_than for g in found.groups)
    a = one(found, "a")
    assert (a.take_26w.p05, a.take_26w.p95) == pytest.approx((0.57, 0.93), abs=0.01)
    assert a.shares.others == 0.0


# -- typed counts ----------------------------------------------------------------------------------------------------


def test_typed_counts_say_the_table_of_few_grafts():
    found = assess_counts((("x", 8, 10), ("y", 24, 30), ("z", 0, 2)), KNOWN)
    for name, low, high, prior in (("x", 0.57, 0.93, 0.23), ("y", 0.67, 0.89, 0.09), ("z", 0.10, 0.76, 0.60)):
        g = one(found, name)
        assert (g.take_26w.p05, g.take_26w.p95) == pytest.approx((low, high), abs=0.01)
        assert g.shares.prior == pytest.approx(prior, abs=0.005)
    assert not one(found, "z").ranked
    assert found.notes[0] == "typed"
