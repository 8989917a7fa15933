"""Appending to the book. Nothing is ever overwritten but indexes that can be worked out again."""

from __future__ import annotations

from functools import cache
from typing import Any

from barkslip.domain.entry import Entry
from barkslip.domain.errors import ConflictError, NotFoundError
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.rows import NOUNS, SINGLE, spec, to_row
from barkslip.fieldbook.search import index_entry


@cache
def _insert(table: str) -> str:
    s = spec(NOUNS[table])
    names = [c.name for c in s.columns]
    return f"INSERT INTO {s.table} ({', '.join(names)}) VALUES ({', '.join(':' + n for n in names)})"


class Writer(Reader):
    """Appends entries. Made by `Book.write()`; leaving it without an error commits."""

    def append(self, entry: Entry) -> bool:
        """Put one line into the book.

        Returns
        -------
        bool
            True if it is new; False if this very line was there already (sent twice).

        Raises
        ------
        ConflictError
            If the id stands for something else, or the line it corrects has been corrected meanwhile.
        NotFoundError
            If the line it corrects is not in the book.
        """
        s = spec(type(entry))
        row = to_row(entry)
        there = self.connection.execute(f"SELECT {s.select} FROM {s.table} WHERE id = :id", {"id": entry.id}).fetchone()
        if there is not None:
            # compared as the book keeps them: JSON knows no tuples
            if s.build(there) == s.build(tuple(row.values())):
                return False
            raise ConflictError(
                "This number already stands for another line. Nothing was overwritten.",
                given=entry.id,
                next_step="Send it again as a new line.",
            )
        if entry.corrects is None:
            self._new_thing(entry, s.table)
        else:
            self._retire(entry, s.table)
        self.connection.execute(_insert(s.table), row)
        index_entry(self.connection, entry)
        return True

    def append_all(self, entries: list[Entry] | tuple[Entry, ...]) -> int:
        """Append several lines; the number of new ones."""
        return sum(self.append(entry) for entry in entries)

    def _new_thing(self, entry: Entry, table: str) -> None:
        if entry.thing != entry.id:
            raise ConflictError(
                "A first line names its thing by its own number.",
                given=f"{entry.thing} / {entry.id}",
                next_step="Send it as a correction, naming the line it corrects.",
            )
        self.connection.execute("INSERT INTO thing (id, kind) VALUES (:id, :kind)", {"id": entry.id, "kind": table})

    def _retire(self, entry: Entry, table: str) -> None:
        old = self.connection.execute(
            f"SELECT thing, current FROM {table} WHERE id = :id", {"id": entry.corrects}
        ).fetchone()
        if old is None or old[0] != entry.thing:
            raise NotFoundError(
                "The line to be corrected is not in the book.",
                given=str(entry.corrects),
                next_step="Load the page again and correct the line shown there.",
            )
        if not old[1] and isinstance(entry, SINGLE):
            raise ConflictError(
                "Somebody corrected this meanwhile. Nothing was overwritten.",
                given=str(entry.corrects),
                next_step="Load the page again, look at the new version, and correct that one.",
            )
        self.connection.execute(f"UPDATE {table} SET current = 0 WHERE id = :id", {"id": entry.corrects})

    def set_meta(self, key: str, value: str) -> None:
        """Keep a note of the book about itself."""
        self.connection.execute(
            "INSERT INTO meta (key, value) VALUES (:key, :value) ON CONFLICT (key) DO UPDATE SET value = :value",
            {"key": key, "value": value},
        )

    def run(self, sql: str, **values: Any) -> None:
        """One statement on the derived tables."""
        self.connection.execute(sql, values)

    def run_many(self, sql: str, values: list[dict[str, Any]]) -> None:
        """One statement many times."""
        self.connection.executemany(sql, values)
