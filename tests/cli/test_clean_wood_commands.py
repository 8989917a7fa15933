"""`barkslip wood sticks, keep, order, label, rule, passport, chains` and `barkslip chimera`."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path
from typing import Any

import pytest

from barkslip.cli import clean_wood


def plain(text: str) -> str:
    return " ".join(text.split())


def test_the_promised_command_needs_no_book(run: Any) -> None:
    said = run(
        "wood", "sticks", "--grafts", "6", "--take", "0.6", "--buds-per-stick", "4", "--sure", "0.95", "--json"
    )  # fmt: skip
    assert (said.code, said.err) == (0, "")
    data = said.data
    assert (data["sticks"], data["grafts_to_set"], data["buds"], data["sure"]) == (4, 15, 15, 0.95)
    assert data["chance"] == pytest.approx(0.966167, abs=1e-6)
    assert data["take"] | {"mean": 0.6, "alpha": None, "status": "typed"} == data["take"]
    assert data["with_doubt"]["take"]["alpha"] == pytest.approx(3.0)


def test_sticks_in_words(run: Any) -> None:
    said = run("wood", "sticks", "--grafts", "6", "--take", "60%", "--buds-per-stick", "4")
    lines = said.out.splitlines()
    assert lines[0] == "Ask for 4 sticks: 15 grafts set, at least 6 alive with a chance of 97 %."
    assert max(map(len, lines)) <= 80
    assert "If that take is a guess worth 5 grafts of your own" in said.out
    assert "ask for 7 sticks: 26 grafts to set." in plain(said.out)


def test_a_take_that_leans_on_few_grafts(run: Any) -> None:
    said = run(
        "wood", "sticks", "--grafts", "6", "--take", "0.6", "--take-worth", "5", "--buds-per-stick", "4", "--json"
    )
    assert (said.data["sticks"], said.data["with_doubt"]) == (7, None)
    assert said.data["take"]["beta"] == pytest.approx(2.0)


def test_own_grafts_are_added_to_a_method(run: Any, book: Path) -> None:
    words = ("wood", "sticks", "--grafts", "2", "--method", "bark graft", "--buds-per-stick", "6", "--json")
    own = run(*words, book=book).data
    alone = run(*words, "--own", "no").data
    assert own["take"]["took"] > 5
    assert alone["take"]["took"] == 0
    assert alone["take"]["worth_grafts"] == 5.0
    assert own["take"]["p90"] - own["take"]["p10"] < alone["take"]["p90"] - alone["take"]["p10"]


def test_a_missing_number_ends_with_2(run: Any) -> None:
    said = run("wood", "sticks", "--grafts", "6", "--take", "0.6")
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith("The number of good buds on a stick is missing.")


def test_keeping_names_several_sources(run: Any, book: Path) -> None:
    said = run("wood", "keep", "W01", "--on", "2021-10-25", "--json", book=book)
    keep = said.data["keep"]
    own = [s for s in keep["sources"] if s["own_store"]]
    assert len({s["source"] for s in own}) >= 3
    assert keep["shortest_d"] < keep["longest_d"]
    words = run("wood", "keep", "W09").out
    assert "W09 was thrown away." in words
    assert "heal.S8" in words and "grow.forum" in words and "own.choice" in words
    assert max(map(len, words.splitlines())) <= 80


def test_an_order_without_a_book(run: Any, tmp_path: Path) -> None:
    said = run("wood", "order", "--window", "2031-09-15/2031-10-05", "--post", "4", "--json", book=tmp_path / "none")
    assert (said.code, said.err) == (0, "")
    steps = {s["step"]: s for s in said.data["next"]["steps"]}
    assert steps["order"]["last"] == "2031-03-15"
    assert steps["order"]["status"] == "published"
    assert steps["cut"]["first"] == "2031-09-05"
    assert said.data["next"]["late"] is False


def test_a_label(run: Any, book: Path) -> None:
    out = run("wood", "label", "W05", book=book).out
    assert out.startswith("W05 · Thick-skinned local lemon\n")
    assert "2022-10-02" in out
    assert out.endswith("DO NOT MOVE: from inside a regulated area.\n")


def test_rules_are_written_and_shown_with_every_lot(run: Any, book: Path) -> None:
    said = run(
        "wood", "rule", "Upper valley", "No wood leaves.", "--office", "Plant health office", "--on", "2025-05-03",
        book=book,
    )  # fmt: skip
    assert said.code == 0
    assert said.out.startswith("Written down for Upper valley, by Plant health office: No wood leaves.\n")
    shown = run("wood", "rule", "--json").data["moving"]
    assert shown["state"] == "do not move"
    assert [(r["office"], r["asked"]) for r in shown["rules"]] == [("Plant health office", "2025-05-03")]
    lot = plain(run("wood", "show", "W05").out)
    assert "Upper valley: asked 3 May 2025 of Plant health office: No wood leaves." in lot
    assert run("wood", "show", "W05", "--json").data["moving"]["reason_codes"][:2] == ["regulated area", "refused"]
    assert run("take-back", "rule", shown["rules"][0]["id"]).code == 0
    assert run("wood", "rule", "--json").data["moving"]["rules"] == []


def test_a_rule_without_its_office_is_told(run: Any, book: Path) -> None:
    said = run("wood", "rule", "Upper valley", "No wood leaves.", book=book)
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith("The office that said so is missing.")


def test_passports_to_the_terminal_and_to_a_file(run: Any, book: Path, tmp_path: Path) -> None:
    out = run("wood", "passport", "W08", "W01", book=book).out
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [r["ACCENUMB"] for r in rows] == ["W08", "W01"]
    assert run("wood", "passport", "--to", str(tmp_path / "p.csv")).code == 0
    assert (tmp_path / "p.csv").read_text("utf-8").startswith("PUID,INSTCODE,ACCENUMB,")
    said = run("wood", "passport", "--to", str(tmp_path / "no" / "p.csv"))
    assert (said.code, said.err.splitlines()[0]) == (2, "That file cannot be written.")
    assert run("wood", "passport", "W99").code == 3


def test_chains_in_slash_notation(run: Any, book: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(run("wood", "chains", book=book).out)))
    assert rows[0]["chain"].count("/") >= 1
    assert next(r for r in rows if r["graft"] == "G07-1")["botanical_name"] == "Citrus reticulata 'Owari'"


def test_the_long_shot(run: Any, book: Path) -> None:
    said = run(
        "chimera", "--l1", "Owari", "--l2", "Robertson", "--l3", "Robertson", "--tree", "T02", "--json", book=book
    )
    data = said.data
    like = {t["tissue"]: t["like"] for t in data["chosen"]["tissues"]}
    assert like["colour of the juice"] == "'Owari' satsuma"
    assert like["rind: colour and scent"] == "'Robertson' navel orange"
    assert len(data["arrangements"]) == 6
    assert data["joins"] and data["odds"]["seen"] == 0
    assert {f["source"] for layer in data["layers"].values() for f in layer["facts"]} >= {"chain.HSTJ2020", "chain.M"}
    out = run("chimera", "--unions", "40").out
    text = plain(out)
    assert "no source was found" in text
    assert "it is rarer than 7.2 % of unions, 95 % sure (exact). The rule of three gives 7.5 %." in text
    assert "chain.WU2014" in text
    assert max(map(len, out.splitlines())) <= 80


def test_a_chimera_needs_no_book_but_a_tree_does(run: Any, tmp_path: Path) -> None:
    none = tmp_path / "none"
    assert run("chimera", "--of", "Owari", "--with", "Valencia", book=none).code == 0
    assert run("chimera", "--tree", "T01", book=none).code == 3


NEVER = re.compile(
    r"(fine|safe|free|allowed|permitted|ok) to (move|post|carry|send)|(may|can) be moved|is allowed|legal|"
    r"alcohol (cleans|works|kills|is enough)|flame (cleans|works|kills|is enough)",
    re.IGNORECASE,
)


def test_no_command_says_that_wood_may_move_or_that_alcohol_cleans(run: Any, book: Path) -> None:
    run("wood", "list", book=book)
    for words in (
        ("wood", "rule"), ("wood", "label", "W01"), ("wood", "show", "W01"), ("wood", "keep", "W01"),
        ("wood", "order", "--window", "2025-10"), ("chimera",), ("wood", "show", "W12", "--json"),
        ("wood", "rule", "--json"),
    ):  # fmt: skip
        found = NEVER.search(plain(run(*words).out))
        assert found is None, (words, found)
    assert "fails alcohol" in plain(run("wood", "rule").out)


def test_the_commands_hang_under_wood(run: Any) -> None:
    out = run("wood", "--help").out
    for one in clean_wood.COMMANDS:
        assert f"  {one.name} " in out


@pytest.mark.parametrize("columns", ["40", "58"])
def test_narrow_terminals(run: Any, book: Path, monkeypatch: pytest.MonkeyPatch, columns: str) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    for words in (("wood", "keep", "W09"), ("wood", "order", "--window", "2025-10"), ("chimera", "--tree", "T02")):
        lines = run(*words, book=book).out.splitlines()
        assert max(map(len, lines)) <= int(columns), words
