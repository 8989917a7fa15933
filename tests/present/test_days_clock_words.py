"""The healing clock in words: a day count is no verdict; own takes with how many they are."""

from __future__ import annotations

from dataclasses import replace

from barkslip.domain.night import Spread
from barkslip.domain.timing import DateSpread
from barkslip.domain.units import US
from barkslip.present import days_clock


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_before_at_and_after_the_link(grafting):
    at = grafting.clock()
    assert plain(days_clock.clock_headline(at)) == (
        "By its clock there is a 1 in 8 chance that the union has linked by now."
    )
    before = grafting.clock(as_of="2024-10-20")
    assert plain(days_clock.clock_headline(before)) == "By its clock the union is to link about 14 Nov."
    after = grafting.clock(as_of="2025-06-30")
    assert plain(days_clock.clock_headline(after)) == ("By its clock the union had linked by 26 Nov 2024, if it lived.")
    slow = grafting.clock(link=DateSpread(None, None, None))
    assert days_clock.clock_headline(slow) == ("By its clock the union does not link within the time looked at.")


def test_a_clock_never_says_that_a_graft_is_dead_or_took(grafting):
    for clock in (grafting.clock(), grafting.clock(as_of="2026-01-01"), grafting.dark()):
        said = " ".join(
            (days_clock.clock_headline(clock), days_clock.so_far_text(clock), days_clock.latest_text(clock))
        ).lower()
        for word in ("dead", "took", "failed", "graft again"):
            assert word not in said
    assert days_clock.NO_VERDICT == ("A clock counts heat. Whether the graft lives is seen by looking, never counted.")


def test_not_known_says_why(grafting):
    assert days_clock.clock_headline(grafting.dark()) == "Not known: there is no weather for its days."
    assert days_clock.clock_headline(grafting.dark(species="", words=("healing_curve",))) == (
        "Not known: nothing is written down of how its kind heals."
    )
    assert days_clock.clock_headline(grafting.dark(words=("set_day",))) == (
        "Not known: the day it was set on is not known closely enough."
    )
    assert days_clock.so_far_text(grafting.dark()) == days_clock.heard_text(grafting.dark()) == ""


def test_the_numbers_keep_their_ranges(grafting):
    clock = grafting.clock()
    assert days_clock.so_far_text(clock) == (
        "Thermal days so far: 9.9 (8.1 to 12.4), each worth a day at the temperature it heals best at."
    )
    assert [(n, plain(w)) for n, w in days_clock.row_texts(days_clock.clock_rows(clock), clock.set_on)] == [
        ("callus bridge", "20 Oct (14 Oct to 26 Oct)"),
        ("first water path", "14 Nov (28 Oct to 26 Nov)"),
        ("first push", "26 Nov (3 Nov to 24 Dec)"),
        ("binding may come off", "18 Nov (5 Nov to 3 Dec)"),
    ]
    assert [n for n, _ in days_clock.clock_rows(replace(clock, push=None))][2] == "binding may come off"


def test_the_binding_has_a_last_day_whatever_the_clock_says(grafting):
    assert plain(days_clock.latest_text(grafting.clock())) == (
        "The binding is off by 4 Jan at the latest, whatever the clock says: its kind bears no longer."
    )
    assert days_clock.latest_text(grafting.dark()) == ""


def test_how_much_was_read(grafting):
    assert days_clock.heard_text(grafting.clock()) == (
        "All of its hours so far were read; days to come: forecast and own years."
    )
    assert plain(days_clock.heard_text(grafting.clock(measured_share=0.62, ahead=""))) == (
        "62 % of its hours so far were read."
    )


# -- what own takes say -----------------------------------------------------------------------------------------------


def test_own_takes_say_which_way_and_from_how_many(grafting):
    assert plain(days_clock.learned_headline(grafting.learned())) == (
        "Your own takes make the clock about 1 day slower: 8 grafts of persimmon, 4 took."
    )
    quick = grafting.learned(after={"d_xylem_d": Spread(2.0, 4.6, 8.0)})
    assert plain(days_clock.learned_headline(quick)) == (
        "Your own takes make the clock about 2 days quicker: 8 grafts of persimmon, 4 took."
    )
    same = grafting.learned(after=grafting.learned().before)
    assert days_clock.learned_headline(same) == ("Your own takes hardly move the clock: 8 grafts of persimmon, 4 took.")


def test_below_five_grafts_nothing_is_said_of_the_clock(grafting):
    assert days_clock.learned_headline(grafting.learned(grafts=4, took=4)) == (
        "Too few to say: 4 grafts of persimmon with a verdict and weather, 4 took."
    )
    assert days_clock.learned_headline(grafting.learned(grafts=0, took=0)) == (
        "Nothing yet: no graft of persimmon has both a verdict and weather."
    )
    assert days_clock.weight_text(grafting.learned(grafts=0)) == ""


def test_before_and_after_side_by_side_in_the_reader_s_units(grafting):
    rows = days_clock.learned_rows(grafting.learned())
    assert [(r.words, plain(r.before), plain(r.after)) for r in rows] == [
        ("no healing below", "13.1 °C (9.8 to 16.2)", "13.1 °C (9.9 to 16.2)"),
        ("days at the best temperature to the first water path", "7.1 days (3.3 to 11.1)", "7.9 days (4.5 to 11.4)"),
    ]
    assert plain(days_clock.learned_rows(grafting.learned(), US)[0].before) == "55.6 °F (49.6 to 61.2)"
    assert "one failure says little" in days_clock.weight_text(grafting.learned())


def test_past_grafts_beside_the_clock(grafting):
    row, dark = days_clock.past_rows(grafting.learned())
    assert (plain(row.set_on), row.method, row.cover) == ("14 Sep 2021", "bark graft", "foil sleeve")
    assert (row.healing_21, row.healing_45) == ("7.9 (6.3 to 9.5)", "18.1 (14.3 to 21.6)")
    assert (plain(row.chance), dark.chance, dark.method) == ("38 %", "not known", "T-bud")
    assert (dark.healing_21, dark.outcome) == ("–", "waiting")
