"""The traps planted in the demo: each is really there."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from statistics import mean

import pytest

from barkslip.domain.act import Event, Photo
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import Graft, Look, alive_on, standing
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import UNKNOWN, ChainLink, Limb, Tree, complete
from barkslip.domain.trial import Logger, Trial
from barkslip.domain.units import f_to_c
from barkslip.domain.when import parse_when

TODAY = date(2025, 6, 30)


def _chain(book, code: str) -> dict[str, ChainLink]:
    tree = book.one(Tree, code=code).thing
    return {link.level: link for link in book.all(ChainLink) if link.tree == tree}


def _of(book, graft: str) -> list[Look]:
    thing = book.one(Graft, code=graft).thing
    return sorted((k for k in book.all(Look) if k.graft == thing), key=lambda k: k.on.first)


def _event(book, day: str) -> Event:
    return next(e for e in book.all(Event) if e.on == parse_when(day, today=TODAY))


def test_southern_afternoon_side(book):
    assert book.one(Garden).lat == pytest.approx(-33.6)
    burnt = book.one(Limb, tree=book.one(Tree, code="T01").thing, label="L4")
    assert burnt.bearing == "NW"
    assert "sunburn" in burnt.note
    assert _event(book, "2021-11-28/2021-12-02").figures["bark_c.NW"] == 52.3


def test_no_summer_time(demo, book):
    clock = book.one(Logger, code="E")
    assert clock.clock_error_min == 60.0
    series = {s.logger: s.series for s in demo.series if s.logger}
    d, e = series[book.one(Logger, code="D").thing], series[clock.thing]
    assert set((e.time_s - d.time_s).tolist()) == {3600}


def test_two_notebooks_two_unit_systems(book):
    old = _event(book, "2020-07-15")
    assert "22 F by the creek" in old.text
    assert old.figures["low_c.creek"] == pytest.approx(f_to_c(22.0), abs=0.05)
    assert book.one(Garden).units == "metric"


def test_date_known_only_as_a_range(book):
    note = next(e for e in book.all(Event) if "few flowers" in e.text)
    assert note.on.text == "about mid-October 2020"
    assert note.on.first < date(2020, 10, 11) < date(2020, 10, 20) < note.on.last
    assert book.one(Tree, code="T01").planted.text == "about 1998"
    assert book.one(Tree, code="T02").planted.text == "before 1990"


def test_own_rooted_tree(book):
    chain = _chain(book, "T10")
    assert list(chain) == ["own roots"]
    assert chain["own roots"].best.taxon == "Meyer lemon cutting"
    assert book.one(Tree, code="T10").union_mm is None


def test_chain_of_three(book):
    chain = _chain(book, "T02")
    assert set(chain) == {"rootstock", "interstock"}
    grafted = {g.campaign for g in book.all(Graft) if g.tree == book.one(Tree, code="T02").thing}
    assert {"G06", "G07", "G12"} <= grafted


def test_belief_over_several_stocks_and_its_history(book):
    link = _chain(book, "T02")["rootstock"]
    assert [(c.taxon.split()[0], c.belief) for c in link.candidates] == [
        ("trifoliate", 0.45), ("citrange", 0.35), ("rough", 0.2)
    ]  # fmt: skip
    lines = [line for line in book.lines(ChainLink) if line.thing == link.thing]
    assert [line.on.first.year for line in lines] == [2021, 2022]
    assert lines[0].best.taxon == "rough lemon"
    assert lines[1].corrects == lines[0].id
    unknown = _chain(book, "T09")["rootstock"]
    assert [(c.taxon, c.belief) for c in complete(unknown.candidates)] == [(UNKNOWN, 1.0)]


def test_limb_renamed_after_pruning(book):
    tree = book.one(Tree, code="T01").thing
    now = book.one(Limb, tree=tree, label="L2a")
    lines = [line for line in book.lines(Limb) if line.thing == now.thing]
    assert [(line.label, line.path) for line in lines] == [("L2", "2"), ("L2a", "2A")]
    assert now.since.first == date(2023, 8, 10)
    assert {g.code for g in book.all(Graft) if g.limb == now.thing} == {"G04-3", "G04-4"}


def test_graft_marked_dead_then_alive(book):
    graft = book.one(Graft, code="G08-1")
    looks = _of(book, "G08-1")
    mistake = next(k for k in looks if k.state == "shrivelled")
    back = next(k for k in looks if k.state == "pushing")
    assert (mistake.on.first.year, mistake.on.first.month) == (2023, 7)
    assert (back.on.first.year, back.on.first.month) == (2024, 1)
    assert all(k.state == "green and still" for k in looks if k.on.first < mistake.on.first)
    before = standing([k for k in looks if k.on.first < back.on.first], graft.set_on, false_take_days=45)
    assert before.word == "did not take"
    after = standing(looks, graft.set_on, false_take_days=45)
    assert (after.word, after.taken_back, after.lost_after) == ("took", True, False)


def test_twelve_months_not_yet_known(book):
    grafts = [g for g in book.all(Graft) if g.campaign == "G14"]
    year = [alive_on(_of(book, g.code), g.set_on.first + timedelta(days=365)) for g in grafts]
    assert all(g.set_on.first + timedelta(days=365) > TODAY for g in grafts)
    assert True not in year
    assert year.count(None) == 12


def test_wood_lot_refused(book):
    lot = book.one(WoodLot, code="W05")
    assert (lot.source_class, lot.lot_state) == ("inside a regulated area", "refused")
    assert not [g for g in book.all(Graft) if g.lot == lot.thing]
    assert [lot.code for lot in book.all(WoodLot) if lot.lot_state == "refused"] == ["W05"]
    assert book.one(WoodLot, code="W09").lot_state == "thrown away"


def test_wrong_identity_traced_forward(book):
    lots = {lot.thing: lot for lot in book.all(WoodLot)}
    wrong = [f for f in book.all(LotFind) if f.found != lots[f.lot].name]
    assert [(lots[f.lot].code, f.found, f.on.text) for f in wrong] == [("W08", "'Granny Smith' apple", "2024-04")]
    assert {g.code for g in book.all(Graft) if g.lot == wrong[0].lot} == {"G03-1", "G03-2"}


def test_own_wood_traced_back_through_three_trees(book):
    lots = {lot.thing: lot for lot in book.all(WoodLot)}
    grafts = {g.thing: g for g in book.all(Graft)}
    steps, graft = [], book.one(Graft, code="G11-1")
    while True:
        lot = lots[graft.lot]
        steps.append((graft.code, lot.code))
        if lot.from_graft is None:
            break
        graft = grafts[lot.from_graft]
    assert steps == [("G11-1", "W06"), ("G07-1", "W03a"), ("G01-1", "W03")]


def test_sensor_bias_found_late(book):
    lines = [line for line in book.lines(Logger) if line.code == "D"]
    assert [line.ice_bath_error_k for line in lines] == [None, 1.7]
    assert lines[1].made_utc.startswith("2024-07")


def test_surface_probe_is_not_air(demo, book):
    probe = book.one(Logger, code="C")
    assert probe.exposure == "bare probe"
    series = next(s.series for s in demo.series if s.logger == probe.thing)
    assert list(series.columns) == ["surface_temp_c"]
    assert series.columns["surface_temp_c"].max() == pytest.approx(52.3)


def test_confounded_experiment(demo):
    rows = [r for r in demo.readings if r.trial == "E1"]
    assert {r.arm for r in rows if r.logger == "D"} == {"foil sleeve"}
    as_read, corrected = defaultdict(list), defaultdict(list)
    for r in rows:
        as_read[r.arm].append(r.excess_k)
        corrected[r.arm].append(r.excess_k - (1.7 if r.logger == "D" else 0.0))
    assert mean(as_read["foil-lined pouch"]) - mean(as_read["foil sleeve"]) < 0.5
    assert mean(corrected["foil-lined pouch"]) - mean(corrected["foil sleeve"]) == pytest.approx(1.0, abs=0.15)
    assert mean(corrected["brown paper bag"]) - mean(corrected["film alone"]) == pytest.approx(3.1, abs=0.15)


def test_cover_trial_is_balanced(demo):
    units = {(r.unit, r.tree, r.arm) for r in demo.readings if r.trial == "E1"}
    assert len(units) == 16
    arms = [arm for _, _, arm in units]
    assert {arms.count(arm) for arm in arms} == {4}
    nights = {r.day for r in demo.readings if r.trial == "E2"}
    assert len(nights) == 9
    gains = defaultdict(list)
    for r in demo.readings:
        if r.trial == "E2":
            gains[r.arm].append(r.excess_k)
    assert {arm: pytest.approx(mean(v), abs=0.15) for arm, v in gains.items()} == {
        "fleece single": 1.4,
        "fleece double": 2.3,
        "fleece to ground + 25 W lamp": 4.6,
        "20 L water under fleece": 1.9,
    }


def test_tasting_with_three_fruits(book):
    first = min((t for t in book.all(Tasting) if t.campaign == "G04"), key=lambda t: t.on)
    assert (first.fruit_n, first.panel) == (3, 3)
    assert "First crop" in first.note


def test_seeds_changed_by_a_neighbour_limb(book):
    rows = sorted((t for t in book.all(Tasting) if t.campaign == "G06"), key=lambda t: t.on)
    assert [t.seeds_per_fruit for t in rows] == [1.1, 8.6]
    partner = [g for g in book.all(Graft) if g.campaign == "G12"]
    assert {g.tree for g in partner} == {rows[0].tree}


def test_one_windy_frost_among_calm_ones(book):
    frosts = [e.kind for e in book.all(Event) if e.kind.endswith("frost")]
    assert (frosts.count("windy frost"), frosts.count("still frost")) == (1, 5)
    windy = book.one(Event, kind="windy frost")
    assert windy.figures["low_c.YARD"] - windy.figures["low_c.LOW"] == pytest.approx(0.1)
    assert windy.figures["cover_gain_k"] == 0.6


def test_events_without_a_photo(book):
    assert book.all(Photo) == []
    assert sum("No photo" in e.text for e in book.all(Event)) == 2


def test_tree_name_that_is_easily_typed_twice(book):
    assert book.one(Tree, code="T01").name == "Gatepost"
    assert any("gate post" in e.text for e in book.all(Event))


def test_false_take(book):
    """A scion of G02 leafs from its own store, and that is no take."""
    looks = _of(book, "G02-1")
    assert any(k.state == "pushing" for k in looks)
    graft = book.one(Graft, code="G02-1")
    assert standing(looks, graft.set_on, false_take_days=45).word == "did not take"


def test_binding_left_on(book):
    graft = book.one(Graft, code="G07-3")
    assert graft.binding == "vinyl tape"
    lost = next(k for k in _of(book, "G07-3") if k.state == "choked")
    assert (lost.on.first.year, lost.on.first.month) == (2023, 9)


def test_longest_shoot_snapped(book):
    looks = _of(book, "G10-1")
    snapped = next(k for k in looks if k.state == "broken")
    assert (snapped.on.first, snapped.shoot_mm) == (date(2022, 12, 29), 1180.0)
    others = [k.shoot_mm or 0.0 for k in book.all(Look) if k.graft != snapped.graft]
    assert max(others) < 1180.0


def test_losses_of_e4_by_tree(book):
    name = {t.thing: t.code for t in book.all(Tree)}
    seen: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for g in book.all(Graft):
        if g.campaign == "G14":
            alive = alive_on(_of(book, g.code), g.set_on.first + timedelta(days=60))
            seen[name[g.tree], g.arm].append(bool(alive))
    assert {k: len(v) for k, v in seen.items()} == dict.fromkeys(
        [(t, a) for t in ("T01", "T02", "T03", "T05") for a in ("whole", "union only")], 2
    )
    lost = {k: v.count(False) for k, v in seen.items() if False in v}
    assert lost == {("T01", "union only"): 1, ("T02", "union only"): 2, ("T05", "union only"): 1}
    assert book.one(Trial, code="E4").result == {"whole": [8.0, 8.0], "union only": [4.0, 8.0]}


def test_arms_of_e3(book):
    seen: dict[str, list[bool]] = defaultdict(list)
    for g in book.all(Graft):
        if g.campaign == "G11":
            assert g.arm == g.method
            seen[g.arm].append(bool(alive_on(_of(book, g.code), g.set_on.first + timedelta(days=60))))
    assert {arm: [v.count(True), len(v)] for arm, v in seen.items()} == book.one(Trial, code="E3").result


def test_slip_of_the_pen_and_look_at_the_wrong_graft(book):
    corrected = [line for line in book.lines(Look) if line.corrects]
    assert len(corrected) == 2
    length = next(line for line in corrected if not line.withdrawn)
    typed = next(line for line in book.lines(Look) if line.id == length.corrects)
    assert length.shoot_mm == pytest.approx(10.0 * typed.shoot_mm)
    gone = next(line for line in corrected if line.withdrawn)
    assert gone.thing not in {k.thing for k in book.all(Look)}


def test_canopy_shares(book):
    shares = [
        [v for k, v in e.figures.items() if k.startswith("canopy_share_pct")]
        for e in sorted(book.all(Event), key=lambda e: e.on)
        if "canopy_share_pct.E" in e.figures
    ]
    assert shares == [[25.0] * 4, [55.0, 15.0, 18.0, 12.0]]


def test_plots_differ_on_still_nights(book):
    offsets = {p.code: p.still_offset_k for p in book.all(Plot)}
    assert offsets == {"YARD": 0.0, "LOW": -2.6, "WALL": 2.2, "BENCH": 0.8}


def test_refused_campaign_is_told_but_not_set(book):
    note = next(e for e in book.all(Event) if e.text.startswith("G15"))
    assert note.tree == book.one(Tree, code="T04").thing
    assert not [g for g in book.all(Graft) if g.campaign == "G15"]
