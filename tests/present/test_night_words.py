"""A cold night in words: verdict first, ranges kept, cautions beside each measure, nothing promised."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import pytest

from barkslip.domain.night import (
    CHANGES,
    COVERS,
    HAZARDS,
    LAMPS,
    ORGANS,
    UNKNOWNS,
    WRAPS,
    Measures,
    Offset,
    OffsetPart,
    PlotTonight,
    Spread,
)
from barkslip.domain.units import METRIC, US
from barkslip.present import cautions, night, night_measures


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_the_verdict_comes_as_a_neighbour_would_say_it(nights):
    found = nights.verdict()
    assert plain(night.headline(found)) == "Young grafts: 7 in 10 chance of harm."
    assert plain(night.coldest_text(found)) == ("Coldest 05:40: young grafts −4.4 °C (−5.9 to −2.9), air −3.6 °C.")
    assert plain(night.margin_text(found)) == ("That is 2.2 °C below where harm starts (−3.7 to −0.7), for about 4 h.")
    assert plain(night.other_organs(found)) == "Outer leaves 4 in 10, trunk bark 2 in 10."
    assert plain(night.title(found, "Lower paddock")) == "Thornback, Lower paddock, 13–14 Sep 2024"


def test_differences_never_get_32_added(nights):
    found = nights.verdict()
    assert "24.1 °F (21.4 to 26.8)" in plain(night.coldest_text(found, US))
    assert "4.0 °F below where harm starts (−6.7 to −1.3)" in plain(night.margin_text(found, US))
    assert "±2.7 °F in the low, ±1.8 °F" in plain(night.air_text(found, US))
    gains = [plain(r.gain) for r in night.ladder_rows(found, US)]
    assert gains[3] == "+4.7 (+3.4 to +5.9)"
    assert night.difference_unit(US) == "°F"


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.0, "less than 1 in 100"), (0.004, "less than 1 in 100"), (0.011, "1 in 90"), (0.04, "1 in 20"),
        (0.08, "1 in 12"), (0.1, "1 in 10"), (0.149, "1 in 7"), (0.15, "2 in 10"), (0.71, "7 in 10"),
        (0.949, "9 in 10"), (0.96, "more than 9 in 10"), (1.0, "more than 9 in 10"),
    ],
)  # fmt: skip
def test_chances_as_people_count_them(chance, words):
    assert plain(night.chance_words(chance)) == words


def test_still_windy_and_no_frost_say_what_they_mean(nights):
    still = plain(night.frost_text(nights.verdict()))
    assert still.startswith("Still frost: the air hardly moves")
    assert "below the air, about 1.7 °C tonight" in still
    windy = plain(night.frost_text(nights.verdict(frost="windy frost")))
    assert windy.startswith("Windy frost: moving air keeps leaves near its own temperature")
    assert "Covers gain little and must be held down" in windy
    mild = plain(night.frost_text(nights.verdict(frost="no frost", air_low_c=Spread(-0.8, 1.4, 3.5))))
    assert "one night in ten like this has air of −0.8 °C or less, and outer leaves lie below the air" in mild
    assert night.frost_text(nights.verdict(frost="")) == ""


def test_the_least_set_its_times_and_the_next(nights):
    found = nights.verdict()
    assert plain(night.least_head(found)) == "The least that keeps it within 1 in 10"
    assert plain(night.least_text(found)) == "Blanket to the ground and 60 W lamp; a 1 in 12 chance of harm is left."
    shown = night.shown_rung(found)
    assert night_measures.steps(found, shown) == (
        ("17:00", "cover on, while the ground is still warm"),
        ("21:50", "lamp on"),
        ("07:40", "lamp off"),
        ("07:40", "open the cover once the sun is on it"),
    )
    assert plain(night.runner_text(found)) == (
        "Or: blanket to the ground, 60 W lamp and 19 L of water at 60 °C, filled 2 times; 1 in 30 left, "
        "45 min of work, 60 W (0.6 kWh), 38 L."
    )
    assert plain(night_measures.size_text(shown.measures)) == "Cover 2.2 m high, 1.8 m wide."


def test_a_bucket_is_filled_anew_between_placing_and_sunrise(nights):
    found = nights.verdict()
    times = [s for s in night_measures.steps(found, found.ladder[4]) if "hot water" in s[1]]
    assert times == [("00:00", "hot water in"), ("03:00", "hot water filled anew")]


def test_nothing_tried_suffices_and_the_closest_is_named(nights):
    found = nights.verdict(least=None, runner_up=None, target=0.01)
    assert plain(night.least_head(found)) == "Nothing tried keeps it within 1 in 100"
    assert plain(night.least_text(found)).startswith("Closest: blanket to the ground, 60 W lamp and 19 L of water")
    assert [r.kind for r in night.ladder_rows(found)] == ["nothing", "worse", "", "", "closest", ""]
    alone = replace(found, ladder=found.ladder[:2])
    assert night.least_head(alone) == "Nothing tried helps tonight"
    assert night.shown_rung(alone) is None
    assert night.runner_text(alone) == ""


def test_never_no_cover_needed_the_forecast_says_plus_two(nights):
    """A mild answer still gives its chance, its range, the plot's own difference and what can turn it."""
    offset = Offset("LOW", "YARD", (OffsetPart("still", -2.6, -3.0, -2.2, 1.2, 41),), "still", -2.6)
    organs = (nights.organ("leaf_exposed", 0.4, 0.03, margin_k=Spread(0.5, 2.6, 4.0)),)
    found = nights.verdict(
        least=0, runner_up=None, organs=organs, frost="no frost", air_low_c=Spread(0.3, 2.0, 3.6),
        air=nights.air(offset=offset), unknowns=("stale_forecast",),
    )  # fmt: skip
    words = plain(
        " ".join(
            [
                night.headline(found), night.coldest_text(found), night.margin_text(found), night.frost_text(found),
                night.least_head(found), night.least_text(found), night.offset_text(found), night.air_text(found),
                *(cautions.unknown(c) for c in found.unknowns),
            ]
        )
    )  # fmt: skip
    assert "Outer leaves: 1 in 30 chance of harm." in words
    assert "0.4 °C (−1.1 to 1.9)" in words
    assert "2.6 °C colder than YARD, from 41 still nights of its own (95 %: −3.0 to −2.2 K)" in words
    assert "Look again at dusk" in words
    assert "the forecast is old" in words
    assert not re.search(r"no (cover|measure)s? (is |are )?needed|\bsafe\b|harmless", words, re.IGNORECASE)


@pytest.mark.parametrize(
    ("offset", "words"),
    [
        (None, "No offset is counted: the air is taken as this plot's own, or none is known."),
        (
            Offset("LOW", "YARD", (), "typed", -2.0),
            "Counted for this plot: 2.0 °C colder than the garden's screen, as you believe; no nights of its own were "
            "measured.",
        ),
        (
            Offset("LOW", "YARD", (OffsetPart("windy", 0.0, None, None, None, 2),), "windy", 0.0),
            "Counted for LOW: as cold as YARD, from 2 windy nights of its own: too few for a range.",
        ),
    ],
)
def test_offsets_say_on_how_many_nights_they_rest(nights, offset, words):
    assert plain(night.offset_text(nights.verdict(air=nights.air(offset=offset)))) == words


def test_what_was_filled_in_is_said(nights):
    found = nights.verdict(air=nights.air(guessed=("cloud", "wind_m_s", "dew_point_c")))
    assert night.air_text(found).endswith("Not given and filled in: cloud, wind and dew point.")


def test_a_cover_that_is_colder_than_nothing_says_so(nights):
    found = nights.verdict()
    assert [plain(w) for w in night.worse_texts(found)] == [
        "Clear film to the ground is colder than nothing tonight: young grafts −0.4 K (−1.1 to +0.3)."
    ]
    row = night.ladder_rows(found)[1]
    assert (row.kind, row.note) == ("worse", "colder than nothing")


def test_a_wrap_says_that_it_acts_on_the_trunk(nights):
    row = night.ladder_rows(nights.verdict())[5]
    assert plain(row.note) == "trunk bark: 2 % left of 18 %"


def test_water_and_a_lamp_are_never_put_forward_together(nights):
    both = replace(nights.BLANKET, lamp_w=60.0, water_l_h=38.0)
    rungs = (*nights.ladder()[:3], replace(nights.ladder()[3], measures=both, chance=0.01))
    found = nights.verdict(ladder=rungs, least=3, runner_up=None)
    assert night.least_place(found) is None
    assert night.shown_rung(found) is rungs[2]
    assert night.ladder_rows(found)[3].note == "never do this: water and electricity together"
    runner = nights.verdict(ladder=(*nights.ladder()[:4], rungs[3]), least=3, runner_up=4)
    assert night.runner_text(runner) == ""


def test_every_code_has_its_words():
    assert set(cautions.CAUTIONS) == set(HAZARDS)
    assert set(UNKNOWNS) <= set(cautions.UNKNOWNS)
    assert set(COVERS) == set(night_measures.COVER_WORDS)
    assert set(LAMPS) == set(night_measures.LAMP_WORDS)
    assert set(WRAPS) == set(night_measures.WRAP_WORDS)
    assert cautions.sentence("of_tomorrow") == cautions.short("of_tomorrow") == "of tomorrow"


def test_every_change_has_its_words(nights):
    found = nights.verdict(would_change=tuple((code, 0.7, 0.4) for code in CHANGES))
    said = [plain(w) for w in night.changes(found)]
    assert said[0] == "Wind 2.0 m/s stronger: 4 in 10, not 7 in 10."
    assert all("_" not in words for words in said)
    assert plain(night.changes(nights.verdict())[1]) == "Cloud over most of the sky: hardly changes it."


@pytest.mark.parametrize("parts", list(itertools.product([0, 1], repeat=4)))
def test_each_measure_brings_its_caution_whatever_the_engine_found(nights, parts):
    cover, lamp, bucket, spray = parts
    measures = Measures(
        cover="blanket" if cover else "", lamp_w=60.0 * lamp, bucket_l=19.0 * bucket, water_l_h=30.0 * spray,
        spray=bool(spray),
    )  # fmt: skip
    codes = cautions.codes(replace(nights.ladder()[0], measures=measures, hazards=()))
    assert ("no_flame" in codes) == ("anchor_and_open" in codes) == bool(cover)
    assert ("electric_outdoors" in codes) == ("lamp_fire" in codes) == bool(lamp)
    assert ("scald" in codes) == bool(bucket)
    assert ("ice_load" in codes) == bool(spray)
    assert ("water_and_electricity" in codes) == bool(lamp and spray)


def test_cautions_name_what_kills():
    flame = cautions.sentence("no_flame")
    for word in ("candle", "charcoal", "gas lantern", "fire", "carbon monoxide"):
        assert word in flame
    assert "carbon monoxide" in cautions.line("no_flame")
    for text in (cautions.line("electric_outdoors"), cautions.sentence("electric_outdoors")):
        assert "RCD" in text
        assert "GFCI" in text
    for word in ("leaves", "cloth", "straw"):
        assert word in cautions.sentence("lamp_fire")
    assert "opened when the sun is on it" in cautions.line("anchor_and_open")
    assert "Local electrical and fire codes" in cautions.sentence("estimate_only")
    assert not re.search(r"\blegal\b", " ".join(c for three in cautions.CAUTIONS.values() for c in three))


def test_what_is_not_known_keeps_its_status():
    assert "calibration knob" in cautions.unknown("tent_sky_view")
    assert "no source was found" in cautions.unknown("graft_critical")
    for code in ("harm_curve", "cover_leak", "site_spread", "graft_critical"):
        assert cautions.unknown(code).endswith("(assumption).")


def test_organs_are_named_by_what_stands_on_the_tree(nights):
    tree = nights.verdict().tree
    assert night.organ_words("twig", tree) == "young grafts"
    assert night.organ_words("twig", replace(tree, bloom=True)) == "flowers and twigs"
    assert night.organ_words("twig", replace(tree, young_graft=False)) == "twigs"
    assert night.organ_words("leaf_exposed", replace(tree, flush=True)) == "new growth"
    assert all("_" not in night.organ_words(organ) for organ in ORGANS)


def test_where_harm_starts_keeps_range_status_and_stand_in(nights):
    organ = nights.organ("twig", -4.0, 0.5, stand_in=True, hardening_k=2.0)
    assert plain(night.critical_text(organ)) == "−2.2 °C (−2.8 to −1.7 °C), 2.0 °C lower for hardening"
    assert night.status_words(organ) == "recalled, stands in for an unknown"


def test_sets_in_the_readers_units():
    one = Measures(cover="fleece_50", gap_m=0.2, bucket_l=19.0, buckets=2, lid=False, water_l_h=38.0, spray=True)
    assert plain(night_measures.set_words(one, METRIC)) == (
        "heavy fleece open 20 cm above the ground, 2 × 19 L of water at 60 °C without a lid and 38 L/h of water at "
        "15 °C sprayed under the tree"
    )
    assert "5.0 US gal of water at 140 °F" in plain(night_measures.set_words(one, US))
    assert night_measures.set_words(Measures()) == "nothing"


def test_all_plots_in_one_line_each():
    cold = PlotTonight("LOW", "Lower paddock", "still frost", Spread(-5.0, -3.6, -2.0), "twig", 0.6, (), "T03")
    mild = PlotTonight("WALL", "Wall court", "no frost", Spread(0.0, 1.4, 3.0), "leaf_exposed", 0.02)
    blank = PlotTonight("FAR", "Far corner", "", None, "", None, ("no_forecast",))
    assert plain(night.plot_text(cold)) == (
        "still frost: air −3.6 °C (−5.0 to −2.0); young graft or twig 6 in 10 chance of harm"
    )
    assert night.plot_text(blank) == "not known: no forecast and nothing typed"
    assert night.plots_headline((cold, mild)) == "Still frost tonight in Lower paddock."
    assert night.plots_headline((cold, replace(cold, plot_name="B", frost="windy frost"), mild)) == (
        "Still frost and windy frost tonight in 2 of 3 plots."
    )
    assert night.plots_headline((mild,)) == "No frost in the middle of the spread in 1 plot."
    assert night.plots_headline((mild, blank)) == "No frost in the middle of the spread in 1 plot; 1 not known."
    assert night.plots_headline((blank,)) == "The night is not known."
    assert night.plots_headline(()) == "The night is not known."
    assert plain(night.plots_lead((blank, cold, mild))).startswith("Most at risk: Lower paddock, young graft or twig")
    assert night.plots_lead((blank,)).startswith("No plot has a forecast.")
