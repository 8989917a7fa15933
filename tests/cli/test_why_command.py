"""The command why."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from barkslip.app.context import Context
from barkslip.cli.main import main


def test_why_on_the_terminal_and_as_json(demo_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = ["--book", str(demo_folder), "--quick"]
    assert main(["why", "G02-1", "--look", "union=brown", *book]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert out.startswith("Cannot tell why G02-1 'Fuyu' persimmon was lost")
    assert "no verdict on a disease" in out
    assert main(["why", "G02-1", "--look", "union=brown", "--json", *book]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["grafts"][0]["causes"][0]["cause"] == "late_or_weak_wood"
    assert main(["why", "--list", *book]) == 0
    assert "union" in capsys.readouterr().out


def test_what_is_seen_and_found_out_is_written_down(demo: Context, capsys: pytest.CaptureFixture[str]) -> None:
    book = ["--book", str(demo.settings.book), "--quick"]
    assert main(["why", "G02-1", "--saw", "union=none", "--confirm", "late_or_weak_wood", "--how", "moved", *book]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Written down.")
    assert "Found out in this garden" in out
