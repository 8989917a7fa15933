"""Looking things up, for every noun the same way."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any, TypeVar, cast

from barkslip.domain.entry import Entry
from barkslip.domain.errors import NotFoundError
from barkslip.fieldbook.files import BookFiles
from barkslip.fieldbook.rows import NOUNS, spec

E = TypeVar("E", bound=Entry)
LIVE = "current AND NOT withdrawn"
#: What each noun is called in an error.
CALLED = {
    "wood_lot": "wood lot", "chain_link": "chain link", "lot_find": "find", "record": "weather series",
    "night_answer": "answer about a night", "tool_use": "use of a tool", "wood_rule": "rule about wood",
    "trial_plan": "plan of a trial", "trial_reading": "reading of a trial", "canopy_share": "canopy share",
}  # fmt: skip


class Reader:
    """Reads entries. Made by `Book.read()`; not for keeping."""

    def __init__(self, connection: sqlite3.Connection, files: BookFiles) -> None:
        self.connection = connection
        self.files = files

    def rows(self, sql: str, **values: Any) -> list[tuple[Any, ...]]:
        """Plain rows of a statement with named parameters."""
        return self.connection.execute(sql, values).fetchall()

    def every(self, noun: type[E], where: str = "1", *, order: str = "id", join: str = "", **values: Any) -> list[E]:
        """All current lines of a noun that meet `where`."""
        s = spec(noun)
        live = f"{s.table}.current AND NOT {s.table}.withdrawn"
        sql = f"SELECT {s.select} FROM {s.table} {join} WHERE {live} AND ({where}) ORDER BY {order}"
        return [cast(E, s.build(row)) for row in self.connection.execute(sql, values)]

    def many(self, noun: type[E], things: Sequence[str]) -> dict[str, E]:
        """Current lines of several things, by thing id."""
        s = spec(noun)
        out: dict[str, E] = {}
        unique = list(dict.fromkeys(things))
        for i in range(0, len(unique), 500):
            part = unique[i : i + 500]
            marks = ",".join("?" * len(part))
            sql = f"SELECT {s.select} FROM {s.table} WHERE thing IN ({marks}) AND {LIVE}"
            for row in self.connection.execute(sql, part):
                entry = cast(E, s.build(row))
                out[entry.thing] = entry
        return out

    def get(self, noun: type[E], thing: str) -> E:
        """The current line about a thing.

        Raises
        ------
        NotFoundError
        """
        s = spec(noun)
        sql = f"SELECT {s.select} FROM {s.table} WHERE thing = :thing AND {LIVE} ORDER BY id DESC LIMIT 1"
        row = self.connection.execute(sql, {"thing": thing}).fetchone()
        if row is None:
            raise self.missing(noun, thing)
        return cast(E, s.build(row))

    def line(self, noun: type[E], entry_id: str) -> E:
        """One line by its own id, current or not.

        Raises
        ------
        NotFoundError
        """
        s = spec(noun)
        row = self.connection.execute(f"SELECT {s.select} FROM {s.table} WHERE id = :id", {"id": entry_id}).fetchone()
        if row is None:
            raise self.missing(noun, entry_id)
        return cast(E, s.build(row))

    def by_code(self, noun: type[E], code: str) -> E:
        """The thing with a code, upper or lower case.

        Raises
        ------
        NotFoundError
            Naming codes that come close.
        """
        s = spec(noun)
        sql = f"SELECT {s.select} FROM {s.table} WHERE code = :code AND {LIVE}"
        for attempt in (code, code.upper()):
            row = self.connection.execute(sql, {"code": attempt}).fetchone()
            if row is not None:
                return cast(E, s.build(row))
        row = self.connection.execute(
            f"SELECT {s.select} FROM {s.table} WHERE code = :code COLLATE NOCASE AND {LIVE}", {"code": code.strip()}
        ).fetchone()
        if row is None:
            raise self.missing(noun, code, coded=True)
        return cast(E, s.build(row))

    def missing(self, noun: type[Entry], given: str, *, coded: bool = False) -> NotFoundError:
        """What to say when something is not in the book."""
        table = spec(noun).table
        called = CALLED.get(table, table.replace("_", " "))
        known = ""
        if coded:
            from difflib import get_close_matches

            codes = [r[0] for r in self.rows(f"SELECT code FROM {table} WHERE {LIVE}")]
            upper = {c.upper(): c for c in codes}
            close = get_close_matches(given.upper(), upper, n=4, cutoff=0.5)
            known = ", ".join(upper[c] for c in close) or ", ".join(sorted(codes)[:6])
        return NotFoundError(
            f"There is no such {called} in the book.",
            given=given,
            allowed=known,
            next_step="Check the code, or look for it: barkslip find" if coded else "It may have been taken back.",
        )

    def versions(self, noun: type[E], thing: str) -> list[E]:
        """All lines about a thing, oldest first, withdrawn ones too."""
        s = spec(noun)
        sql = f"SELECT {s.select} FROM {s.table} WHERE thing = :thing ORDER BY id"
        return [cast(E, s.build(row)) for row in self.connection.execute(sql, {"thing": thing})]

    def kind_of(self, thing: str) -> str:
        """The noun of a thing ("graft", "tree", ...).

        Raises
        ------
        NotFoundError
        """
        row = self.connection.execute("SELECT kind FROM thing WHERE id = :id", {"id": thing}).fetchone()
        if row is None:
            raise NotFoundError("There is no such thing in the book.", given=thing, next_step="Check the address.")
        return str(row[0])

    def counts(self) -> dict[str, int]:
        """Lines that stand, by noun.

        Lines are never deleted, so the highest row number is their count; corrections and what was taken back are
        few and indexed. Counting the lines of a big book one by one takes a quarter of a second.
        """
        out = {}
        for noun in NOUNS:
            lines = self.lines_of(noun)
            corrected, gone = self.rows(
                f"""SELECT count(DISTINCT corrects), coalesce(sum(withdrawn AND current), 0) FROM {noun}
                    WHERE corrects IS NOT NULL"""
            )[0]
            out[noun] = lines - int(corrected) - int(gone)
        return out

    def lines_of(self, noun: str) -> int:
        """All lines of a noun, also corrected and withdrawn ones."""
        return int(self.rows(f"SELECT coalesce(max(rowid), 0) FROM {noun}")[0][0])

    def meta(self, key: str) -> str:
        """A note of the book about itself; "" if there is none."""
        row = self.connection.execute("SELECT value FROM meta WHERE key = :key", {"key": key}).fetchone()
        return str(row[0]) if row else ""
