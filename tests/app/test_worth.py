"""Keep, rework or replace on the demo garden: the decisions open there, and answers that must never be given."""

from __future__ import annotations

import math

import pytest

from barkslip.app.context import Context
from barkslip.app.settings import Settings
from barkslip.app.worth import ask_worth
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.worth import LIMITS, WAYS, WorthAnswer
from barkslip.present import worth as words
from barkslip.present.worth_data import worth_data


def ask(ctx: Context, **fields: str) -> WorthAnswer:
    return ask_worth(ctx, ctx.settings, fields)


def test_t01_is_kept_its_three_crops_rise(shown_demo: Context) -> None:
    v = ask(shown_demo, tree="T01")
    assert (v.best, v.close, v.trend, v.kind) == ("keep", "", "rising", "'Washington' navel orange")
    assert [t.score9 for t in v.tastings] == [3.8, 5.9, 7.4]
    assert [t.left_out for t in v.tastings] == ["early", "early", ""]
    assert "3 crops rising" in words.tasted_text(v)


def test_t04_gets_no_lemon_again_and_is_looked_at_first(shown_demo: Context) -> None:
    v = ask(shown_demo, tree="T04", to="Eureka lemon")
    assert {w.code for w in v.ways if w.barred} == {"rework", "trial"}
    assert words.headline(v) == "Look at the union of T04 Kitchen lemon first; until then, keep it as it is."
    said = words.first_of_all(v)
    assert said[0].startswith("Do not put 'Eureka' lemon, or its like, on it again")
    assert "one bark window" in said[1]


def test_t04_is_replaced_once_a_crease_is_seen(shown_demo: Context) -> None:
    v = ask(shown_demo, tree="T04", union="crease")
    assert v.best == "replace"
    assert "look_first" not in v.notes
    assert ask(shown_demo, tree="T04", union="sound").best == "keep"


def test_no_lemon_is_named_for_t04_however_much_it_would_be_liked(shown_demo: Context) -> None:
    v = ask(shown_demo, tree="T04", to="Eureka lemon", score="4", score_to="9", take="100%", bears="2")
    assert v.best not in ("rework", "trial")


def test_t03_stands_beside_t12(shown_demo: Context) -> None:
    v = ask(shown_demo, tree="T03", beside="T12")
    old, new = v.bearing
    assert (old.tree, old.first_crop, round(old.years or 0)) == ("T03", "2024-05-11", 3)
    assert (new.tree, new.expected) == ("T12", (2027, 2028))
    assert "not before 2027" in words.bearing_text(new)


def test_seeds_of_t02_come_from_a_pollen_partner_and_its_first_crops_judge_nothing(shown_demo: Context) -> None:
    v = ask(shown_demo, tree="T02")
    assert v.seeds == (1.1, 8.6)
    assert any("not the stock" in line for line in words.first_of_all(v))
    assert "too_early" in v.notes
    assert v.best in ("keep", "wait")


def test_a_first_crop_is_never_a_reason_to_rework(demo: Context) -> None:
    """A first crop that nobody liked leaves the belief where it was."""
    from dataclasses import replace

    from barkslip.domain.tasting import Tasting

    before = ask(demo, tree="T02")
    with demo.book.write() as writer:
        old = next(t for t in writer.every(Tasting) if t.campaign == "G06" and t.score9 == 6.1)
        writer.append(replace(old, id=demo.new_id(), corrects=old.id, score9=1.0))
    after = ask(demo, tree="T02")
    assert after.tastings[-1].score9 == 1.0
    assert after.way("keep").value == pytest.approx(before.way("keep").value)
    assert after.best == before.best


def test_a_young_tree_bears_nothing_yet(shown_demo: Context) -> None:
    v = ask(shown_demo, tree="T12")
    soon = next(i for i in v.inputs if i.key == "bears_now")
    assert soon.value == pytest.approx(3.5 - 314 / 365.25, abs=0.02)
    assert v.way("keep").value < ask(shown_demo, tree="T12", bears_now="1").way("keep").value


@pytest.mark.parametrize(
    ("key", "text"),
    [("score", "9"), ("crop", "30%"), ("take", "10%"), ("bears", "8"), ("years", "25"), ("give_out", "30%"),
     ("discount", "20%"), ("dry", "0.5"), ("cost_rework", "3"), ("upkeep", "0.2"), ("score_new", "9"),
     ("stands", "0.1"), ("bears_new", "9"), ("share", "0.5"), ("score_to", "9"), ("cost_replace", "2"),
     ("cost_trial", "1"), ("upkeep_new", "0.2"), ("bears_now", "4")],
)  # fmt: skip
def test_every_number_moves_the_answer(shown_demo: Context, key: str, text: str) -> None:
    before, after = ask(shown_demo, tree="T01"), ask(shown_demo, tree="T01", **{key: text})
    assert any(not math.isclose(a.value, b.value) for a, b in zip(before.ways, after.ways, strict=True))
    assert next(i for i in after.inputs if i.key == key).how == "typed"


def test_every_number_can_be_typed() -> None:
    assert set(LIMITS) == set(words.INPUT_WORDS)


def test_costs_in_money_are_weighed_by_what_a_year_is_worth(shown_demo: Context) -> None:
    money = ask(shown_demo, tree="T01", cost_rework="500", fruit_year="250")
    years = ask(shown_demo, tree="T01", cost_rework="2")
    assert money.way("rework").value == pytest.approx(years.way("rework").value)
    assert "costs_not_known" not in money.notes


def test_without_a_book_all_is_from_tables_and_as_typed(tmp_path: object) -> None:
    from pathlib import Path

    v = ask_worth(None, Settings(Path("/nowhere")), {"score": "8", "take": "0.9"})
    assert v.tree == ""
    assert "no_tree" in v.notes
    assert [w.code for w in v.ways] == list(WAYS)


def test_what_turns_the_answer_turns_it(shown_demo: Context) -> None:
    v = ask(shown_demo, tree="T01")
    turn = next(t for t in v.turns if t.key == "crop")
    assert ask(shown_demo, tree="T01", crop=f"{turn.at + 0.01}").best == v.best
    assert ask(shown_demo, tree="T01", crop=f"{turn.at - 0.01}").best == turn.becomes


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"score": "12"}, "That number cannot be.\nGiven: 12\nAllowed: 1 to 9\nNext: Check the number and its unit."),
        ({"take": "120%"}, "That number cannot be.\nGiven: 120 %\nAllowed: 0 to 100 %\n"
                           "Next: Check the number and its unit."),
        ({"years": "ten"}, "Not a number.\nGiven: ten\nAllowed: 1 to 40\nNext: Type the number again."),
        ({"fruit_year": "0"}, "Nothing can be weighed in fruit that is worth nothing.\nGiven: 0\n"
                              "Allowed: a sum of money above 0\nNext: Type what a year of good fruit of this tree is "
                              "worth to you, or leave it empty."),
        ({"union": "odd"}, "Not one of the choices.\nGiven: odd\nAllowed: not looked, sound, crease\n"
                           "Next: Choose one from the list."),
    ],
)  # fmt: skip
def test_bad_numbers_are_told_plainly(shown_demo: Context, fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        ask(shown_demo, tree="T01", **fields)
    assert str(caught.value) == message


def test_a_tree_that_is_not_there(shown_demo: Context) -> None:
    with pytest.raises(NotFoundError):
        ask(shown_demo, tree="T99")


def test_cutting_advice_brings_its_cautions() -> None:
    said = " ".join(words.CAUTIONS)
    for word in ("whiten", "Do not feed or water more", "ladders", "licensed", "plant-health authority"):
        assert word in said


def test_data_has_all_of_it(shown_demo: Context) -> None:
    data = worth_data(ask(shown_demo, tree="T01"))
    assert data["best"] == "keep"
    assert [w["code"] for w in data["ways"]] == list(WAYS)
    assert all(w["p10"] <= w["years_good_fruit"] <= w["p90"] for w in data["ways"])
    assert {i["number"] for i in data["inputs"]} == set(LIMITS)
    assert all(v["status"] for v in data["values"].values())
