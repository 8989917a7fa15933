"""Beliefs over stocks: against a table worked by hand, what must always hold, and what never may."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barkslip.app.root_table import group_starts, stock_looks
from barkslip.domain.errors import KnowledgeError
from barkslip.domain.root import LookAnswer, LookQuestion, read_looks
from barkslip.domain.sourced import Value
from barkslip.engines.root import (
    Start,
    StockLooks,
    after,
    before,
    clashes,
    drawn,
    entropy,
    implied,
    named,
    next_looks,
)
from barkslip.knowledge.load import load

KNOWLEDGE = load()
TABLE = stock_looks(KNOWLEDGE)
STARTS = group_starts(KNOWLEDGE)
NAMES = [s.group for s in STARTS]
LOOKS = [a.key for q in TABLE.questions.values() for a in q.answers]


def looks_of(*keys):
    looks = read_looks(keys, list(TABLE.questions.values()))
    return [*looks, *implied(TABLE, looks)]


def beliefs(*keys, starts=STARTS, room=None):
    share = after(TABLE, starts, before(starts, room), looks_of(*keys))
    return dict(zip([s.group for s in starts], share[:, 0], strict=True))


# -- by hand --------------------------------------------------------------------------------------------------------

#: Worked with a pocket calculator from the words of the table and their weights: usual 0.7, sometimes 0.25, rare 0.05,
#: never 0.005; all groups weigh 1 before, another stock 0.3. It looks like the mean of the five with single leaves.
#: Share of three leaflets (of 3 and 1); share of many thorns (of many, few and none).
BY_HAND = {
    #                       leaflets=3                thorns=many               product    of 1.267994
    "trifoliate":           (0.7 / 0.75,              0.7 / 0.755,              0.865342,  0.68245),
    "citrange_citrumelo":   (0.7 / 0.75,              0.25 / 1.0,               0.233333,  0.18402),
    "citrandarin":          (0.7 / 0.95,              0.25 / 1.2,               0.153509,  0.12107),
    "sour_orange":          (0.005 / 0.705,           0.7 / 1.0,                0.0049645, 0.00392),
    "rough_lemon_volkamer": (0.005 / 0.705,           0.25 / 1.0,               0.0017730, 0.00140),
    "mandarin":             (0.005 / 0.705,           0.05 / 1.0,               0.0003546, 0.00028),
    "macrophylla":          (0.005 / 0.705,           0.7 / 1.0,                0.0049645, 0.00392),
    "sweet_orange":         (0.005 / 0.705,           0.25 / 1.2,               0.0014775, 0.00117),
    "own_roots":            (0.005 / 0.705,           0.25 / 1.2,               0.0014775, 0.00117),
    "other":                (0.005 / 0.705,           0.39 / 1.04,              0.0007979, 0.00063),
}  # fmt: skip


def test_a_table_worked_by_hand():
    first, second = TABLE.shares("leaflets")["3"], TABLE.shares("thorns")["many"]
    found = beliefs("leaflets=3", "thorns=many")
    for group, (leaflets, thorns, weight, belief) in BY_HAND.items():
        i = TABLE.groups.index(group)
        assert first[i, 0] == pytest.approx(leaflets, rel=1e-12), group
        assert second[i, 0] == pytest.approx(thorns, rel=1e-12), group
        assert (0.3 if group == "other" else 1.0) * leaflets * thorns == pytest.approx(weight, rel=1e-4), group
        assert found[group] == pytest.approx(belief, abs=6e-6), group
    assert sum(weight for *_, weight, _ in BY_HAND.values()) == pytest.approx(1.267994, abs=2e-6)


def test_a_place_weighs_the_groups_themselves():
    # Texas: sour orange usual, macrophylla and citrandarin never, six rare; another stock: mean of the single-leaved
    found = beliefs("place=texas_yard")
    other = 0.3 * (0.7 + 0.05 + 0.05 + 0.005 + 0.05) / 5
    total = 0.7 + 2 * 0.005 + 6 * 0.05 + other
    assert found["sour_orange"] == pytest.approx(0.7 / total)
    assert found["citrandarin"] == pytest.approx(0.005 / total)
    assert found["other"] == pytest.approx(other / total)


def test_a_place_that_says_nothing_changes_nothing():
    prior = before(STARTS, None)
    found = after(TABLE, STARTS, prior, looks_of("place=elsewhere", "sold=other"))
    assert np.allclose(found, prior, rtol=1e-14, atol=0)


def test_rangpur_is_usual_in_brazil_and_in_none_of_the_groups():
    found = beliefs("place=brazil_1950")
    assert found["other"] == pytest.approx(0.3 * 0.7 / (3 * 0.25 + 6 * 0.05 + 0.3 * 0.7))


def small(crossover):
    """Two groups and one question that is answered rightly but for a share of them."""
    weights = {"often": Value(1 - crossover, "1", "own.choice", "assumption"),
               "seldom": Value(crossover, "1", "own.choice", "assumption")}  # fmt: skip
    answers = (LookAnswer("q", "yes", "yes", {"a": "often", "b": "seldom"}),
               LookAnswer("q", "no", "no", {"a": "seldom", "b": "often"}))  # fmt: skip
    table = StockLooks([LookQuestion("q", "q?", answers)], ["a", "b"], weights, like=["a", "b"], other={}, clash=0.1)
    return table, [Start("a", "a", 0.5), Start("b", "b", 0.5)]


@pytest.mark.parametrize(("crossover", "bits"), [(0.25, 0.188722), (0.11, 0.500084), (0.5, 0.0)])
def test_expected_information_is_that_of_a_binary_channel(crossover, bits):
    # capacity of the binary symmetric channel, 1 - H(f): Cover & Thomas, Elements of Information Theory, section 7.1.4
    table, starts = small(crossover)
    (found,) = next_looks(table, starts, before(starts, None), [])
    assert found.bits == pytest.approx(bits, abs=1e-6)
    assert [a.chance for a in found.answers] == pytest.approx([0.5, 0.5])


# -- what must always hold -------------------------------------------------------------------------------------------

some_looks = st.lists(st.sampled_from(LOOKS), max_size=8)
some_starts = st.one_of(
    st.just(STARTS),
    st.lists(st.floats(0.001, 1.0), min_size=2, max_size=4).map(
        lambda w: [*(Start(f"name {i}", NAMES[i], x / sum(w) * 0.9) for i, x in enumerate(w)), *STARTS]
    ),
)


@settings(deadline=None, max_examples=80)
@given(some_looks, some_starts)
def test_beliefs_add_up_to_one_and_lie_in_their_ranges(keys, starts):
    prior = before(starts, KNOWLEDGE.value("stock_looks.rule.room"))
    now = after(TABLE, starts, prior, looks_of(*keys))
    assert np.allclose(now.sum(axis=0), 1.0, rtol=0, atol=1e-12)
    assert (now >= 0).all()
    held = named(starts, now)
    for i in range(len(held.names)):
        p, low, high = held.range_of([i])
        assert 0.0 <= low <= p <= high <= 1.0


@settings(deadline=None, max_examples=80)
@given(some_looks, st.randoms(), some_starts)
def test_order_and_repetition_of_looks_do_not_matter(keys, shuffler, starts):
    prior = before(starts, None)
    one = after(TABLE, starts, prior, looks_of(*keys))
    mixed = [*keys, *keys]
    shuffler.shuffle(mixed)
    assert np.array_equal(one, after(TABLE, starts, prior, looks_of(*mixed)))
    assert clashes(TABLE, starts, looks_of(*keys)) == clashes(TABLE, starts, looks_of(*mixed))


@settings(deadline=None, max_examples=80)
@given(some_looks, some_starts)
def test_information_is_never_negative_nor_more_than_there_is_to_learn(keys, starts):
    looks = looks_of(*keys)
    now = after(TABLE, starts, before(starts, None), looks)
    found = next_looks(TABLE, starts, now, looks)
    assert [n.bits for n in found] == sorted((n.bits for n in found), reverse=True)
    for n in found:
        assert 0.0 <= n.bits <= entropy(now[:, 0]) + 1e-9
        assert sum(a.chance for a in n.answers) == pytest.approx(1.0)
        # the beliefs now are the mean of the beliefs after each answer
        mean = sum(a.chance * after(TABLE, starts, now, [*looks_of(a.look.key)])[0, 0] for a in n.answers)
        if not n.question.only_after:
            assert mean == pytest.approx(now[0, 0], abs=1e-9)


@settings(deadline=None, max_examples=40)
@given(st.sampled_from(LOOKS))
def test_no_single_look_rules_a_group_out(key):
    assert min(beliefs(key).values()) > 0.0


# -- what never may be ------------------------------------------------------------------------------------------------


def test_thorns_and_size_alone_never_settle_it():
    thorns = [(), *[(f"thorns={a.answer}",) for a in TABLE.questions["thorns"].answers]]
    size = [(), *[(f"size={a.answer}",) for a in TABLE.questions["size"].answers]]
    best = {(*a, *b): max(beliefs(*a, *b).values()) for a, b in product(thorns, size)}
    assert max(best.values()) < 0.7, best
    assert max(p for keys, p in best.items() if len(keys) == 1) < 0.5, best


def test_a_three_leaflet_shoot_nearly_settles_trifoliate_blood():
    share = named(STARTS, after(TABLE, STARTS, before(STARTS, None), looks_of("leaflets=3")))
    p, low, high = share.range_of([0, 1, 2])
    assert NAMES[:3] == ["trifoliate", "citrange_citrumelo", "citrandarin"]
    assert p == pytest.approx(0.983, abs=0.001)
    assert low > 0.9
    assert high < 1.0


# -- contradictions ---------------------------------------------------------------------------------------------------


def codes(*keys, starts=STARTS):
    looks = read_looks(keys, list(TABLE.questions.values()))
    return [(c.code, tuple(look.key for look in c.looks)) for c in clashes(TABLE, starts, looks)]


def test_two_answers_to_one_question_count_half_each():
    shares = TABLE.shares("leaflets")
    total = (shares["3"] + shares["1"])[:10, 0] / 2
    weight = np.array([1.0] * 9 + [0.3])
    found = list(beliefs("leaflets=3", "leaflets=1").values())
    assert found == pytest.approx(list(total * weight / (total * weight).sum()))
    assert codes("leaflets=3", "leaflets=1") == [("two_answers", ("leaflets=1", "leaflets=3"))]


def test_a_stalk_takes_a_single_leaf_for_granted():
    assert [a.key for a in implied(TABLE, read_looks(["wing=broad"], list(TABLE.questions.values())))] == ["leaflets=1"]
    assert beliefs("wing=broad") == beliefs("wing=broad", "leaflets=1")
    assert codes("wing=broad", "leaflets=3") == [("takes_for_granted", ("wing=broad", "leaflets=3"))]
    assert codes("wing=broad", "leaflets=1") == []


def test_looks_that_no_stock_shows_together_are_said():
    assert codes("leaflets=3", "pinholes=yes") == [("hardly_together", ("leaflets=3", "pinholes=yes"))]
    assert codes("leaflets=3", "union=bench", "thorns=many") == []


def test_a_look_against_what_was_believed_is_said():
    lemon = [Start("rough lemon", "rough_lemon_volkamer", 1.0), *STARTS]
    assert codes("leaflets=3", starts=lemon) == [("against_belief", ("leaflets=3",))]
    assert codes("leaflets=1", starts=lemon) == []


def test_room_lets_a_belief_of_one_be_moved():
    lemon = [Start("rough lemon", "rough_lemon_volkamer", 1.0), *STARTS]
    stuck = after(TABLE, lemon, before(lemon, None), looks_of("leaflets=3"))
    moved = after(TABLE, lemon, before(lemon, KNOWLEDGE.value("stock_looks.rule.room")), looks_of("leaflets=3"))
    assert stuck[0, 0] == 1.0
    # by hand: 0.98 * never against 0.02 shared by 9.3 parts, of which three show it
    parts = 0.02 / 9.3 * (0.7 / 0.75 * 2 + 0.7 / 0.95 + 6.3 * 0.005 / 0.705)
    assert moved[0, 0] == pytest.approx(0.98 * 0.005 / 0.705 / (0.98 * 0.005 / 0.705 + parts))
    assert 0.5 < moved[0, 0] < 0.6


# -- weights ----------------------------------------------------------------------------------------------------------


def test_draws_keep_to_their_range_about_the_best_value():
    found = drawn("leaflets_3.trifoliate", Value(0.7, "1", "own.choice", "assumption", low=0.5, high=0.9))
    assert found[0] == 0.7
    assert 0.5 < found[1:].min() < 0.51 < 0.89 < found[1:].max() < 0.9
    assert np.median(found[1:]) == pytest.approx(0.7, abs=0.001)
    assert np.array_equal(found, drawn("leaflets_3.trifoliate", Value(0.7, "1", "x", "assumption", low=0.5, high=0.9)))


def test_a_weight_of_nothing_is_refused():
    with pytest.raises(KnowledgeError) as wrong:
        drawn("leaflets_3.trifoliate", Value(0.0, "1", "own.choice", "assumption", low=0.0, high=0.5))
    assert wrong.value.message == (
        "A weight of a look must be more than nothing and lie within its range.\n"
        "Given: leaflets_3.trifoliate: 0.0 (0.0 to 0.5)\n"
        "Allowed: numbers above 0; low, value and high in order\n"
        "Next: Correct stock_looks.toml in your own folder."
    )
