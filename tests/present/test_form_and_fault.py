"""Forms, their questions, and headings of errors."""

from __future__ import annotations

import pytest

from barkslip.domain import errors as e
from barkslip.domain.tree import Candidate
from barkslip.present import fault, form
from barkslip.present.form import FormField, FormView
from barkslip.present.lists import Pager, size_text

ASK = e.QuestionError("Is it °F?", code="unit", answers=(("22 °F", "22 °F"), ("22|a", "as typed")), field="low")


@pytest.mark.parametrize("value", ["22 °F", "22|a", ""])
def test_an_answer_comes_back_as_it_was_sent(value):
    assert form.read_answer(form.answer_value(ASK, value)) == ("unit", "low", value)


def test_a_broken_answer_is_read_as_far_as_it_goes():
    assert form.read_answer("unit") == ("unit", "", "")


def test_the_field_to_blame_says_so():
    view = FormView("t", "/x", (FormField("low", "Low"), FormField("high", "High", error="too high")), error=ASK)
    assert [form.field_error(view, name) for name in ("low", "high", "day")] == ["Is it °F?", "too high", ""]
    assert not view.has_file
    assert FormView("t", "/x", (FormField("p", "Photo", "file"),)).has_file


def test_candidates_have_spare_lines():
    assert form.lines((Candidate("rough lemon", 0.75, "scent"),)) == [
        ("rough lemon", "75", "scent"),
        ("", "", ""),
        ("", "", ""),
    ]
    assert form.lines("") == [("", "", "")] * 3


def test_no_other_kinds_of_field():
    with pytest.raises(ValueError, match="no such kind of field: colour"):
        FormField("a", "A", "colour")


def test_every_error_has_a_heading_of_its_own():
    kinds = [k for k in vars(e).values() if isinstance(k, type) and issubclass(k, e.BarkslipError)]
    made = [k("p", code="c", answers=()) if k is e.QuestionError else k("p") for k in kinds]
    titles = {type(one): fault.title(one) for one in made}
    assert len(set(titles.values())) == len(titles)
    assert titles[e.NotFoundError] == "Not in the book"
    assert titles[e.BarkslipError] == "Something went wrong"
    assert fault.is_question(ASK)
    assert fault.place(e.WeatherFileError("p", line=812, column="temp")) == "line 812, column temp"
    assert fault.place(e.InputError("p")) == ""


def test_furniture_of_lists():
    assert Pager(51, 100, 312).words == "51 to 100 of 312"
    assert size_text(3_240_000) == "3.2\u00a0MB"
    assert size_text(840_400) == "840\u00a0kB"
