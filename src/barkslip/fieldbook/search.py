"""Finding anything by a few letters (SQLite's full-text index)."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable

from barkslip.domain.act import Event
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import Hit
from barkslip.domain.entry import Entry
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.tree import ChainLink, Limb, Tree
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.rows import spec

INSERT = "INSERT INTO search (thing, code, title, body) VALUES (?, ?, ?, ?)"


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


def thing_texts(lines: Iterable[Entry]) -> tuple[str, str, str] | None:
    """Code, title and body under which a thing is found, from all its lines; None if it is not looked for.

    Former names stay findable: a corrected limb or tree keeps the words of its older lines. What was taken back is
    not found, unless another line about the same thing still stands.
    """
    kept = sorted(lines, key=lambda e: e.id)
    corrected = {e.corrects for e in kept}
    kept = [e for e in kept if not e.withdrawn]
    standing = [e for e in kept if e.id not in corrected]
    if not standing:
        return None
    newest = standing[-1]
    texts = _texts(newest)
    if texts is None or len(kept) == 1:
        return texts
    code, title, body = texts
    former = " ".join(" ".join(_texts(e) or ()) for e in reversed(kept) if e is not newest)
    return code, title, " ".join(dict.fromkeys(f"{body} {former}".split()))


def index_entry(connection: sqlite3.Connection, entry: Entry) -> None:
    """Put an entry, written just now, into the index in place of what stood there for the same thing."""
    if entry.corrects is None:
        texts = thing_texts((entry,))
    elif _texts(entry) is None:
        return
    else:
        s = spec(type(entry))
        rows = connection.execute(f"SELECT {s.select} FROM {s.table} WHERE thing = :thing", {"thing": entry.thing})
        texts = thing_texts([s.build(row) for row in rows])
        connection.execute("DELETE FROM search WHERE thing = :thing", {"thing": entry.thing})
    if texts is not None:
        connection.execute(INSERT, (entry.thing, *texts))


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


def index_of(entries: Iterable[Entry]) -> dict[str, tuple[str, str, str]]:
    """What the index must hold: thing -> (code, title, body), worked out from all lines."""
    lines: dict[str, list[Entry]] = {}
    for entry in entries:
        lines.setdefault(entry.thing, []).append(entry)
    found = {thing: thing_texts(of) for thing, of in lines.items()}
    return {thing: texts for thing, texts in found.items() if texts is not None}


def rebuild(connection: sqlite3.Connection, entries: Iterable[Entry]) -> None:
    """Fill the index anew from all lines."""
    connection.execute("DELETE FROM search")
    connection.executemany(INSERT, [(thing, *texts) for thing, texts in index_of(entries).items()])
