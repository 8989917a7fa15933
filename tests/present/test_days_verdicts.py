"""Days to graft in words: the verdict first and why, the bark's own test before any rule, dates with their ranges."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from barkslip.domain.timing import CAUTIONS, REASONS, UNKNOWNS, DateSpread
from barkslip.domain.units import US
from barkslip.knowledge.load import load
from barkslip.present import days, days_words

ON = date(2024, 9, 13)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


# -- the verdict ------------------------------------------------------------------------------------------------------


def test_wait_says_until_when_what_it_is_then_and_what_ends_it_today(grafting):
    found = grafting.verdict()
    assert plain(days.headline(found, ON)) == (
        "Wait until 19 Sep: 8 in 10 chance that the union links in time; today it is 3 in 10, else mostly frost comes "
        "first."
    )
    assert plain(days.headline(found)) == (
        "Wait until 19 Sep: 8 in 10 chance that the union links in time; on 13 Sep it is 3 in 10, else mostly frost "
        "comes first."
    )
    assert plain(days.title(found, "Well", "House yard")) == ("Bark graft of citrus, Well, House yard, 13–26 Sep 2024")
    assert plain(days.lead(found)) == (
        "Set on 19 Sep: about 35 days (23 to 46) to the first water path; that day heals 0.38 (0.31 to 0.45) of a best "
        "one."
    )


def test_today(grafting):
    assert plain(days.headline(grafting.good(), ON)) == (
        "Good to graft today: 8 in 10 chance that the union links in time; else mostly the scion dries out."
    )
    calm = grafting.good()
    calm = replace(calm, days=(replace(calm.days[0], ended_by=(("drying", 0.05),), chance=0.95), *calm.days[1:]))
    assert plain(days.headline(calm)) == (
        "Good to graft on 13 Sep 2024: more than 9 in 10 chance that the union links in time."
    )


def test_not_now_says_the_best_there_is(grafting):
    assert plain(days.headline(grafting.bad(), ON)) == (
        "Not now: at best 3 in 10 in these 14 days that the union links in time; else mostly frost comes first."
    )
    one = grafting.bad()
    assert plain(days.headline(replace(one, days=one.days[:1]), ON)) == (
        "Not now: 3 in 10 today that the union links in time; else mostly frost comes first."
    )


def test_a_bark_that_tears_goes_before_the_finest_weather(grafting):
    plan = replace(grafting.good().plan, bark="tears")
    found = grafting.good(plan=plan, verdict="not now", reasons=("bark_tears", "drying"))
    assert plain(days.headline(found, ON)) == (
        "Not now: the bark tears. The weather would do: 8 in 10 chance that the union links in time."
    )
    assert plain(days.bark_text(found)) == (
        "Tested: bark tears. The test decides: wait and test again, or choose a method that needs no lifting bark."
    )
    bad = grafting.bad(plan=plan, reasons=("bark_tears", "frost_before_link"))
    assert days.headline(bad, ON) == "Not now: the bark tears. Nor is the weather good."


def test_an_untested_bark_is_tested_first_and_the_rule_says_it_is_a_rule(grafting):
    plan = replace(grafting.good().plan, bark="")
    found = grafting.good(
        plan=plan, verdict="ask bark test", reasons=("ask_bark_test", "drying", "good"), bark_rule="rule",
        bark_from="2024-09-13",
    )  # fmt: skip
    assert plain(days.headline(found, ON)) == (
        "Test the bark first: the weather is good today, 8 in 10 chance that the union links in time."
    )
    assert plain(days.headline(replace(found, set_on="2024-09-19"), ON)) == (
        "Test the bark first: the weather is good from 19 Sep, 8 in 10 chance that the union links in time."
    )
    assert days.bark_text(found) == (
        "Not tested. By the heat of the last three weeks a test is worth while from now on; that rule is good to two "
        "weeks either way. The knife decides."
    )
    later = replace(found, bark_from="2024-09-20", verdict="wait", reasons=("ask_bark_test",), set_on="2024-09-19")
    assert plain(days.headline(later, ON)) == (
        "Wait: the bark is unlikely to lift before 20 Sep. The weather is good from 19 Sep."
    )
    never = replace(found, bark_from="", verdict="not now", reasons=("ask_bark_test",))
    assert days.headline(never, ON) == (
        "Not now: the bark is unlikely to lift in these days, though the weather would do."
    )
    assert "unlikely to lift in these days" in days.bark_text(never)
    other = replace(found, bark_from="", curve=replace(found.curve, species="apple"))
    assert days.bark_text(other) == "Not tested. No rule says when it lifts here. The knife decides."


def test_a_bark_that_lifts_on_the_sunny_side_only(grafting):
    found = grafting.good(plan=replace(grafting.good().plan, bark="sun side only"))
    assert days.bark_text(found) == (
        "Tested: lifts on the sunny side only. Set it there, and test again where the flap tore."
    )


def test_a_method_without_lifting_bark_needs_no_test(grafting):
    found = grafting.good(bark_rule="no need")
    assert days.bark_text(found) == "This method needs no lifting bark."
    assert not days.asks_for_test(found, ON)


def test_the_test_can_be_written_down_for_a_tree_of_the_book_today(grafting):
    assert days.asks_for_test(grafting.verdict(), ON)
    assert not days.asks_for_test(grafting.verdict(), date(2024, 9, 14)), "the days looked at begin yesterday"
    assert not days.asks_for_test(grafting.verdict(plan=replace(grafting.verdict().plan, tree="")), ON)
    assert not days.asks_for_test(grafting.nothing(), ON)


def test_a_heat_wave_ahead_is_said_even_if_nothing_else_is(grafting):
    hot = (0.86, (("drying", 0.04),), ("heat_wave_ahead",), "fair")
    every = tuple(grafting.day(i, hot) for i in range(14))
    found = grafting.verdict(*every, verdict="not now", best_day="", set_on=every[0].date)
    assert plain(days.headline(found, ON)) == (
        "Not now: extreme heat is ahead; without it 9 in 10 chance that the union links in time."
    )


def test_not_known_is_an_answer_and_never_another_kind(grafting):
    found = grafting.nothing()
    assert days.headline(found) == "Not known: nothing is written down of how jaboticaba heals."
    assert days.lead(found) == ""
    assert days.bark_text(found) == ""
    assert days.curve_text(found) == ""
    assert days.date_rows(found) == ()
    assert days.headline(grafting.nothing("no_weather")) == "Not known: there is no weather for these days."
    short = grafting.verdict(verdict="unknown", reasons=("no_weather",))
    assert days.headline(short) == "Not known: the weather ends before a union could link."


# -- why, dates, sources ----------------------------------------------------------------------------------------------


def test_reasons_carry_their_chance_and_add_up(grafting):
    found = grafting.verdict()
    assert [plain(w) for w in days.why_texts(found)] == [
        "Frost comes before the union links, and a fresh union bears little of it (5 in 10).",
        "The scion may dry out before the first water path is there (1 in 8).",
    ]
    assert plain(days.ended_text(found.days[0])) == (
        "Set on 13 Sep: in time 31 %; else frost before it links 52 %, dried out 12 %, too cold to link 5 %."
    )
    assert days.why_texts(grafting.good())[-1] == "Nothing else in the weather speaks against it."
    alone = grafting.good(reasons=("good",))
    assert days.why_texts(alone) == ("Nothing in the weather speaks against it.",)


def test_in_time_is_explained_and_is_not_the_take(grafting):
    assert "it is not the chance that your graft takes" in days.in_time_text(grafting.verdict())


def test_dates_keep_their_ranges_and_say_what_is_not_reached(grafting):
    found = grafting.verdict()
    assert [(name, plain(words)) for name, words in days.date_rows(found)] == [
        ("first water path", "24 Oct (12 Oct to 4 Nov)"),
        ("first push", "8 Nov (12 Oct to not in time)"),
        ("binding may come off", "3 Nov (20 Oct to 18 Nov)"),
    ]
    early = DateSpread("2024-10-12", None, None)
    assert plain(days.date_text(early, "2024-09-19")) == (
        "12 Oct at the earliest, in most cases not within the time looked at"
    )
    assert days.date_text(DateSpread(None, None, None)) == "not within the time looked at"
    assert plain(days.dates_head(found)) == "If it is set on 19 Sep 2024"
    assert plain(days.dates_head(grafting.bad())) == "If it is set on 13 Sep 2024 all the same"
    slow = grafting.bad()
    slow = replace(slow, days=tuple(replace(d, link_days=None) for d in slow.days))
    assert plain(days.lead(slow)) == (
        "Set on 13 Sep the first water path is not there within the time looked at in most cases."
    )


def test_a_bud_that_sleeps_has_no_push(grafting):
    found = grafting.verdict(plan=replace(grafting.verdict().plan, path="sleeping"))
    assert [name for name, _ in days.date_rows(found)] == ["first water path", "binding may come off"]
    assert days.path_text(found) == "The bud is meant to sleep: no push is counted."


def test_sources_of_the_days_are_told_apart(grafting):
    assert plain(days.source_text(grafting.verdict())) == (
        "From “House yard (YARD)”. 13 Sep from readings; 14 to 19 Sep from the forecast; 20 to 26 Sep from your own "
        "years. 5 years of weather stand behind the time after."
    )


def test_the_plan_and_the_curve_in_the_reader_s_units_with_their_status(grafting):
    found = grafting.verdict()
    assert plain(days.plan_text(found)) == (
        "Citrus: bark graft, growing bud, wood with buds at rest, foil sleeve, limb 50 mm, scion 8 mm, sun from all "
        "sides."
    )
    assert plain(days.curve_text(found)) == (
        "Citrus heals fastest at 28.0 °C (26.5 to 29.5 °C), not below 13.0 °C (11.5 to 14.5 °C), not above 38.0 °C "
        "(36.5 to 39.5 °C); at the best temperature 15 days (12 to 18 days) to the first water path. Evidence: medium; "
        "status: assumption."
    )
    assert plain(" | ".join(days.curve_rows(found)[1])) == (
        "fastest at | 28.0 °C (26.5 to 29.5 °C) | assumption | heal.made-up"
    )
    assert days.curve_rows(grafting.nothing()) == ()
    assert "82.4 °F" in plain(days.curve_text(found, US))
    assert "2.0 in" in plain(days.plan_text(found, US))


# -- codes ------------------------------------------------------------------------------------------------------------


def test_every_code_has_words_of_its_own():
    assert set(REASONS) <= set(days_words.WHYS)
    assert set(UNKNOWNS) <= set(days_words.UNKNOWNS)
    assert set(CAUTIONS) == set(days_words.CAUTIONS)
    for why in days_words.WHYS.values():
        assert why.sentence.endswith(".")
        assert why.sign in ("", *days_words.SIGNS)
    for words in days_words.UNKNOWNS.values():
        assert words.endswith(".")


def test_what_stands_in_for_something_unknown_says_how_it_is_known():
    """Numbers without a source are assumptions in the knowledge base; the words say so and never more."""
    said = {code: re.findall(r"\((\w+)\)", words) for code, words in days_words.UNKNOWNS.items()}
    assert {code for code, found in said.items() if found} == {"weak_species", "bark_rule", "push_clock", "kill_point"}
    assert {status for found in said.values() for status in found} == {"assumption"}
    known = load()
    for key in ("healing.citrus.bark_slip_sum", "timing.push.reserve", "timing.kill.dose"):
        assert known.value(key).status == "assumption"


def test_methods_are_called_as_the_knowledge_base_calls_them():
    for method in load().methods:
        assert days_words.method_words(method.key) == method.name


@pytest.mark.parametrize("code", CAUTIONS)
def test_cautions_have_a_short_and_a_whole_form(code):
    head, line, whole = days_words.CAUTIONS[code]
    assert len(head) < len(line) <= len(whole)
    assert "legal" not in (line + whole).lower()


def test_wood_from_elsewhere_is_the_authority_s_matter_and_the_estimate_is_always_said():
    assert "plant health authority" in days_words.caution("clean_wood")
    assert days_words.cautions_in_order(()) == ("estimate_only",)
    assert days_words.cautions_in_order(("knife", "test_bark")) == ("test_bark", "knife", "estimate_only")
