"""The whole book as plain files in one folder, to be read without this program.

Every line of every noun goes out, also corrected and withdrawn ones, as text that any spreadsheet opens. What is
read back by `imports` makes the same book again.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

from barkslip.domain.book import ExportReport
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.columns import SEEN, described, summary
from barkslip.fieldbook.connection import SCHEMA
from barkslip.fieldbook.csv_files import write_rows
from barkslip.fieldbook.digest import digest_of
from barkslip.fieldbook.export_readme import readme
from barkslip.fieldbook.export_weather import write_weather
from barkslip.fieldbook.files import disk_told_plainly
from barkslip.fieldbook.folders import new_folder
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.rows import NOUNS, REFERENCES, spec

#: Version of the folder's layout. A reader knows all up to its own.
FORMAT = 1
CHECKSUMS = "checksums.sha256"
#: Notes of the book about itself that stay behind, by how they begin: those about the files of one computer, and those
#: about lists that do not go out (a new book that claimed to have them would be believed).
LEFT_META = ("backup", "knowledge")
Progress = Callable[[int, int, str], None]


def export(book: Book, folder: Path, *, progress: Progress | None = None, now: datetime | None = None) -> ExportReport:
    """Write everything the book holds into a new folder.

    Parameters
    ----------
    folder : Path
        New or empty. It is there when all is written, and not before.
    progress : callable, optional
        Told (files done, files in all, name of the file).
    now : datetime, optional
        UTC; written into book.json. Without it two exports of one book are alike to the last byte.

    Raises
    ------
    BookError
        If the folder is not empty, or the disk will not.
    """
    # the disk that is full is that of the folder, not that of the book
    with new_folder(folder) as part, book.read() as reader, disk_told_plainly(folder):
        photos = [str(r[0]) for r in reader.rows("SELECT DISTINCT file FROM photo ORDER BY file")]
        series = reader.rows("SELECT count(DISTINCT record) FROM block")[0][0]
        steps = _Steps(len(NOUNS) + int(series) + len(photos) + 1, progress)
        codes = _codes(reader)
        lines: dict[str, int] = {}
        for table in NOUNS:
            lines[table] = _write_noun(reader, table, part / f"{table}.csv", codes)
            steps.done(f"{table}.csv")
        readings, lost_blocks = write_weather(reader, part / "weather", steps.done)
        lost_photos = _copy_photos(book.files.photos, part / "photos", photos, steps.done)
        digest = "" if lost_blocks else digest_of(reader)
        about = {
            "format": FORMAT,
            "schema": SCHEMA,
            "made_by": "barkslip",
            "exported_utc": f"{now:%Y-%m-%dT%H:%M:%SZ}" if now else "",
            "digest": digest,
            "lines": lines,
            "left_out": [*lost_blocks, *lost_photos],
            "meta": {
                k: v for k, v in reader.rows("SELECT key, value FROM meta ORDER BY key") if not k.startswith(LEFT_META)
            },
        }
        _write_json(part / "book.json", about)
        _write_json(part / "columns.json", _columns())
        (part / "README.txt").write_text(_readme(reader), encoding="utf-8", newline="\n")
        files = _write_checksums(part)
        steps.done(CHECKSUMS)
        return ExportReport(
            folder=str(folder),
            lines=lines,
            readings=readings,
            photos=len(photos) - len(lost_photos),
            files=files + 1,
            digest=digest,
            left_out=(*lost_blocks, *lost_photos),
        )


class _Steps:
    """Counts what is done for whoever watches."""

    def __init__(self, total: int, progress: Progress | None) -> None:
        self.total, self.count, self.progress = total, 0, progress

    def done(self, name: str) -> None:
        self.count += 1
        if self.progress:
            self.progress(self.count, self.total, name)


def _codes(reader: Reader) -> dict[str, str]:
    """Thing id -> short name for the eye."""
    out: dict[str, str] = {}
    shown = {"limb": "bearing || '-' || band || CASE path WHEN '' THEN '' ELSE '-' || path END", "record": "name"}
    for table in ("plot", "logger", "tree", "limb", "wood_lot", "graft", "trial", "record"):
        sql = f"SELECT thing, {shown.get(table, 'code')} FROM {table} ORDER BY current, id"
        out.update((str(thing), str(code)) for thing, code in reader.rows(sql))
    return out


def _write_noun(reader: Reader, table: str, path: Path, codes: dict[str, str]) -> int:
    """All lines of a noun, in the order they came into the book. Returns their number."""
    s = spec(NOUNS[table])
    names = [c.name for c in s.columns]
    bools = [i for i, c in enumerate(s.columns) if c.kind == "bool"]
    reals = [i for i, c in enumerate(s.columns) if c.kind == "real"]
    seen = [(c.name, i) for i, c in enumerate(s.columns) if c.name in REFERENCES]
    header = [*names, f"{SEEN}newest", *(f"{SEEN}{name}" for name, _ in seen)]
    count = 0

    def cells() -> Iterable[list[Any]]:
        nonlocal count
        for row in reader.connection.execute(f"SELECT {s.select}, {table}.current FROM {table} ORDER BY rowid"):
            count += 1
            out = list(row)
            for i in bools:
                out[i] = "yes" if row[i] else "no"
            for i in reals:
                # the shortest text that gives the very same number back
                out[i] = None if row[i] is None else repr(float(row[i]))
            out[-1] = "yes" if row[-1] else "no"
            out.extend(codes.get(row[i] or "", "") for _, i in seen)
            yield out

    write_rows(path, header, cells())
    return count


def _copy_photos(photos: Path, target: Path, names: list[str], done: Callable[[str], None]) -> list[str]:
    """Copy photos; sentences about those that are not there."""
    lost: list[str] = []
    for name in names:
        source = photos / name
        if source.parent == photos and source.is_file():
            target.mkdir(exist_ok=True)
            shutil.copyfile(source, target / name)
        else:
            lost.append(f"The photo {name} is named in the book but is not in its folder.")
        done(name)
    return lost


def _write_json(path: Path, data: Any) -> None:
    path.write_text(json.dumps(data, ensure_ascii=False, indent=1) + "\n", encoding="utf-8", newline="\n")


def _columns() -> dict[str, Any]:
    from barkslip.domain.weather import COLUMNS

    def words(table: str) -> list[dict[str, Any]]:
        out = []
        for d in described(table):
            one = {"name": d.name, "kind": d.kind, "unit": d.unit, "empty_means": d.empty, "meaning": d.words}
            out.append({**one, "values": list(d.values)} if d.values else one)
        return out

    return {
        **{f"{table}.csv": {"meaning": summary(noun), "columns": words(table)} for table, noun in NOUNS.items()},
        "weather/*/<year>.csv": {
            "meaning": "Readings of one weather series in one year of UTC.",
            "columns": [
                {"name": "time_utc", "kind": "time", "unit": "", "empty_means": "", "meaning": "Time in UTC."},
                *(
                    {"name": n, "kind": "number", "unit": unit, "empty_means": "no reading", "meaning": meaning}
                    for n, (unit, meaning, _) in COLUMNS.items()
                ),
            ],
        },
    }


def _write_checksums(part: Path) -> int:
    """SHA-256 of every file, in the form that `sha256sum -c` reads. Returns the number of files."""
    lines = []
    for path in sorted(p for p in part.rglob("*") if p.is_file()):
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        lines.append(f"{digest}  {path.relative_to(part).as_posix()}\n")
    (part / CHECKSUMS).write_text("".join(lines), encoding="utf-8", newline="\n")
    return len(lines)


def _readme(reader: Reader) -> str:
    gardens = reader.rows("SELECT name, invented FROM garden WHERE current AND NOT withdrawn ORDER BY id DESC LIMIT 1")
    name, invented = gardens[0] if gardens else ("", False)
    return readme(str(name), invented=bool(invented), format_version=FORMAT)
