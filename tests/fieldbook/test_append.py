"""The book only grows: lines, corrections, lines sent twice."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from barkslip.domain.errors import BookError, ConflictError, InputError, NotFoundError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft, Look
from barkslip.domain.record import Record
from barkslip.domain.tree import Tree
from barkslip.domain.weather import Gap, SeriesInfo
from barkslip.domain.when import on
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.rows import NOUNS
from barkslip.fieldbook.series import info_as_data

DAY = on(date(2024, 9, 20))


@pytest.fixture
def graft(book: Book, pen) -> Graft:
    plot = Plot(**pen.line(), code="LOW", name="Lower paddock")
    tree = Tree(**pen.line(), code="T01", name="Gatepost", plot=plot.id)
    graft = Graft(**pen.line(), code="G04-1", tree=tree.id, method="bark graft", set_on=on(date(2024, 8, 20)))
    with book.write() as writer:
        assert writer.append_all([plot, tree, graft]) == 3
    return graft


def look(pen, graft: Graft, **more) -> Look:
    return Look(**pen.line(), **{"graft": graft.id, "state": "pushing", "on": DAY, **more})


def count(book: Book, table: str) -> int:
    with book.read() as reader:
        return reader.rows(f"SELECT count(*) FROM {table}")[0][0]


def test_a_line_reads_back_as_written(book: Book, graft: Graft):
    with book.read() as reader:
        assert reader.get(Graft, graft.thing) == graft
        assert reader.by_code(Graft, "g04-1") == graft


def test_a_line_sent_three_times_is_one_line(book: Book, graft: Graft, pen):
    one = look(pen, graft, shoot_mm=12)
    added = []
    for _ in range(3):
        with book.write() as writer:
            added.append(writer.append(one))
    assert added == [True, False, False]
    assert count(book, "look") == 1


def test_a_correction_sent_three_times_is_one_line(book: Book, graft: Graft, pen):
    new = pen.correct(graft, note="seen again")
    added = []
    for _ in range(3):
        with book.write() as writer:
            added.append(writer.append(new))
    assert added == [True, False, False]


def test_a_series_sent_twice_is_one_line(book: Book, pen):
    """Its story holds tuples, which come back from JSON as lists."""
    info = info_as_data(SeriesInfo("low", "measured", "logger", notes=("a", "b"), gaps=(Gap(0, 3600),)))
    record = Record(**pen.line(), name="low", kind="measured", info=info)
    with book.write() as writer:
        assert writer.append(record) is True
        assert writer.append(record) is False


def test_a_number_stands_for_one_line(book: Book, graft: Graft, pen):
    one = look(pen, graft)
    with book.write() as writer:
        writer.append(one)
    with pytest.raises(ConflictError) as caught, book.write() as writer:
        writer.append(replace(one, state="black"))
    assert str(caught.value) == (
        f"This number already stands for another line. Nothing was overwritten.\nGiven: {one.id}\n"
        "Next: Send it again as a new line."
    )
    with book.read() as reader:
        assert reader.get(Look, one.thing).state == "pushing"


def test_a_correction_names_the_old_and_both_are_kept(book: Book, graft: Graft, pen):
    new = pen.correct(graft, stock_mm=40.0)
    with book.write() as writer:
        writer.append(new)
    with book.read() as reader:
        assert reader.get(Graft, graft.thing) == new
        assert reader.versions(Graft, graft.thing) == [graft, new]
        assert reader.line(Graft, graft.id) == graft
        assert reader.every(Graft) == [new]


def test_two_people_correct_one_graft(book: Book, graft: Graft, pen):
    with book.write() as writer:
        writer.append(pen.correct(graft, stock_mm=40.0))
    with pytest.raises(ConflictError) as caught, book.write() as writer:
        writer.append(pen.correct(graft, stock_mm=44.0))
    assert str(caught.value) == (
        f"Somebody corrected this meanwhile. Nothing was overwritten.\nGiven: {graft.id}\n"
        "Next: Load the page again, look at the new version, and correct that one."
    )
    assert count(book, "graft") == 2


def test_two_corrections_of_a_look_both_stand(book: Book, graft: Graft, pen):
    one = look(pen, graft)
    first, second = pen.correct(one, state="stalled"), pen.correct(one, state="broken")
    with book.write() as writer:
        writer.append_all([one, first, second])
    with book.read() as reader:
        assert reader.every(Look) == [first, second]
        assert reader.versions(Look, one.thing) == [one, first, second]


def test_what_is_taken_back_is_not_shown_but_kept(book: Book, graft: Graft, pen):
    gone = pen.correct(graft, withdrawn=True)
    with book.write() as writer:
        writer.append(gone)
    with book.read() as reader:
        assert reader.every(Graft) == []
        assert reader.versions(Graft, graft.thing) == [graft, gone]
        with pytest.raises(NotFoundError) as caught:
            reader.get(Graft, graft.thing)
    assert str(caught.value) == (
        f"There is no such graft in the book.\nGiven: {graft.thing}\nNext: It may have been taken back."
    )
    # its code is free again
    again = replace(graft, **pen.line())
    with book.write() as writer:
        writer.append(again)
    with book.read() as reader:
        assert reader.by_code(Graft, "G04-1") == again


def test_a_correction_of_nothing(book: Book, graft: Graft, pen):
    lost = look(pen, graft)
    with pytest.raises(NotFoundError) as caught, book.write() as writer:
        writer.append(pen.correct(lost, state="black"))
    assert str(caught.value) == (
        f"The line to be corrected is not in the book.\nGiven: {lost.id}\n"
        "Next: Load the page again and correct the line shown there."
    )


def test_a_correction_of_another_thing(book: Book, graft: Graft, pen):
    one, other = look(pen, graft), look(pen, graft)
    with book.write() as writer:
        writer.append_all([one, other])
    with pytest.raises(NotFoundError), book.write() as writer:
        writer.append(replace(pen.correct(one), thing=other.thing))


def test_a_first_line_names_itself(book: Book, graft: Graft, pen):
    one = replace(look(pen, graft), thing=graft.thing)
    with pytest.raises(ConflictError) as caught, book.write() as writer:
        writer.append(one)
    assert str(caught.value) == (
        f"A first line names its thing by its own number.\nGiven: {graft.thing} / {one.id}\n"
        "Next: Send it as a correction, naming the line it corrects."
    )


def test_a_look_at_no_graft_is_refused(book: Book, pen, graft: Graft):
    with pytest.raises(BookError) as caught, book.write() as writer:
        writer.append(look(pen, graft))
        writer.append(replace(look(pen, graft), graft="nobody"))
    assert str(caught.value) == (
        "The book refuses this line: it does not fit with what it holds. Nothing was written.\n"
        "Given: FOREIGN KEY constraint failed\nNext: Check that what it names is still in the book."
    )
    assert count(book, "look") == 0  # the good line before it went too


def test_a_code_stands_for_one_thing(book: Book, graft: Graft, pen):
    with pytest.raises(BookError) as caught, book.write() as writer:
        writer.append(replace(graft, **pen.line()))
    assert type(caught.value) is BookError
    assert "UNIQUE constraint failed: graft.code" in str(caught.value)


def test_all_or_nothing_after_any_error(book: Book, graft: Graft, pen):
    with pytest.raises(KeyboardInterrupt), book.write() as writer:
        writer.append(look(pen, graft))
        raise KeyboardInterrupt
    assert count(book, "look") == count(book, "thing") - 3 == 0
    with book.write() as writer:  # and the next write goes on as ever
        writer.append(look(pen, graft))
    assert count(book, "look") == 1


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_a_number_that_is_none(book: Book, graft: Graft, pen, number: float):
    with pytest.raises(InputError) as caught, book.write() as writer:
        writer.append(look(pen, graft, shoot_mm=number))
    assert str(caught.value) == (
        f"That is no number the book can keep.\nGiven: shoot_mm: {number}\n"
        "Allowed: a finite number, or nothing if it is not known\nNext: Leave it empty if it is not known."
    )


def test_reading_writes_nothing(full: Book):
    before = full.files.book.stat().st_mtime_ns, full.files.book.read_bytes()
    with full.read() as reader:
        for noun in NOUNS.values():
            reader.every(noun)
        with full.read() as nested:
            assert nested.counts() == reader.counts()
        with pytest.raises(Exception, match="readonly"):
            reader.connection.execute("DELETE FROM look")
    assert (full.files.book.stat().st_mtime_ns, full.files.book.read_bytes()) == before


def test_a_reader_sees_one_state(book: Book, graft: Graft, pen):
    with book.read() as reader:
        assert reader.every(Look) == []
        with book.write() as writer:
            writer.append(look(pen, graft))
        assert reader.every(Look) == []
    with book.read() as reader:
        assert len(reader.every(Look)) == 1


def test_a_code_that_is_not_there_names_those_that_come_close(book: Book, graft: Graft):
    with book.read() as reader, pytest.raises(NotFoundError) as caught:
        reader.by_code(Graft, "G40-1")
    assert str(caught.value) == (
        "There is no such graft in the book.\nGiven: G40-1\nAllowed: G04-1\n"
        "Next: Check the code, or look for it: barkslip find"
    )
