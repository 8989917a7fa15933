"""Dates and quantities word for word: real minus signs, spaces that do not break, differences without the 32."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.domain.sourced import Value
from barkslip.domain.units import IMPERIAL, METRIC, US
from barkslip.domain.when import When, on, parse_when
from barkslip.present import counts, dates
from barkslip.present import units as u

N = "\u00a0"
TODAY = date(2024, 9, 13)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("2024-09-13", f"13{N}Sep 2024"),
        ("2024-08-19/21", f"19–21{N}Aug 2024"),
        ("2024-08-28/2024-09-02", f"28{N}Aug – 2{N}Sep 2024"),
        ("2023-12-30/2024-01-02", f"30{N}Dec 2023 – 2{N}Jan 2024"),
        ("2024-09", "Sep 2024"),
        ("2024", "2024"),
        ("about 1998", "about 1998"),
        ("before 1990", "before 1990"),
        ("mid-October 2020", "mid-October 2020"),
    ],
)
def test_dates_are_said_as_typed_or_as_shortly_as_can_be(typed, words):
    assert dates.when_text(parse_when(typed, today=TODAY)) == words


def test_a_missing_date_is_not_known():
    assert dates.when_text(None) == "not known"
    assert dates.when_text(When(date(1800, 1, 1), date(1989, 12, 31))) == f"before 1{N}Jan 1990"


@pytest.mark.parametrize(
    ("days", "words"),
    [
        ((16, 16), f"day{N}16"),
        ((14, 16), f"day{N}14 to 16"),
        ((0, 0), "set today"),
        ((0, 3), f"day{N}0 to 3"),
        ((300, 300), f"month{N}9"),
        ((1100, 1100), f"year{N}3"),
        ((700, 1100), f"year{N}1 to 3"),
    ],
)
def test_days_since(days, words):
    assert dates.days_since(days) == words


def test_nearness_and_stamps():
    assert dates.day_near(date(2024, 10, 12), TODAY) == f"12{N}Oct"
    assert dates.day_near(date(2025, 10, 12), TODAY) == f"12{N}Oct 2025"
    assert dates.ago_text(date(2024, 9, 10), TODAY) == f"3{N}days ago"
    assert dates.ago_text(date(2024, 9, 14), TODAY) == "tomorrow"
    assert dates.ago_text(date(2024, 9, 20), TODAY) == f"in 7{N}days"
    assert dates.local_text("2024-09-13T05:40") == f"13{N}Sep 2024, 05:40"
    assert dates.local_text("2024-09-13") == f"13{N}Sep 2024"
    assert dates.stamp_text("2024-09-13T23:30:00Z", 2.0) == f"14{N}Sep 2024, 01:30"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (u.temperature(-3.1), f"−3.1{N}°C"),
        (u.temperature(-3.1, US), f"26.4{N}°F"),
        (u.temperature(-0.04), f"0.0{N}°C"),
        (u.temperature(None), "no reading"),
        (u.temperature(0.0, US, 0), f"32{N}°F"),
        (u.temperature_range(-6.9, -3.8), f"−6.9 to −3.8{N}°C"),
        (u.difference(-2.6), f"−2.6{N}K"),
        (u.difference(-2.6, US), f"−4.7{N}°F"),
        (u.difference(0.0, US), f"0.0{N}°F"),
        (u.difference(2.2), f"+2.2{N}K"),
        (u.colder_or_warmer(-2.6), f"2.6{N}°C colder"),
        (u.colder_or_warmer(2.6, US), f"4.7{N}°F warmer"),
        (u.length(9.0), f"9{N}mm"),
        (u.length(620.0), f"62{N}cm"),
        (u.length(2400.0), f"2.4{N}m"),
        (u.length(9.0, US), f"0.4{N}in"),
        (u.length(620.0, US), f"24{N}in"),
        (u.length(3048.0, US), f"10.0{N}ft"),
        (u.length(None), "not measured"),
        (u.rain(31.0), f"31{N}mm"),
        (u.rain(31.0, US), f"1.22{N}in"),
        (u.volume(20.0), f"20{N}L"),
        (u.volume(20.0, US), f"5.3{N}US gal"),
        (u.volume(20.0, IMPERIAL), f"4.4{N}imp gal"),
        (u.mass(140.0), f"140{N}g"),
        (u.mass(140.0, US), f"4.9{N}oz"),
        (u.speed(2.0), f"2.0{N}m/s"),
        (u.speed(2.0, US), f"4{N}mph"),
        (u.hours(7.5), f"7.5{N}h"),
        (u.hours(12.0), f"12{N}h"),
        (u.percent(0.45), f"45{N}%"),
        (u.percent(0.003), f"less than 1{N}%"),
        (u.percent(0.997), f"more than 99{N}%"),
        (u.percent(1.0), f"100{N}%"),
        (u.tenths(0.71), "7 in 10"),
        (u.tenths(0.02), "less than 1 in 10"),
        (u.tenths(0.98), "more than 9 in 10"),
    ],
)
def test_quantities(words, said):
    assert words == said


@pytest.mark.parametrize(
    ("value", "units", "said"),
    [
        (Value(42.0, "d", "s", "recalled", 28.0, 60.0), METRIC, f"42{N}days (28 to 60{N}days)"),
        (Value(None, "°C", "s", "recalled", 36.0, 40.0), METRIC, f"36.0 to 40.0{N}°C"),
        (Value(None, "°C", "s", "recalled", 36.0, 40.0), US, f"96.8 to 104.0{N}°F"),
        (Value(None, "K", "s", "recalled", None, 2.0), US, f"+3.6{N}°F or less"),
        (Value(None, "1", "s", "recalled"), METRIC, "not known"),
        (Value("yes", "", "s", "recalled"), METRIC, "yes"),
        (Value(0.85, "1", "s", "recalled", 0.7), METRIC, "0.85 (0.7 or more)"),
        (Value(18.0, "month", "s", "recalled"), METRIC, f"18{N}month"),
    ],
)
def test_sourced_values(value, units, said):
    assert u.value_text(value, units) == said


def test_counts():
    assert counts.many(1, "graft") == "1 graft"
    assert counts.many(3, "graft waits", "grafts wait") == "3 grafts wait"
    assert counts.tally({"took": 2, "lost": 0, "waiting": 1}, ("took", "waiting", "lost")) == "2 took, 1 waiting"
    assert counts.listed(["bark", "bud", "leaf"]) == "bark, bud and leaf"
    assert counts.opening("lowest −1.8 °C, 6 Sep") == "Lowest −1.8 °C, 6 Sep"
    assert counts.sentence("what a look is ") == "What a look is."


def test_a_known_day_has_one_word():
    assert dates.when_text(on(TODAY)) == dates.day_text(TODAY) == dates.range_text(TODAY, TODAY)
