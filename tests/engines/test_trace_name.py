"""A wrong name followed along descent: certain, to all descendants, never by a tool."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from barkslip.domain.errors import InputError
from barkslip.domain.trace import CERTAIN, UNKNOWN_ODDS
from barkslip.engines.trace_descent import descent_order
from barkslip.engines.trace_name import wrong_name

_spec = importlib.util.spec_from_file_location("traced_names", Path(__file__).with_name("traced.py"))
traced = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(traced)
Plot, asked = traced.Plot, traced.asked


@pytest.fixture
def plot():
    """Lot A on two trees; wood of one of its grafts (B) on a third; all cut by one knife; some of B given away."""
    p = Plot()
    for code in ("T1", "T2", "T3"):
        p.tree(code)
    p.lot("A", "2020-07-01")
    p.graft("G1-1", "A", "T1", "2020-08-01", limb="L1")
    p.graft("G1-2", "A", "T2", "2020-08-01")
    p.lot("B", "2022-07-01", graft="G1-1")
    p.graft("G2-1", "B", "T3", "2022-08-01")
    p.lot("C", "2021-07-01")
    p.graft("G3-1", "C", "T1", "2021-08-01")
    for n, code in enumerate(("G1-1", "G3-1", "T3"), start=1):
        p.cut("Knife", "2023-05-05", n, code)
    p.give("B", "Next door", "2022-07-09", 2)
    return p


def ids(trace):
    return [trace.nodes[r.node].id for r in trace.reached]


def test_it_reaches_every_descendant_and_nothing_else(plot):
    found = wrong_name(asked("lot", "A"), plot.garden())
    assert ids(found) == ["G1-1", "G1-2", "B", "Next door", "G2-1"]
    assert {r.odds for r in found.reached} == {CERTAIN}
    assert [r.steps for r in found.reached] == [1, 1, 2, 3, 3]
    assert [(g.receiver, g.lot, g.sticks) for g in found.given] == [("Next door", "B", 2)]
    assert {c.way for c in found.contacts} == {"wood", "cut", "given"}


def test_no_tree_is_held_for_a_name(plot):
    found = wrong_name(asked("lot", "A"), plot.garden())
    assert [found.nodes[i].id for i in found.hold] == ["A", "B", "G1-1", "G1-2", "G2-1"]


def test_a_graft_goes_down_only_and_back_up_when_asked(plot):
    assert ids(wrong_name(asked("graft", "G1-1"), plot.garden())) == ["B", "Next door", "G2-1"]
    back = wrong_name(asked("graft", "G2-1", backward=True), plot.garden())
    assert ids(back) == ["B", "G1-1", "A"]
    assert back.given == ()


def test_a_tool_hands_on_no_name(plot):
    with pytest.raises(InputError) as told:
        wrong_name(asked("tool", "knife"), plot.garden())
    assert told.value.message == (
        "A wrong name goes with the wood, not with a tool.\n"
        "Given: knife\n"
        "Allowed: a lot, a graft or a tree\n"
        "Next: Name the lot or the graft whose name is in doubt."
    )


def test_wood_of_a_limb_with_grafts_of_its_name_may_be_theirs(plot):
    plot.lot("D", "2024-07-01", tree="T1", limb="L1")
    plot.graft("G4-1", "D", "T2", "2024-08-01")
    found = wrong_name(asked("lot", "A"), plot.garden())
    odds = {found.nodes[r.node].id: r.odds for r in found.reached}
    assert odds["D"] == odds["G4-1"] == UNKNOWN_ODDS
    assert odds["B"] == CERTAIN
    assert [(p.code, p.about, p.detail) for p in found.problems] == [("limb_of_grafts", "D", "G1-1")]
    assert found.unknowns == ("unknown_ways",)


def test_a_wrongly_named_tree_names_the_wood_cut_from_it_but_not_its_grafts(plot):
    plot.lot("D", "2024-07-01", tree="T2")
    assert ids(wrong_name(asked("tree", "T2"), plot.garden())) == ["D"]


def test_dates_that_run_backwards_are_said(plot):
    plot.lot("D", "2019-07-01", graft="G2-1")
    plot.give("D", "Far away", "2018-01-01")
    found = wrong_name(asked("lot", "B"), plot.garden())
    assert [(p.code, p.about) for p in found.problems] == [
        ("wood_before_graft", "D, G2-1"),
        ("given_before_cut", "D, Far away"),
    ]
    assert {"D", "Far away"} <= set(ids(found))


def test_parents_come_before_children(plot):
    order = [one.code for one in descent_order(plot.lots, plot.grafts)]
    for child, parent in (("G1-1", "A"), ("B", "G1-1"), ("G2-1", "B"), ("G3-1", "C")):
        assert order.index(parent) < order.index(child)
    assert len(order) == 7
