"""A way to call the command as a user does."""

from __future__ import annotations

import itertools
import json
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from barkslip.app.settings import TABLE
from barkslip.cli.main import main


@dataclass(frozen=True)
class Said:
    """What one call of the command said and how it ended."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """stdout as the one JSON document it must be."""
        return json.loads(self.out)


Run = Callable[..., Said]


@pytest.fixture
def fresh(demo_folder: Path, tmp_path: Path) -> Callable[[], Path]:
    """Makes folders of demo gardens of one's own, to be written into."""
    count = itertools.count()

    def copy() -> Path:
        folder = tmp_path / f"book{next(count)}"
        shutil.copytree(demo_folder, folder)
        return folder

    return copy


@pytest.fixture
def book(fresh: Callable[[], Path]) -> Path:
    """Folder of one demo garden of one's own."""
    return fresh()


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Iterator[Run]:
    """Call `barkslip` with words, in this process, with nothing from the machine's own settings."""
    for variable, _, _ in TABLE.values():
        monkeypatch.delenv(variable, raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.delenv("FORCE_COLOR", raising=False)

    def call(*words: str | Path, book: Path | None = None) -> Said:
        """`book` stays the book of later calls in the same test."""
        if book is not None:
            monkeypatch.setenv("BARKSLIP_BOOK", str(book))
        capsys.readouterr()
        code = main([str(w) for w in words])
        out, err = capsys.readouterr()
        return Said(code, out, err)

    return call
