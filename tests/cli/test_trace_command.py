"""`barkslip trace`: the contract of its command and of its JSON, and what it writes down."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest


def plain(text: str) -> str:
    return " ".join(text.split())


def test_the_promised_keys(run: Any, demo_folder: Path) -> None:
    said = run("trace", "--from", "W03", "--agent", "exocortis", "--json", book=demo_folder)
    assert (said.code, said.err) == (0, "")
    for one in said.data["reached"]:
        assert {"kind", "id", "earliest", "chance"} <= set(one)
        assert one["kind"] in ("lot", "graft", "tree", "tool", "receiver")
        assert re.fullmatch(r"\d{4}-\d\d-\d\d", one["earliest"])
        assert 0.0 <= one["chance_low"] <= one["chance"] <= one["chance_high"] <= 1.0
    assert (said.data["agent"], said.data["why"], said.data["backward"]) == ("exocortis", "infection", False)
    assert re.fullmatch(r"[0-9a-f]{64}", said.data["knowledge_hash"])
    assert {n["status"] for n in said.data["numbers"]} == {"assumption", "published"}


def test_a_wrong_name_as_json_needs_no_disease(run: Any, demo_folder: Path) -> None:
    data = run("trace", "--from", "W08", "--why", "wrong-name", "--json", book=demo_folder).data
    assert [(r["kind"], r["id"], r["chance"]) for r in data["reached"]] == [
        ("graft", "G03-1", 1.0), ("graft", "G03-2", 1.0), ("lot", "W08a", 1.0),
        ("receiver", "Exchange table", 1.0), ("receiver", "Next door", 1.0),
    ]  # fmt: skip
    assert [(g["receiver"], g["lot"], g["sticks"]) for g in data["received"]] == [
        ("Exchange table", "W08a", 2), ("Next door", "W08a", 1),
    ]  # fmt: skip


def test_read_as_a_neighbour_would(run: Any, demo_folder: Path) -> None:
    said = run("trace", "--from", "W08", "--why", "wrong-name", book=demo_folder)
    text = plain(said.out)
    assert text.startswith(
        "If W08 has a wrong name, so have 2 grafts and 1 wood lot that descend from it; 2 receivers to be told. "
        "Suspect: wood lot W08 ('Granny Smith' apple), used. Suspicion: a wrong name."
    )
    assert "Who was given wood: tell them Exchange table 2 sticks of W08a on 9 Jul 2023 for certain" in text
    assert max(map(len, said.out.splitlines())) <= 80


def test_refused_wood_and_its_caution(run: Any, demo_folder: Path) -> None:
    text = plain(run("trace", "--from", "W05", "--agent", "tristeza", book=demo_folder).out)
    assert text.startswith("Nothing in the book was reached from W05.")
    assert "Looks never give a disease verdict: only a test does." in text
    assert "Nothing of W05 is left to be tested, and nothing came of it." in text
    assert "It also goes by aphids, most of all the brown citrus aphid" in text


def test_backward_says_where_it_can_have_come_from(run: Any, demo_folder: Path) -> None:
    data = run("trace", "--from", "G11-3", "--agent", "exocortis", "--backward", "--json", book=demo_folder).data
    assert data["reached"][0]["id"] == "W06"
    assert {r["id"] for r in data["reached"] if r["kind"] == "lot"} == {"W03", "W03a", "W04", "W06"}
    assert all(r["latest"] for r in data["reached"])
    text = plain(run("trace", "--from", "G11-3", "--agent", "exocortis", "--backward").out)
    assert "Ask where these came from" in text
    assert "official clean-wood scheme" in text


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (("trace",), "Whom do you suspect? Name it with --from."),
        (("trace", "--from", "W99"), "No lot, graft, tree or tool of that name is in the book."),
        (("trace", "--from", "W08", "--agent", "flu"), "No disease of that name is known."),
        (
            ("trace", "--from", "Pruning saw", "--why", "wrong-name"),
            "A wrong name goes with the wood, not with a tool.",
        ),
        (("trace", "--from", "W08", "--since", "2026-01-01"), "That day has not come yet."),
        (("trace", "lift", "T01", "--how", "test"), "That is not held back."),
    ],
)
def test_what_cannot_be_followed_is_told(run: Any, demo_folder: Path, words: tuple[str, ...], problem: str) -> None:
    said = run(*words, book=demo_folder)
    assert (said.code, said.out) == (3 if "No " in problem else 2, "")
    assert problem in said.err


READING = [
    (["trace", "tools"], "Grafting knife", {"tool_uses"}),
    (["trace", "held"], "for a wrong name: fruit of another variety", {"held"}),
    (["trace", "agents"], "tatter_leaf", {"agents"}),
    (["trace", "agents", "huanglongbing"], "it is long before anything shows", {"agents"}),
]
WRITING = [
    (["trace", "tool", "Knife", "--tree", "T02", "--cleaned", "alcohol"],
     "Knife, cut 1 of 30 Jun 2025: T02; before it: alcohol.\n", {"tool_use"}),
    (["trace", "handout", "W12", "--to", "Next door", "--sticks", "1"],
     "W12: 30 Jun 2025: 1 stick to Next door.\nDo not move this wood out of the garden", {"handout"}),
    (["trace", "hold", "W12", "T02", "--agent", "tristeza", "--how", "A sign."],
     "Held back: 2 of 2. Their pages say so until it is lifted.\n", {"holds"}),
    (["trace", "lift", "G03-1", "--how", "Relabelled."],
     "G03-1: Was held since 20 Apr 2024 for a wrong name, let go 30 Jun 2025: relabelled.\n", {"holds"}),
]  # fmt: skip


@pytest.mark.parametrize(("words", "piece", "keys"), READING, ids=lambda v: " ".join(v) if isinstance(v, list) else "")
def test_reading(run: Any, demo_folder: Path, words: list[str], piece: str, keys: set[str]) -> None:
    said = run(*words, book=demo_folder)
    assert (said.code, said.err) == (0, "")
    assert plain(piece) in plain(said.out)
    assert max(map(len, said.out.splitlines())) <= 80
    assert set(run("--json", *words).data) == keys


@pytest.mark.parametrize(("words", "piece", "keys"), WRITING, ids=lambda v: " ".join(v) if isinstance(v, list) else "")
def test_writing(run: Any, fresh: Any, words: list[str], piece: str, keys: set[str]) -> None:
    said = run(*words, book=fresh())
    assert (said.code, said.err) == (0, "")
    assert piece in said.out
    assert set(run(*words, "--json", book=fresh()).data) == keys
    assert run("book", "check").out == "The book is sound.\n"


def test_what_was_written_can_be_taken_back(run: Any, book: Path) -> None:
    use = run("trace", "tool", "Knife", "--tree", "T02", "--json", book=book).data["tool_use"]["id"]
    given = run("trace", "handout", "W12", "--to", "X", "--json").data["handout"]["id"]
    held = run("trace", "hold", "W12", "--json").data["holds"][0]["id"]
    for kind, number in (("tool", use), ("handout", given), ("hold", held)):
        assert run("take-back", kind, number).out == f"Taken back: {kind} {number}.\n"
    assert "Knife " not in run("trace", "tools").out.replace("Budding knife", "").replace("Grafting knife", "")
    assert run("book", "check").out == "The book is sound.\n"


def test_refused_wood_is_not_given_away(run: Any, book: Path) -> None:
    said = run("trace", "handout", "W05", "--to", "Next door", book=book)
    assert said.code == 2
    assert said.err.startswith("That wood was refused, so none of it can have been given away.\nGiven: W05\n")
