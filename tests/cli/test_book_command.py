"""The book as a whole: begin, back up, restore, carry over; and backups made by themselves."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from barkslip.app.settings import usual_folder


@pytest.fixture
def own(run: Any, tmp_path: Path) -> Path:
    """A small book of one's own, begun by the command."""
    folder = tmp_path / "own"
    said = run("book", "new", "Corner plot", "--lat", "-33.6", "--lon", "21", "--utc-offset-h", "2", book=folder)
    assert said.out == f"The book of Corner plot is begun: {folder}\nNext: barkslip tree new NAME\n"
    return folder


def test_from_nothing_to_a_verdict(run: Any, own: Path) -> None:
    day = dt.datetime.now(dt.UTC).date()
    ago = {n: (day - dt.timedelta(days=n)).isoformat() for n in (90, 80, 20)}
    assert run("tree", "new", "Lemon", "--fruit", "citrus").out.startswith("T01 Lemon is in the book.\n")
    assert run("tree", "limb", "new", "lemon", "nw m").out.startswith("Limb NW-M")
    assert run("wood", "new", "Lisbon lemon", "--cut", ago[90]).out.startswith("W01 Lisbon lemon")
    assert run(
        "graft", "set", "T01", "--limbs", "NW-M", "--lot", "W01", "--method", "bark graft", "--set-on", ago[80]
    ).out.startswith("1 graft written down, G01-1: bark graft")
    said = run("look", "g01-1", "pushing", "--on", ago[20])
    assert "Verdict: took (since " in said.out
    assert run("book", "check").out == "The book is sound.\n"


def test_a_second_book_in_one_folder_is_refused(run: Any, own: Path) -> None:
    said = run("book", "new", "Another")
    assert said.code == 4
    assert said.err == (
        "There is a book here already. It was left as it is.\n"
        f"Given: {own / 'book.sqlite'}\n"
        "Next: Choose another folder with --book.\n"
    )


def test_where_says_whether_there_is_a_book(run: Any, tmp_path: Path) -> None:
    assert run("book", "where", book=tmp_path / "x").out == (
        f"{tmp_path / 'x'}\nThere is no book there yet. Begin one: barkslip book new NAME\n"
    )
    assert run("book", "where", "--json").data == {"folder": str(tmp_path / "x"), "exists": False}


def test_restore_brings_back_what_was_and_keeps_what_is(run: Any, own: Path) -> None:
    run("tree", "new", "Lemon")
    made = run("book", "backup", "--json").data
    assert made["size_bytes"] == Path(made["backup"]).stat().st_size
    run("tree", "new", "Fig")
    said = run("book", "restore", Path(made["backup"]).name, "--json").data
    assert [t["tree"]["name"] for t in run("tree", "list", "--json").data["trees"]] == ["Lemon"]
    assert Path(said["kept_aside"]).is_file()
    assert run("book", "check").out == "The book is sound.\n"


def test_restore_without_any_backup(run: Any, own: Path) -> None:
    said = run("book", "restore")
    assert said.code == 3
    assert said.err == (
        f"There is no such backup.\nGiven: {own / 'backups'}\nNext: Name one of the files in the backup folder.\n"
    )


def test_carried_over_it_is_the_same_book(run: Any, demo_folder: Path, tmp_path: Path) -> None:
    out = run("book", "export", tmp_path / "out", book=demo_folder)
    assert out.code == 0
    assert out.out.startswith(f"Written into {tmp_path / 'out'}: ")
    taken = run("book", "import", tmp_path / "out", "--book", tmp_path / "new", "--json").data["import"]
    assert taken["same"] is True
    was = run("today", "--json", book=demo_folder).out
    assert run("today", "--json", book=tmp_path / "new").out == was
    assert run("book", "check").out == "The book is sound.\n"
    again = run("book", "import", tmp_path / "out", "--book", tmp_path / "new")
    assert again.code == 4


def test_a_list_out_of_date_is_found_and_put_right(run: Any, book: Path) -> None:
    import sqlite3

    line = sqlite3.connect(book / "book.sqlite")
    line.execute("UPDATE graft_now SET open = 1 - open WHERE graft = (SELECT min(graft) FROM graft_now)")
    line.execute("DELETE FROM due WHERE graft IS NOT NULL")
    line.commit()
    line.close()
    said = run("book", "check", book=book)
    assert said.code == 4
    assert "Where a graft stands is out of date. (graft_now" in said.out
    assert "What is due at a graft is out of date. (due" in said.out
    assert said.out.rstrip().endswith("Next: Run: barkslip book check --repair")
    righted = run("book", "check", "--repair", "--json")
    assert (righted.code, righted.data["sound"]) == (0, True)
    assert righted.data["righted"] > 1
    assert run("walk").out.startswith("6 stops, in walking order.\n")


def _backups(folder: Path) -> list[str]:
    return sorted(p.name for p in (folder / "backups").glob("book-*.sqlite"))


def _make_older(folder: Path, days: float) -> None:
    """As if the newest backup had been made days ago."""
    newest = folder / "backups" / _backups(folder)[-1]
    made = dt.datetime.now(dt.UTC) - dt.timedelta(days=days)
    newest.rename(newest.with_name(f"book-{made:%Y%m%dT%H%M%S}Z-daily.sqlite"))


def test_writing_backs_up_once_a_day_and_looks_once_a_week(run: Any, own: Path) -> None:
    assert _backups(own) == []
    run("tree", "new", "Lemon")
    assert len(_backups(own)) == 1
    run("tree", "new", "Fig")
    assert len(_backups(own)) == 1
    _make_older(own, 1.1)
    run("act", "feed", "--tree", "T01")
    assert len(_backups(own)) == 1
    run("tree", "edit", "T01", "--note", "Old.")
    assert len(_backups(own)) == 2
    for name in _backups(own)[1:]:
        (own / "backups" / name).unlink()
    _make_older(own, 7.1)
    run("act", "feed", "--tree", "T01")
    assert len(_backups(own)) == 2


def test_what_is_written_stands_even_if_no_backup_can_be_made(run: Any, own: Path) -> None:
    import shutil

    shutil.rmtree(own / "backups")
    (own / "backups").write_text("in the way", "utf-8")
    said = run("tree", "new", "Lemon")
    assert said.code == 0
    assert said.out.startswith("T01 Lemon is in the book.\n")
    assert said.err.startswith("It is written down, but no backup could be made.\n")
    assert run("tree", "list", "--json").data["trees"][0]["tree"]["name"] == "Lemon"


def test_an_invented_garden_is_not_backed_up_by_itself(run: Any, book: Path) -> None:
    run("tree", "new", "Corner", "--plot", "YARD", book=book)
    assert _backups(book) == []


def test_the_demo_has_a_folder_of_its_own(run: Any, own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    said = run("demo", "--json")
    assert said.code == 0
    assert said.data["book"]["folder"] == str(usual_folder().with_name("demo"))
    assert said.data["garden"]["invented"] is True
    assert said.data["address"] == "http://127.0.0.1:8321/"
    words = run("demo")
    assert words.err == ""  # it is there already: opened, not built
    assert words.out.splitlines()[0] == "Quarrow Flat, a garden invented for the demo, as of 2025-06-30."
    assert "Of 83 grafts: 62 took, 2 waiting, 19 did not take." in words.out
    assert run("book", "state").out.startswith(f"Folder   {own}")


def test_the_demo_never_goes_into_a_book_of_ones_own(run: Any, own: Path) -> None:
    said = run("demo", "--fresh", "--book", own)
    assert said.code == 2
    assert said.err == (
        "A book of your own stands in that folder. The demo does not touch it.\n"
        f"Given: {own}\n"
        "Allowed: an empty folder\n"
        "Next: Choose another with --book.\n"
    )


def test_other_knowledge_works_the_lists_out_anew(run: Any, book: Path) -> None:
    import sqlite3

    line = sqlite3.connect(book / "book.sqlite")
    line.execute("DELETE FROM due")
    line.execute("UPDATE meta SET value = 'older' WHERE key = 'knowledge_hash'")
    line.commit()
    line.close()
    assert "11 things to do, 6 of them late." in run("today", book=book).out
