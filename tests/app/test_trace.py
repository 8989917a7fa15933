"""A trace asked of the demo garden, and what it lives on written down."""

from __future__ import annotations

import pytest

from barkslip.app import trace as use
from barkslip.app import trace_lists
from barkslip.app import trace_written as written
from barkslip.app.context import Context
from barkslip.app.descent import check_descent
from barkslip.app.grafts import correct_graft, set_grafts
from barkslip.app.wood import save_lot
from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import Handout, Hold, ToolUse
from barkslip.domain.errors import InputError, NotFoundError, QuestionError
from barkslip.domain.graft import Graft


def ask(ctx: Context, start: str, **more: str):
    return use.ask_trace(ctx, {"from": start} | more)


def ids(trace, kind=""):
    return [trace.nodes[r.node].id for r in trace.reached if kind in ("", trace.nodes[r.node].kind)]


def message(error) -> str:
    return error.value.message


# -- the demo's own stories -----------------------------------------------------------------------------------------


def test_the_wrong_name_is_traced_in_one_step(shown_demo):
    found = ask(shown_demo, "W08", why="wrong-name")
    assert ids(found) == ["G03-1", "G03-2", "W08a", "Exchange table", "Next door"]
    assert all(r.odds.certain for r in found.reached)
    assert [(g.receiver, g.lot, g.sticks) for g in found.given] == [
        ("Exchange table", "W08a", 2),
        ("Next door", "W08a", 1),
    ]
    assert {found.nodes[i].id for i in found.hold} == {"G03-1", "G03-2"}
    assert all(found.nodes[i].held for i in found.hold)


def test_descendants_of_the_satsuma_are_found(shown_demo):
    """W03 -> six buds -> W03a -> four grafts -> W06 -> twenty-four buds."""
    found = ask(shown_demo, "W03", why="wrong-name")
    assert ids(found, "lot") == ["W03a", "W06"]
    assert len(ids(found, "graft")) == 6 + 4 + 24
    infected = ask(shown_demo, "W03", agent="exocortis")
    assert set(ids(found)) <= set(ids(infected))
    assert {"T03", "T02", "T06"} <= set(ids(infected, "tree"))
    chance = {infected.nodes[r.node].id: r.odds for r in infected.reached}
    assert chance["G01-1"].certain
    assert chance["W06"].low < chance["W06"].best < chance["W06"].high


def test_refused_wood_leads_nowhere(shown_demo):
    for agent in ("", "tristeza", "exocortis"):
        found = ask(shown_demo, "W05", agent=agent)
        assert (found.reached, found.given) == ((), ())
    assert ask(shown_demo, "W05", why="wrong-name").reached == ()


def test_the_knife_cleaned_with_bleach_and_the_one_wiped_with_alcohol(shown_demo):
    """6 October 2024: the knife was bleached between T02 and T03, and only wiped with alcohol between T03 and T05.

    A cut is taken as 10 % (4 to 21), bleach leaves 5 % soiled: T03 has 0.1 x 0.05 from T02, T05 the whole 0.1 from T03.
    """
    odds = {}
    for start, goal in (("T02", "T03"), ("T03", "T05")):
        found = ask(shown_demo, start, agent="exocortis", since="2024-01-01")
        odds[goal] = {found.nodes[r.node].id: r.odds for r in found.reached}[goal]
    assert odds["T03"].best == pytest.approx(0.005, abs=0.002)
    assert (odds["T05"].best, odds["T05"].low, odds["T05"].high) == pytest.approx((0.1, 0.04, 0.21), abs=0.01)
    assert {c.words: c.code for c in found.cleanings} == {
        "1 + 5 household bleach, 2 s": "works",
        "alcohol, wiped": "fails",
    }


def test_reading_writes_nothing(demo):
    with demo.book.read() as reader:
        before = reader.counts()
    ask(demo, "W03", agent="tristeza")
    with demo.book.read() as reader:
        assert reader.counts() == before


def test_the_same_question_has_the_same_answer(shown_demo):
    assert ask(shown_demo, "T02", agent="exocortis") == ask(shown_demo, "t02", agent="Exocortis")
    assert ask(shown_demo, "T02", agent="exocortis", seed="2") != ask(shown_demo, "T02", agent="exocortis")


# -- names ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "key"),
    [("tristeza", "tristeza"), ("Greening", "greening"), ("huanglongbing", "greening"), ("xyloporosis", "cachexia"),
     ("citrange stunt", "tatter_leaf"), ("exo", "exocortis"), ("tatter leaf", "tatter_leaf")],
)  # fmt: skip
def test_diseases_by_any_of_their_names(shown_demo, text, key):
    assert use.find_agent(shown_demo, text).key == key


def test_an_unknown_disease_gets_the_nearest_three(shown_demo):
    with pytest.raises(NotFoundError) as told:
        use.find_agent(shown_demo, "tristesa")
    assert message(told) == (
        "No disease of that name is known.\n"
        "Given: tristesa\n"
        "Allowed: tristeza, psorosis, cristacortis\n"
        "Next: See them all: barkslip trace agents"
    )


def test_an_unknown_suspect_gets_what_comes_close(shown_demo):
    with pytest.raises(NotFoundError) as told:
        ask(shown_demo, "W33")
    assert message(told) == (
        "No lot, graft, tree or tool of that name is in the book.\n"
        "Given: W33\n"
        "Allowed: W03, W03a, G13-3\n"
        "Next: Check the code, or look for it: barkslip find"
    )


def test_a_name_that_several_have_is_asked_back(demo):
    written.save_tool_use(demo, {"tool": "W08", "tree": "T01"})
    with pytest.raises(InputError) as told:
        ask(demo, "w08")
    assert message(told) == (
        "Several things in the book have that name.\n"
        "Given: w08\n"
        "Allowed: lot:w08, tool:w08\n"
        "Next: Say which one is meant."
    )
    assert ask(demo, "lot:W08", why="wrong-name").reached
    assert ask(demo, "tool:W08").nodes[ask(demo, "tool:W08").origin].kind == "tool"


def test_a_tree_by_its_name_and_a_tool_in_any_case(shown_demo):
    assert ask(shown_demo, "gate post").nodes[0].kind == "tree"
    found = ask(shown_demo, "GRAFTING knife", agent="exocortis")
    assert found.nodes[found.origin].id == "Grafting knife"


def test_a_wrong_name_is_no_disease(shown_demo):
    with pytest.raises(InputError) as told:
        ask(shown_demo, "W08", why="wrong-name", agent="exocortis")
    assert message(told).startswith("A wrong name is no disease.\nGiven: exocortis\n")
    with pytest.raises(InputError) as told:
        ask(shown_demo, "W08", why="theft")
    assert message(told) == (
        "No such suspicion.\nGiven: theft\nAllowed: infection, wrong-name\n"
        "Next: Say what is suspected: an infection, or a wrong name."
    )


# -- uses of tools ----------------------------------------------------------------------------------------------------


def test_cuts_are_numbered_as_they_are_written(demo):
    def cut(**more):
        return written.save_tool_use(demo, {"tool": "Knife", "tree": "T01", **more}).place

    assert [cut(), cut(), cut(place="7"), cut()] == [1, 2, 7, 8]
    assert cut(on="2025-06-01", place="?") == 0
    assert cut(on="2025-06-01") == 0  # the order of that day is not known already
    assert cut(on="2025-05") == 0


def test_a_cut_names_one_thing_that_was_there(demo):
    for fields in ({}, {"tree": "T01", "lot": "W01"}):
        with pytest.raises(InputError, match="One thing is named at a time"):
            written.save_tool_use(demo, {"tool": "Knife"} | fields)
    with pytest.raises(InputError) as told:
        written.save_tool_use(demo, {"tool": "Knife", "graft": "G14-1", "on": "2024-10-05"})
    assert message(told) == (
        "These dates are out of order.\n"
        "Given: G14-1 cut by a tool on 2024-10-05, there since 2024-10-06\n"
        "Allowed: 2024-10-06 or later\n"
        "Next: Correct one of the two dates."
    )


def test_nothing_done_to_a_blade_is_written_as_nothing(demo):
    assert written.save_tool_use(demo, {"tool": "Knife", "tree": "T01", "cleaned": "none"}).cleaned == ""


def test_a_cut_is_corrected_and_kept(demo):
    first = written.save_tool_use(demo, {"tool": "Knife", "tree": "T01", "cleaned": "alcohol"})
    new = written.save_tool_use(demo, {"cleaned": ""}, use=first.id)
    assert (new.thing, new.tree, new.place, new.cleaned) == (first.thing, first.tree, first.place, "")
    with demo.book.read() as reader:
        assert len(reader.versions(ToolUse, first.thing)) == 2


# -- wood given away --------------------------------------------------------------------------------------------------


def test_refused_wood_cannot_have_been_given_away(demo):
    with pytest.raises(InputError) as told:
        written.save_handout(demo, {"receiver": "Next door"}, lot="W05")
    assert message(told) == (
        "That wood was refused, so none of it can have been given away.\n"
        "Given: W05\n"
        "Allowed: a lot that was kept or used\n"
        "Next: If it was given away all the same, correct its state first: barkslip wood edit W05"
    )
    with pytest.raises(InputError, match="That wood was thrown away"):
        written.save_handout(demo, {"receiver": "Next door"}, lot="W09")


def test_held_wood_and_wood_of_a_regulated_area_is_asked_about(demo):
    written.save_hold(demo, {"lot": "W12", "why": "infection", "agent": "tristeza"})
    with pytest.raises(QuestionError) as told:
        written.save_handout(demo, {"receiver": "Next door"}, lot="W12")
    assert message(told) == (
        "This wood must stay where it is.\n"
        "Given: W12, held since 2025-06-30: infection\n"
        "Allowed: wood that the plant-health authority says may be moved\n"
        "Next: Ask the plant-health authority before anything leaves; write down only what has left already."
    )
    assert written.save_handout(demo, {"receiver": "Next door", "sure": "held-wood"}, lot="W12").receiver == "Next door"
    save_lot(demo, {"lot_state": "in store"}, code="W05")
    with pytest.raises(QuestionError, match="from inside a regulated area"):
        written.save_handout(demo, {"receiver": "Next door"}, lot="W05")


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ({"receiver": "X", "sticks": "5"}, "The lot never had so many sticks."),
        ({"receiver": "X", "on": "2024-09-01"}, "These dates are out of order."),
        ({"receiver": "X", "on": "2026-01-01"}, "That day has not come yet."),
        ({}, "The receiver is missing."),
    ],
)
def test_what_cannot_have_been_given_is_refused(demo, fields, problem):
    with pytest.raises(InputError) as told:
        written.save_handout(demo, fields, lot="W12")
    assert told.value.problem == problem
    with demo.book.read() as reader:
        assert reader.every(Handout, "lot = :t", t=reader.by_code(WoodLot, "W12").thing) == []


# -- holds ------------------------------------------------------------------------------------------------------------


def test_a_hold_is_set_once_lifted_and_set_again(demo):
    first = written.save_hold(demo, {"tree": "T02", "why": "infection", "agent": "Exocortis", "how": "a sign"})
    assert (first.agent, first.lifted) == ("exocortis", None)
    with pytest.raises(InputError, match="That is held back already"):
        written.save_hold(demo, {"tree": "T02", "why": "infection", "agent": "exocortis"})
    with pytest.raises(InputError, match="The reason why it may go is missing"):
        written.lift_hold(demo, {}, hold=first.thing)
    lifted = written.lift_hold(demo, {"how": "test report"}, hold=first.thing)
    assert (lifted.thing, lifted.how, lifted.lifted.iso()) == (first.thing, "test report", "2025-06-30")
    assert trace_lists.held_things(demo, lifted.tree) == []
    assert written.save_hold(demo, {"tree": "T02", "why": "infection", "agent": "exocortis"}).thing != first.thing


def test_everything_reached_is_held_in_one_go(demo):
    found = written.hold_all(demo, {"things": "tree:T02, W12, G03-1", "why": "wrong-name", "how": "Trace"})
    # G03-1 is held for that already
    assert sorted(bool(h.tree) + 2 * bool(h.lot) for h in found) == [1, 2]
    with pytest.raises(InputError, match="A tool is cleaned, not held back"):
        written.hold_all(demo, {"things": "Grafting knife"})
    with pytest.raises(InputError, match="That is not held back"):
        written.lift_all(demo, {"how": "test"}, code="T01")
    assert len(written.lift_all(demo, {"how": "test"}, code="T02")) == 1


def test_a_hold_lifted_before_it_began_is_refused(demo):
    first = written.save_hold(demo, {"tree": "T02", "why": "infection"})
    with pytest.raises(InputError) as told:
        written.lift_hold(demo, {"how": "test", "lifted": "2025-06-01"}, hold=first.thing)
    assert message(told) == (
        "These dates are out of order.\n"
        "Given: held from 2025-06-30, let go 2025-06-01\n"
        "Allowed: 2025-06-30 or later\n"
        "Next: Correct one of the two dates."
    )


def test_held_wood_is_asked_about_before_it_is_grafted(demo):
    written.save_hold(demo, {"lot": "W12", "why": "infection"})
    fields = {"tree": "T01", "lot": "W12", "method": "bark graft"}
    with pytest.raises(QuestionError) as told:
        set_grafts(demo, fields)
    assert message(told).startswith(
        "Lot W12 is held back under suspicion.\nGiven: W12, held since 2025-06-30: infection\n"
    )
    assert set_grafts(demo, fields | {"sure": "held-wood"})
    correct_graft(demo, "G14-1", {"note": "x"})  # of that lot already: nobody is asked again


# -- descent ----------------------------------------------------------------------------------------------------------


def test_a_round_in_descent_is_refused_where_it_would_be_written(demo):
    with pytest.raises(InputError) as told:
        save_lot(demo, {"from_graft": "G11-1", "cut": "2023-04-01", "received": ""}, code="W03")
    assert message(told) == (
        "That wood would descend from itself.\n"
        "Given: W03 from G11-1 from W06 from G07-1 from W03a from G01-1 from W03\n"
        "Allowed: wood cut from a graft that is not its own descendant\n"
        "Next: Correct the origin of lot W03, or the lot of one of these grafts."
    )
    assert ask(demo, "W03", why="wrong-name").reached


def test_wood_older_than_its_graft_is_refused(demo):
    with pytest.raises(InputError) as told:
        save_lot(demo, {"name": "Lisbon lemon", "cut": "2024-10-01", "from_graft": "G14-1"})
    assert message(told) == (
        "That wood would be older than the graft it was cut from.\n"
        "Given: cut 2024-10-01, G14-1 set 2024-10-06\n"
        "Allowed: 2024-10-06 or later\n"
        "Next: Correct the day, or name another graft."
    )


def test_every_line_of_the_demo_passes_the_check_of_descent(shown_demo):
    with shown_demo.book.read() as reader:
        for noun in (WoodLot, Graft):
            for one in reader.every(noun):
                check_descent(reader, one)


def test_lists_of_what_is_written(shown_demo):
    assert [(kind, code) for kind, code, _ in trace_lists.holds_in_force(shown_demo)] == [
        ("graft", "G03-2"),
        ("graft", "G03-1"),
    ]
    uses = trace_lists.tool_uses(shown_demo)
    assert (len(uses), uses[0][2].tool) == (13, "Pruning saw")
    assert [(code, h.receiver) for code, h in trace_lists.all_handouts(shown_demo)] == [
        ("W08a", "Next door"), ("W08a", "Exchange table"),
    ]  # fmt: skip
    with shown_demo.book.read() as reader:
        assert len(reader.every(Hold)) == 2
