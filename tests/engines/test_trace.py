"""An infection followed through small gardens whose chances can be worked out by hand."""

from __future__ import annotations

import importlib.util
import random
from pathlib import Path

import numpy as np
import pytest

from barkslip.domain.errors import InputError
from barkslip.domain.trace import UNKNOWN_ODDS, Odds
from barkslip.engines import trace_worlds as worlds
from barkslip.engines.trace import infection
from barkslip.engines.trace_contacts import Event, contacts

_spec = importlib.util.spec_from_file_location("traced", Path(__file__).with_name("traced.py"))
traced = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(traced)
Plot, agent, asked, cleans, days, reached = (
    traced.Plot, traced.agent, traced.asked, traced.cleans, traced.days, traced.reached,
)  # fmt: skip


def two_trees():
    """Wood of tree A on tree B, and wood of that graft on tree C."""
    p = Plot()
    for code in "ABC":
        p.tree(code)
    p.lot("W1", "2020-07-01", tree="A")
    p.graft("G1-1", "W1", "B", "2020-08-01")
    p.lot("W2", "2022-07-01", graft="G1-1")
    p.graft("G2-1", "W2", "C", "2022-08-01")
    return p


def test_down_the_wood_by_hand():
    """Wood carries it .9, a union passes .8: B = .9 x .8; W2 is cut from the graft itself: .9 x .9, not by way of B."""
    found = infection(asked("tree", "A"), two_trees().garden(), agent(), {})
    assert found.exact
    assert reached(found) == pytest.approx(
        {"W1": 0.9, "G1-1": 0.9, "B": 0.72, "W2": 0.81, "G2-1": 0.81, "C": 0.648}, abs=1e-12
    )
    assert days(found) == {
        "W1": "2020-07-01", "G1-1": "2020-08-01", "B": "2020-08-01", "W2": "2022-07-01", "G2-1": "2022-08-01",
        "C": "2022-08-01",
    }  # fmt: skip
    assert [found.nodes[r.node].id for r in found.reached] == ["W1", "G1-1", "B", "W2", "G2-1", "C"]


def test_the_hand_case_as_contacts():
    """The worked case of the kernel's test in the engine's own records: .7416 counted and drawn."""
    odds = [1.0, 0.9, 0.8, 0.5, 0.3, 0.5, 0.8]
    events = [
        Event(d, 0, i, s, t, "wood", i + 1)
        for i, (s, t, d) in enumerate([(0, 1, 1), (1, 2, 2), (3, 5, 2), (2, 3, 3), (3, 4, 3), (1, 4, 4)])
    ]
    found = worlds.ways(events, 6, 0, 1, backward=False)
    assert worlds.chances(found, np.array(odds), seed=1).ever == pytest.approx([1, 0.9, 0.72, 0.216, 0.7416, 0])
    drawn = worlds.chances(found, np.array(odds), seed=1, worlds=100_000, exact=False)
    assert drawn.ever[4] == pytest.approx(0.7416, abs=0.006)
    with pytest.raises(ValueError, match="17 coins; at most 16 can be counted out"):
        many = [Event(1, 0, i, 0, 1, "wood", i) for i in range(17)]
        worlds.chances(worlds.ways(many, 2, 0, 1, backward=False), np.full(17, 0.5), seed=1, exact=True)


def test_a_tree_hands_it_to_grafts_that_come_later_and_to_those_that_stand():
    """T carries it: a graft set before or after has it with .8; the older from the day on which T had it."""
    p = two_trees()
    p.lot("X", "2019-07-01")
    p.graft("G0-1", "X", "B", "2019-08-01")
    p.graft("G3-1", "X", "B", "2023-08-01")
    found = infection(asked("lot", "W1"), p.garden(), agent(), {})
    chance, first = reached(found), days(found)
    assert chance["G0-1"] == pytest.approx(0.8 * 0.8)
    assert first["G0-1"] == "2020-08-01"
    assert first["G3-1"] == "2023-08-01"


def test_both_ways_over_a_union_are_one_coin():
    """A graft whose union passed nothing gets nothing back: .8 x .8, once each, however often it is asked."""
    p = Plot()
    p.tree("B")
    p.lot("W1", "2020-07-01")
    p.lot("X", "2019-07-01")
    p.graft("G0-1", "X", "B", "2019-08-01")
    p.graft("G1-1", "W1", "B", "2020-08-01")
    p.lot("W2", "2022-07-01", graft="G0-1")
    p.lot("W3", "2023-07-01", graft="G0-1")
    found = infection(asked("lot", "W1"), p.garden(), agent(wood=1.0), {})
    assert reached(found) == pytest.approx({"G1-1": 1.0, "B": 0.8, "G0-1": 0.64, "W2": 0.64, "W3": 0.64})


def test_a_knife_hands_on_in_the_order_of_the_day():
    p = Plot()
    for code in "ABC":
        p.tree(code)
    p.cut("Knife", "2024-05-05", 1, "B")
    p.cut("knife ", "2024-05-05", 2, "A")
    p.cut("Knife", "2024-05-05", 3, "C")
    found = infection(asked("tree", "A"), p.garden(), agent(), {})
    assert reached(found) == pytest.approx({"Knife": 1.0, "C": 0.3})
    knife = next(r for r in found.reached if found.nodes[r.node].kind == "tool")
    assert knife.now == Odds(1.0, 1.0, 1.0)


def test_order_that_is_not_written_down_is_said_and_left_open():
    p = Plot()
    p.tree("A")
    p.tree("B")
    p.cut("Knife", "2024-05-05", 0, "B")
    p.cut("Knife", "2024-05-05", 0, "A")
    found = infection(asked("tree", "A"), p.garden(), agent(), {})
    b = next(r for r in found.reached if found.nodes[r.node].id == "B")
    assert (b.odds.low, b.odds.high, b.odds.known) == (0.0, pytest.approx(0.3), False)
    assert 0.0 < b.odds.best < 0.3
    assert [(x.code, x.about, x.detail) for x in found.problems] == [("order_not_known", "Knife", "2024-05-05")]


def test_cleaning_clears_what_it_is_recorded_to_clear_and_nothing_else():
    p = Plot()
    for code in "ABC":
        p.tree(code)
    p.cut("Knife", "2024-05-05", 1, "A")
    p.cut("Knife", "2024-05-05", 2, "B", cleaned="bleach")
    p.cut("Knife", "2024-05-05", 3, "C")
    garden = p.garden()
    assert "B" not in reached(infection(asked("tree", "A"), garden, agent(), cleans()))
    # .2 of the blades are left soiled: B .2 x .3; C from there, or from B by the blade soiled anew
    half = reached(infection(asked("tree", "A"), garden, agent(), cleans(p=0.8)))
    assert half["B"] == pytest.approx(0.2 * 0.3)
    assert half["C"] == pytest.approx(0.2 * 0.3)
    nothing = reached(infection(asked("tree", "A"), garden, agent(), cleans(p=0.0)))
    assert nothing == pytest.approx({"Knife": 1.0, "B": 0.3, "C": 0.3})
    assert infection(asked("tree", "A"), garden, agent(), {}).reached  # words that nobody judged clear nothing


def test_a_cleaned_tool_is_reached_but_soiled_no_more():
    p = Plot()
    p.tree("A")
    p.tree("B")
    p.cut("Knife", "2024-05-05", 1, "A")
    p.cut("Knife", "2024-05-06", 1, "B", cleaned="bleach")
    found = infection(asked("tree", "A"), p.garden(), agent(), cleans())
    knife = found.reached[0]
    assert (knife.odds.best, knife.now.best) == (1.0, 0.0)


def test_ranges_are_bounds():
    """The low end is the answer with all contacts at their low ends and cleanings at their high ends."""
    p = two_trees()
    p.cut("Knife", "2024-05-05", 1, "C")
    p.cut("Knife", "2024-05-05", 2, "A", cleaned="bleach")
    p.cut("Knife", "2024-05-05", 3, "B")
    wide = agent(wood=(0.5, 0.9), union=(0.4, 0.8), blade=(0.1, 0.5))
    found = infection(asked("lot", "W1"), p.garden(), wide, cleans(p=0.5))
    low = reached(infection(asked("lot", "W1"), p.garden(), agent(0.5, 0.4, 0.1), cleans(p=0.5)))
    high = reached(infection(asked("lot", "W1"), p.garden(), agent(0.9, 0.8, 0.5), cleans(p=0.5)))
    for one in found.reached:
        code = found.nodes[one.node].id
        assert one.odds.low == pytest.approx(low[code], abs=1e-9)
        assert one.odds.high == pytest.approx(high[code], abs=1e-9)
        assert low[code] - 1e-9 <= one.odds.best <= high[code] + 1e-9


def test_what_is_not_known_is_a_range_from_never_to_always():
    p = Plot()
    p.tree("A")
    p.tree("B")
    p.cut("Knife", "2024-05-05", 1, "A")
    p.cut("Knife", "2024-05-05", 2, "B")
    found = infection(asked("tree", "A"), p.garden(), agent(blade=UNKNOWN_ODDS), {})
    b = found.reached[-1]
    assert (found.nodes[b.node].id, b.odds.low, b.odds.high, b.odds.known) == ("B", 0.0, 1.0, False)
    assert {"tool_rate", "unknown_ways"} <= set(found.unknowns)


def test_another_kind_of_fruit_tree_may_bear_it_or_not():
    p = Plot()
    p.tree("A")
    p.tree("P", fruit="apple")
    p.cut("Knife", "2024-05-05", 1, "A")
    p.cut("Knife", "2024-05-05", 2, "P")
    odds = infection(asked("tree", "A"), p.garden(), agent(), {}).reached[-1].odds
    assert (odds.low, odds.high, odds.known) == (0.0, pytest.approx(0.3), False)


def test_a_graft_that_never_took_may_have_handed_it_on_all_the_same():
    p = Plot()
    p.tree("B")
    p.lot("W1", "2020-07-01")
    p.graft("G1-1", "W1", "B", "2020-08-01", took=False, lost="2020-09-01")
    b = infection(asked("lot", "W1"), p.garden(), agent(), {}).reached[-1]
    assert (b.odds.low, b.odds.high, b.odds.known) == (0.0, pytest.approx(0.8), False)


def test_a_lost_graft_gets_nothing_after_its_loss():
    p = Plot()
    p.tree("B")
    p.lot("W1", "2022-07-01")
    p.lot("X", "2019-07-01")
    p.graft("G0-1", "X", "B", "2019-08-01", lost="2020-01-01")
    p.graft("G1-1", "W1", "B", "2022-08-01")
    assert "G0-1" not in reached(infection(asked("lot", "W1"), p.garden(), agent(), {}))


def test_plants_of_a_batch_stand_apart():
    """A graft of a batch hands it to its own plant, not to its neighbours; wood cut later may be of any plant."""
    p = Plot()
    p.tree("BAGS", count=10)
    p.lot("W1", "2020-07-01")
    p.lot("X", "2020-07-01")
    p.graft("G1-1", "W1", "BAGS", "2020-08-01")
    p.graft("G2-1", "X", "BAGS", "2020-08-01")
    p.lot("W2", "2022-07-01", tree="BAGS")
    found = infection(asked("lot", "W1"), p.garden(), agent(), {})
    assert "G2-1" not in reached(found)
    assert reached(found)["W2"] == pytest.approx(0.8 * 0.9 / 10)
    assert next(r for r in found.reached if found.nodes[r.node].id == "W2").odds.low == 0.0


def test_tools_are_left_out_of_what_goes_with_none():
    p = Plot()
    p.tree("A")
    p.tree("B")
    p.cut("Knife", "2024-05-05", 1, "A")
    p.cut("Knife", "2024-05-05", 2, "B")
    found = infection(asked("tree", "A"), p.garden(), agent(blade=0.0), {})
    assert found.reached == ()
    assert "not_by_tool" in found.unknowns


def test_since_when_counts():
    p = two_trees()
    assert set(reached(infection(asked("tree", "A", since="2021-01-01"), p.garden(), agent(), {}))) == set()
    late = reached(infection(asked("tree", "B", since="2021-01-01"), p.garden(), agent(), {}))
    assert late == pytest.approx({"G1-1": 0.8, "W2": 0.72, "G2-1": 0.72, "C": 0.576})


def test_wood_given_away_is_named_with_its_chance():
    p = two_trees()
    p.give("W2", "Club table", "2022-07-05", 2)
    p.give("W2", "club  Table", "2022-07-06")
    found = infection(asked("tree", "A"), p.garden(), agent(), {})
    assert [(g.receiver, g.lot, str(g.on), g.sticks) for g in found.given] == [
        ("Club table", "W2", "2022-07-05", 2),
        ("club  Table", "W2", "2022-07-06", None),
    ]
    assert found.given[0].odds.best == pytest.approx(0.81)
    assert [found.nodes[r.node].id for r in found.reached if found.nodes[r.node].kind == "receiver"] == ["Club table"]


def test_backward_names_what_it_can_have_come_from():
    found = infection(asked("tree", "C", backward=True), two_trees().garden(), agent(), {})
    assert reached(found) == pytest.approx(
        {"G2-1": 0.8, "W2": 0.8, "G1-1": 0.72, "W1": 0.72, "A": 0.648, "B": 0.8 * 0.9 * 0.8}
    )
    assert days(found)["A"] == "2020-07-01"
    assert days(found)["B"] == "2022-07-01"
    assert found.given == ()


def test_backward_and_forward_tell_the_same_chance():
    p = two_trees()
    p.cut("Knife", "2022-07-01", 1, "G1-1")
    p.cut("Knife", "2022-08-01", 1, "C", cleaned="bleach")
    p.cut("Knife", "2022-08-02", 1, "A")
    garden, some = p.garden(), cleans(p=0.5)
    for start in ("A", "B"):
        ahead = reached(infection(asked("tree", start), garden, agent(), some))
        back = reached(infection(asked("tree", "C", backward=True), garden, agent(), some))
        assert back[start] == pytest.approx(ahead["C"])


@pytest.mark.parametrize("seed", range(6))
def test_drawn_agrees_with_counted_in_random_gardens(seed):
    rng = random.Random(seed)
    p = Plot()
    for code in "ABCD":
        p.tree(code)
    p.lot("W1", "2020-01-01", tree="A")
    for n in range(3):
        p.graft(f"G{n}-1", "W1", rng.choice("BCD"), f"2020-0{n + 2}-01")
    for n in range(5):
        p.cut("Knife", f"2021-0{n + 1}-01", 1, rng.choice(["A", "B", "C", "D", "G1-1"]),
              cleaned=rng.choice(["", "bleach"]))  # fmt: skip
    garden, some = p.garden(), cleans(p=0.6)
    book = contacts(garden, agent(), some, traced.TODAY)
    found = worlds.ways(book.events, len(book.nodes), 0, 1, backward=False)
    chance = np.array([c.best for c in book.coins])
    counted = worlds.chances(found, chance, seed=1, exact=True)
    drawn = worlds.chances(found, chance, seed=1, worlds=100_000, exact=False)
    assert drawn.ever == pytest.approx(counted.ever, abs=0.008)
    assert drawn.after == pytest.approx(counted.after, abs=0.008)


def test_dates_out_of_order_are_said_and_the_trace_goes_on():
    p = Plot()
    p.tree("A", planted="2021")
    p.tree("B")
    p.lot("W1", "2020-07-01", tree="A")
    p.graft("G1-1", "W1", "B", "2020-06-01")
    p.lot("W2", "2020-05-01", graft="G1-1")
    p.give("W2", "Next door", "2019-01-01")
    p.cut("Knife", "2019-03-03", 1, "W2")
    found = infection(asked("tree", "A"), p.garden(), agent(), {})
    assert {"W1", "G1-1", "B", "W2", "Next door"} <= set(reached(found))
    assert [(x.code, x.about) for x in found.problems] == [
        ("wood_before_tree", "W1, A"),
        ("graft_before_wood", "G1-1, W1"),
        ("wood_before_graft", "W2, G1-1"),
        ("used_before_there", "Knife, W2"),
        ("given_before_cut", "W2, Next door"),
    ]


def test_wood_that_descends_from_itself_is_refused():
    p = Plot()
    p.tree("B")
    p.lot("W1", "2020-07-01")
    p.graft("G1-1", "W1", "B", "2020-08-01")
    p.lot("W2", "2021-07-01", graft="G1-1")
    p.graft("G2-1", "W2", "B", "2021-08-01")
    p.lots[0] = traced.WoodLot(
        **p._line("W1"), code="W1", name="x", cut=traced.day("2020-07-01"), from_graft="G2-1", from_tree="B"
    )
    with pytest.raises(InputError) as told:
        infection(asked("lot", "W1"), p.garden(), agent(), {})
    assert told.value.message == (
        "That wood would descend from itself.\n"
        "Given: W1 from G2-1 from W2 from G1-1 from W1\n"
        "Allowed: wood cut from a graft that is not its own descendant\n"
        "Next: Correct the origin of lot W1, or the lot of one of these grafts."
    )


def test_what_to_hold_and_what_to_test():
    p = two_trees()
    found = infection(asked("lot", "W1"), p.garden(), agent(), {})
    # wood before trees; a tree that is held holds its grafts
    assert [found.nodes[i].id for i in found.hold] == ["W1", "W2", "B", "C"]
    # bits of a yes or no: .72 -> .8555, .8 -> .7219, .9 -> .4690
    tests = {found.nodes[i].id: bits for i, bits in found.test}
    assert tests["C"] == pytest.approx(0.8555, abs=5e-5)
    assert tests["B"] == pytest.approx(0.7219, abs=5e-5)
    assert tests["W2"] == pytest.approx(0.4690, abs=5e-5)
    assert next(iter(tests)) == "C"


def test_nothing_reached_is_an_answer():
    p = Plot()
    p.lot("W5", "2022-10-02", state="refused")
    found = infection(asked("lot", "W5"), p.garden(), agent(), {})
    assert (found.reached, found.given, found.contacts, found.hold) == ((), (), (), ())
