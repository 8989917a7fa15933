"""Checking a whole book, and mending what can be worked out again.

Facts are never mended by the program: what is broken or doubtful is told, with what a person can do about it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from barkslip.domain.book import BookState, Finding
from barkslip.domain.entry import Entry
from barkslip.domain.errors import BarkslipError, BookCorruptError
from barkslip.fieldbook.backup import backups, last_backup
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.check_facts import facts
from barkslip.fieldbook.check_files import photos, weather
from barkslip.fieldbook.connection import SCHEMA
from barkslip.fieldbook.reader import LIVE, Reader
from barkslip.fieldbook.rows import NOUNS, SINGLE, spec
from barkslip.fieldbook.search import index_of, rebuild

Derived = Callable[[Book], Iterable[Finding]]
_RESTORE = "Keep a copy of the file, then bring the last backup back: barkslip book restore"
_REPAIR = "Run: barkslip book check --repair"
#: The line that no other line corrects is the newest.
_NEWEST = "NOT EXISTS (SELECT 1 FROM {table} AS later WHERE later.corrects = {table}.id)"


def check(book: Book, derived: Derived | None = None) -> tuple[Finding, ...]:
    """Look at everything in the book. Changes nothing.

    Parameters
    ----------
    derived : callable, optional
        Compares the lists worked out from the facts (where a graft stands, what is due) with the book's; it is
        handed in because the book does not know how they are worked out.

    Returns
    -------
    tuple of Finding
        Empty if all is well; the worst first.
    """
    try:
        with book.read() as reader:
            found = list(_file(reader))
            if any(f.where == "book.sqlite" for f in found):
                return tuple(found)
            entries, unreadable = _entries(reader)
            found += unreadable
            found += _things(reader)
            found += _newest(reader)
            found += facts(entries, _kinds(reader))
            found += weather(reader)
            found += photos(reader)
            found += _search(reader, entries)
        if derived is not None:
            found += derived(book)
    except BookCorruptError as error:
        found = [Finding("broken", "The book's file is damaged.", "book.sqlite", error.next_step)]
    order = {"broken": 0, "doubtful": 1, "index": 2}
    return tuple(sorted(found, key=lambda f: order[f.grade]))


def repair_indexes(book: Book) -> int:
    """Work `current` and the search index out again from the lines. Facts are not touched.

    Returns
    -------
    int
        Lines and search entries that were put right.
    """
    with book.write() as writer:
        entries, _ = _entries(writer)
        wrong = 0
        for table in NOUNS:
            newest = _NEWEST.format(table=table)
            # taken away before given: two lines with one code may not both be newest, not even for a moment
            for value, rule in ((0, f"current AND NOT {newest}"), (1, f"NOT current AND {newest}")):
                wrong += writer.connection.execute(f"UPDATE {table} SET current = {value} WHERE {rule}").rowcount
        amiss = len(_search(writer, entries))
        if amiss:
            sql = writer.rows("SELECT sql FROM sqlite_master WHERE name = 'search'")[0][0]
            writer.run("DROP TABLE search")  # a damaged index cannot be emptied
            writer.run(str(sql))
            rebuild(writer.connection, entries)
        return wrong + amiss


def book_state(book: Book) -> BookState:
    """The book at a glance."""
    files = book.files
    kept = [p for p in files.photos.glob("*.jpg") if p.is_file()] if files.photos.is_dir() else []
    with book.read() as reader:
        things = reader.counts()
        lines = sum(reader.lines_of(table) for table in NOUNS)
        size = reader.rows("PRAGMA page_count")[0][0] * reader.rows("PRAGMA page_size")[0][0]
    return BookState(
        folder=str(files.folder),
        version=SCHEMA,
        size_bytes=int(size),
        things=things,
        lines=lines,
        photos=len(kept),
        photo_bytes=sum(p.stat().st_size for p in kept),
        backups=len(backups(files)),
        last_backup=last_backup(files),
    )


def _file(reader: Reader) -> Iterator[Finding]:
    """What SQLite itself finds."""
    for (words,) in reader.rows("PRAGMA integrity_check"):
        if words != "ok":
            yield Finding("broken", f"The book's file is damaged: {words}", "book.sqlite", _RESTORE)
    for table, rowid, parent, _ in reader.rows("PRAGMA foreign_key_check"):
        if table in NOUNS:
            line = reader.rows(f"SELECT id FROM {table} WHERE rowid = :rowid", rowid=rowid)[0][0]
            yield Finding("broken", "A line names something that is not in the book.", f"{table} {line}", _RESTORE)
        else:
            grade = "broken" if table == "block" else "index"
            what = f"A row names something that is not in {parent}."
            yield Finding(grade, what, f"{table} row {rowid}", _RESTORE if grade == "broken" else _REPAIR)


def _entries(reader: Reader) -> tuple[list[Entry], list[Finding]]:
    """All lines of all nouns; findings for those that cannot be read."""
    entries: list[Entry] = []
    found: list[Finding] = []
    for table, noun in NOUNS.items():
        s = spec(noun)
        for row in reader.connection.execute(f"SELECT {s.select} FROM {table} ORDER BY id"):
            try:
                entries.append(s.build(row))
            except (ValueError, TypeError, KeyError, AttributeError, BarkslipError) as error:
                words = error.problem if isinstance(error, BarkslipError) else f"{error}."
                found.append(Finding("broken", f"A line cannot be read: {words}", f"{table} {row[0]}", _RESTORE))
    return entries, found


def _kinds(reader: Reader) -> dict[str, str]:
    return {str(thing): str(kind) for thing, kind in reader.rows("SELECT id, kind FROM thing")}


def _things(reader: Reader) -> Iterator[Finding]:
    """Lines and the things they are about must agree."""
    for table in NOUNS:
        for line, kind in reader.rows(
            f"""SELECT {table}.id, thing.kind FROM {table} JOIN thing ON thing.id = {table}.thing
                WHERE thing.kind <> :kind""",
            kind=table,
        ):
            yield Finding("broken", f"A line is about a thing of another kind ({kind}).", f"{table} {line}", _RESTORE)
        for (line,) in reader.rows(f"SELECT id FROM {table} WHERE corrects IS NULL AND thing <> id"):
            yield Finding("broken", "A first line names another thing than itself.", f"{table} {line}", _RESTORE)
        for (line,) in reader.rows(
            f"""SELECT new.id FROM {table} AS new JOIN {table} AS old ON old.id = new.corrects
                WHERE old.thing <> new.thing"""
        ):
            yield Finding("broken", "A line corrects a line about another thing.", f"{table} {line}", _RESTORE)
    lines = " UNION ALL ".join(f"SELECT thing FROM {table}" for table in NOUNS)
    for thing, kind in reader.rows(f"SELECT id, kind FROM thing WHERE id NOT IN ({lines})"):
        yield Finding("broken", f"A thing has no line that says what it is ({kind}).", f"thing {thing}", _RESTORE)


def _newest(reader: Reader) -> Iterator[Finding]:
    """`current` must say what `corrects` says; one truth at a time where a thing has but one."""
    for table, noun in NOUNS.items():
        newest = _NEWEST.format(table=table)
        for (line,) in reader.rows(f"SELECT id FROM {table} WHERE current <> ({newest})"):
            what = "A line is taken for the newest or for an older one, and is not."
            yield Finding("index", what, f"{table} {line}", _REPAIR)
        if noun in SINGLE:
            for thing, n in reader.rows(
                f"SELECT thing, count(*) FROM {table} WHERE {newest} GROUP BY thing HAVING count(*) > 1"
            ):
                what = f"{n} lines stand side by side where one can be true."
                yield Finding("doubtful", what, f"{table} {thing}", "Correct one of them, or take it back.")
        if noun.__dataclass_fields__.get("code"):
            yield from _codes_twice(reader, table)


def _codes_twice(reader: Reader, table: str) -> Iterator[Finding]:
    rule = LIVE if table != "wood_lot" else "NOT withdrawn"  # a lot's number is never used again
    for code, n in reader.rows(
        f"SELECT code, count(DISTINCT thing) AS n FROM {table} WHERE {rule} GROUP BY code HAVING n > 1"
    ):
        what = f"{n} things have had the code {code}."
        yield Finding("doubtful", what, f"{table} {code}", "Give one of them another code.")


def _search(reader: Reader, entries: list[Entry]) -> list[Finding]:
    """The search index against the lines: the same words for the same things."""
    wanted = {thing: _words(texts) for thing, texts in index_of(entries).items()}
    held: dict[str, set[str]] = {}
    twice: set[str] = set()
    for thing, *texts in reader.rows("SELECT thing, code, title, body FROM search"):
        if thing in held:
            twice.add(thing)
        held[thing] = _words(texts)
    amiss = {thing for thing in {*wanted, *held} if wanted.get(thing) != held.get(thing)} | twice
    what = "The search does not find this as it is written."
    return [Finding("index", what, f"search {thing}", _REPAIR) for thing in sorted(amiss)]


def _words(texts: Iterable[str]) -> set[str]:
    return set(" ".join(str(t) for t in texts).split())
