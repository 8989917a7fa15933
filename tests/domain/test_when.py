"""Dates as growers write them."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from barkslip.domain.errors import InputError, QuestionError
from barkslip.domain.when import FIRST_YEAR, When, on, parse_when

TODAY = date(2025, 3, 14)
DAYS = st.dates(date(FIRST_YEAR, 1, 1), date(2200, 12, 31))
FORMS = "2024-09-01, 2024-09, 2024, 2024-08-19/21, about 1998, before 1990, mid-October 2020, 1 Sep 2024"


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2024-09-01", "2024-09-01", "2024-09-01"),
        (" 2024-9-1 ", "2024-09-01", "2024-09-01"),
        ("2024-02", "2024-02-01", "2024-02-29"),
        ("2024", "2024-01-01", "2024-12-31"),
        ("2024-08-19/21", "2024-08-19", "2024-08-21"),
        ("2024-08-19/2024-09-02", "2024-08-19", "2024-09-02"),
        ("2024-08-19 .. 2024-08-21", "2024-08-19", "2024-08-21"),
        ("Aug 2024 to Sept 2024", "2024-08-01", "2024-09-30"),
        ("1 Sep 2024", "2024-09-01", "2024-09-01"),
        ("September 2024", "2024-09-01", "2024-09-30"),
        ("mid-October 2020", "2020-10-11", "2020-10-20"),
        ("late feb 2023", "2023-02-21", "2023-02-28"),
        ("early June 2021", "2021-06-01", "2021-06-10"),
        ("before 1990", "1800-01-01", "1989-12-31"),
        ("about 1998", "1997-01-01", "1999-12-31"),
        ("about 2024-06", "2024-05-17", "2024-07-15"),
        ("around 2024-06-10", "2024-06-07", "2024-06-13"),
        ("sown 2021-09", "2021-09-01", "2021-09-30"),
        ("today", "2025-03-14", "2025-03-14"),
        ("Yesterday", "2025-03-13", "2025-03-13"),
        ("25/12/2023", "2023-12-25", "2023-12-25"),
        ("5.5.2023", "2023-05-05", "2023-05-05"),
    ],
)
def test_forms(text: str, first: str, last: str):
    when = parse_when(text, today=TODAY)
    assert (when.first.isoformat(), when.last.isoformat()) == (first, last)
    assert when.exact is (first == last)


def test_words_are_kept_where_they_say_more():
    assert parse_when("  about   1998 ", today=TODAY).text == "about 1998"
    assert parse_when("2024-09-01", today=TODAY).text == ""


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "Not a date that can be."),
        ("2023-02-29", "Not a date that can be."),
        ("2024-13", "Not a date that can be."),
        ("31 June 2024", "Not a date that can be."),
        ("32/13/2024", "Not a date that can be."),
        ("spring", "Not a date that can be."),
        ("May 0000", "Not a date that can be."),
        ("about 9999", "Not a date that can be."),
        ("2024-01-01/2024-02-01/2024-03-01", "Not a date that can be."),
        ("2024-08-21/19", "The range of days runs backwards."),
        ("1799-12-31", "That is before 1800."),
        ("before 1800", "That is before 1800."),
    ],
)
def test_refused_with_the_whole_message(text: str, problem: str):
    with pytest.raises(InputError) as caught:
        parse_when(text, today=TODAY, field="set_on")
    assert caught.value.field == "set_on"
    assert str(caught.value) == (
        f"{problem}\nGiven: {text or '(nothing)'}\nAllowed: {FORMS}\n"
        "Next: Type the day as year-month-day, or as much of it as you know."
    )


def test_a_date_read_two_ways_is_asked_about():
    with pytest.raises(QuestionError) as caught:
        parse_when("3/4/2024", today=TODAY)
    assert caught.value.code == "date-order"
    assert caught.value.answers == (("2024-04-03", "3 April 2024"), ("2024-03-04", "4 March 2024"))
    assert str(caught.value) == (
        "Day first or month first?\nGiven: 3/4/2024\nAllowed: 2024-09-01\nNext: Type the date as year-month-day."
    )
    assert parse_when("3/4/2024", today=TODAY, order="dmy") == on(date(2024, 4, 3))
    assert parse_when("3/4/2024", today=TODAY, order="mdy") == on(date(2024, 3, 4))
    # an order that gives no date is not insisted on
    assert parse_when("25/12/2023", today=TODAY, order="mdy") == on(date(2023, 12, 25))


def test_a_range_never_runs_backwards():
    with pytest.raises(InputError) as caught:
        When(date(2024, 9, 2), date(2024, 9, 1))
    assert str(caught.value) == (
        "The range of days runs backwards.\nGiven: 2024-09-02 to 2024-09-01\nAllowed: first day before last day\n"
        "Next: Swap the two dates."
    )


@given(st.text(max_size=120))
@example("about " * 3000 + "1998")
@example("before about before 1990")
@example("jan 0000")
@example("c. 9999-12-31")
def test_any_text_is_a_date_or_a_plain_error(text: str):
    try:
        when = parse_when(text, today=TODAY)
    except InputError as error:
        assert error.next_step
    else:
        assert when.first <= when.last


@given(DAYS, DAYS)
def test_iso_reads_back(a: date, b: date):
    first, last = sorted((a, b))
    when = parse_when(When(first, last).iso(), today=TODAY)
    assert (when.first, when.last) == (first, last)


@given(DAYS, st.integers(0, 800), DAYS)
def test_days_between_hold_for_every_day_of_the_range(first: date, spread: int, day: date):
    when = When(first, first + timedelta(days=spread))
    least, most = when.days_to(day)
    assert most - least == spread
    assert when.plus(least).last == day and when.plus(most).first == day


@pytest.mark.parametrize(
    ("text", "written"),
    [("1975-06-11", "19750611"), ("1975-06", "197506--"), ("1975", "1975----"), ("before 1990", "--------")],
)
def test_mcpd_against_passport_descriptors(text: str, written: str):
    """FAO/Bioversity Multi-Crop Passport Descriptors V.2.1 (2015), COLLDATE: YYYYMMDD, hyphens for what is missing."""
    assert parse_when(text, today=TODAY).mcpd() == written
