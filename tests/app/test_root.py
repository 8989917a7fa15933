"""What a tree of the book stands on: what was believed, looks written down since, and what is written back."""

from __future__ import annotations

import pytest

from barkslip.app.context import Context
from barkslip.app.root import ask_root, is_reckoned, keep_belief
from barkslip.app.signs import log_sign
from barkslip.app.trees import save_link, save_tree, take_back, tree_story
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.sign import Sign


def ask(ctx: Context, **fields: str):
    return ask_root(ctx, ctx.settings, fields)


def believed(verdict):
    return {b.stock: round(b.p, 3) for b in verdict.beliefs if b.named}


THREE = {"trifoliate orange": 0.45, "citrange (Carrizo or Troyer type)": 0.35, "rough lemon": 0.2}


def test_the_well_keeps_its_three_candidates(shown_demo):
    verdict = ask(shown_demo, tree="T02")
    assert believed(verdict) == THREE
    assert len(verdict.beliefs) == 3
    assert not verdict.settled
    assert verdict.settled_class is None
    assert [limb.address for limb in verdict.limbs] == ["S-L-6"]
    assert len(verdict.history) == 2


def test_no_look_takes_a_candidate_of_the_well_away(shown_demo):
    for question in ask(shown_demo).next_looks:
        for answer in question.answers:
            verdict = ask(shown_demo, tree="T02", looks=answer.look.key)
            assert set(believed(verdict)) == set(THREE), answer.look.key
            assert min(believed(verdict).values()) > 0.0, answer.look.key


def test_a_bench_at_the_well_by_hand(shown_demo):
    # 2 % of the belief is room for all groups. A bench is usual of trifoliate (0.7 of 0.85) and citrange (0.7 of 1.05),
    # rare of rough lemon (0.05 of 1.05) and mandarin (0.05 of 0.85)
    verdict = ask(shown_demo, tree="T02", looks="union=bench")
    weight = {
        "trifoliate orange": 0.98 * 0.45 * 0.7 / 0.85 + 0.02 / 9.3 * 0.7 / 0.85,
        "citrange (Carrizo or Troyer type)": 0.98 * 0.35 * 0.7 / 1.05,
        "rough lemon": 0.98 * 0.2 * 0.05 / 1.05,
        "mandarin": 0.02 / 9.3 * 0.05 / 0.85,
    }
    found = {b.stock: b.p for b in verdict.beliefs}
    for a in weight:
        for b in weight:
            assert found[a] / found[b] == pytest.approx(weight[a] / weight[b])


def test_without_a_book_and_without_looks_all_groups_are_alike(shown_demo):
    verdict = ask_root(None, shown_demo.settings, {})
    assert {round(b.p, 4) for b in verdict.beliefs} == {round(1 / 9.3, 4), round(0.3 / 9.3, 4)}
    assert sum(b.p for b in verdict.beliefs) == pytest.approx(1.0)
    assert {q.key for q in verdict.places} == {"place", "sold"}


def test_three_leaflets_settle_the_class_but_not_the_stock(shown_demo):
    verdict = ask_root(None, shown_demo.settings, {"looks": "leaflets=3"})
    assert verdict.settled_class is not None
    assert verdict.settled_class.name == "trifoliate orange and its hybrids"
    assert not verdict.settled


def test_looks_may_be_parted_by_commas_or_spaces(shown_demo):
    one = ask_root(None, shown_demo.settings, {"looks": "leaflets=3, thorns=many"})
    two = ask_root(None, shown_demo.settings, {"looks": " thorns=many leaflets = 3 "})
    assert [(b.stock, b.p) for b in one.beliefs] == [(b.stock, b.p) for b in two.beliefs]


def test_looks_of_other_fruit_are_not_known(shown_demo):
    with pytest.raises(InputError) as wrong:
        ask(shown_demo, tree="T07")
    assert wrong.value.message == (
        "Looks are known for stocks of citrus only.\n"
        "Given: T07 Race apple, apple\n"
        "Allowed: a citrus tree\n"
        "Next: Write what you believe by hand: barkslip tree link T07 rootstock --is NAME=BELIEF"
    )
    with pytest.raises(NotFoundError):
        ask(shown_demo, tree="T99")


# -- the book ---------------------------------------------------------------------------------------------------------


def test_a_look_written_down_counts_from_then_on(demo):
    sign = log_sign(demo, {"tree": "Well", "look": "leaflets=1", "on": "2025-06-20", "note": "three shoots"})
    assert (sign.question, sign.answer, sign.graft) == ("leaflets", "1", None)
    verdict = ask(demo, tree="T02")
    assert [(c.look.key, c.sign) for c in verdict.looks] == [("leaflets=1", sign)]
    assert verdict.best.stock == "rough lemon"
    take_back(demo, Sign, sign.thing)
    assert believed(ask(demo, tree="T02")) == THREE


def test_the_same_line_sent_twice_is_one_look(demo):
    fields = {"tree": "T02", "look": "union=bench", "id": demo.new_id()}
    assert log_sign(demo, fields) == log_sign(demo, fields)
    assert len(ask(demo, tree="T02").looks) == 1


def test_what_is_written_back_is_not_counted_again(demo):
    log_sign(demo, {"tree": "T02", "look": "union=bench"})
    before = ask(demo, tree="T02")
    assert not before.kept
    link = keep_belief(demo, demo.settings, {"tree": "T02"})
    assert is_reckoned(link)
    after = ask(demo, tree="T02")
    assert [(b.stock, b.p) for b in after.beliefs] == [(b.stock, b.p) for b in before.beliefs]
    assert after.kept
    assert after.base == before.base
    assert len(after.history) == 3
    log_sign(demo, {"tree": "T02", "look": "leaf_fall=drops"})
    once_more = ask(demo, tree="T02")
    typed = ask(demo, tree="T02", looks="union=bench, leaf_fall=drops")
    assert not once_more.kept
    assert believed(once_more) == believed(typed)


def test_what_is_written_back_names_its_evidence_and_leaves_the_rest_open(demo):
    log_sign(demo, {"tree": "T02", "look": "leaflets=1"})
    link = keep_belief(demo, demo.settings, {"tree": "T02"})
    held = {c.taxon: c for c in link.candidates}
    assert set(held) == set(THREE)
    assert 0.94 < sum(c.belief for c in link.candidates) < 1.0
    assert held["rough lemon"].evidence == "from looks: 74.5 % (66 to 83 %); for it: leaflets=1"
    assert held["trifoliate orange"].evidence == "from looks: 11.3 % (4 to 18 %); against it: leaflets=1"
    assert tree_story(demo, "T02").card.stands_on.name == "rough lemon"


def test_a_belief_changed_by_hand_is_a_new_beginning(demo):
    log_sign(demo, {"tree": "T02", "look": "union=bench"})
    link = keep_belief(demo, demo.settings, {"tree": "T02"})
    evidence = link.candidates[0].evidence
    fields = {"level": "rootstock", "taxon_1": "trifoliate orange", "belief_1": "0.9", "evidence_1": evidence}
    assert not is_reckoned(save_link(demo, fields, tree="T02"))
    verdict = ask(demo, tree="T02")
    assert verdict.looks == ()
    assert [s.answer for s in verdict.older] == ["bench"]
    assert verdict.best.p == pytest.approx(0.9 + 0.1 / 9.3)
    afresh = ask(demo, tree="T02", afresh="yes")
    assert [c.look.key for c in afresh.looks] == ["union=bench"]
    assert afresh.base is None


def test_a_belief_in_own_roots_is_a_beginning_too(demo):
    save_tree(demo, {"name": "Cutting", "plot": "YARD", "code": "T90"})
    save_link(demo, {"level": "own roots", "taxon_1": "Meyer lemon", "belief_1": "0.8"}, tree="T90")
    verdict = ask(demo, tree="T90")
    assert verdict.best.stock == "own roots"
    assert verdict.best.p == pytest.approx(0.8 + 0.2 / 9.3)
    log_sign(demo, {"tree": "T90", "look": "leaflets=3"})
    with pytest.raises(InputError) as wrong:
        keep_belief(demo, demo.settings, {"tree": "T90"})
    assert wrong.value.message == (
        "A tree stands on a rootstock or on its own roots, not on both.\n"
        "Given: rootstock, while the book has own roots\n"
        "Allowed: correct the link own roots, or take it back first\n"
        "Next: Take the link own roots back, then write down rootstock."
    )


def test_a_name_of_which_nothing_is_known_is_not_moved_by_looks(demo):
    fields = {"level": "rootstock", "taxon_1": "Grandfather's root", "belief_1": "0.5", "taxon_2": "rough lemon",
              "belief_2": "0.5"}  # fmt: skip
    save_link(demo, fields, tree="T02")
    verdict = ask(demo, tree="T02", looks="leaflets=3")
    assert "no_looks_known" in verdict.notes
    assert verdict.best.stock == "Grandfather's root"


def test_without_a_look_nothing_is_written_back(demo):
    with pytest.raises(InputError) as wrong:
        keep_belief(demo, demo.settings, {"tree": "T02"})
    assert wrong.value.message == (
        "No look has been counted, so there is nothing to write down.\n"
        "Given: T02 Well\n"
        "Allowed: a tree with a look written down since its belief was\n"
        "Next: Write a look down first."
    )


def test_a_look_of_a_disease_names_none(shown_demo):
    for look in ("scaling=yes", "pinholes=yes", "foot_rot=yes", "decline=sudden"):
        assert "no_disease" in ask_root(None, shown_demo.settings, {"looks": look}).notes, look
    assert "no_disease" not in ask_root(None, shown_demo.settings, {"looks": "scaling=no"}).notes
