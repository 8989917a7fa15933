"""Finding things by a few letters."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barkslip.domain.act import Event
from barkslip.domain.cards import Hit
from barkslip.domain.garden import Plot
from barkslip.domain.when import on
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.search import find, thing_texts


def hits(book: Book, text: str) -> list[Hit]:
    with book.read() as reader:
        return find(reader, text)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("g04-1", "G04-1"),
        ("santa ter", "W08"),
        ("naive", "2024-07-15"),  # naïve
        ("nurse", "NW-M-1"),
        ("NW-M-L", "NW-M-1"),  # its former address
        ("eureka", ""),
        ("gatepost", "T01"),
    ],
)
def test_found(full: Book, text: str, code: str):
    assert code in [h.code for h in hits(full, text)]


@pytest.mark.parametrize("text", ["", "   ", '"', "* OR -", "T99", "typed twice", "nothing like it"])
def test_not_found(full: Book, text: str):
    assert hits(full, text) == []


@given(st.text(max_size=20))
def test_any_text_may_be_looked_for(empty_folder, text: str):
    """No text is taken for a command of the index."""
    assert hits(Book(empty_folder), text) == []


def test_taken_back_and_written_again(book: Book, pen):
    plot = Plot(**pen.line(), code="LOW", name="Lower paddock")
    gone = pen.correct(plot, withdrawn=True)
    with book.write() as writer:
        writer.append_all([plot, gone])
    assert hits(book, "paddock") == []
    with book.write() as writer:
        writer.append(pen.correct(gone, withdrawn=False, name="Bottom field"))
    assert [h.title for h in hits(book, "paddock")] == ["Bottom field"]


def test_one_of_two_corrections_is_taken_back(book: Book, pen):
    event = Event(**pen.line(), kind="hail", on=on(date(2022, 2, 11)), text="labels torn off")
    left, right = pen.correct(event, text="tags torn off"), pen.correct(event, text="leaves torn off")
    with book.write() as writer:
        writer.append_all([event, left, right, pen.correct(right, withdrawn=True)])
    assert [h.kind for h in hits(book, "tags")] == ["event"]


def test_the_order_of_lines_does_not_matter(pen):
    plot = Plot(**pen.line(), code="LOW", name="Lower paddock")
    second = pen.correct(plot, name="Bottom field", note="was wet")
    third = pen.correct(second, code="BOT")
    texts = thing_texts([plot, second, third])
    assert texts == thing_texts([third, plot, second])
    assert texts is not None and texts[:2] == ("BOT", "Bottom field") and "paddock" in texts[2]
