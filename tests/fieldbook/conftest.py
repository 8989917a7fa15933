"""Books to test with: an empty one, and a corner of Quarrow Flat with every noun."""

from __future__ import annotations

import importlib.util
import shutil
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from barkslip.fieldbook.book import Book
from barkslip.fieldbook.export import export


@pytest.fixture(scope="session")
def quarrow() -> ModuleType:
    """The module that fills the kept old books."""
    path = Path(__file__).parents[1] / "old_books" / "make.py"
    spec = importlib.util.spec_from_file_location("old_books_make", path)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def empty_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty book, made once by the migrations."""
    folder = tmp_path_factory.mktemp("empty") / "book"
    Book.create(folder).close()
    return folder


@pytest.fixture(scope="session")
def full_folder(tmp_path_factory: pytest.TempPathFactory, empty_folder: Path, quarrow: ModuleType) -> Path:
    """A book with every noun, filled once."""
    folder = tmp_path_factory.mktemp("full") / "book"
    shutil.copytree(empty_folder, folder)
    book = Book(folder)
    quarrow.fill(book)
    book.close()
    return folder


@pytest.fixture
def book(tmp_path: Path, empty_folder: Path) -> Iterator[Book]:
    """An empty book of its own."""
    shutil.copytree(empty_folder, tmp_path / "book")
    made = Book(tmp_path / "book")
    yield made
    made.close()


@pytest.fixture
def full(tmp_path: Path, full_folder: Path) -> Iterator[Book]:
    """A book with every noun, of its own."""
    shutil.copytree(full_folder, tmp_path / "full")
    made = Book(tmp_path / "full")
    yield made
    made.close()


@pytest.fixture
def pen(quarrow: ModuleType):
    """Numbers new lines; far from those of the full book."""
    made = quarrow.Pen()
    made.n = 10_000
    return made


@pytest.fixture(scope="session")
def exported(full_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("exported") / "out"
    book = Book(full_folder)
    export(book, folder)
    book.close()
    return folder


@pytest.fixture
def out(exported: Path, tmp_path: Path) -> Path:
    """An exported folder of its own, to be spoiled."""
    return Path(shutil.copytree(exported, tmp_path / "out"))
