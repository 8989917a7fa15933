"""A hot day in words: which cover first, ranges kept, cautions beside each cover, nothing promised."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from barkslip.domain.heat import CHANGES, GRAFT_COVERS, HAZARDS, UNKNOWNS, PlotHeat, Wrap
from barkslip.domain.night import Spread
from barkslip.domain.units import METRIC, US
from barkslip.engines import heat as engine
from barkslip.present import heat, heat_cautions, heat_plots, heat_rows, heat_steps

EVE = date(2026, 1, 9)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_the_verdict_comes_as_a_neighbour_would_say_it(heats):
    found = heats.verdict()
    assert plain(heat.headline(found, EVE)) == (
        "Change to a foil sleeve for tomorrow: in a brown paper bag the scion overheats about 14:00, "
        "9 in 10 chance of harm."
    )
    assert plain(heat.headline(found)) == (
        "Change to a foil sleeve for 10 Jan 2026: in a brown paper bag the scion overheats about 14:00, "
        "9 in 10 chance of harm."
    )
    assert plain(heat.title(found, "Lower paddock")) == "G14-10, Lower paddock, 10 Jan 2026"
    assert plain(heat.hottest_text(found)) == (
        "Hottest about 14:00: the scion under a foil sleeve 39.8 °C (37.7 to 42.2) and in a brown paper bag 45.2 °C "
        "(41.3 to 50.3); the air 38.0 °C."
    )
    assert plain(heat.dry_text(found)) == (
        "Water lost in the day under a foil sleeve: 0.10 % (0.03 to 0.30) of the scion's own."
    )


def test_what_is_there_is_left_if_it_will_do(heats):
    found = heats.verdict(now=1)
    assert plain(heat.headline(found, EVE)) == (
        "Leave the foil sleeve as it is for tomorrow: 1 in 30 chance of harm, hottest about 14:00."
    )
    assert plain(heat_steps.do_head(found)) == "Within your 1 in 10 as it stands"
    assert heat_steps.do_text(found).startswith("Look again when the forecast is fresh")
    assert not [s for s in heat_steps.steps(found) if "whitened" not in s[1]], "nothing to put on"
    pouch = heats.verdict(now=2)
    assert heat.put_forward(pouch).wrap.cover == "foil_pouch", "the pouch need not come off for a cooler sleeve"


def test_without_a_cover_in_the_book_film_alone_is_the_measure(heats):
    found = heats.verdict(now=None)
    assert plain(heat.headline(found, EVE)) == (
        "Choose a foil sleeve for tomorrow: under film alone the scion overheats about 14:00, 3 in 10 chance of harm."
    )
    mild = heats.verdict(*(replace(c, chance_of_harm=c.chance_of_harm / 50) for c in heats.verdict().covers), now=None)
    assert plain(heat.headline(mild, EVE)) == (
        "Film alone bears tomorrow: less than 1 in 100 chance of harm, hottest about 14:00."
    )


def test_nothing_tried_will_do_and_the_closest_is_named(heats):
    hot = tuple(replace(c, chance_of_harm=max(c.chance_of_harm, 0.3), verdict="avoid") for c in heats.verdict().covers)
    found = heats.verdict(*hot, choose=None)
    assert plain(heat.headline(found, EVE)) == (
        "No cover tried keeps tomorrow within 1 in 10: closest is white paint over the film, 3 in 10 chance of harm "
        "about 14:00."
    )
    assert plain(heat_steps.do_head(found)) == "No cover tried keeps it within 1 in 10"
    assert "Wait with new grafts" in heat_steps.do_text(found)
    assert "Shade it as well. " in heat_steps.do_text(found), "what shade does to another cover is not said of this one"
    shaded = replace(found, now=0, would_change=(("shade", 0.3, 0.05),))
    assert "Shade it as well: 1 in 20 with half of the sun kept off. " in plain(heat_steps.do_text(shaded))
    assert heat_rows.cover_rows(found)[0].note == "comes closest"


def test_a_day_that_is_over_is_spoken_of_as_over(heats):
    air = heats.air(source="measured", source_words="Logger D, trial E1")
    assert plain(heat.headline(heats.verdict(air=air), EVE)) == (
        "In a brown paper bag the scion overheated on 10 Jan 2026 about 14:00, 9 in 10 chance of harm; a foil sleeve "
        "would have done, 1 in 30."
    )
    assert plain(heat.headline(heats.verdict(air=air, now=1))) == (
        "A foil sleeve bore 10 Jan 2026: 1 in 30 chance of harm, hottest about 14:00."
    )
    assert "forecast" not in heat_steps.do_text(heats.verdict(air=air, now=1)), "a day that was read needs no fresh one"
    hot = tuple(replace(c, chance_of_harm=0.5) for c in heats.verdict().covers)
    assert plain(heat.headline(heats.verdict(*hot, air=air, choose=None))).endswith(
        "no cover tried would have kept it within 1 in 10."
    )


@pytest.mark.parametrize(
    ("dose", "water", "words"),
    [(0.5, 1.0, "overheats"), (0.0, 25.0, "dries out"), (0.5, 25.0, "overheats and dries out"),
     (0.01, 5.0, "is in danger")],
)  # fmt: skip
def test_what_does_the_harm_is_named(heats, dose, water, words):
    one = heats.cover("film", heat_dose=Spread(0, dose, 1), water_lost_pct_day=Spread(0, water, 60))
    assert heat.harm_words(one) == words


def test_what_to_do_and_by_when(heats):
    found = heats.verdict()
    assert plain(heat_steps.do_head(found)) == "What keeps it within 1 in 10"
    assert plain(heat_steps.do_text(found)) == (
        "A foil sleeve: the scion stays about 5.4 °C cooler, and a 1 in 30 chance of harm is left."
    )
    assert heat_steps.steps(found) == (
        ("by 05:00", "the brown paper bag off"),
        ("by 05:00", "loose sleeve with the shiny side out, open at the foot, off the scion's sunny side"),
        ("by 05:00", "the limb's bark whitened all round"),
    )
    assert heat_steps.sides_words(("W", "NW")) == "on its west and north-west sides"
    assert heat_steps.sides_words(("W",)) == "on its west side"
    white = replace(found, graft=replace(found.graft, whitened=True))
    assert not [words for _, words in heat_steps.steps(white) if "whitened" in words]


def test_others_that_would_do_are_named_beside_it(heats):
    assert plain(heat_steps.runner_text(heats.verdict())) == (
        "Or: white paint over the film, 1 in 100 left, or a foil-lined bubble pouch, 1 in 11 left."
    )
    alone = heats.verdict(heats.cover("foil_sleeve"), heats.cover("brown_bag"), choose=0, now=1)
    assert heat_steps.runner_text(alone) == "", "nothing else would do"
    assert heat_steps.runner_text(heats.verdict(now=1)) == "", "nothing needs to be done"
    bare = heats.verdict(heats.cover("foil_sleeve"), heats.cover("none", verdict="bears"), heats.cover("brown_bag"),
                         choose=0, now=2)  # fmt: skip
    assert heat_steps.runner_text(bare) == "", "a scion is never left bare"


def test_a_place_where_the_sun_does_not_rise_has_dawn_without_a_time(heats):
    dark = heats.air(sun_up_deg=(-5.0,) * 24)
    assert heat_steps.sunrise(dark) == ""
    assert heat_steps.steps(heats.verdict(air=dark))[0][0] == "at dawn"


def test_the_side_of_the_bark_that_gets_hottest_and_what_whitening_gains(heats):
    found = heats.verdict()
    assert plain(heat.faces_text(found)) == (
        "Hottest bark: the west side, 53.0 °C (50.0 to 56.5) about 16:00; more than 9 in 10 chance over 44 °C. "
        "Whitened it would be 43.6 °C (42.1 to 45.6), 9.4 °C cooler."
    )
    white = replace(found, graft=replace(found.graft, whitened=True))
    assert heat.faces_text(white).endswith("It is whitened already.")
    assert heat.faces_text(replace(found, faces=())) == ""
    rows = heat_rows.face_rows(found)
    assert [r.words for r in rows][:3] == ["north", "north-east", "east"]
    west = rows[6]
    assert (west.gain, west.over_44, west.danger) == ("−9.4", "97\u00a0%", True)


def test_differences_never_get_32_added(heats):
    found = heats.verdict()
    assert "103.6 °F (99.9 to 108.0)" in plain(heat.hottest_text(found, US))
    assert "about 9.7 °F cooler" in plain(heat_steps.do_text(found, US))
    assert "±2.7 °F in the air" in plain(heat.air_text(found, US))
    rows = heat_rows.cover_rows(found, US)
    assert plain(rows[1].over_air) == "+3.2 (+2.2 to +4.9)"
    assert heat_rows.cover_rows(found)[1].minutes_38 == "220 (110 to 380)"
    assert rows[1].minutes_38 == "390 (190 to 680)", "degree-minutes are differences too"
    assert plain(heat_rows.minutes_unit(US)) == "°F min"
    assert heat_rows.face_rows(found, US)[6].gain == "−16.9"


def test_each_row_has_its_verdict_in_word_and_sign(heats):
    rows = heat_rows.cover_rows(heats.verdict())
    assert [(r.sign, r.verdict) for r in rows] == [
        ("○", "bears it"), ("✓", "choose"), ("○", "bears it"), ("×", "avoid"), ("×", "avoid"), ("×", "avoid"),
    ]  # fmt: skip
    assert [r.note for r in rows] == ["", "", "", "", "on it now", ""]
    assert [plain(r.chance) for r in rows] == ["1 %", "3 %", "9 %", "34 %", "93 %", "99 %"]
    learned = heats.verdict(heats.cover("brown_bag", learned_days=8), choose=None, now=None)
    assert "learned from 8 of your days" in heat_rows.cover_rows(learned)[0].note
    assert heat.learned_text(learned) == "Learned from your own logger: brown paper bag from 8 days."
    assert heat.learned_text(heats.verdict()) == ""


def test_how_it_is_put_on_is_said_where_it_is_not_the_usual_way():
    assert heat.cover_words(Wrap("foil_sleeve", open_below=False, touching=True), how=True) == (
        "foil sleeve, closed at the foot, against the scion"
    )
    assert heat.cover_words(Wrap("film", open_below=False), how=True) == "film alone", "film has no foot"
    assert heat.cover_words(Wrap("foil_sleeve"), how=True) == "foil sleeve"


def test_what_would_change_it(heats):
    found = heats.verdict()
    assert [plain(w) for w in heat.changes(found)] == [
        "Wind 1.0 m/s stronger: 1 in 100, not 1 in 30.",
        "Air 3 °C hotter: 2 in 10, not 1 in 30.",
        "The cover's sunny side against the scion: hardly changes it.",
    ]
    assert heat.changed_text(found) == "Chance of harm under a foil sleeve."
    every = heat.changes(replace(found, would_change=tuple((c, 0.7, 0.2) for c in CHANGES)))
    assert not [words for words in every if "_" in words]


def test_changes_are_as_large_as_the_engine_makes_them():
    assert (heat.MORE_WIND_M_S, heat.HOTTER_K) == (engine.MORE_WIND, engine.HOTTER)
    assert engine.MORE_SHADE == 0.5, "half of the sun"
    assert heat.size_text(engine.HOTTER, US, 0).startswith("5"), "no 32 is added"


def test_a_bare_scion_is_never_put_forward(heats):
    bare = heats.cover("none", chance_of_harm=0.2, verdict="avoid")
    film = heats.cover("film", chance_of_harm=0.3)
    found = heats.verdict(bare, film, choose=None, now=None)
    assert heat.put_forward(found) is film
    assert "closest is film alone" in heat.headline(found)


def test_chances_are_never_rounded_to_never_or_always():
    assert plain(heat_rows.chance_pct(0.0)) == "less than 1 %"
    assert plain(heat_rows.chance_pct(1.0)) == "more than 99 %"
    assert plain(heat_rows.chance_pct(0.34)) == "34 %"


def test_every_code_has_its_words(heats):
    assert set(heat_cautions.CAUTIONS) == set(HAZARDS)
    assert set(UNKNOWNS) <= set(heat_cautions.UNKNOWNS)
    assert set(GRAFT_COVERS) == set(heat.PHRASES)
    assert heat_cautions.sentence("of_tomorrow") == heat_cautions.short("of_tomorrow") == "of tomorrow"


def test_each_cover_brings_its_caution_whatever_the_engine_found(heats):
    def of(cover: str) -> tuple[str, ...]:
        return heat_cautions.codes(heats.cover(cover))

    assert of("clear_plastic") == ("sealed_plastic", "bag_nests")
    assert "sealed_plastic" in of("clear_plastic_shade")
    assert "foil_lines_glare" in of("foil_sleeve")
    assert "foil_lines_glare" in of("foil_pouch")
    assert of("white_paint") == ("paint_water_based",)
    for bag in ("foil_sleeve", "foil_pouch", "white_bag", "brown_bag", "dark_bag"):
        assert "bag_nests" in of(bag)
    assert of("film") == ()


def test_cautions_name_what_hurts():
    foil = heat_cautions.sentence("foil_lines_glare")
    assert "power lines" in foil
    assert "glare" in foil
    assert "in shade" in heat_cautions.line("sealed_plastic")
    assert "never oil-based" in heat_cautions.line("paint_water_based")
    assert "every week" in heat_cautions.sentence("bag_nests")
    assert "released on its day" in heat_cautions.sentence("bag_nests"), "never: wrap it and leave it"
    assert "never on its top two rungs" in heat_cautions.line("ladder")
    assert plain(heat_cautions.line("people_heat")) == "Over 35 °C work at dawn, with water and a hat."
    assert plain(heat_cautions.line("people_heat", US)) == "Over 95 °F work at dawn, with water and a hat."
    assert "local codes" in heat_cautions.sentence("estimate_only")
    every = " ".join(c for three in heat_cautions.CAUTIONS.values() for c in three)
    assert not re.search(r"\blegal\b|\bsafe\b", every)


def test_heat_for_people_is_warned_of_from_the_air_itself(heats):
    assert heat.shown_cautions(heats.verdict(cautions=())) == (
        "people_heat", "foil_lines_glare", "paint_water_based", "bag_nests", "estimate_only",
    )  # fmt: skip
    cool = heats.air(air_c=(22.0,) * 24)
    assert "people_heat" not in heat.shown_cautions(heats.verdict(cautions=(), air=cool))


def test_what_is_not_known_keeps_its_status():
    for code in ("paper_optics", "kill_point", "species_heat", "seal_unknown"):
        assert heat_cautions.unknown(code).endswith("(assumption).")
    assert heat_cautions.unknown("film_rate").endswith("(recalled).")
    assert "no measurement on grafts was found" in heat_cautions.unknown("no_measured_graft")


def test_where_the_hours_and_the_graft_come_from(heats):
    found = heats.verdict()
    assert plain(heat.air_text(found)) == ("Forecast of 9 Jan 2026, 06:00. Allowed for: ±1.5 °C in the air.")
    assert plain(heat.graft_text(found)) == (
        "Scion 8 mm thick and 80 mm long on a limb of 50 mm, on the north-west side of the tree, no shade counted; "
        "bark as it is."
    )
    open_ = replace(found.graft, bearing_deg=None, shade=0.3, whitened=True)
    assert plain(heat.graft_text(replace(found, graft=open_))).endswith(
        "on a limb of 50 mm, sun from all sides, 30 % of the sun kept off; bark whitened."
    )


def test_lines_keep_source_status_and_range(heats):
    rows = [tuple(map(plain, row)) for row in heat_rows.line_rows(heats.verdict())]
    assert rows[2] == ("52.0 °C (51.0 to 53.0 °C)", "Apple peel, 10 minutes.", "published", "heal.S51")
    assert plain(heat.line_text(44.0, US)) == "111 °F: bark loses its hold on water"
    assert heat.line_words(44.0, short=True) == "bark leaks"
    assert heat.line_words(60.0) == ""


@pytest.mark.parametrize(
    ("spread", "words"),
    [((3.0, 16.0, 51.0), "16 % (3.0 to 51)"), ((0.0, 0.004, 0.04), "under 0.01 % (0.00 to 0.04)"),
     ((1.0, 9.96, 20.0), "10 % (1.0 to 20)"), ((11.0, 33.0, 102.0), "33 % (11 to 100)")],
)  # fmt: skip
def test_small_shares_of_water_are_not_rounded_away(spread, words):
    assert plain(heat.pct_text(Spread(*spread))) == words


def test_all_plots_in_one_line_each():
    hot = PlotHeat("LOW", "Lower paddock", "2026-01-10", Spread(36.5, 38.0, 39.5), "G14-10", "brown paper bag", "act",
                   0.93, "foil_sleeve")  # fmt: skip
    warm = replace(hot, plot_name="House yard", danger="watch", chance=0.08, cover="")
    mild = replace(hot, plot_name="Wall court", danger="none", chance=0.01)
    bare = PlotHeat("BENCH", "Pot bench", "2026-01-10", Spread(30.0, 31.0, 32.0))
    blank = PlotHeat("FAR", "Far corner", "2026-01-10", None, words=("no_forecast",))
    assert plain(heat_plots.plot_text(hot)) == (
        "air up to 38.0 °C (36.5 to 39.5); G14-10 with brown paper bag: 9 in 10 chance of harm; foil sleeve would do"
    )
    assert plain(heat_plots.plot_text(replace(hot, better=""))).endswith("no cover tried would do")
    assert plain(heat_plots.plot_text(mild)).endswith("G14-10 with brown paper bag: 1 in 100 chance of harm")
    assert plain(heat_plots.plot_text(bare)).endswith("no young graft stands here")
    assert heat_plots.plot_text(blank) == "not known: no forecast and nothing typed"
    assert heat_plots.plot_text(replace(mild, words=("stale_forecast",))).endswith(
        "not known: what the day will bring now"
    )
    assert "; G14-10 without a cover over its film: 1 in 12" in plain(heat_plots.plot_text(warm))
    assert heat_plots.swap_text(hot) == "brown paper bag off, foil sleeve in its place"
    assert heat_plots.swap_text(warm) == "put on: foil sleeve"
    assert heat_plots.swap_text(replace(hot, better="")) == "no cover tried would do: shade it"
    assert heat_plots.swap_text(replace(warm, better="")) == "look at it at noon"
    assert heat_plots.cautions((hot, mild)) == ("people_heat", "foil_lines_glare", "bag_nests", "estimate_only")
    assert heat_plots.cautions((bare,)) == ("estimate_only",)
    assert heat_plots.in_danger((hot, warm, mild, bare, blank)) == (hot, warm)
    assert heat_plots.plots_headline((hot, mild, blank), EVE) == (
        "Change covers for tomorrow in Lower paddock; 1 not known."
    )
    assert heat_plots.plots_headline((hot, replace(hot, plot_code="B"), mild)) == (
        "Change covers for 10\u00a0Jan 2026 in 2 of 3 plots."
    )
    assert heat_plots.plots_headline((warm, mild), EVE) == "Watch the covers for tomorrow in House yard."
    assert heat_plots.plots_headline((mild, blank), EVE) == "No graft is in danger tomorrow in 1 plot; 1 not known."
    assert heat_plots.plots_headline((blank,)) == heat_plots.plots_headline(()) == "The heat of the day is not known."
    assert plain(heat_plots.plots_lead((blank, mild, hot))) == (
        "Most at risk: G14-10 with brown paper bag, Lower paddock, 9 in 10 chance of harm as it stands."
    )
    assert heat_plots.plots_lead((blank,)).startswith("No plot has a forecast.")
    assert heat_plots.plots_lead((bare,)).startswith("No young graft")


def test_air_within_covers_is_said_where_some_is_held(heats):
    assert plain(heat_rows.inside_text(heats.verdict(heats.cover("foil_sleeve"), choose=0, now=None))) == (
        "Hottest air in the cover: foil sleeve 39.4 °C (37.9 to 41.4)."
    )
    assert heat_rows.inside_text(heats.verdict(heats.cover("film"), choose=None, now=None), METRIC) == ""
