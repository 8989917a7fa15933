"""Whole messages, and how the command ends: 2 what was typed, 3 not in the book, 4 the book itself."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

INPUT = [
    (
        ["look", "G04-3", "rotten"],
        "No such state of a graft.\n"
        "Given: rotten\n"
        "Allowed: green and still, swelling, pushing, stalled, shrivelled, black, broken, choked, eaten, unknown\n"
        "Next: Choose what you see; the verdict follows from the looks.\n",
    ),
    (
        ["look", "G04-3", "pushing", "--on", "2020-01-01"],
        "That look is older than the graft.\n"
        "Given: look on 2020-01-01, graft set 2021-10-03\n"
        "Allowed: 2021-10-03 or later\n"
        "Next: Correct the day of the look, or the day the graft was set.\n",
    ),
    (
        ["look", "G04-3", "pushing", "--on", "2025-07-01"],
        "That day has not come yet.\nGiven: 2025-07-01\nAllowed: 2025-06-30 or earlier\nNext: Correct the date.\n",
    ),
    (
        ["graft", "set", "T01", "--lot", "W12", "--method", "bark graft", "--set-on", "2023-01-01"],
        "That graft would be older than its wood.\n"
        "Given: set 2023-01-01, lot W12 cut 2024-09-30\n"
        "Allowed: 2024-09-30 or later\n"
        "Next: Check the day, or choose another lot.\n",
    ),
    (
        ["graft", "set", "T05", "--limbs", "NE-M-1", "--lot", "W12", "--method", "bark graft"],
        "There is no such limb on T05 Crossways.\n"
        "Given: NE-M-1\n"
        "Allowed: E-L (lemon), N-L (lime), SW-M (navel), W-M (mandarin)\n"
        "Next: Choose one of these, or add the limb first.\n",
    ),
    (
        ["tree", "link", "T02", "rootstock", "--is", "citrange=0.7", "--is", "sour orange=0.7"],
        "Beliefs add up to more than certainty.\n"
        "Given: 0.7 + 0.7 = 1.4\n"
        "Allowed: a sum of 1 at most; what is missing to 1 is shown as unknown\n"
        "Next: Lower one of them.\n",
    ),
    (
        ["act", "water"],
        "An act is done to one thing.\n"
        "Given: 0 named\n"
        "Allowed: one graft, limb, tree or plot\n"
        "Next: Name exactly one; repeat the act for others.\n",
    ),
    (
        ["photo", "add", "no-such.jpg", "--tree", "T01", "--graft", "G04-3"],
        "A photo is of one thing.\n"
        "Given: G04-3, T01\n"
        "Allowed: one graft, tree (with or without its limb) or wood lot\n"
        "Next: Name exactly one: --graft, --tree or --lot.\n",
    ),
    (
        ["photo", "add", "no-such.jpg", "--tree", "T01"],
        "The picture cannot be read.\n"
        "Given: no-such.jpg: No such file or directory\n"
        "Allowed: a JPEG, PNG or WebP file\n"
        "Next: Check the path.\n",
    ),
    (["lok"], "There is no command 'lok'. Did you mean look?\nNext: See: barkslip --help\n"),
    (["look", "--frob", "1"], "No such option '--frob'. Did you mean '--on'?\nNext: See: barkslip look --help\n"),
    (["look"], "Which graft? Name its code, such as G04-3.\nNext: See: barkslip look --help\n"),
    (["tree", "show"], "Missing argument 'CODE'.\nNext: See: barkslip tree show --help\n"),
    (
        ["today", "--units", "feet"],
        "Invalid value for '--units': 'feet' is not one of 'metric', 'us', 'imperial'.\n"
        "Next: See: barkslip today --help\n",
    ),
    (
        ["serve", "--port", "99999"],
        "Not a port.\nGiven: 99999\nAllowed: 1 to 65535\nNext: Choose another with --port.\n",
    ),
    (
        ["serve", "--host", "0.0.0.0"],
        "The pages are served on this machine only.\n"
        "Given: 0.0.0.0\n"
        "Allowed: 127.0.0.1, localhost, ::1\n"
        "Next: Leave --host out.\n",
    ),
]
NOT_FOUND = [
    (
        ["look", "G04-33", "pushing"],
        "There is no such graft in the book.\n"
        "Given: G04-33\n"
        "Allowed: G04-3, G14-3, G10-3, G09-3\n"
        "Next: Check the code, or look for it: barkslip find\n",
    ),
    (
        ["look", "--correct", "0190163d-8694-739b-aea5-966c26f8ad91", "pushing"],
        "There is no such look in the book.\n"
        "Given: 0190163d-8694-739b-aea5-966c26f8ad91\n"
        "Next: It may have been taken back.\n",
    ),
    (
        ["walk", "--at", "99"],
        "There is no such stop on the walk-round.\nGiven: 99\nAllowed: 1 to 6\nNext: See the stops: barkslip walk\n",
    ),
    (
        ["take-back", "link", "T02", "own", "roots"],
        "Nothing is written down for that level.\n"
        "Given: own roots\n"
        "Allowed: interstock, rootstock\n"
        "Next: See: barkslip tree show T02\n",
    ),
]


@pytest.mark.parametrize(("words", "message"), INPUT, ids=lambda v: " ".join(v) if isinstance(v, list) else "")
def test_what_was_typed_cannot_be_right(run: Any, demo_folder: Path, words: list[str], message: str) -> None:
    said = run(*words, book=demo_folder)
    assert (said.code, said.out, said.err) == (2, "", message)


@pytest.mark.parametrize(("words", "message"), NOT_FOUND, ids=lambda v: " ".join(v) if isinstance(v, list) else "")
def test_not_in_the_book(run: Any, demo_folder: Path, words: list[str], message: str) -> None:
    said = run(*words, book=demo_folder)
    assert (said.code, said.out, said.err) == (3, "", message)


def test_nothing_is_written_after_an_error(run: Any, demo_folder: Path) -> None:
    before = run("book", "state", "--json", book=demo_folder).data["book"]["lines"]
    for words, _ in (*INPUT, *NOT_FOUND):
        run(*words)
    assert run("book", "state", "--json").data["book"]["lines"] == before


def test_errors_as_json_are_one_document_on_stdout(run: Any, demo_folder: Path) -> None:
    said = run("look", "G04-3", "rotten", "--json", book=demo_folder)
    assert (said.code, said.err) == (2, "")
    assert said.data == {
        "error": {
            "kind": "input",
            "problem": "No such state of a graft.",
            "given": "rotten",
            "allowed": "green and still, swelling, pushing, stalled, shrivelled, black, broken, choked, eaten, unknown",
            "next": "Choose what you see; the verdict follows from the looks.",
            "field": "state",
        }
    }
    assert run("look", "G99", "pushing", "--json").data["error"]["kind"] == "notfound"
    assert run("--json", "lok").data["error"]["problem"] == "There is no command 'lok'. Did you mean look?"


def test_limb_of_another_tree_is_named(run: Any, book: Path) -> None:
    limbs = run("tree", "show", "T02", "--json", book=book).data["tree"]["limbs"]
    mine = run("tree", "show", "T05", "--json").data["tree"]["limbs"]
    other = limbs[0]["limb"]
    said = run("act", "rub", "--tree", "T05", "--limb", other["thing"])
    assert said.code == 2
    address = "-".join(p for p in (other["bearing"], other["band"], other["path"]) if p)
    mine.sort(key=lambda k: str(k["limb"]["thing"]))
    own = ", ".join(
        "-".join(p for p in (k["limb"]["bearing"], k["limb"]["band"], k["limb"]["path"]) if p) for k in mine
    )
    assert said.err == (
        "That limb is on another tree.\n"
        f"Given: {address} of T02 Well\n"
        f"Allowed: {own}\n"
        "Next: Choose a limb of T05 Crossways, or change the tree.\n"
    )


def test_a_broken_line_of_a_weather_file_is_named(run: Any, book: Path, tmp_path: Path) -> None:
    file = tmp_path / "probe.csv"
    file.write_text("time,temp °C\n2025-06-01 00:00,4.1\n2025-06-01 01:00,four\n2025-06-01 02:00,3.9\n", "utf-8")
    said = run("weather", "import", file, "--plot", "LOW", book=book)
    assert said.code == 2
    assert said.out == ""
    assert said.err == (
        "Line 3 of probe.csv cannot be read: not a number.\n"
        "Given: temp °C: four\n"
        "Next: Mend the file, or keep the lines that can be read. To do that: --keep-rest\n"
    )
    data = run("weather", "import", file, "--plot", "LOW", "--json").data["error"]
    assert (data["kind"], data["line"], data["column"]) == ("weatherfile", 3, "temp °C")
    kept = run("weather", "import", file, "--plot", "LOW", "--keep-rest")
    assert kept.code == 0
    assert "Could not be read, left out:\n  line 3, column temp °C: not a number\n" in kept.out


def test_a_damaged_book_ends_with_four(run: Any, tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    (tmp_path / "b" / "book.sqlite").write_bytes(b"no book at all" * 100)
    said = run("today", book=tmp_path / "b")
    assert said.code == 4
    assert said.err == (
        "This file is damaged, or it is no book. It was left as it is.\n"
        f"Given: {tmp_path / 'b' / 'book.sqlite'}\n"
        "Next: Keep a copy of the file, then bring the last backup back: barkslip book restore\n"
    )


def test_no_book_yet_says_how_to_begin(run: Any, tmp_path: Path) -> None:
    said = run("look", "G04-3", "pushing", book=tmp_path / "nothing")
    assert said.code == 3
    assert said.err == (
        "There is no book here yet.\n"
        f"Given: {tmp_path / 'nothing'}\n"
        "Next: Start one with: barkslip book new   (or look around in the demo: barkslip demo)\n"
    )
    assert not (tmp_path / "nothing").exists()


def test_a_bad_settings_file_is_named(run: Any, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('colour = "green"\n', "utf-8")
    said = run("today", book=tmp_path)
    assert said.code == 2
    assert said.err == (
        "The settings file has a name that is no setting.\n"
        "Given: colour\n"
        "Allowed: book, units, knowledge, host, port\n"
        f"Next: Correct {tmp_path / 'settings.toml'}.\n"
    )


def test_signs_that_steer_a_terminal_are_not_printed(run: Any, book: Path) -> None:
    run("tree", "edit", "T01", "--note", "red\x1b[31m alarm\x07", book=book)
    said = run("tree", "show", "T01")
    assert "\x1b" not in said.out
    assert "\x07" not in said.out
    assert "red\N{REPLACEMENT CHARACTER}[31m alarm\N{REPLACEMENT CHARACTER}" in said.out
