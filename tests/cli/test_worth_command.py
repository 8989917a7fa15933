"""The command worth."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from barkslip.cli.main import main


def test_worth_on_the_terminal_and_as_json(demo_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["worth", "--tree", "T01", "--book", str(demo_folder)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Keep T01 Gatepost.")
    assert "What would turn the answer" in out
    assert "Numbers taken; each can be typed" in out
    assert main(["worth", "--tree", "T04", "--union", "crease", "--json", "--book", str(demo_folder)]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["best"], data["union"]) == ("replace", "crease")


def test_worth_needs_no_book(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BARKSLIP_BOOK", "/nowhere")
    assert main(["worth", "--score", "8", "--brief"]) == 0
    assert "years of good fruit" in capsys.readouterr().out
