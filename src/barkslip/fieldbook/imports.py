"""Making a book from an exported folder: all of it, or nothing."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from pathlib import Path, PurePosixPath
from typing import Any, NamedTuple

from barkslip.domain.book import ImportReport
from barkslip.domain.errors import BookError, BookVersionError, InputError
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.connection import SCHEMA
from barkslip.fieldbook.csv_files import bad_row, read_rows
from barkslip.fieldbook.digest import book_digest, digest_of
from barkslip.fieldbook.export import CHECKSUMS, FORMAT, Progress
from barkslip.fieldbook.files import disk_told_plainly
from barkslip.fieldbook.folders import new_folder
from barkslip.fieldbook.import_rows import Lines, parse_lines
from barkslip.fieldbook.import_weather import Block, read_weather
from barkslip.fieldbook.rows import NOUNS, REFERENCES, spec
from barkslip.fieldbook.search import rebuild
from barkslip.fieldbook.writer import Writer

__all__ = ["book_digest", "import_folder"]


class _Parsed(NamedTuple):
    """Everything of an export, read and checked, before anything is written."""

    meta: dict[str, str]
    nouns: list[Lines]
    blocks: list[Block]
    readings: int
    photos: list[str]


def import_folder(folder: Path, target: Path, *, progress: Progress | None = None) -> ImportReport:
    """Make a new book from an exported folder.

    Parameters
    ----------
    folder : Path
        As written by `export`. Checksums are checked first.
    target : Path
        Folder of the new book: new or empty. It is there when all is read, and not before.
    progress : callable, optional
        Told (steps done, steps in all, what is done).

    Raises
    ------
    InputError
        If this is no exported folder, a file is missing or changed, or a row cannot be read: named by file, line
        and column.
    BookVersionError
        If the export was written by a newer program.
    BookError
        If `target` is taken, or the disk will not.
    """

    def tell(step: int, what: str) -> None:
        if progress:
            progress(step, 4, what)

    with disk_told_plainly(folder):
        about = _read_about(folder)
        names = _verify(folder)
        tell(1, "checksums")
        parsed = _parse(folder, about, names)
        tell(2, "rows")
    with new_folder(target) as part:
        book = Book.create(part)
        try:
            with book.write() as writer:
                _write(writer, parsed)
                digest = digest_of(writer)
        finally:
            book.close()
        tell(3, "book")
        filled = tuple(name for lines in parsed.nouns for name in lines.filled)
        said = str(about.get("digest", ""))
        if said and digest != said and not filled and about.get("schema") == SCHEMA:
            raise BookError(
                "The new book would not be the same as the exported one. Nothing was imported.",
                given=f"digest {digest}, the export says {said}",
                next_step="Export once more with this version of the program, then import that.",
            )
        for name in parsed.photos:
            shutil.copyfile(folder / "photos" / name, part / "photos" / name)
        tell(4, "photos")
    return ImportReport(
        folder=str(target),
        lines={lines.table: len(lines.rows) for lines in parsed.nouns},
        readings=parsed.readings,
        photos=len(parsed.photos),
        digest=digest,
        same=digest == said,
        ignored=tuple(name for lines in parsed.nouns for name in lines.ignored),
        filled=filled,
    )


def _read_about(folder: Path) -> dict[str, Any]:
    path = folder / "book.json"
    if not path.is_file() or not (folder / CHECKSUMS).is_file():
        raise InputError(
            "This folder is no exported book.",
            given=str(folder),
            allowed=f"a folder with book.json and {CHECKSUMS} in it",
            next_step="Choose the folder that was written by: barkslip book export",
        )
    try:
        about = json.loads(path.read_text(encoding="utf-8"))
        version = int(about["format"])
        about["lines"] = {str(k): int(v) for k, v in about["lines"].items()}
        about["meta"] = {str(k): str(v) for k, v in about.get("meta", {}).items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        raise InputError(
            "A file cannot be read: book.json. Nothing was imported.",
            given=str(path),
            allowed="JSON as it was exported",
            next_step="Import an unchanged copy of the exported folder.",
        ) from None
    if version > FORMAT:
        raise BookVersionError(
            "This folder was written by a newer barkslip.",
            given=f"folder format {version}, this program knows up to {FORMAT}",
            next_step="Update barkslip, then import it again. Nothing was changed.",
        )
    return dict(about)


def _verify(folder: Path) -> set[str]:
    """Check every file named in the list of checksums. Returns their names."""
    names: set[str] = set()
    for i, line in enumerate((folder / CHECKSUMS).read_text(encoding="utf-8").splitlines(), start=1):
        match = re.fullmatch(r"([0-9a-f]{64})  (.+)", line)
        if not match or PurePosixPath(match[2]).is_absolute() or ".." in PurePosixPath(match[2]).parts:
            raise bad_row(CHECKSUMS, i, "", line, "a SHA-256, two spaces, and the name of a file in this folder")
        path = folder / match[2]
        if not path.is_file():
            raise _changed("A file of the exported folder is missing", match[2])
        with path.open("rb") as file:
            if hashlib.file_digest(file, "sha256").hexdigest() != match[1]:
                raise _changed("A file of the exported folder was changed", match[2])
        names.add(match[2])
    if "book.json" not in names:
        raise _changed("A file is missing from the list of checksums", "book.json")
    return names


def _changed(what: str, name: str) -> InputError:
    return InputError(
        f"{what}. Nothing was imported.",
        given=name,
        allowed=f"all files as listed in {CHECKSUMS}",
        next_step="Copy the exported folder again from where it was whole.",
    )


def _parse(folder: Path, about: dict[str, Any], names: set[str]) -> _Parsed:
    nouns: list[Lines] = []
    for table in NOUNS:
        name = f"{table}.csv"
        if name not in names:
            # older exports do not know every noun; one that was written must be there
            if table in about["lines"]:
                raise _changed("A file is missing from the list of checksums", name)
            continue
        lines = parse_lines(table, read_rows(folder / name, name))
        if len(lines.rows) != about["lines"].get(table):
            raise InputError(
                f"A file does not have its number of lines: {name}. Nothing was imported.",
                given=f"{len(lines.rows)} lines, book.json says {about['lines'].get(table)}",
                next_step="Copy the exported folder again from where it was whole.",
            )
        nouns.append(lines)
    things = _things(nouns)
    _check_references(nouns, things)
    series = sorted(n for n in names if re.fullmatch(r"weather/[^/]+/series\.json", n))
    blocks: list[Block] = []
    readings = 0
    for name in series:
        years = sorted(n for n in names if re.fullmatch(rf"{re.escape(name[: -len('series.json')])}\d{{4}}\.csv", n))
        part, n = read_weather(folder, name, years, things)
        blocks += part
        readings += n
    photos = sorted(n.removeprefix("photos/") for n in names if re.fullmatch(r"photos/[^/\\]+", n))
    return _Parsed(about["meta"], nouns, blocks, readings, photos)


def _things(nouns: list[Lines]) -> dict[str, str]:
    """Thing id -> noun, from the first lines."""
    things: dict[str, str] = {}
    for lines in nouns:
        for row, line in zip(lines.rows, lines.lines, strict=True):
            if row["corrects"] is not None:
                continue
            if row["id"] != row["thing"]:
                raise bad_row(lines.name, line, "thing", row["thing"], "the line's own id, or a line that it corrects")
            if row["id"] in things:
                raise bad_row(lines.name, line, "id", row["id"], "each id once")
            things[row["id"]] = lines.table
    return things


def _check_references(nouns: list[Lines], things: dict[str, str]) -> None:
    """Every name of another line must lead somewhere; a correction stands after what it corrects."""
    for lines in nouns:
        pointers = [c.name for c in spec(NOUNS[lines.table]).columns if c.name in REFERENCES]
        above: dict[str, str] = {}
        for row, line in zip(lines.rows, lines.lines, strict=True):
            if row["id"] in above:
                raise bad_row(lines.name, line, "id", row["id"], "each id once")
            if row["corrects"] is not None and above.get(row["corrects"]) != row["thing"]:
                raise bad_row(lines.name, line, "corrects", row["corrects"], "the id of a line above, same thing")
            above[row["id"]] = row["thing"]
            for column in pointers:
                if row[column] is not None and row[column] not in things:
                    raise bad_row(lines.name, line, column, row[column], "the thing of a line in this folder")


def _write(writer: Writer, parsed: _Parsed) -> None:
    for lines in parsed.nouns:
        firsts = [{"id": row["id"], "kind": lines.table} for row in lines.rows if row["corrects"] is None]
        writer.run_many("INSERT INTO thing (id, kind) VALUES (:id, :kind)", firsts)
    entries = []
    for lines in parsed.nouns:
        s = spec(NOUNS[lines.table])
        names = [c.name for c in s.columns]
        corrected = {row["corrects"] for row in lines.rows}
        writer.run_many(
            f"INSERT INTO {s.table} ({', '.join(names)}, current) VALUES (:{', :'.join(names)}, :current)",
            [{**row, "current": int(row["id"] not in corrected)} for row in lines.rows],
        )
        entries += [s.build([row[n] for n in names]) for row in lines.rows]
    writer.run_many(
        "INSERT INTO block (record, month, name, readings, data) VALUES (:record, :month, :name, :readings, :data)",
        [block._asdict() for block in parsed.blocks],
    )
    for key, value in parsed.meta.items():
        writer.set_meta(key, value)
    rebuild(writer.connection, entries)
