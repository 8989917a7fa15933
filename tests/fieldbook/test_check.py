"""Checking a book: every kind of harm is found, and only harm."""

from __future__ import annotations

import sqlite3
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from barkslip.domain.act import Act
from barkslip.domain.answer import NightAnswer
from barkslip.domain.book import GRADES, BookState, Finding
from barkslip.domain.budwood import WoodLot
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import Graft, Look
from barkslip.domain.tree import Candidate, ChainLink, Limb, Tree
from barkslip.domain.when import on
from barkslip.fieldbook.backup import back_up
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.check import book_state, check, repair_indexes
from barkslip.fieldbook.connection import SCHEMA
from barkslip.fieldbook.digest import book_digest
from barkslip.fieldbook.rows import NOUNS
from barkslip.fieldbook.search import find

RESTORE = "Keep a copy of the file, then bring the last backup back: barkslip book restore"
REPAIR = "Run: barkslip book check --repair"
CORRECT = "Correct the line, or take it back."
AGAIN = "Read the series in again from its file, and take this one back."


def harm(book: Book, *statements: str) -> None:
    """Change the file behind the book's back."""
    with book.write() as writer:
        writer.run("PRAGMA defer_foreign_keys = ON")
        for statement in statements:
            writer.run(statement)


def harm_references(book: Book, statement: str) -> None:
    connection = sqlite3.connect(book.files.book)
    connection.execute(statement)
    connection.commit()
    connection.close()


def one(book: Book, sql: str) -> str:
    with book.read() as reader:
        return str(reader.rows(sql)[0][0])


def test_nothing_is_amiss(full: Book, book: Book):
    assert check(full) == ()
    assert check(book) == ()


def test_a_check_changes_nothing(full: Book):
    before = book_digest(full), full.files.book.read_bytes()
    check(full)
    assert (book_digest(full), full.files.book.read_bytes()) == before


# -- the file --


def test_a_damaged_page(full: Book):
    page = int(one(full, "SELECT rootpage FROM sqlite_master WHERE name = 'ix_look_thing'"))
    size = int(one(full, "PRAGMA page_size"))
    full.close()
    data = bytearray(full.files.book.read_bytes())
    data[(page - 1) * size : page * size] = b"\xff" * size
    full.files.book.write_bytes(data)
    found = check(full)
    assert found and {(f.grade, f.where, f.next_step) for f in found} == {("broken", "book.sqlite", RESTORE)}
    assert all(f.what.startswith("The book's file is damaged") for f in found)


def test_a_line_names_what_is_not_there(full: Book):
    line = one(full, "SELECT id FROM look WHERE state = 'pushing'")
    harm_references(full, f"UPDATE look SET graft = 'nobody' WHERE id = '{line}'")
    found = check(full)
    assert found == (Finding("broken", "A line names something that is not in the book.", f"look {line}", RESTORE),)


def test_a_line_that_cannot_be_read(full: Book):
    look = one(full, "SELECT id FROM look WHERE state = 'pushing'")
    tree = one(full, "SELECT id FROM tree WHERE code = 'T01'")
    harm(
        full,
        f"UPDATE look SET on_first = 'soon' WHERE id = '{look}'",
        f"UPDATE tree SET planted_last = '1990-01-01' WHERE id = '{tree}'",
    )
    assert set(check(full)) == {
        Finding("broken", "A line cannot be read: Invalid isoformat string: 'soon'.", f"look {look}", RESTORE),
        Finding("broken", "A line cannot be read: The range of days runs backwards.", f"tree {tree}", RESTORE),
        # so what the tree is found by cannot be worked out either
        Finding("index", "The search does not find this as it is written.", f"search {tree}", REPAIR),
    }


# -- things and lines --


def test_things_and_lines_disagree(full: Book):
    look = one(full, "SELECT id FROM look WHERE corrects IS NULL ORDER BY id")
    act = one(full, "SELECT id FROM act ORDER BY id")
    correction = one(full, "SELECT id FROM graft WHERE corrects IS NOT NULL")
    other = one(full, "SELECT thing FROM graft WHERE code = 'G04-2'")
    harm(
        full,
        f"UPDATE thing SET kind = 'act' WHERE id = '{look}'",
        f"UPDATE act SET thing = '{look}' WHERE id = '{act}'",
        f"UPDATE graft SET thing = '{other}' WHERE id = '{correction}'",
        "INSERT INTO thing (id, kind) VALUES ('ghost', 'tree')",
    )
    found = check(full)
    assert {(f.what, f.where) for f in found if f.grade == "broken"} == {
        ("A line is about a thing of another kind (act).", f"look {look}"),
        ("A first line names another thing than itself.", f"act {act}"),
        ("A line corrects a line about another thing.", f"graft {correction}"),
        ("A thing has no line that says what it is (act).", f"thing {act}"),
        ("A thing has no line that says what it is (tree).", "thing ghost"),
    }
    # worst first
    grades = [f.grade for f in found]
    assert grades == sorted(grades, key=list(GRADES).index)
    assert Finding("doubtful", "2 lines stand side by side where one can be true.", f"graft {other}",
                   "Correct one of them, or take it back.") in found  # fmt: skip


def test_a_line_names_the_wrong_kind(full: Book):
    plot, graft = one(full, "SELECT thing FROM plot"), one(full, "SELECT id FROM graft WHERE code = 'G04-2'")
    harm(full, f"UPDATE graft SET tree = '{plot}' WHERE id = '{graft}'")
    assert check(full) == (
        Finding(
            "broken", "A line names a thing of another kind (plot) as its tree.", f"graft {graft} (G04-2)", CORRECT
        ),
    )


# -- what can hardly be --


def append(book: Book, *lines) -> None:
    with book.write() as writer:
        writer.append_all(list(lines))


def named(book: Book, noun, code: str):
    with book.read() as reader:
        return reader.by_code(noun, code)


def look_before_graft(book: Book, pen) -> tuple[str, str]:
    graft = named(book, Graft, "G04-1")
    look = Look(**pen.line(), graft=graft.thing, state="pushing", on=on(date(2024, 8, 19)))
    append(book, look)
    return f"look {look.id}", ("That look is older than the graft (look on 2024-08-19, graft set 2024-08-20).")


def no_such_state(book: Book, pen) -> tuple[str, str]:
    look = Look(**pen.line(), graft=named(book, Graft, "G04-1").thing, state="fine", on=on(date(2024, 9, 19)))
    append(book, look)
    return f"look {look.id}", "No such state of a graft (fine)."


def graft_before_wood(book: Book, pen) -> tuple[str, str]:
    lot = named(book, WoodLot, "W08")
    line = pen.correct(lot, cut=on(date(2024, 8, 25)), received=None)
    append(book, line)
    graft = named(book, Graft, "G04-1")
    return f"graft {graft.id} (G04-1)", (
        "That graft would be older than its wood (set 2024-08-20, lot W08 cut 2024-08-25)."
    )


def received_before_cut(book: Book, pen) -> tuple[str, str]:
    line = pen.correct(named(book, WoodLot, "W08"), received=on(date(2024, 8, 9)))
    append(book, line)
    return f"wood_lot {line.id} (W08)", "It came in 2024-08-09, before it was cut, 2024-08-10."


def cut_from_a_later_graft(book: Book, pen) -> tuple[str, str]:
    graft = named(book, Graft, "G04-1")
    lot = WoodLot(**pen.line(), code="W09", name="", cut=on(date(2024, 8, 1)), from_graft=graft.thing)
    append(book, lot)
    return f"wood_lot {lot.id} (W09)", "It was cut 2024-08-01 from the graft G04-1, set 2024-08-20."


def limb_of_another_tree(book: Book, pen) -> tuple[str, str]:
    limb = Limb(**pen.line(), tree=named(book, Tree, "T06").thing, bearing="E", band="L")
    line = pen.correct(named(book, Graft, "G04-2"), limb=limb.id)
    append(book, limb, line)
    return f"graft {line.id} (G04-2)", "The limb E-L is on another tree."


def too_sure(book: Book, pen) -> tuple[str, str]:
    sure = (Candidate("rough lemon", 0.9), Candidate("citrange", 0.2))
    link = ChainLink(
        **pen.line(), tree=named(book, Tree, "T06").thing, level="rootstock", candidates=sure, on=on(date(2024, 1, 1))
    )
    append(book, link)
    return f"chain_link {link.id}", "Beliefs add up to more than certainty (0.9 + 0.2 = 1.1)."


def act_before_graft(book: Book, pen) -> tuple[str, str]:
    act = Act(**pen.line(), kind="release", on=on(date(2024, 8, 1)), graft=named(book, Graft, "G04-1").thing)
    append(book, act)
    return f"act {act.id}", "An act on 2024-08-01 is older than its graft, set 2024-08-20."


def act_on_nothing(book: Book, pen) -> tuple[str, str]:
    act = Act(**pen.line(), kind="release", on=on(date(2024, 9, 1)))
    append(book, act)
    return f"act {act.id}", "An act is done to one thing (0 named)."


def graft_on_a_tree_taken_back(book: Book, pen) -> tuple[str, str]:
    gone = one(book, "SELECT thing FROM tree WHERE code = 'T99'")
    line = pen.correct(named(book, Graft, "G04-2"), tree=gone)
    append(book, line)
    return f"graft {line.id} (G04-2)", "A line names a thing that was taken back (tree)."


def two_gardens(book: Book, pen) -> tuple[str, str]:
    garden = Garden(**pen.line(), name="Another")
    append(book, garden)
    return f"garden {garden.id}", "A book has one garden (2 found)."


def a_lots_number_again(book: Book, pen) -> tuple[str, str]:
    lot = named(book, WoodLot, "W08")
    append(book, pen.correct(lot, code="W8B"), WoodLot(**pen.line(), code="W08", name="", cut=lot.cut))
    return "wood_lot W08", "2 things have had the code W08."


def answer(pen, book: Book, **given) -> NightAnswer:
    values = {
        "plot": named(book, Plot, "LOW").thing, "day": "2024-08-01", "source": "typed", "low_p10_c": -5.0,
        "low_p50_c": -4.0, "low_p90_c": -3.0, "target": 0.1, "chance": 0.5, "knowledge_hash": "", "seed": 1,
    }  # fmt: skip
    return NightAnswer(**pen.line(), **(values | given))


def no_such_day(book: Book, pen) -> tuple[str, str]:
    line = answer(pen, book, day="20240801")
    append(book, line)
    return f"night_answer {line.id}", "No such day (20240801)."


def lows_upside_down(book: Book, pen) -> tuple[str, str]:
    line = answer(pen, book, low_p10_c=-3.5)
    append(book, line)
    return f"night_answer {line.id}", "The answered lows do not rise (-3.5, -4, -3 °C)."


def more_than_certain(book: Book, pen) -> tuple[str, str]:
    line = answer(pen, book, chance=1.2)
    append(book, line)
    return f"night_answer {line.id}", "A chance lies from 0 to 1 (1.2, target 0.1)."


def a_night_answered_twice(book: Book, pen) -> tuple[str, str]:
    line = answer(pen, book, day="2024-07-14")
    append(book, line)
    return f"night_answer {line.id}", "The night of 2024-07-14 has two answers in this plot."


@pytest.mark.parametrize(
    "doubt",
    [
        look_before_graft, no_such_state, graft_before_wood, received_before_cut, cut_from_a_later_graft,
        limb_of_another_tree, too_sure, act_before_graft, act_on_nothing, graft_on_a_tree_taken_back, two_gardens,
        a_lots_number_again, no_such_day, lows_upside_down, more_than_certain, a_night_answered_twice,
    ],
)  # fmt: skip
def test_what_can_hardly_be(full: Book, pen, doubt):
    where, what = doubt(full, pen)
    step = "Give one of them another code." if doubt is a_lots_number_again else CORRECT
    assert check(full) == (Finding("doubtful", what, where, step),)


def test_what_was_corrected_is_not_found(full: Book, pen):
    where, _ = look_before_graft(full, pen)
    with full.read() as reader:
        look = reader.line(Look, where.removeprefix("look "))
    append(full, pen.correct(look, on=on(date(2024, 8, 20))))
    assert check(full) == ()


# -- readings and photos --


@pytest.mark.parametrize(
    ("statement", "what"),
    [
        ("UPDATE block SET readings = 3 WHERE name = 'rain_mm'", "rain_mm has 3 readings, the times are 652"),
        ("UPDATE block SET data = x'00' WHERE name = 'rain_mm'", "rain_mm has 1 bytes for 652 readings"),
        ("DELETE FROM block WHERE name = 'time_s' AND month = '2024-01'", "their times are missing"),
        ("UPDATE block SET month = '2024-02' WHERE month = '2024-01'", "their times lie in another month"),
        ("UPDATE block SET data = zeroblob(8 * 652) WHERE name = 'time_s' AND month = '2024-01'",
         "their times do not rise"),
    ],
)  # fmt: skip
def test_blocks_that_do_not_fit(full: Book, statement: str, what: str):
    harm(full, statement)
    record = one(full, "SELECT thing FROM record")
    month = one(full, "SELECT max(month) FROM block")
    wanted = Finding("broken", f"Readings cannot be read: {what}.", f"block {record} {month}", AGAIN)
    assert check(full) == (wanted,)


@pytest.mark.parametrize(
    ("statement", "what"),
    [
        ("DELETE FROM block WHERE month = '2024-01'", "holds 288 readings, its line says 940"),
        ("DELETE FROM block", "has lost its 940 readings"),
        ("UPDATE record SET first_s = first_s + 1", "begins or ends at another time than its line says"),
        ("""UPDATE record SET columns = '["air_temp_c"]'""", "holds columns that its line does not name: rain_mm"),
    ],
)
def test_a_series_that_is_not_as_its_line_says(full: Book, statement: str, what: str):
    harm(full, statement)
    where = f"record {one(full, 'SELECT id FROM record')}"
    assert check(full) == (Finding("broken", f"The series Lower paddock, hourly {what}.", where, AGAIN),)


def test_photos_missing_changed_and_too_many(full: Book, quarrow):
    path = full.files.photos / quarrow.PICTURE_NAME
    step = "Bring the photo back from a copy of the folder; the book's lines are whole."
    where = f"photo {one(full, 'SELECT id FROM photo')}: photos/{quarrow.PICTURE_NAME}"
    path.write_bytes(quarrow.PICTURE + b"\0")
    (full.files.photos / "holiday.jpg").write_bytes(b"x")
    assert check(full) == (
        Finding("broken", "A photo was changed or is damaged.", where, step),
        Finding(
            "doubtful",
            "A file lies among the photos that no line of the book names.",
            "photos/holiday.jpg",
            "Move it elsewhere if you need it.",
        ),
    )
    (full.files.photos / "holiday.jpg").unlink()
    path.unlink()
    assert check(full) == (Finding("broken", "A photo is missing.", where, step),)


# -- what can be worked out again --


def test_indexes_are_found_and_put_right(full: Book):
    old, new = (one(full, f"SELECT id FROM graft WHERE corrects IS {n} NULL AND code = 'G04-1'") for n in ("", "NOT"))
    tree = one(full, "SELECT thing FROM tree WHERE code = 'T01'")
    harm(
        full,
        f"UPDATE graft SET current = 0 WHERE id = '{new}'",
        f"UPDATE graft SET current = 1 WHERE id = '{old}'",
        f"UPDATE search SET title = 'Fencepost' WHERE thing = '{tree}'",
        "INSERT INTO search (thing, code, title, body) VALUES ('ghost', '', 'ghost', '')",
    )
    before = book_digest(full)
    assert set(check(full)) == {
        *(Finding("index", "A line is taken for the newest or for an older one, and is not.", f"graft {k}", REPAIR)
          for k in (old, new)),
        *(Finding("index", "The search does not find this as it is written.", f"search {k}", REPAIR)
          for k in (tree, "ghost")),
    }  # fmt: skip
    assert repair_indexes(full) == 4
    assert check(full) == ()
    assert book_digest(full) == before  # no fact was touched
    with full.read() as reader:
        assert reader.by_code(Graft, "G04-1").id == new
        assert [h.code for h in find(reader, "gatepost")] == ["T01"]
    assert repair_indexes(full) == 0


def test_an_index_made_anew_is_the_index_kept_line_by_line(full: Book):
    sql = "SELECT thing, code, title, body FROM search ORDER BY thing"
    with full.read() as reader:
        before = reader.rows(sql)
    harm(full, "DELETE FROM search")
    assert repair_indexes(full) == len(before)
    with full.read() as reader:
        assert reader.rows(sql) == before


def test_all_marks_lost(full: Book):
    with full.read() as reader:
        before = {t: reader.rows(f"SELECT id, current FROM {t} ORDER BY id") for t in NOUNS}
    harm(full, *(f"UPDATE {t} SET current = 0" for t in NOUNS))
    repair_indexes(full)
    with full.read() as reader:
        assert {t: reader.rows(f"SELECT id, current FROM {t} ORDER BY id") for t in NOUNS} == before


def test_facts_are_never_repaired(full: Book, pen):
    too_sure(full, pen)
    before = book_digest(full), check(full)
    assert repair_indexes(full) == 0
    assert (book_digest(full), check(full)) == before


def test_lists_worked_out_elsewhere_are_compared_by_who_knows_them(full: Book):
    finding = Finding("index", "What is due is out of date.", "due T01", "Run: barkslip book check --repair")
    asked: list[Book] = []

    def derived(book: Book) -> list[Finding]:
        asked.append(book)
        return [finding]

    assert check(full, derived) == (finding,)
    assert asked == [full]


def test_rows_of_lists_that_name_nothing(full: Book):
    tree = one(full, "SELECT thing FROM tree")
    harm_references(
        full,
        f"INSERT INTO due (tree, plot, walk_key, kind, opens, body) VALUES ('{tree}', 'nowhere', '', '', '', '')",
    )
    assert check(full) == (Finding("index", "A row names something that is not in thing.", "due row 1", REPAIR),)


def test_state_of_a_book(full: Book, quarrow):
    now = datetime(2025, 3, 14, 5, 30, tzinfo=UTC)
    back_up(full.files, now)
    with full.write() as writer:
        writer.append(Plot(id="p", thing="p", made_utc="", code="P", name=""))
    state = book_state(full)
    size = int(one(full, "PRAGMA page_count")) * int(one(full, "PRAGMA page_size"))
    assert state == BookState(
        folder=str(full.files.folder),
        version=SCHEMA,
        size_bytes=size,
        things=state.things,
        lines=48,
        photos=1,
        photo_bytes=len(quarrow.PICTURE),
        backups=1,
        last_backup=now,
    )
    assert state.things["plot"] == 3 and state.things["look"] == 4


def test_a_book_without_a_photo_folder(book: Book):
    Path(book.files.photos).rmdir()
    assert check(book) == ()
    assert book_state(book).photos == 0
