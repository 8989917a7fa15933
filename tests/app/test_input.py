"""Bad input at the door: what was given, what is allowed, what to do next; nothing is written."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from barkslip.app import acts, garden, grafts, trees, weather, wood
from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError, InputError, QuestionError
from barkslip.fieldbook.digest import book_digest


def refused(ctx: Context, do: Callable[[], object], kind: type[BarkslipError] = InputError) -> str:
    """The message of a refusal, having made sure that nothing was written."""
    before = book_digest(ctx.book)
    with pytest.raises(kind) as caught:
        do()
    assert book_digest(ctx.book) == before
    return caught.value.message


def test_unknown_state(demo: Context) -> None:
    assert refused(demo, lambda: grafts.log_look(demo, "G14-5", {"state": "happy"})) == (
        "No such state of a graft.\n"
        "Given: happy\n"
        "Allowed: green and still, swelling, pushing, stalled, shrivelled, black, broken, choked, eaten, unknown\n"
        "Next: Choose what you see; the verdict follows from the looks."
    )


def test_impossible_date(demo: Context) -> None:
    message = refused(demo, lambda: grafts.log_look(demo, "G14-5", {"state": "black", "on": "2025-02-30"}))
    assert message.startswith("Not a date that can be.\nGiven: 2025-02-30\n")


def test_look_in_the_future(demo: Context) -> None:
    assert refused(demo, lambda: grafts.log_look(demo, "G14-5", {"state": "black", "on": "2025-07-01"})) == (
        "That day has not come yet.\nGiven: 2025-07-01\nAllowed: 2025-06-30 or earlier\nNext: Correct the date."
    )


def test_look_before_the_graft(demo: Context) -> None:
    assert refused(demo, lambda: grafts.log_look(demo, "G14-5", {"state": "black", "on": "2024-10-05"})) == (
        "That look is older than the graft.\n"
        "Given: look on 2024-10-05, graft set 2024-10-06\n"
        "Allowed: 2024-10-06 or later\n"
        "Next: Correct the day of the look, or the day the graft was set."
    )


def test_graft_before_its_wood_was_cut(demo: Context) -> None:
    typed = {"tree": "T01", "lot": "W12", "method": "cleft graft", "set_on": "2024-09-01"}
    assert refused(demo, lambda: grafts.set_grafts(demo, typed)) == (
        "That graft would be older than its wood.\n"
        "Given: set 2024-09-01, lot W12 cut 2024-09-30\n"
        "Allowed: 2024-09-30 or later\n"
        "Next: Check the day, or choose another lot."
    )


def test_graft_from_a_lot_that_was_refused_asks(demo: Context) -> None:
    typed = {"tree": "T01", "lot": "W05", "method": "cleft graft", "set_on": "2022-10-05"}
    message = refused(demo, lambda: grafts.set_grafts(demo, typed), QuestionError)
    assert message.startswith("Lot W05 is written down as refused.\n")


def test_limb_of_another_tree(demo: Context) -> None:
    other = trees.tree_story(demo, "T02").limbs[0].limb
    typed = {"tree": "T01", "limbs": other.thing, "lot": "W12", "method": "bark graft", "set_on": "2024-10-10"}
    message = refused(demo, lambda: grafts.set_grafts(demo, typed))
    assert message.startswith(f"That limb is on another tree.\nGiven: {other.address} of T02 Well\n")


def test_beliefs_over_one(demo: Context) -> None:
    typed = {
        "level": "rootstock",
        "taxon_1": "rough lemon",
        "belief_1": "0.7",
        "taxon_2": "sour orange",
        "belief_2": "0.5",
    }
    assert refused(demo, lambda: trees.save_link(demo, typed, tree="T01")) == (
        "Beliefs add up to more than certainty.\n"
        "Given: 0.7 + 0.5 = 1.2\n"
        "Allowed: a sum of 1 at most; what is missing to 1 is shown as unknown\n"
        "Next: Lower one of them."
    )


def test_own_roots_and_a_rootstock_exclude_each_other(demo: Context) -> None:
    message = refused(demo, lambda: trees.save_link(demo, {"level": "rootstock", "taxon_1": "sour orange"}, tree="T10"))
    assert message.startswith("A tree stands on a rootstock or on its own roots, not on both.\n")


@pytest.mark.parametrize("name", ["gate post", "GATEPOST", "Gate-post "])
def test_nearly_the_same_tree_name_asks(demo: Context, name: str) -> None:
    message = refused(demo, lambda: trees.save_tree(demo, {"name": name, "plot": "YARD"}), QuestionError)
    assert message.splitlines()[0] == "There is a tree called Gatepost already (T01). Is it the same one?"


def test_a_typed_22_in_a_celsius_garden_asks(demo: Context) -> None:
    typed = {"plot": "LOW", "day_1": "2025-06-29", "low_1": "22", "high_1": "15"}
    message = refused(demo, lambda: weather.type_days(demo, typed), QuestionError)
    assert message.splitlines()[0] == "22 is unusual in °C here. Is it °F?"


def test_low_above_high(demo: Context) -> None:
    typed = {"plot": "LOW", "day_1": "2025-06-29", "low_1": "12", "high_1": "11", "sure": "unusual unit"}
    assert refused(demo, lambda: weather.type_days(demo, typed)) == (
        "The low is above the high.\n"
        "Given: 2025-06-29: 12.0 and 11.0 °C\n"
        "Allowed: a low that is not above the high\n"
        "Next: Swap them."
    )


def test_an_act_is_done_to_one_thing(demo: Context) -> None:
    typed = {"kind": "rub", "graft": "G14-5", "tree": "T02"}
    assert refused(demo, lambda: acts.log_act(demo, typed)) == (
        "An act is done to one thing.\n"
        "Given: 2 named\n"
        "Allowed: one graft, limb, tree or plot\n"
        "Next: Name exactly one; repeat the act for others."
    )


def test_an_act_before_the_graft(demo: Context) -> None:
    message = refused(demo, lambda: acts.log_act(demo, {"kind": "release", "graft": "G14-5", "on": "2024-10-01"}))
    assert message.splitlines()[0] == "That was done before the graft was set."


def test_wood_that_came_in_before_it_was_cut(demo: Context) -> None:
    typed = {"name": "'Lisbon' lemon", "cut": "2025-06-10", "received": "2025-06-01"}
    assert refused(demo, lambda: wood.save_lot(demo, typed)) == (
        "That wood came in before it was cut.\n"
        "Given: cut 2025-06-10, received 2025-06-01\n"
        "Allowed: 2025-06-10 or later\n"
        "Next: Correct one of the two dates."
    )


def test_a_code_is_given_once(demo: Context) -> None:
    message = refused(demo, lambda: wood.save_lot(demo, {"name": "x", "cut": "2025-06-10", "code": "w01"}))
    assert message.splitlines()[0] == "There is a wood lot with that code already."


def test_an_address_is_given_once_on_a_tree(demo: Context) -> None:
    address = trees.tree_story(demo, "T02").limbs[0].limb.address
    message = refused(demo, lambda: trees.save_limb(demo, {"address": address.lower()}, tree="T02"))
    assert message.splitlines()[0] == "A limb with that address is on this tree already."


def test_a_tree_with_grafts_cannot_be_taken_back(demo: Context) -> None:
    from barkslip.domain.tree import Tree

    tree = trees.tree_story(demo, "T01").card.tree
    message = refused(demo, lambda: trees.take_back(demo, Tree, tree.thing), QuestionError)
    assert message.startswith("Others lean on this, so it cannot be taken back.\nGiven: ")


def test_moving_a_graft_behind_its_looks(demo: Context) -> None:
    message = refused(demo, lambda: grafts.correct_graft(demo, "G14-5", {"set_on": "2025-06-01"}))
    assert message.splitlines()[0] == "That look is older than the graft."


@pytest.mark.parametrize("lat", ["91", "north", "-33,6,1"])
def test_places_on_no_globe(demo: Context, lat: str) -> None:
    refused(demo, lambda: garden.correct_garden(demo, {"lat": lat}))


def test_a_zero_byte_and_a_novel_are_refused(demo: Context) -> None:
    refused(demo, lambda: grafts.log_look(demo, "G14-5", {"state": "black", "note": "a\x00b"}))
    refused(demo, lambda: grafts.log_look(demo, "G14-5", {"state": "black", "note": "x" * 10_001}))
