"""The demo's entries: repeatable, in order, valid, and adding up to what the scenario says."""

from __future__ import annotations

import dataclasses
import hashlib
import re
import subprocess
import sys
from collections import Counter, defaultdict
from datetime import date, timedelta

import numpy as np
import pytest

from barkslip.demo.garden import build
from barkslip.demo.pen import Pen
from barkslip.demo.scenario import PARTS, read_part, read_scenario
from barkslip.domain.act import ACTS, EVENTS, Act, Event, Photo, check_act
from barkslip.domain.budwood import LOT_STATES, SOURCE_CLASSES, LotFind, WoodLot
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import (
    LOST,
    Graft,
    Look,
    alive_on,
    check_look_day,
    check_state,
    check_wood_day,
    standing,
)
from barkslip.domain.tasting import Tasting
from barkslip.domain.tree import BANDS, BEARING_DEG, ChainLink, Limb, Tree, check_candidates, parse_address
from barkslip.domain.trial import Logger, Trial, TrialReading
from barkslip.domain.weather import EXPOSURES, KINDS
from barkslip.domain.when import When

TODAY = date(2025, 6, 30)
UUID7 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
FALSE_TAKE_DAYS = 45

# The scenario's table of campaigns: grafts set, alive at 60 days, alive at 12 months (None: not reached).
CAMPAIGNS = {
    "G01": (6, 4, 4), "G02": (4, 0, 0), "G03": (2, 2, 2), "G04": (6, 6, 5), "G05": (2, 1, 1), "G06": (6, 5, 5),
    "G07": (4, 4, 3), "G08": (1, 1, 1), "G09": (4, 4, 4), "G10": (3, 3, 2), "G11": (24, 17, 16), "G12": (2, 2, 2),
    "G13": (3, 3, 3), "G14": (16, 12, None),
}  # fmt: skip
# The scenario's table of totals.
GRAFTS_SET, TAKEN_60D, WITH_12M_KNOWN, ALIVE_12M = 83, 64, 67, 48


def _digest(garden) -> str:
    h = hashlib.sha256(repr(garden.entries).encode())
    h.update(repr(garden.readings).encode())
    for one in garden.series:
        h.update(repr((one.plot, one.logger, one.series.info)).encode() + one.series.time_s.tobytes())
        for name, values in one.series.columns.items():
            h.update(name.encode() + values.tobytes())
    return h.hexdigest()


def _looks(book) -> dict[str, list[Look]]:
    out: dict[str, list[Look]] = defaultdict(list)
    for look in book.all(Look):
        out[look.graft].append(look)
    return out


def test_same_seed_same_garden(demo):
    assert _digest(build()) == _digest(demo)


def test_another_seed_keeps_facts_and_changes_ids(demo):
    other = build(7)
    assert _digest(other) != _digest(demo)
    drawn = (Look, TrialReading)  # how many there are hangs on the weather between the fixed days
    assert [type(e) for e in other.entries if not isinstance(e, drawn)] == [
        type(e) for e in demo.entries if not isinstance(e, drawn)
    ]
    assert {e.id for e in other.entries}.isdisjoint({e.id for e in demo.entries})
    assert [e.code for e in other.entries if type(e) is Graft] == [e.code for e in demo.entries if type(e) is Graft]


def test_package_alone_does_not_load_numpy():
    code = "import sys, barkslip.demo; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False, timeout=60).returncode == 0


def test_every_data_file_is_marked_invented():
    assert [read_part(name)["status"] for name in PARTS] == ["INVENTED"] * len(PARTS)


def test_data_files_share_no_key():
    keys = Counter(key for name in PARTS for key in read_part(name) if key != "status")
    assert set(keys.values()) == {1}
    assert set(keys) < set(read_scenario())


def test_pen_dates_an_identifier_by_its_day():
    entry = Pen(np.random.default_rng(1)).first(Plot, date(2021, 3, 2), code="X", name="x")
    assert UUID7.fullmatch(entry.id)
    assert int(entry.id[:13].replace("-", ""), 16) == 1614697200000  # 2021-03-02T15:00:00Z
    assert entry.made_utc == "2021-03-02T15:00:00Z"


def test_every_line_refers_to_earlier_lines_only(demo):
    ids: set[str] = set()
    things: dict[str, type] = {}
    for entry in demo.entries:
        assert UUID7.fullmatch(entry.id)
        assert entry.id not in ids
        if entry.corrects is None:
            assert entry.thing == entry.id
        else:
            assert entry.corrects in ids
            assert things[entry.thing] is type(entry)
        for field in dataclasses.fields(entry):
            if field.name in ("id", "thing", "corrects"):
                continue
            value = getattr(entry, field.name)
            for text in value if isinstance(value, tuple) else (value,):
                if isinstance(text, str) and UUID7.fullmatch(text):
                    assert text in things, (type(entry).__name__, field.name)
        ids.add(entry.id)
        things.setdefault(entry.thing, type(entry))


def test_nothing_is_written_after_today_or_before_the_book(demo):
    for entry in demo.entries:
        assert "2020-07-01" <= entry.made_utc[:10] <= "2025-06-30", entry


def test_counts_by_noun(book):
    counts = Counter(type(e).__name__ for e in book.now)
    assert counts["Garden"] == 1
    assert counts["Plot"] == 4
    assert counts["Tree"] == 12
    assert counts["Logger"] == 5
    assert counts["Graft"] == GRAFTS_SET
    assert counts["Trial"] == 5
    assert counts["Tasting"] == 7
    assert counts["LotFind"] == 5
    assert len([lot for lot in book.all(WoodLot) if re.fullmatch(r"W\d\d", lot.code)]) == 12
    assert book.all(Photo) == []


def test_garden_says_it_is_invented(book):
    garden = book.one(Garden)
    assert (garden.name, garden.invented, garden.today) == ("Quarrow Flat", True, "2025-06-30")
    assert (garden.utc_offset_h, garden.units, garden.date_order) == (2.0, "metric", "dmy")
    assert garden.lat < 0.0
    assert "DEMO" in garden.rules
    assert "legal" not in garden.rules


@pytest.mark.parametrize("campaign", CAMPAIGNS)
def test_campaign_against_scenario(book, campaign):
    n, take60, live12 = CAMPAIGNS[campaign]
    looks = _looks(book)
    grafts = [g for g in book.all(Graft) if g.campaign == campaign]
    at60 = [alive_on(looks[g.thing], g.set_on.first + timedelta(days=60)) for g in grafts]
    assert len(grafts) == n
    assert None not in at60
    assert sum(at60) == take60
    for days in (365, 366):
        at_year = [alive_on(looks[g.thing], g.set_on.first + timedelta(days=days)) for g in grafts]
        if live12 is None:
            assert at_year.count(True) == 0
            assert at_year.count(None) == take60
        else:
            assert None not in at_year
            assert sum(at_year) == live12


def test_totals_against_scenario(book):
    looks = _looks(book)
    grafts = book.all(Graft)
    reached = [g for g in grafts if g.set_on.first + timedelta(days=365) <= TODAY]
    assert len(grafts) == GRAFTS_SET
    assert sum(alive_on(looks[g.thing], g.set_on.first + timedelta(days=60)) is True for g in grafts) == TAKEN_60D
    assert len(reached) == WITH_12M_KNOWN
    year = [alive_on(looks[g.thing], g.set_on.first + timedelta(days=365)) for g in reached]
    assert year.count(True) == ALIVE_12M
    assert year.count(False) == WITH_12M_KNOWN - ALIVE_12M


def test_every_loss_has_its_reason(book):
    for looks in _looks(book).values():
        first_lost = next((k for k in sorted(looks, key=lambda k: k.on.first) if k.state in LOST), None)
        assert first_lost is None or first_lost.note
    states = {k.state for k in book.all(Look)}
    assert {"green and still", "swelling", "pushing", "stalled", *LOST} <= states


def test_looks_thin_out_and_are_enough(book):
    looks = _looks(book)
    for graft in book.all(Graft):
        own = sorted(looks[graft.thing], key=lambda k: k.on.first)
        lost = any(k.state in LOST for k in own)
        assert (2 if lost else 8) <= len(own) <= 20
        assert own[-1].on.last <= TODAY
        lengths = [k.shoot_mm for k in own if k.shoot_mm is not None]
        assert lengths == sorted(lengths)


def test_looks_and_wood_pass_the_domain(book):
    grafts = {g.thing: g for g in book.all(Graft)}
    lots = {lot.thing: lot for lot in book.all(WoodLot)}
    for look in book.lines(Look):
        check_look_day(look.on, grafts[look.graft].set_on)
        assert check_state(look.state) == look.state
    for graft in grafts.values():
        check_wood_day(graft.set_on, lots[graft.lot].cut, lots[graft.lot].code)
        assert graft.binding
    for lot in lots.values():
        assert lot.source_class in SOURCE_CLASSES
        assert lot.lot_state in LOT_STATES


def test_methods_are_the_plain_names(book):
    assert Counter(g.method for g in book.all(Graft)) == {
        "T-bud": 6 + 12,
        "bark graft": 4 + 6 + 2 + 6 + 4 + 4 + 2 + 3 + 16,
        "whip and tongue": 2,
        "chip bud": 1 + 12,
        "cleft graft": 3,
    }


def test_grafts_sit_on_limbs_of_their_tree(book):
    limbs = {limb.thing: limb for limb in book.all(Limb)}
    batch = book.one(Tree, code="T06").thing
    for graft in book.all(Graft):
        if graft.limb is None:
            assert graft.tree == batch
        else:
            assert limbs[graft.limb].tree == graft.tree


def test_limbs_links_and_acts_pass_the_domain(book):
    for limb in book.lines(Limb):
        assert limb.bearing in BEARING_DEG
        assert limb.band in BANDS
        assert parse_address(limb.address) == (limb.bearing, limb.band, limb.path)
    for tree in book.all(Tree):
        own = [limb.address for limb in book.all(Limb) if limb.tree == tree.thing]
        assert len(set(own)) == len(own)
        assert any(link.tree == tree.thing for link in book.all(ChainLink))
    for link in book.lines(ChainLink):
        check_candidates(link.level, link.candidates)
    for act in book.all(Act):
        targets = sum(target is not None for target in (act.graft, act.limb, act.tree, act.plot))
        assert check_act(act.kind, targets) == act.kind
    assert {act.kind for act in book.all(Act)} == set(ACTS)
    assert {event.kind for event in book.all(Event)} == set(EVENTS)
    assert all(logger.exposure in EXPOSURES for logger in book.all(Logger))


def test_codes_are_never_used_twice(book):
    for noun in (Plot, Tree, WoodLot, Graft, Trial, Logger):
        codes = [e.code for e in book.all(noun)]
        assert len(set(codes)) == len(codes)


def test_walk_order_is_one_to_n_in_each_plot(book):
    assert sorted(plot.walk_order for plot in book.all(Plot)) == [1, 2, 3, 4]
    for plot in book.all(Plot):
        order = sorted(tree.walk_order for tree in book.all(Tree) if tree.plot == plot.thing)
        assert order == list(range(1, len(order) + 1))


def test_five_open_things_on_the_last_day(book):
    """Open bindings, covers, rubbing, bracing and verdicts: the work of 30 June 2025."""
    looks, acts = _looks(book), book.all(Act)
    folded = {g.code: standing(looks[g.thing], g.set_on, false_take_days=FALSE_TAKE_DAYS) for g in book.all(Graft)}
    living = [g for g in book.all(Graft) if folded[g.code].mark != "lost"]
    released = {a.graft for a in acts if a.kind == "release"}
    assert {g.code for g in living if g.thing not in released} == {"G14-10", "G14-12", "G14-13", "G14-14"}
    assert {c for c, s in folded.items() if s.word == "waiting"} == {"G14-5", "G14-12"}
    assert {folded[c].state for c in ("G14-5", "G14-12")} == {"stalled"}
    covered = {g.thing: bool(g.cover) for g in book.all(Graft)}
    for act in sorted(acts, key=lambda a: a.on.first):
        thing = act.graft or act.tree
        if act.kind in ("cover on", "cover off") and thing:
            covered[thing] = act.kind == "cover on"
    name = {e.thing: e.code for noun in (Graft, Tree) for e in book.all(noun)}
    assert {name[thing] for thing, there in covered.items() if there} == {"G14-10", "G14-13", "T12"}
    braced = {a.graft for a in acts if a.kind == "brace"}
    long = {g.code for g in living if max(k.shoot_mm or 0.0 for k in looks[g.thing]) >= 300.0}
    assert {g.code for g in living if g.code in long and g.thing not in braced} == {"G13-2"}
    last_rub = {
        name[tree]: max(a.on.last for a in acts if a.kind == "rub" and a.tree == tree)
        for tree in {a.tree for a in acts if a.kind == "rub"}
    }
    assert last_rub["T03"] == date(2025, 5, 4)
    assert {t for t in ("T01", "T02", "T05") if (TODAY - last_rub[t]).days < 14} == {"T01", "T02", "T05"}


def test_formula_check_of_the_navel(book):
    """(Brix − 4 acid) × 16.5 of the three navel tastings; values as printed with the scenario."""
    rows = [t for t in book.all(Tasting) if t.campaign == "G04"]
    units = [(t.brix - 4.0 * t.acid_pct) * 16.5 for t in sorted(rows, key=lambda t: t.on)]
    assert units == pytest.approx([64.35, 105.6, 132.0], abs=0.05)


def test_finds_name_the_lots(book):
    lots = {lot.thing: lot for lot in book.all(WoodLot)}
    found = {lots[f.lot].code: (f.found == lots[f.lot].name, f.on.first.year) for f in book.all(LotFind)}
    assert found == {
        "W01": (True, 2024),
        "W02": (True, 2024),
        "W03": (True, 2024),
        "W04": (True, 2025),
        "W08": (False, 2024),
    }


def test_series_are_of_the_domain(demo, book):
    plots = {p.thing for p in book.all(Plot)}
    loggers = {e.thing for e in book.all(Logger)}
    for one in demo.series:
        assert one.plot in plots
        assert one.logger is None or one.logger in loggers
        assert one.series.info.kind in KINDS
        assert one.series.info.exposure in EXPOSURES
        assert "nvented" in one.series.info.source
        assert one.series.info.utc_offset_h == 2.0


def _words(value: object) -> list[str]:
    if isinstance(value, str):
        return [] if UUID7.fullmatch(value) else [value]
    if isinstance(value, When):
        return [value.text]
    if dataclasses.is_dataclass(value):
        return [w for f in dataclasses.fields(value) for w in _words(getattr(value, f.name))]
    if isinstance(value, (tuple, list)):
        return [w for v in value for w in _words(v)]
    return []


#: Capitalised words that may stand inside a sentence: months, bearings, kinds of fruit and stock, our own places.
KNOWN = set(
    re.findall(
        r"\w+",
        """January February March April May June July August September October November December Sunday
    N NE E SE S SW W NW C K T EC DEMO Fridge
    Quarrow Flat Gatepost Well Thornback Kitchen Crossways Seedling Race Kaki Plum Pot Meyer Kumquat Replant Yard
    Anna Carrizo Troyer Delicious Diospyros Dragon Eureka Flying Fuyu Golden Granny Smith Hachiya Lisbon Methley
    Minneola Nagami Nules Owari Red Ruby Star Rosa Santa Swingle Tahiti Valencia Washington Citrus Malus Prunus MM106
    Z Wall House Lower OY""",
    )
)


def test_nobody_appears(demo):
    fields = {f.name for e in demo.entries for f in dataclasses.fields(e)}
    assert not fields & {"actor", "by", "who", "author", "grower", "taster", "tasters", "person"}
    texts = {w for e in demo.entries for w in _words(e)} | {w for s in demo.series for w in _words(s.series.info)}
    for text in texts:
        inside = re.sub(r"(^|[.;:!?(] ?|['\"] ?)[A-Z][\w-]*", r"\1", text)
        for word in re.findall(r"\b[A-Z][A-Za-z0-9]+\b", inside):
            plain = re.fullmatch(r"[GWTLAEPKS]\d+[a-zA-Z]?", word)
            assert plain or word in KNOWN or word in {"YARD", "LOW", "WALL", "BENCH"}, (word, text)
        assert not re.search(r"\b(he|she|him|her|his|Mr|Mrs|Ms|Dr|my|our)\b|@", text), text
