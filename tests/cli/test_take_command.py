"""`barkslip take`: the contract of its command and of its JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def test_the_promised_command_gives_the_promised_keys(run: Any, book: Path) -> None:
    said = run("take", "--by", "method", "--json", book=book)
    assert (said.code, said.err) == (0, "")
    groups = said.data["groups"]
    assert sum(g["n"] for g in groups) == 83
    for g in groups:
        assert {"group", "n", "took", "waiting", "lost", "take_26w", "prior_share", "better_than", "needed"} <= set(g)
        assert g["took"] + g["waiting"] + g["lost"] == g["n"]
        assert 0.0 < g["take_26w"]["p05"] < g["take_26w"]["p50"] < g["take_26w"]["p95"] < 1.0
        assert 0.0 < g["prior_share"] < 1.0
        assert g["ranked"] == (g["took"] + g["lost"] >= 5)
        assert all(0.0 < chance < 1.0 for chance in g["better_than"].values())
    few = [g for g in groups if not g["ranked"]]
    assert {g["group"] for g in few} == {"cleft graft", "whip and tongue"}
    assert all(g["better_than"] == {} for g in few)


def test_a_year_not_over_is_waiting_and_no_zero(run: Any, book: Path) -> None:
    said = run("take", "--by", "campaign", "--campaign", "G14", "--json", book=book)
    assert said.data["groups"][0]["after_a_year"] == {"alive": 0, "known": 0, "waiting": 16, "last_due": "2025-10-06"}
    words = " ".join(run("take", "--by", "campaign", "--campaign", "G14").out.split())
    assert "After a year not yet known of 16, the last on 6 Oct 2025." in words
    assert "0 of 16 alive" not in words


def test_read_by_people(run: Any, book: Path) -> None:
    said = run("take", book=book)
    words = " ".join(said.out.split())
    assert words.startswith("No method can be called better yet.")
    assert "What cannot be told apart" in words
    assert "can't tell yet" in words
    assert "100 %" not in words
    assert max(len(line) for line in said.out.splitlines()) <= 80
    assert len(run("take", "--brief").out) < len(said.out) / 3


def test_typed_counts_need_no_book(run: Any) -> None:
    said = run("take", "--counts", "bark graft 8/10; T-bud 0/2", "--json")
    assert said.code == 0
    found = {g["group"]: g for g in said.data["groups"]}
    assert round(found["bark graft"]["prior_share"], 2) == 0.23
    assert round(found["T-bud"]["prior_share"], 2) == 0.6
    assert found["T-bud"]["better_than"] == {}
    words = " ".join(run("take", "--counts", "bark graft 1/1").out.split())
    assert "100 %" not in words


def test_a_grouping_that_is_none(run: Any, book: Path) -> None:
    said = run("take", "--by", "moon", book=book)
    assert said.code == 2
    assert said.err.startswith("Not one of the choices.\nGiven: moon\n")


def test_an_empty_book_says_the_belief(run: Any, tmp_path: Path) -> None:
    assert run("book", "new", "Here", book=tmp_path / "new").code == 0, "the book is begun"
    said = run("take")
    assert said.code == 0
    assert said.out.startswith("No graft has been set yet.\nBelieved of grafts anywhere: ")
