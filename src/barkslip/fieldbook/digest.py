"""One number for all facts of a book, to prove that two books are the same."""

from __future__ import annotations

import hashlib
import json

from barkslip.fieldbook.book import Book
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.rows import NOUNS, spec
from barkslip.fieldbook.series import VALUE_TYPE


def book_digest(book: Book) -> str:
    """SHA-256 over every line of every noun, in the order of their ids, and over all weather blocks.

    Lists that can be worked out again (`current`, what is due, the search index) and the book's notes about itself
    do not count. A reading that is missing counts the same whichever bits stand for it (IEEE 754 has many).
    """
    with book.read() as reader:
        return digest_of(reader)


def digest_of(reader: Reader) -> str:
    """`book_digest` within a view that is open already."""
    total = hashlib.sha256()
    for table, noun in NOUNS.items():
        s = spec(noun)
        names = [c.name for c in s.columns]
        total.update(f"\n{table} {' '.join(names)}\n".encode())
        for row in reader.connection.execute(f"SELECT {s.select} FROM {table} ORDER BY id"):
            total.update(json.dumps(row, ensure_ascii=True, separators=(",", ":")).encode())
            total.update(b"\n")
    total.update(b"\nblock\n")
    for record, month, name, readings, data in reader.connection.execute(
        "SELECT record, month, name, readings, data FROM block ORDER BY record, month, name"
    ):
        total.update(f"{record} {month} {name} {readings}\n".encode())
        total.update(plain_bytes(name, data))
    return total.hexdigest()


def plain_bytes(name: str, data: bytes) -> bytes:
    """A block's bytes with one and the same pattern for every missing reading."""
    import numpy as np

    if name == "time_s" or len(data) % np.dtype(VALUE_TYPE).itemsize:
        return data
    values = np.frombuffer(data, dtype=VALUE_TYPE)
    missing = np.isnan(values)
    if not missing.any():
        return data
    plain = values.copy()
    plain[missing] = np.nan
    return plain.tobytes()
