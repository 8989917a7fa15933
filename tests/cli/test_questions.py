"""What may be right but is more likely a slip is asked: with an answer to type, or at the terminal."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click
import pytest


def test_a_name_like_another_asks(run: Any, book: Path) -> None:
    said = run("tree", "new", "gate post", "--plot", "YARD", book=book)
    assert (said.code, said.out) == (2, "")
    assert said.err == (
        "There is a tree called Gatepost already (T01). Is it the same one?\n"
        "Given: gate post\n"
        "Allowed: a name of its own\n"
        "Next: Say that it is another one, or give it another name.\n"
        "Answer with:\n"
        "  (write nothing)   yes, take me to T01\n"
        "  --sure same-name  no, it is another one\n"
    )
    sure = run("tree", "new", "gate post", "--plot", "YARD", "--sure", "same-name")
    assert sure.out.startswith("T13 gate post is in the book.\n")


def test_a_question_as_json_brings_its_answers(run: Any, book: Path) -> None:
    said = run("tree", "new", "gate post", "--plot", "YARD", "--json", book=book)
    assert said.code == 2
    assert said.data["error"]["kind"] == "question"
    assert said.data["error"]["question"] == {
        "code": "same-name",
        "answers": [
            {"value": "same:T01", "words": "yes, take me to T01"},
            {"value": "same-name", "words": "no, it is another one"},
        ],
    }


def test_22_in_a_celsius_garden_on_a_frosty_night_asks(run: Any, book: Path) -> None:
    said = run("weather", "typed", "LOW", "--day", "2025-06-29", "22", "14 C", book=book)
    assert (said.code, said.out) == (2, "")
    lines = said.err.splitlines()
    assert lines[0] == "22 is unusual in °C here. Is it °F?"
    assert lines[-3:] == [
        "Answer with:",
        "  --day 2025-06-29 '22 °F' '14 C'  22 °F",
        "  --day 2025-06-29 '22 °C' '14 C'  yes, 22 °C",
    ]
    # 22 °F is −5.6 °C; the curve's coldest moment lies between two full hours
    said = run("weather", "typed", "LOW", "--day", "2025-06-29", "22 °F", "14 C")
    assert said.code == 0
    name = "Lower paddock, typed 2025-06-30"
    months = run("weather", "summary", name, "--json").data["summary"]["months"]
    assert [abs(m["low_c"] - (22 - 32) / 1.8) < 0.5 for m in months] == [True]


def test_the_gallon_asks_and_keeps_its_number(run: Any, book: Path) -> None:
    said = run("act", "water", "--tree", "T01", "--amount", "5 gal", book=book)
    assert said.code == 2
    assert said.err.splitlines()[-3:] == [
        "Answer with:",
        "  --amount '5 US gal'   US gallon, 3.785 L",
        "  --amount '5 imp gal'  imperial gallon, 4.546 L",
    ]
    assert run("act", "water", "--tree", "T01", "--amount", "5 US gal").out == ("T01: watered, 18.9 L, 30 Jun 2025.\n")


@pytest.fixture
def at_a_terminal(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Somebody sits there and types these answers, one after the other."""

    def sit(*answers: int) -> None:
        left = list(answers)
        monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
        monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
        monkeypatch.setattr(click, "prompt", lambda *_, **__: left.pop(0))

    return sit


def test_at_a_terminal_the_question_is_asked_and_the_answer_goes_on(run: Any, book: Path, at_a_terminal: Any) -> None:
    run("book", "where", book=book)
    at_a_terminal(2)
    said = run("tree", "new", "gate post", "--plot", "YARD")
    assert said.code == 0
    assert said.err == (
        "There is a tree called Gatepost already (T01). Is it the same one?\n"
        "Allowed: a name of its own\n"
        "  1  yes, take me to T01\n"
        "  2  no, it is another one\n"
    )
    assert said.out.startswith("T13 gate post is in the book.\n")


def test_at_a_terminal_it_can_be_left(run: Any, book: Path, at_a_terminal: Any) -> None:
    run("book", "where", book=book)
    at_a_terminal(1)
    said = run("tree", "new", "gate post", "--plot", "YARD")
    assert (said.code, said.out) == (130, "")
    assert said.err.endswith("Stopped. Nothing more was written.\n")


def test_at_a_terminal_the_unit_goes_into_its_field(run: Any, book: Path, at_a_terminal: Any) -> None:
    run("book", "where", book=book)
    at_a_terminal(1)
    said = run("act", "water", "--tree", "T01", "--amount", "5 gal")
    assert (said.code, said.out) == (0, "T01: watered, 18.9 L, 30 Jun 2025.\n")


def test_with_json_nobody_is_asked(run: Any, book: Path, at_a_terminal: Any) -> None:
    run("book", "where", book=book)
    at_a_terminal()
    assert run("tree", "new", "gate post", "--plot", "YARD", "--json").code == 2
