"""Tastings of the demo judged, traps included; juices typed at the door; tastings written down."""

from __future__ import annotations

import pytest

from barkslip.app.context import Context
from barkslip.app.juice import ask_score
from barkslip.app.tasting import judged
from barkslip.app.tasting_write import lay_out, save_tasting
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.taste import TasteLine
from barkslip.domain.tasting import Tasting


def line(ctx: Context, tree: str) -> TasteLine:
    (found,) = judged(ctx, tree=tree)
    return found


def test_navel_rises_from_too_early_to_good(shown_demo: Context) -> None:
    first, second, third = line(shown_demo, "T01").tastings
    assert (first.verdict, first.early) == ("early", ("first_crop", "few_fruit"))
    assert (second.verdict, second.early) == ("early", ("frozen",))  # the windy frost of 11 June 2024, 25 days before
    assert second.frost == ("2024-06-11", -3.9)
    assert (third.verdict, third.early, third.crop) == ("good", (), 3)
    scores = [t.juice.index_16_5 for t in (first, second, third) if t.juice]
    assert scores == pytest.approx([64.35, 105.6, 132.0])  # (Brix - 4 acid) 16.5, worked by hand
    met = [next(c.met for c in t.juice.standards if c.criterion == "min_score") for t in (first, third) if t.juice]
    assert met == [False, True]
    assert all(t.identity.fits == "its months" for t in (first, second, third))


def test_a_first_crop_that_is_disliked_never_makes_a_bad_variety(demo: Context) -> None:
    with demo.book.read() as reader:
        assert min(t.score9 for t in reader.every(Tasting) if t.score9) < 4.0  # liked little: 3.8 of 9
    for found in judged(demo):
        for v in found.tastings:
            assert not v.verdict.startswith("poor")
    given = {"tree": "T11", "variety": "Nagami kumquat", "scores": "1 2 1", "fruit": "12", "on": "2025-06-01"}
    save_tasting(demo, given | {"crop": "1"})
    assert line(demo, "T11").newest.verdict == "early"
    save_tasting(demo, given | {"tree": "T10", "variety": "Meyer lemon"})
    unknown = line(demo, "T10").newest
    assert (unknown.crop, unknown.verdict) == (None, "poor once")
    assert "crop_not_known" in unknown.notes


def test_poor_here_needs_two_crops_that_could_be_judged(demo: Context) -> None:
    for crop, day in (("3", "2023-06-01"), ("4", "2025-06-01")):
        save_tasting(
            demo, {"tree": "T10", "variety": "Meyer lemon", "scores": "2 3 2 3", "fruit": "12", "crop": crop, "on": day}
        )  # fmt: skip
    assert [v.verdict for v in line(demo, "T10").tastings] == ["poor once", "poor here"]


def test_dry_stem_end_has_causes_and_no_proof(shown_demo: Context) -> None:
    dry = {c.key: c.here for c in line(shown_demo, "T01").tastings[0].dry}
    assert dry["young_tree"] is True
    assert dry["lemon_stocks"] is True  # rough lemon is the likeliest root of T01
    assert dry["mites"] is None
    assert "less_water" not in dry
    assert line(shown_demo, "T02").newest.dry == ()


def test_seeds_go_to_the_pollen_partner(shown_demo: Context) -> None:
    before, after = line(shown_demo, "T02").tastings
    assert (before.identity.seeds, after.identity.seeds) == ("as told", "pollen")
    assert "seeds_pollen" in after.notes


def test_a_wrong_label_judges_nothing(shown_demo: Context) -> None:
    v = line(shown_demo, "T07").newest
    assert (v.verdict, v.identity.found) == ("name", "'Granny Smith' apple")
    assert v.juice is not None
    assert v.juice.index_16_5 is None  # apples have no citric score


def test_fruit_out_of_its_months(demo: Context) -> None:
    given = {
        "tree": "T03",
        "variety": "Owari satsuma",
        "fruit": "9",
        "crop": "4",
        "scores": "3 3 3",
        "on": "2025-02-10",
    }
    save_tasting(demo, given)
    found = next(t for t in judged(demo, tree="T03") if t.variety == "Owari satsuma" and not t.newest.tasting.campaign)
    assert found.newest.early == ("not_ripe",)
    assert found.newest.identity.fits == "not its months"


def test_score_asked(shown_demo: Context) -> None:
    found = ask_score(None, shown_demo.settings, {"brix": "11.8", "acid": "0.95"})
    assert found.index_16_5 == pytest.approx(132.0)
    assert found.ratio == pytest.approx(12.42, abs=0.005)
    cold = ask_score(shown_demo, shown_demo.settings, {"brix": "10", "acid": "1", "temp": "10", "fruit": "navel"})
    assert (cold.for_temp, cold.brix) == pytest.approx((-0.59, 9.41))
    assert cold.solids == pytest.approx(9.61)
    own = ask_score(shown_demo, shown_demo.settings, {"brix": "10", "temp": "10", "compensated": "yes"})
    assert (own.brix, own.ratio) == (10.0, None)
    lye = ask_score(shown_demo, shown_demo.settings, {"brix": "10", "lye": "12.5"})
    assert lye.acid_pct == pytest.approx(0.5, abs=0.0005)


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"brix": "55"},
            "No juice of fruit reads so high.\n"
            "Given: 55 °Brix\n"
            "Allowed: 0 to 40 °Brix\n"
            "Next: Wipe the prism, set it to 0 with clean water, and read a fresh drop.",
        ),
        (
            {"brix": "-1"},
            "Brix is never below 0.\n"
            "Given: -1 °Brix\n"
            "Allowed: 0 to 40 °Brix\n"
            "Next: Wipe the prism, set it to 0 with clean water, and read a fresh drop.",
        ),
        (
            {"brix": "11", "acid": "-0.9"},
            "There is no acid below 0.\n"
            "Given: -0.9 %\n"
            "Allowed: 0 to 14 % anhydrous citric acid\n"
            "Next: Type per cent of the juice, such as 0.95; or let it be worked out from the lye.",
        ),
        (
            {"acid": "0.9"},
            "The Brix is missing.\nGiven: (nothing)\nAllowed: 0 to 40 °Brix\nNext: Type what the refractometer shows.",
        ),
        (
            {"brix": "11", "temp": "3"},
            "No correction is known for juice of that temperature.\n"
            "Given: 3 °C\n"
            "Allowed: 5 to 30 °C; best is 20 °C\n"
            "Next: Let juice and instrument stand in a room, then read again.",
        ),
        (
            {"brix": "11", "acid": "1", "lye": "10"},
            "The acid is given twice.\nGiven: 1 % and 10 mL of lye\nAllowed: one of the two\nNext: Leave one out.",
        ),
        (
            {"brix": "11", "lye": "10", "juice_ml": "0"},
            "Juice and lye of nothing give no acid.\n"
            "Given: 0 mL of juice, 0.1562 N\n"
            "Allowed: over 0 for both; 25 mL and 0.1562 N if left out\n"
            "Next: Type how much juice was titrated and how strong the lye was.",
        ),
    ],
)
def test_juices_refused_in_plain_words(shown_demo: Context, fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        ask_score(None, shown_demo.settings, fields)
    assert str(caught.value) == message


def test_writing_a_tasting_down(demo: Context) -> None:
    new = save_tasting(
        demo,
        {"tree": "gatepost", "campaign": "G05-1", "on": "2025-06-20", "fruit": "8", "scores": "7, 6 8", "brix": "12.2",
         "acid": "1.1", "fruit_g": "180", "juice_g": "81", "dry": "1", "seeds": "0", "crop": "2", "temp": "15"},
    )  # fmt: skip
    assert (new.campaign, new.variety) == ("G05", "Minneola tangelo")
    assert (new.panel, new.score9, new.juice_pct, new.dry_n) == (3, 7.0, pytest.approx(45.0), 1)
    found = next(k for k in judged(demo, tree="T01") if k.newest.tasting.thing == new.thing).newest
    assert found.juice is not None
    assert found.juice.brix == pytest.approx(12.2 - 0.3244, abs=0.002)  # between the columns of 10 and 15 % at 15 °C
    corrected = save_tasting(demo, {"note": "thin rind"}, tasting=new.thing)
    assert (corrected.brix, corrected.score9, corrected.juice_pct, corrected.note) == (12.2, 7.0, 45.0, "thin rind")


@pytest.mark.parametrize(
    ("fields", "field", "problem"),
    [
        ({"variety": "x"}, "tree", "The tree is missing."),
        ({"tree": "T01"}, "variety", "The name of the variety is missing."),
        ({"tree": "T01", "campaign": "G11"}, "campaign", "No such grafts stand on T01 Gatepost."),
        ({"tree": "T01", "variety": "x", "scores": "7 10"}, "scores", "That number cannot be."),
        ({"tree": "T01", "variety": "x", "fruit": "3", "dry": "4"}, "dry",
         "More fruits cannot be dry than were tasted."),
        ({"tree": "T01", "variety": "x", "crop": "0"}, "crop", "Crops are counted from 1."),
        ({"tree": "T01", "variety": "x", "juice_g": "90"}, "fruit_g", "The mass of the fruit is missing."),
        ({"tree": "T01", "variety": "x", "juice_g": "90", "fruit_g": "80"}, "juice_g",
         "Juice weighs less than its fruit."),
        ({"tree": "T01", "variety": "x", "brix": "44"}, "brix", "No juice of fruit reads so high."),
        ({"tree": "T01", "variety": "x", "acid": "-1"}, "acid", "There is no acid below 0."),
        ({"tree": "T01", "variety": "x", "on": "2031-01-01"}, "on", "That day has not come yet."),
    ],
)  # fmt: skip
def test_tastings_refused_in_plain_words(demo: Context, fields: dict[str, str], field: str, problem: str) -> None:
    with pytest.raises(InputError) as caught:
        save_tasting(demo, fields)
    assert (caught.value.field, caught.value.problem) == (field, problem)
    with demo.book.read() as reader:
        assert len(reader.every(Tasting)) == 7  # nothing was written


def test_no_such_tree(shown_demo: Context) -> None:
    with pytest.raises(NotFoundError):
        judged(shown_demo, tree="T99")


def test_coded_sheet(shown_demo: Context) -> None:
    found = lay_out(None, shown_demo.settings, {"samples": "own navel; bought navel", "tasters": "4", "seed": "3"})
    assert [name for _, name in found.samples] == ["own navel", "bought navel"]
    assert len(found.orders) == 4
    for samples, problem in (("one", "A coded tasting needs at least two samples."),
                             (";".join("abcdefghi"), "Palates tire before so many samples.")):  # fmt: skip
        with pytest.raises(InputError) as caught:
            lay_out(None, shown_demo.settings, {"samples": samples})
        assert caught.value.problem == problem
