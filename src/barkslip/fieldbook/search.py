"""Finding anything by a few letters (SQLite's full-text index)."""

from __future__ import annotations

import re
import sqlite3
from typing import Any

from barkslip.domain.act import Event
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import Hit
from barkslip.domain.entry import Entry
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.tree import ChainLink, Limb, Tree
from barkslip.fieldbook.reader import Reader


def _texts(entry: Entry) -> tuple[str, str, str] | None:
    """Code, title and body under which an entry is found; None if it is not looked for."""
    match entry:
        case Plot():
            return entry.code, entry.name, entry.note
        case Tree():
            return entry.code, entry.name, f"{entry.fruit} {entry.note}"
        case Limb():
            return entry.address, entry.label, f"{entry.carries} {entry.note}"
        case WoodLot():
            return entry.code, entry.name, f"{entry.source_class} {entry.source} {entry.state} {entry.note}"
        case Graft():
            return entry.code, entry.name or entry.method, f"{entry.campaign} {entry.method} {entry.note}"
        case Event():
            return entry.on.iso(), entry.kind, entry.text
        case ChainLink():
            return "", ", ".join(c.taxon for c in entry.candidates), " ".join(c.evidence for c in entry.candidates)
        case LotFind():
            return "", entry.found, entry.how
        case _:
            return None


def index_entry(connection: sqlite3.Connection, entry: Entry) -> None:
    """Put an entry into the index in place of what stood there for the same thing.

    Former names stay findable: a corrected limb or tree keeps the words of its older lines.
    """
    texts = _texts(entry)
    if texts is None:
        return
    code, title, body = texts
    if entry.corrects:
        old: list[tuple[Any, ...]] = connection.execute(
            "SELECT code, title, body FROM search WHERE thing = :thing", {"thing": entry.thing}
        ).fetchall()
        connection.execute("DELETE FROM search WHERE thing = :thing", {"thing": entry.thing})
        if entry.withdrawn:
            return
        former = " ".join(f"{row[0]} {row[1]} {row[2]}" for row in old)
        body = " ".join(dict.fromkeys(f"{body} {former}".split()))
    connection.execute(
        "INSERT INTO search (thing, code, title, body) VALUES (:thing, :code, :title, :body)",
        {"thing": entry.thing, "code": code, "title": title, "body": body},
    )


def find(reader: Reader, text: str, *, limit: int = 50) -> list[Hit]:
    """Things whose code, name or notes hold all the words of `text`, best first."""
    words = re.findall(r"\w+", text, re.UNICODE)
    if not words:
        return []
    query = " ".join(f'"{word}"*' for word in words)
    rows = reader.rows(
        """SELECT t.kind, s.thing, s.code, s.title, snippet(search, 3, '', '', '…', 12)
           FROM search s JOIN thing t ON t.id = s.thing
           WHERE search MATCH :query ORDER BY bm25(search, 0, 10, 6, 1) LIMIT :limit""",
        query=query,
        limit=limit,
    )
    return [Hit(kind=r[0], thing=r[1], code=r[2], title=r[3], detail=r[4]) for r in rows]


def rebuild(connection: sqlite3.Connection, entries: list[Entry]) -> None:
    """Fill the index anew from all lines, oldest first."""
    connection.execute("DELETE FROM search")
    for entry in entries:
        index_entry(connection, entry)
