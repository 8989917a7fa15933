"""The walk-round, key by key."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click
import pytest


@pytest.fixture
def keys(monkeypatch: pytest.MonkeyPatch) -> Any:
    """These keys are pressed, one after the other."""

    def press(text: str) -> None:
        left = list(text)
        monkeypatch.setattr(click, "getchar", lambda: left.pop(0))

    return press


def _looks(run: Any, code: str) -> list[dict[str, Any]]:
    looks: list[dict[str, Any]] = run("graft", "show", code, "--json").data["graft"]["looks"]
    return looks


def test_a_key_writes_a_look_down_and_goes_on(run: Any, book: Path, keys: Any) -> None:
    before = len(_looks(run, "G14-5")) if run("book", "where", book=book) else 0
    keys("3\rq")
    said = run("walk", "--go")
    assert said.code == 0
    assert "Stop 1 of 6 · G14-5 on T02 Well" in said.out
    assert "> pushing\nVerdict: took (since 30 Jun).\n" in said.out
    assert said.out.endswith("> stop\nLooks written down: 1.\n")
    looks = _looks(run, "G14-5")
    assert len(looks) == before + 1
    assert (looks[0]["state"], looks[0]["on"]["first"]) == ("pushing", "2025-06-30")


def test_a_wrong_key_writes_nothing_and_stays(run: Any, book: Path, keys: Any) -> None:
    keys("xq")
    said = run("walk", "--go", "--at", "G14-13", book=book)
    assert said.out.count("G14-13 on T05 Crossways") == 2
    assert said.out.endswith("Looks written down: 0.\n")


def test_to_the_end_of_the_round(run: Any, book: Path, keys: Any) -> None:
    keys("\r" * 6)
    said = run("walk", "--go", book=book)
    assert said.code == 0
    assert [f"Stop {n} of 6" in said.out for n in range(1, 7)] == [True] * 6
    assert said.out.endswith("Looks written down: 0.\n")


def test_going_round_has_no_json(run: Any, book: Path) -> None:
    said = run("walk", "--go", "--json", book=book)
    assert said.code == 2
    assert said.data["error"]["problem"] == "--go asks at the terminal and has no JSON."
