"""Fruit from the trials of the knowledge base and from the garden: ranges, coverage, own tastings, the year."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from typing import Any

import pytest

from barkslip.app.calendar import ripe_year
from barkslip.app.context import Context
from barkslip.app.fruit import ask_fruit
from barkslip.app.fruit_trials import STEPPED, Trials, left_out_levels, left_out_solids, left_out_steps
from barkslip.app.settings import Settings
from barkslip.domain.errors import BarkslipError
from barkslip.domain.fruit import FruitVerdict, Quantity
from barkslip.engines.fruit import pool
from barkslip.knowledge.load import load
from barkslip.present import fruit as words

ROOT = Path(__file__).parents[2]
KNOWLEDGE = load()
TRIALS = Trials(KNOWLEDGE)


def ask(**fields: str) -> FruitVerdict:
    return ask_fruit(None, Settings(Path("/nowhere")), fields)


def quantity(v: FruitVerdict, code: str, *, against: bool, stock: int = 0) -> Quantity:
    return next(q for q in v.stocks[stock].quantities if (q.code, q.against) == (code, against))


# -- trials ----------------------------------------------------------------------------------------------------


def test_figures_are_those_of_the_trials() -> None:
    """Georgia, one sample each; Emmanouilidou & Kyriacou: 9.6 to 10.6 on three stocks, 9.3 to 9.7 on Volkamer."""
    found = {(r.trial, r.stock): r.value for r in TRIALS.solids}
    assert found["T20", "rubidoux"] == 13.7
    assert found["T19", "volkamer"] == pytest.approx(9.5)
    assert found["T19", "carrizo"] == found["T19", "sour_orange"] == pytest.approx(10.1)
    assert len(found) == 16


def test_one_step_of_each_quantity_comes_from_the_spread_of_a_trial() -> None:
    """Castle 2012: 649 to 1615 kg over 16 stocks; d2 of 16 is 3.532. Wutscher: 22 % over 45. Stenzel: 0 to 28 days."""
    import math

    assert TRIALS.spread_of("yield") == pytest.approx(math.log(1.34 / 0.54) / 3.532, rel=0.01)
    assert TRIALS.spread_of("size") == pytest.approx(math.log(1.22) / 4.415, rel=0.01)
    assert TRIALS.spread_of("ripening") == pytest.approx(28 / 2.059, rel=0.03)


@pytest.mark.parametrize(
    ("said", "step"),
    [("lowest", -1.3), ("medium to large", 0.4), ("intermediate to high", 0.4), ("too large", 1.3), ("small", -0.8)],
)
def test_words_of_ratings_as_steps(said: str, step: float) -> None:
    assert TRIALS.word_step(said) == pytest.approx(step)


def test_other_words_are_no_step() -> None:
    assert TRIALS.word_step("as other citranges") is None
    assert TRIALS.word_step("depends on scion and soil") is None


def test_lemon_type_stocks_give_less_sugar_and_acid_and_more_fruit() -> None:
    """Fallahi 1992, Emmanouilidou & Kyriacou, DPIRD 2020: low sugar and acid, large fruit, high yield on Volkamer."""
    effects = {s: TRIALS.solids_pool.effect(s).mean for s in ("volkamer", "carrizo", "rough_lemon")}
    assert effects["volkamer"] < -0.3 and effects["rough_lemon"] < -0.3 < effects["carrizo"]
    assert TRIALS.steps("acid").step("volkamer").mean < 0 < TRIALS.steps("acid").step("sour_orange").mean
    assert TRIALS.steps("size").step("volkamer").mean > 0 > TRIALS.steps("size").step("cleopatra").mean
    assert TRIALS.steps("yield").step("volkamer").mean > 0 > TRIALS.steps("yield").step("swingle").mean


def test_a_trial_left_out_is_left_out() -> None:
    without = Trials(KNOWLEDGE, frozenset(("T20",)))
    assert "T20" not in {r.trial for r in without.solids}
    assert "chain.GREG1993" not in {
        o.source for o in Trials(KNOWLEDGE, frozenset(("chain.GREG1993",))).opinions("yield")
    }


def test_ranges_hold_about_eight_in_ten_of_what_they_were_not_made_from() -> None:
    """80 % is meant; with 121 values 73 to 87 % is two standard errors. The parts are looked at one by one as well."""
    held, total = 0, 0
    rows: list[tuple[float, float, float]] = [r[-3:] for r in left_out_solids(KNOWLEDGE)]
    rows += [r[-3:] for r in left_out_levels(KNOWLEDGE, (0.5, 0.25))]
    assert sum(a <= v <= b for a, v, b in rows) / len(rows) >= 0.7
    for code in STEPPED:
        found = [r[-3:] for r in left_out_steps(KNOWLEDGE, code)]
        rows += found
    held, total = sum(a <= v <= b for a, v, b in rows), len(rows)
    assert total == 121
    assert 0.73 <= held / total <= 0.87


def test_the_page_on_the_model_says_what_the_script_says() -> None:
    spec = importlib.util.spec_from_file_location("fruit_coverage", ROOT / "benchmarks" / "fruit_coverage.py")
    assert spec is not None and spec.loader is not None
    script: Any = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    page = (ROOT / "docs" / "models" / "fruit.md").read_text("utf-8")
    stated = re.search(r"<!-- coverage -->\n(.*?)\n<!-- end -->", page, re.S)
    assert stated is not None
    assert stated[1].splitlines() == script.lines(KNOWLEDGE)


# -- answers ---------------------------------------------------------------------------------------------------


def test_no_answer_promises_sweeter_fruit() -> None:
    """Any two stocks: sugar is at most probable, and the sentence against the promise stands in every answer."""
    for first, second in (("trifoliate orange", "rough lemon"), ("Carrizo", "Flying Dragon"), ("Volkamer", "US-897")):
        found = ask(scion="Washington", chain=first, against=second)
        solids = next(b for b in found.beside if b.code == "solids")
        assert solids.range.low < 0 < solids.range.high
        assert "cannot tell" in words.beside_text(solids)
        text = " ".join([words.headline(found), words.lead(found), words.no_promise(found)])
        assert not re.search(r"\b(gain|guarantee|will be sweeter|promises)\b", text)
        assert "4 trials found no difference" in words.no_promise(found)
        assert "°Brix" in words.headline(found)


def test_more_is_known_of_a_variety_that_was_tried() -> None:
    tried, other = ask(scion="Lane Late", chain="Carrizo"), ask(scion="Owari", chain="Carrizo")
    a, b = quantity(tried, "solids", against=False), quantity(other, "solids", against=False)
    assert (a.basis, b.basis) == ("variety", "all")
    assert a.range.high - a.range.low < b.range.high - b.range.low
    assert abs(a.range.middle - 10.15) < abs(b.range.middle - 10.15)


def test_an_unknown_stock_is_wider_and_nothing_is_said_of_it() -> None:
    sure, open_ = ask(scion="Lane Late", chain="Volkamer"), ask(scion="Lane Late", chain="?")
    a, b = quantity(sure, "yield", against=True), quantity(open_, "yield", against=True)
    assert b.range.high / b.range.low > a.range.high / a.range.low
    assert quantity(open_, "yield", against=True).basis == "none"
    assert words.stock_words(open_.stocks[0]) == "On a stock that is not known: every stock is thought possible."


def test_sour_fruit_has_no_sugar_of_oranges() -> None:
    lemon = ask(scion="Lisbon", chain="Volkamer")
    assert not [q for q in lemon.stocks[0].quantities if (q.code, q.against) == ("solids", False)]
    acid = quantity(lemon, "acid", against=False)
    assert (round(acid.range.low, 6), round(acid.range.high, 6), acid.recalled) == (5.0, 7.0, True)


def test_scores_are_shown_source_by_source_with_conflicts_and_holes() -> None:
    """Carrizo on lime: Roose poor to intermediate, DPIRD poor; in the cold DPIRD hardier, an unsigned page tenderer."""
    scores = {s.trait: s for s in ask(scion="Owari", chain="Carrizo").stocks[0].scores}
    lime, cold = scores["tol_calcareous"], scores["cold_effect"]
    assert (lime.step, lime.differ, len(lime.opinions)) == (2.5, True, 4)
    assert {v.value for v in cold.opinions} == {"hardier", "tenderer"}
    assert cold.differ
    benton = {s.trait: s for s in ask(scion="Owari", chain="Benton").stocks[0].scores}
    assert benton["tol_blight"].step is None
    assert (words.score_sign(benton["tol_blight"]), words.score_words(benton["tol_blight"])) == ("?", "not known")


def test_months_are_turned_for_the_south() -> None:
    north = ask(scion="Owari", chain="Carrizo", hemisphere="north")
    south = ask(scion="Owari", chain="Carrizo", hemisphere="south")
    assert (north.months, south.months) == (((20, 25),), ((8, 13),))
    assert words.months_text(south).startswith("Ripe May to Jul.")
    assert "northern half of the world" in words.months_text(ask(scion="Owari", chain="Carrizo"))


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"scion": "pummelo", "chain": "Carrizo"},
            "That is a whole group of varieties.\nGiven: pummelo\nAllowed: 'Chandler' pummelo, 'Uwa' pummelo\n"
            "Next: Name one of them: fruit differs from variety to variety.",
        ),
        (
            {"scion": "Owari", "chain": "Carrizo", "hemisphere": "east"},
            "Not a half of the world.\nGiven: east\nAllowed: north, south\nNext: Choose one of the two.",
        ),
    ],
)
def test_what_cannot_be_is_said(fields: dict[str, str], message: str) -> None:
    with pytest.raises(BarkslipError) as caught:
        ask(**fields)
    assert str(caught.value) == message


# -- the garden ------------------------------------------------------------------------------------------------


def test_own_tastings_move_the_range_and_first_crops_do_not(shown_demo: Context) -> None:
    """T01: three tastings, of which 9.1 and 10.6 °Brix are of first crops of young wood."""
    own = ask_fruit(shown_demo, shown_demo.settings, {"scion": "Washington", "tree": "T01"})
    assert [(t.brix, t.left_out) for t in own.own] == [(9.1, "early"), (10.6, "early"), (11.8, "")]
    told = quantity(own, "solids", against=False)
    alone = quantity(ask(scion="Washington", chain="rough lemon=75%|?=25%"), "solids", against=False)
    assert (told.basis, told.own) == ("own", 1)
    assert alone.range.middle < told.range.middle < 11.8
    assert told.range.high - told.range.low < alone.range.high - alone.range.low


def test_own_fruit_tells_less_of_another_stock(shown_demo: Context) -> None:
    found = ask_fruit(shown_demo, shown_demo.settings, {"scion": "Washington", "tree": "T01", "against": "Carrizo"})
    here, there = (quantity(found, "solids", against=False, stock=i).range for i in (0, 1))
    assert there.high - there.low > here.high - here.low


def test_the_plots_lows_meet_what_the_variety_bears(shown_demo: Context) -> None:
    found = ask_fruit(shown_demo, shown_demo.settings, {"scion": "Washington", "tree": "T03"})
    assert found.cold.plot == "Lower paddock"
    assert min(low for _, low in found.cold.lows) < -3.9
    assert any("told to hurt such tops" in line for line in words.cold_text(found.cold))


def test_seeds_on_the_well_come_from_the_pollen_partner(shown_demo: Context) -> None:
    """T02: 1.1, then 8.6 seeds in the clementine; Minneola was set on the same tree in October 2023."""
    year = ripe_year(shown_demo)
    card = next(c for c in year.pollen if c.ripe.kind.key == "de_nules")
    (seeds,) = card.seeds
    assert (seeds.tree, [n for _, n in seeds.counts], seeds.rose) == ("T02", [1.1, 8.6], True)
    assert seeds.explains is not None
    assert (seeds.explains.kind.key, seeds.explains.near, seeds.bloom) == ("minneola", "same tree", "2024-09")
    assert seeds.explains.places[0].since == "2023-10-11"


def test_the_year_is_of_the_south_and_holds_what_lives(shown_demo: Context) -> None:
    year = ripe_year(shown_demo)
    assert year.south is True
    found = {r.kind.key: r for r in year.ripe}
    assert found["de_nules"].windows == ((6, 11),)  # Oct-Dec turned: Apr to Jun
    assert {"washington", "owari", "minneola", "lisbon", "meyer", "nagami", "valencia"} <= set(found)
    assert found["lisbon"].kitchen and not found["owari"].kitchen
    assert "mandarin" in year.unknown
    assert found["lisbon"].first_fruit == "2027"


def test_pooling_nothing_says_so() -> None:
    empty = pool([], TRIALS.prior)
    assert empty.levels == {}
    assert empty.effect("volkamer").mean == pytest.approx(-0.65)
