"""Rows <-> entries."""

from __future__ import annotations

import types
import typing
from dataclasses import MISSING, fields
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barkslip.domain.entry import Entry
from barkslip.domain.tree import Candidate
from barkslip.domain.when import When
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.rows import NOUNS, REFERENCES, default_of, spec, to_row

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
NUMBER = st.floats(allow_nan=False, allow_infinity=False).map(lambda x: x + 0.0)
DAYS = st.dates(date(1800, 1, 1), date(2200, 1, 1))
WHEN = st.builds(lambda d, n, t: When(d, d + timedelta(days=n), t), DAYS, st.integers(0, 999), TEXT)
PLAIN: dict[Any, st.SearchStrategy[Any]] = {
    str: TEXT,
    int: st.integers(-(2**63), 2**63 - 1),
    float: NUMBER,
    bool: st.booleans(),
    When: WHEN,
    tuple[str, ...]: st.lists(TEXT, max_size=3).map(tuple),
    tuple[Candidate, ...]: st.lists(st.builds(Candidate, TEXT, NUMBER, TEXT), max_size=3).map(tuple),
    dict[str, float]: st.dictionaries(TEXT, NUMBER, max_size=3),
    dict[str, list[float]]: st.dictionaries(TEXT, st.lists(NUMBER, max_size=2), max_size=3),
    dict[str, list[str]]: st.dictionaries(TEXT, st.lists(TEXT, max_size=2), max_size=3),
    dict[str, object]: st.dictionaries(TEXT, st.none() | TEXT | NUMBER | st.lists(NUMBER), max_size=3),
}


def values_of(declared: Any) -> st.SearchStrategy[Any]:
    if isinstance(declared, types.UnionType):
        return st.one_of(*(st.none() if a is types.NoneType else PLAIN[a] for a in typing.get_args(declared)))
    return PLAIN[declared]


def lines_of(noun: type[Entry]) -> st.SearchStrategy[Entry]:
    hints = typing.get_type_hints(noun)
    return st.builds(noun, **{f.name: values_of(hints[f.name]) for f in fields(noun)})


@pytest.mark.parametrize("table", NOUNS)
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_any_line_reads_back_from_the_book(empty_folder, table: str, data: st.DataObject):
    """Through SQLite itself, which has its own mind about numbers and texts."""
    s = spec(NOUNS[table])
    line = data.draw(lines_of(s.noun))
    names = [c.name for c in s.columns]
    book = Book(empty_folder)
    connection = book._read_connection()
    try:
        connection.execute("PRAGMA query_only = OFF")
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute("BEGIN")
        connection.execute(
            f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join(':' + n for n in names)})", to_row(line)
        )
        row = connection.execute(f"SELECT {s.select} FROM {table}").fetchone()
    finally:
        connection.execute("ROLLBACK")
        book.close()
    assert s.build(row) == line


@pytest.mark.parametrize("table", NOUNS)
def test_every_field_has_its_column(table: str):
    s = spec(NOUNS[table])
    assert {c.field for c in s.columns} == {f.name for f in fields(s.noun)}
    assert [c.name for c in s.columns][:5] == ["id", "thing", "made_utc", "corrects", "withdrawn"]


@pytest.mark.parametrize("table", NOUNS)
def test_what_names_a_thing_is_text(table: str):
    assert {c.kind for c in spec(NOUNS[table]).columns if c.name in REFERENCES} <= {"text"}


def test_defaults_fill_columns_that_old_exports_lack():
    assert default_of(NOUNS["tree"], "count") == 1
    assert default_of(NOUNS["trial"], "result") == {}
    assert default_of(NOUNS["tree"], "code") is MISSING  # it must be given
    assert default_of(NOUNS["tree"], "planted") is None
