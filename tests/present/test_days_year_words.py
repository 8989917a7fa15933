"""The year in words: stretches of weeks, round the turn of the year, few years said to be few."""

from __future__ import annotations

from dataclasses import replace

import pytest

from barkslip.domain.timing import WeekOfYear
from barkslip.present import days_year


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_the_good_stretch_goes_round_the_turn_of_the_year(grafting):
    assert plain(days_year.year_text(grafting.verdict())) == (
        "In most of 5 years it worked if set from 3 Sep to 1 Apr."
    )


def test_no_week_every_week_one_year_no_year(grafting):
    year = grafting.year()
    never = tuple(replace(w, worked=0) for w in year)
    assert days_year.year_text(grafting.verdict(year=never)) == "In most of 5 years it worked in no week."
    always = tuple(replace(w, worked=1, years=1) for w in year)
    assert days_year.year_text(grafting.verdict(year=always)) == "In the one year known it worked, whatever the week."
    assert days_year.year_text(grafting.verdict(year=())) == (
        "The year here is not known: there is no whole year of weather. Bring a file in to see it."
    )


@pytest.mark.parametrize(
    ("worked", "years", "kind"),
    [
        (5, 5, "good"), (4, 5, "good"), (7, 10, "good"), (3, 5, "fair"), (2, 5, "fair"), (1, 5, "poor"), (0, 1, "poor"),
        (0, 0, "unknown"),
    ],
)  # fmt: skip
def test_kinds_of_weeks(grafting, worked, years, kind):
    assert days_year.kind(replace(grafting.year()[0], worked=worked, years=years)) == kind


def test_stretches_hold_all_weeks_and_say_how_many_years_worked(grafting):
    found = grafting.verdict()
    rows = days_year.stretch_rows(found)
    assert sum(len(s) for s in days_year.stretches(found.year)) == 52
    assert [plain(r.span) for r in rows] == ["1 Jan to 1 Apr", "2 Apr to 2 Sep", "3 Sep to 31 Dec"]
    middle = rows[1]
    assert [plain(v) for v in (middle.worked, middle.chance, middle.ended, middle.short, middle.note)] == [
        "0 to 1 of 5", "22 % (9 to 44)", "too cold to link", "cold", "false spring in 2 of 5",
    ]  # fmt: skip
    assert (plain(rows[0].worked), plain(rows[0].chance)) == ("5 of 5", "86 % (77 to 95)")


def test_week_by_week(grafting):
    rows = days_year.week_rows(grafting.verdict())
    assert len(rows) == 52
    assert plain(rows[0].span) == "from 1 Jan"
    assert {r.kind for r in rows} == {"good", "poor"}


def test_few_years_and_one_year_are_said_to_be_that(grafting):
    found = grafting.verdict()
    assert days_year.years_text(found) == (
        "A year counts if grafts of that week link more often than not. 5 years are few: another one can move these "
        "weeks. A false spring: the week was good, and frost came after the push."
    )
    one = grafting.verdict(year=tuple(replace(w, worked=min(w.worked, 1), years=1, false_spring=0) for w in found.year))
    assert days_year.years_text(one) == (
        "A year counts if grafts of that week link more often than not. One year has not every extreme of a place."
    )
    many = grafting.verdict(year=tuple(replace(w, years=24, false_spring=0) for w in found.year))
    assert days_year.years_text(many) == "A year counts if grafts of that week link more often than not."
    assert days_year.years_text(grafting.nothing()) == ""


def test_the_strip_has_a_sign_a_week_under_its_month(grafting):
    months, signs = days_year.strip(grafting.verdict())
    assert len(signs) == 52
    assert set(signs) == {"█", "·"}
    assert months.split() == ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    assert months.index("Sep") == signs.index("█", 20)


def test_a_week_of_29_february_has_a_place():
    day = days_year.week_day(WeekOfYear("02-29", None, 0, 1))  # type: ignore[arg-type]
    assert (day.month, day.day) == (2, 28)
