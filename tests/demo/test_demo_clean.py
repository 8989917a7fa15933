"""Cuts, wood given away and holds of the demo: as the scenario tells, and passing what the book checks."""

from __future__ import annotations

from barkslip.demo.scenario import read_scenario
from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import SUSPICIONS, Handout, Hold, ToolUse
from barkslip.domain.graft import Graft


def test_counts(book):
    assert len(book.all(ToolUse)) == 13
    assert len(book.all(Handout)) == 2
    assert len(book.all(Hold)) == 2


def test_every_cut_names_one_thing_that_was_there(book):
    grafts = {g.thing: g for g in book.all(Graft)}
    lots = {lot.thing: lot for lot in book.all(WoodLot)}
    for use in book.all(ToolUse):
        assert sum(x is not None for x in (use.tree, use.graft, use.lot)) == 1
        if use.graft:
            assert grafts[use.graft].set_on.first <= use.on.first
        if use.lot:
            assert lots[use.lot].cut.first <= use.on.first


def test_order_of_a_day_runs_from_one_and_one_day_is_not_known(book):
    days = {}
    for use in book.all(ToolUse):
        days.setdefault((use.tool, use.on.first), []).append(use.place)
    unknown = [places for places in days.values() if 0 in places]
    assert unknown == [[0, 0]]
    assert all(places == list(range(1, len(places) + 1)) for places in days.values() if 0 not in places)


def test_a_blade_bleached_and_a_blade_wiped_on_one_day(book):
    cleaned = [u.cleaned for u in book.all(ToolUse) if u.on.iso() == "2024-10-06"]
    assert any("bleach" in words for words in cleaned)
    assert any("alcohol" in words for words in cleaned)


def test_all_wood_of_the_wrong_lot_grown_again_was_given_away(book):
    lot = book.one(WoodLot, code="W08a")
    given = [h for h in book.all(Handout) if h.lot == lot.thing]
    assert sum(h.sticks for h in given) == lot.sticks
    assert all(h.on.first >= lot.cut.first for h in given)
    graft = next(g for g in book.all(Graft) if g.thing == lot.from_graft)
    wrong = book.one(WoodLot, code="W08")
    assert graft.lot == wrong.thing
    refused = book.one(WoodLot, code="W05")
    assert refused.lot_state == "refused"
    assert not [h for h in book.all(Handout) if h.lot == refused.thing]
    assert not [g for g in book.all(Graft) if g.lot == refused.thing]


def test_holds_are_for_both_grafts_of_the_wrong_name(book):
    grafts = {g.thing: g.code for g in book.all(Graft)}
    assert sorted(grafts[h.graft] for h in book.all(Hold)) == ["G03-1", "G03-2"]
    assert {h.why for h in book.all(Hold)} <= set(SUSPICIONS)
    assert all(h.lifted is None for h in book.all(Hold))
    assert read_scenario()["hold"]
