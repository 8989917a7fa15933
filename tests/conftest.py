"""Shared: the demo garden, built once a run and copied for every test that writes."""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from barkslip.app.context import Context
from barkslip.app.settings import Settings


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder of a demo book that no test writes into."""
    from barkslip.app.demo import make_demo

    folder = tmp_path_factory.mktemp("demo") / "garden"
    make_demo(Settings(folder)).book.close()
    return folder


@pytest.fixture
def demo(demo_folder: Path, tmp_path: Path) -> Iterator[Context]:
    """A demo book of one's own to read and to write, at a steady clock."""
    from barkslip.fieldbook.book import Book

    folder = tmp_path / "garden"
    shutil.copytree(demo_folder, folder)
    settings = Settings(folder)
    ticks = itertools.count()
    start = datetime(2025, 6, 30, 8, 0, tzinfo=UTC)
    ctx = Context(Book(folder), settings, now=lambda: start + timedelta(seconds=next(ticks)))
    yield ctx
    ctx.book.close()


@pytest.fixture(scope="session")
def shown_demo(demo_folder: Path) -> Iterator[Context]:
    """The demo book for tests that only read."""
    from barkslip.fieldbook.book import Book

    ctx = Context(Book(demo_folder), Settings(demo_folder))
    yield ctx
    ctx.book.close()
