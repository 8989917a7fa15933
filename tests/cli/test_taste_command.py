"""`barkslip taste` as a user types it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest


def test_score_without_a_book(run: Any) -> None:
    said = run("taste", "score", "--brix", "11.8", "--acid", "0.95", "--json")
    assert said.code == 0
    assert said.data["index_16_5"] == 132.0
    assert said.data["ratio"] == pytest.approx(12.4211)
    words = run("taste", "score", "--brix", "10", "--acid", "1.25", "--fruit", "navel")
    assert words.out.startswith("Score 82.5, ratio 8.0: under the 90 that is asked of navels.")


def test_cold_juice_in_fahrenheit(run: Any) -> None:
    said = run("taste", "score", "--brix", "10", "--temp", "50 °F", "--units", "us", "--json")
    assert said.data["temp_f"] == 50.0
    assert said.data["brix_for_temperature"] == -0.59


@pytest.mark.parametrize("words", [("--brix", "50"), ("--brix", "10", "--acid", "-1")])
def test_what_cannot_be(run: Any, words: tuple[str, ...]) -> None:
    said = run("taste", "score", *words, "--json")
    assert said.code == 2
    assert said.data["error"]["next"]


def test_sheet(run: Any) -> None:
    said = run("taste", "sheet", "--samples", "a; b; c", "--seed", "3", "--json")
    assert [len(order) for order in said.data["tasters"]] == [3, 3, 3, 3]
    assert run("taste", "sheet", "--samples", "a; b; c", "--seed", "3", "--json").data == said.data


def test_check_of_the_demo(run: Any, book: Path) -> None:
    said = run("taste", "check", "--brief", book=book)
    assert "✓ Washington navel: good, liking 7.4 of 9. Liking rising: 3.8, 5.9, 7.4." in said.out
    assert "· Too early to judge Owari satsuma: first crop." in said.out
    data = run("taste", "check", "--json").data
    assert {row["tree"]: row["verdict"] for row in data["varieties"]} == {
        "T01": "good", "T02": "middling", "T03": "early", "T07": "name",
    }  # fmt: skip


def test_add(run: Any, book: Path) -> None:
    said = run("taste", "add", "T03", "--variety", "Owari satsuma", "--campaign", "G01", "--fruit", "9", "--crop", "2",
               "--scores", "7 7 8", "--on", "2025-06-01", "--json", book=book)  # fmt: skip
    assert said.code == 0
    assert (said.data["verdict"], said.data["crop"]) == ("good", 2)
