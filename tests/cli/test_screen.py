"""Terminals of any width, with and without colour: nothing is said by colour alone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from barkslip.cli.screen import SIGNS
from barkslip.domain.graft import MARKS

_COLOUR = re.compile(r"\x1b\[[0-9;]*m")
TABLES = (["today"], ["walk"], ["tree", "list"], ["tree", "show", "T05"], ["graft", "list", "--campaign", "G14"],
          ["graft", "show", "G14-13"], ["wood", "list"], ["wood", "show", "W06"], ["event", "list"],
          ["weather", "list"], ["weather", "summary", "LOW"], ["know", "Carrizo"], ["plot", "list"], ["garden", "show"],
          ["find", "owari"])  # fmt: skip


def test_each_mark_has_a_sign_of_its_own() -> None:
    assert set(SIGNS) == set(MARKS)
    assert len(set(SIGNS.values())) == len(MARKS)


@pytest.mark.parametrize("width", [100, 60, 40])
@pytest.mark.parametrize("words", TABLES, ids=" ".join)
def test_no_line_is_wider_than_the_terminal(
    run: Any, demo_folder: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    said = run(*words, book=demo_folder)
    assert said.code == 0
    assert max(map(len, said.out.splitlines())) <= width


def test_a_narrow_terminal_gets_rows_as_blocks(run: Any, demo_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    said = run("graft", "list", "--campaign", "G04", book=demo_folder)
    assert said.out.splitlines()[:4] == [
        "G04-1  ✓ took",
        "  where: T01 NE-M-1",
        "  variety: 'Washington' navel orange",
        "  since: year 3",
    ]


@pytest.mark.parametrize("words", TABLES, ids=" ".join)
def test_colour_adds_nothing_but_colour(
    run: Any, demo_folder: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    without = run(*words, book=demo_folder)
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm-256color")
    coloured = run(*words)
    assert "\x1b[" not in without.out
    assert _COLOUR.sub("", coloured.out).splitlines() == without.out.splitlines()


def test_minus_signs_are_real(run: Any, demo_folder: Path) -> None:
    said = run("weather", "summary", "LOW", "--year", "2024", book=demo_folder)
    assert "−4.2" in said.out
    assert not re.search(r"(?<![\w-])-\d", said.out)
