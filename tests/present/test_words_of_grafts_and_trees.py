"""Standings, chains, what is due, wood and weather word for word."""

from __future__ import annotations

import inspect
import re
from datetime import date, timedelta
from pathlib import Path

import pytest

from barkslip.domain.act import ACTS, Act
from barkslip.domain.budwood import WoodLot
from barkslip.domain.cards import ChainPart, LotCard, PlotDay, PlotToday, Today, WeatherSince
from barkslip.domain.due import DUE_KINDS, Due
from barkslip.domain.graft import LOST, MARKS, STATES, Standing, standing
from barkslip.domain.sourced import Value
from barkslip.domain.tree import Candidate
from barkslip.domain.units import METRIC, US
from barkslip.domain.when import on
from barkslip.present import act, chain, day, due, graft, marks, tree, weather, wood

N = "\u00a0"
ON = date(2024, 9, 13)
SET = date(2024, 3, 1)


def stood(garden, *looks):
    return standing([garden.look(s, SET + timedelta(days=d)) for s, d in looks], on(SET), false_take_days=60)


@pytest.mark.parametrize(
    ("looks", "words"),
    [
        ((), "waiting · no look yet"),
        ((("swelling", 20),), "waiting · swelling"),
        ((("unknown", 20),), "waiting · could not tell"),
        ((("pushing", 20),), "waiting · pushing"),
        ((("pushing", 70),), "took"),
        ((("pushing", 70), ("stalled", 90)), "took · stalled"),
        ((("pushing", 70), ("broken", 90)), "took, then broken"),
        ((("pushing", 70), ("black", 90)), "took, then black or rotten"),
        ((("shrivelled", 30),), "did not take · shrivelled"),
        ((("shrivelled", 30), ("green and still", 60)), "waiting · green and still · loss taken back"),
    ],
)
def test_standings(garden, looks, words):
    assert graft.standing_words(stood(garden, *looks)) == words


def test_a_verdict_is_explained_by_its_looks(garden):
    turns = stood(garden, ("shrivelled", 30), ("pushing", 70), ("eaten", 90)).turns
    assert [graft.turn_text(t) for t in turns] == [
        f"31{N}Mar 2024: shrivelled, so it did not take",
        f"10{N}May 2024: pushing, so it took",
        f"30{N}May 2024: eaten, so it had taken and is lost",
    ]


def test_every_mark_and_state_has_words():
    assert set(marks.MARK_WORDS) == set(MARKS)
    assert set(graft._LOST_AFTER) == set(LOST)
    for state in STATES:
        assert graft.state_button(state)[0].isupper()
        assert graft.state_group(state) in ("alive", "lost", "unsure")
        lost = Standing("took", state, "lost", True, False, (), None, 1)
        assert state not in LOST or graft.standing_words(lost).startswith("took, then ")


def test_headline_of_a_graft(garden):
    card = garden.graft(garden.tree(), None, ("shrivelled",))
    assert graft.standing_sentence(card) == (
        f"It did not take: shrivelled; last look 14{N}Aug 2024. A later look at a living scion takes that back."
    )
    assert graft.title(card) == "limb not known · 'Washington' navel"


@pytest.mark.parametrize(
    ("name", "short"),
    [("'Washington' navel", "Washington"), ("willow-leaf mandarin", "willow-leaf mandarin"), ("", "?"), ("?", "?")],
)
def test_short_variety(name, short):
    assert graft.short_variety(name) == short


def test_a_wrong_name_says_both(garden):
    card = garden.graft(garden.tree(), None, (), variety="'Anna' apple", name_doubt="'Granny Smith' apple")
    assert graft.variety_words(card) == "'Granny Smith' apple (written as 'Anna' apple)"


def test_chains():
    parts = (
        ChainPart("rootstock", "?", 0.55),
        ChainPart("interstock", "mandarin", 0.7),
        ChainPart("scion", "'Minneola' tangelo", None),
    )
    assert chain.chain_text(parts) == "'Minneola' tangelo / mandarin? / ?"
    assert (
        chain.chain_text((ChainPart("own roots", "'Meyer' lemon cutting", 0.9),))
        == "'Meyer' lemon cutting? on own roots"
    )
    assert chain.chain_text(()) == "not known"
    assert chain.chain_text((ChainPart("rootstock", "'Flying Dragon' trifoliate orange", 0.99),)) == (
        "'Flying Dragon' trifoliate orange"
    )
    assert chain.candidates_text((Candidate("trifoliate orange", 0.45), Candidate("citrange", 0.35))) == (
        f"trifoliate orange 45{N}%, citrange 35{N}%, not known 20{N}%"
    )
    assert chain.belief_text(None) == "set by your own hand"


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (None, "Nothing is written down yet about what it stands on."),
        (ChainPart("rootstock", "rough lemon", 0.75), f"Most likely on rough lemon, 75{N}%; not proved."),
        (ChainPart("rootstock", "trifoliate orange", 0.45), f"Perhaps on trifoliate orange, 45{N}%; not proved."),
        (ChainPart("rootstock", "rough lemon", 0.99), "Stands on rough lemon."),
        (ChainPart("rootstock", "?", 1.0), "What it stands on is not known."),
        (
            ChainPart("rootstock", "?", 0.5, (Candidate("unknown", 0.5), Candidate("Diospyros lotus", 0.5))),
            f"What it stands on is not known; the likeliest name is Diospyros lotus, 50{N}%.",
        ),
        (ChainPart("own roots", "'Meyer' lemon cutting", 0.9), f"On its own roots (90{N}%): there is no union."),
    ],
)
def test_what_a_tree_stands_on(part, words):
    assert chain.stands_on(part) == words


TAPE = Due(
    "release", date(2024, 9, 1), date(2024, 10, 12), "release-holds", date(2024, 8, 28),
    Value(45.0, "d", "own.trade", "common practice", 28.0, 60.0), "vinyl tape",
)  # fmt: skip


def test_a_due_thing_is_a_sentence_with_its_limit_and_status():
    assert due.text(TAPE, ON) == (
        f"release the binding: vinyl tape does not give way; no later than 12{N}Oct (common practice)"
    )
    assert due.short(TAPE, ON) == f"Vinyl tape does not give way; no later than 12{N}Oct."
    assert due.button(TAPE) == "Release"
    assert due.act_kind(TAPE) == "release"
    assert due.why(TAPE) == (
        f"45{N}days (28 to 60{N}days), common practice, source own.trade; counted from 28{N}Aug 2024"
    )
    assert due.limit(TAPE, date(2024, 10, 15)) == f"was due by 12{N}Oct, 3{N}days ago"
    assert due.limit(TAPE, date(2024, 8, 25)) == f"from 1{N}Sep, no later than 12{N}Oct"


def test_details_come_in_the_readers_units():
    brace = Due("brace", ON, None, "long-shoot", ON, None, "410")
    assert due.text(brace, ON) == f"brace the shoot: 41{N}cm long; wind snaps it at the union"
    assert due.text(brace, ON, US) == f"brace the shoot: 16{N}in long; wind snaps it at the union"
    heat = Due("shade", ON, ON, "heat-coming", ON, None, "38.4")
    assert due.reason(heat, US) == f"101.1{N}°F forecast; a wrapped scion cooks in sun"


def test_every_kind_and_every_reason_of_the_care_list_has_words():
    assert set(due.DO) == set(due._PLAIN) == set(DUE_KINDS)
    assert set(due.ACT_KINDS) | {"first look", "look"} == set(DUE_KINDS)
    assert set(due._ACTS.values()) <= set(ACTS)
    source = Path(inspect.getfile(due)).parents[1].joinpath("engines", "care.py").read_text(encoding="utf-8")
    codes = set(re.findall(r'"((?:first|wrap|cover|release|long|rub|heat)-[a-z-]+)"', source))
    assert {"first-look", "release-holds", "heat-coming"} <= codes
    assert codes | {f"waiting-{m}" for m in ("waiting", "pushing", "stalled", "unknown")} <= set(due.REASONS)


def test_an_unknown_reason_falls_back_to_its_kind():
    assert due.reason(Due("rub", ON, None, "new code")) == "stock shoots outgrow a young graft"


def test_late_things_come_first():
    late = Due("look", ON, ON - timedelta(days=1), "x")
    soon = Due("rub", ON, ON, "x")
    open_end = Due("shade", ON, None, "x")
    assert due.urgency([open_end, soon, late], ON) == [late, soon, open_end]
    assert due.open_now([Due("rub", ON + timedelta(days=2), None, "x"), soon], ON) == [soon]


def test_wood(garden):
    lot = WoodLot(**garden.line(), code="W08", name="'Anna' apple", cut=on(date(2021, 7, 10)),
                  source_class="club exchange", sticks=2, lot_state="used")  # fmt: skip
    card = LotCard(lot, 3, {"took": 2, "did not take": 1}, "'Granny Smith' apple", False)
    assert wood.grafts_words(card) == "3 grafts: 2 took, 1 did not take"
    assert wood.came_words(lot) == f"club exchange; cut 10{N}Jul 2021"
    assert wood.sticks_words(lot) == "2 sticks, used"
    assert wood.identity_words(card) == (
        "Not what it was called: came as 'Anna' apple, found to be 'Granny Smith' apple."
    )
    assert "legal" not in wood.DO_NOT_MOVE
    assert wood.DO_NOT_MOVE.startswith("Do not move this wood")


def test_acts(garden):
    water = Act(**garden.line(), kind="water", on=on(ON), tree="t", amount_l=20.0)
    assert act.text(water) == f"watered, 20{N}L"
    assert act.text(water, US) == f"watered, 5.3{N}US gal"
    bag = Act(**garden.line(), kind="cover on", on=on(ON), graft="g", detail="paper bag")
    assert act.text(bag) == "cover put on: paper bag"
    assert act.figure_text("low_c.LOW", -5.8) == f"low LOW −5.8{N}°C"
    assert act.figure_text("drop_k", -2.0, US) == f"drop −3.6{N}°F"


def test_trees(garden):
    card = garden.story(garden.tree(count=30)).card
    assert tree.title(card.tree) == "Well, 30 alike"
    assert tree.size_words(garden.tree(union_mm=620.0), METRIC) == f"size not measured; union at 62{N}cm"
    assert tree.limb_words(garden.limb(card.tree, "NW-M-L")) == "north-west, middle, L"
    assert tree.stands_on_short(card) == f"on trifoliate orange? 45{N}%"


def since(**values):
    fixed = {
        "series": "Yard", "source": "logger", "hours": 382.0, "share": 0.96, "low_c": -1.8,
        "low_at": "2024-09-06T05:40",
        "high_c": 37.6, "high_at": "2024-09-10T14:30", "frost_hours": 4.5, "healing_hours": 96.0, "heat_hours": 3.0,
        "frost_c": 0.0, "healing_low_c": 18.0, "healing_high_c": 30.0, "heat_c": 36.0,
    }  # fmt: skip
    return WeatherSince(**(fixed | values))


def test_weather_since_setting():
    assert weather.since_text(since()) == (
        f"Lowest −1.8{N}°C, 6{N}Sep 2024, 05:40; highest 37.6{N}°C, 10{N}Sep 2024, 14:30. "
        f"4.5{N}h below 0{N}°C; 96{N}h in the healing band, 18 to 30{N}°C."
    )
    assert weather.since_text(since(low_c=None)) == "No readings since it was set (Yard)."
    assert weather.coverage_text(since()) == f"382{N}h read, 96{N}% of the hours read; source: logger"


def test_today_says_the_answer_first(garden):
    night = PlotDay("2024-09-14", -3.1, 15.0, 24.0, True)
    plot = PlotToday(garden.plot, (), 3, 5, (PlotDay("2024-09-13", None, None, 0.0),), (night,))
    today = Today(ON, None, (plot,), 3, 5, 2)  # type: ignore[arg-type]
    assert day.headline(today) == "5 things to do, 2 of them late."
    assert day.coldest_ahead(today) == (
        f"Coldest night ahead: House yard, −3.1{N}°C on 14{N}Sep (forecast, not a promise)."
    )
    assert day.headline(Today(ON, None, (), 3, 0, 0)) == "Nothing is due today. 3 grafts wait for a verdict."  # type: ignore[arg-type]
    assert weather.night_text(night) == f"−3.1{N}°C forecast"
    assert weather.plot_text(plot) == f"coldest night ahead −3.1{N}°C, 14{N}Sep (forecast)"


@pytest.mark.parametrize("folder", ["present", "web/templates"])
def test_no_bare_season_names_and_nothing_called_legal(folder):
    root = Path(inspect.getfile(due)).parents[1] / folder
    # a "false spring" names a kind of weather, not a time of the year
    bad = re.compile(r"(?<!false )\b(spring|summer|autumn|winter|legal(?:ly)?)\b", re.IGNORECASE)
    texts = {path.name: path.read_text(encoding="utf-8") for path in sorted(root.iterdir()) if path.is_file()}
    assert texts
    assert [name for name, text in texts.items() if bad.search(text)] == []
