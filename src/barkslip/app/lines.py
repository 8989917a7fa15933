"""Beginning a line of the book: identifiers, corrections, and fields that stay as they were."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.domain.entry import Entry
from barkslip.domain.errors import InputError
from barkslip.fieldbook.reader import Reader

T = TypeVar("T")
E = TypeVar("E", bound=Entry)
Fields = Mapping[str, str]
_UUID = re.compile(r"^[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$")
_CODE = re.compile(r"^[A-Za-z0-9][A-Za-z0-9._\-]{0,23}$")


def door(ctx: Context, fields: Fields) -> Door:
    """The door for one set of typed fields; `sure` holds the codes of questions answered with "as typed"."""
    garden = ctx.garden()
    return Door(garden, ctx.units(garden), ctx.today(garden), tuple(fields.get("sure", "").split()))


def begin(ctx: Context, fields: Fields, old: Entry | None = None) -> dict[str, Any]:
    """What every line starts with: a new one, or a correction of `old`."""
    given = fields.get("id", "").strip().lower()
    if given and not _UUID.match(given):
        raise InputError(
            "Not an identifier.",
            given=given,
            allowed="a UUID, such as 0190163d-8694-739b-aea5-966c26f8ad91",
            next_step="Leave it out; one is made.",
            field="id",
        )
    new = given or ctx.new_id()
    return {
        "id": new,
        "thing": old.thing if old else new,
        "corrects": old.id if old else None,
        "made_utc": ctx.stamp(),
    }


def kept(fields: Fields, old: Entry | None, name: str, read: Callable[[], T], attr: str = "") -> T:
    """The typed value of a field; if it was not typed at all and a line is being corrected, what it was."""
    if old is not None and name not in fields:
        value: T = getattr(old, attr or name)
        return value
    return read()


def old_line(reader: Reader, noun: type[E], fields: Fields, thing: str) -> E:
    """The line that is corrected: the one the form was filled from, else the current one."""
    named = fields.get("corrects", "").strip()
    return reader.line(noun, named) if named else reader.get(noun, thing)


def already(reader: Reader, noun: type[E], fields: Fields) -> E | None:
    """The line with the client's own id, if it has been sent before."""
    given = fields.get("id", "").strip().lower()
    if not given:
        return None
    from barkslip.domain.errors import NotFoundError

    try:
        return reader.line(noun, given)
    except NotFoundError:
        return None


def check_code(code: str, called: str) -> str:
    """A short name that can stand in a command and in an address.

    Raises
    ------
    InputError
    """
    if not _CODE.match(code):
        raise InputError(
            f"Not a code for a {called}.",
            given=code or "(nothing)",
            allowed="1 to 24 letters, figures, dots, dashes; no spaces",
            next_step="Shorten it, such as T01, W12, LOW.",
            field="code",
        )
    return code


def free_code(reader: Reader, noun: type[Entry], code: str, old: Entry | None, called: str) -> str:
    """`code`, if no other thing has it.

    Raises
    ------
    InputError
    """
    check_code(code, called)
    from barkslip.fieldbook.rows import spec

    table = spec(noun).table
    rows = reader.rows(
        f"SELECT thing FROM {table} WHERE code = :code COLLATE NOCASE AND current AND NOT withdrawn", code=code
    )
    if any(row[0] != (old.thing if old else "") for row in rows):
        raise InputError(
            f"There is a {called} with that code already.",
            given=code,
            allowed="a code that is free",
            next_step="Choose another code, or correct the one that is there.",
            field="code",
        )
    return code


def next_code(reader: Reader, noun: type[Entry], letter: str, column: str = "code") -> str:
    """The next free code of a row such as T01, T02 ..."""
    from barkslip.fieldbook.rows import spec

    table = spec(noun).table
    numbers = [
        int(m[1])
        for (code,) in reader.rows(f"SELECT DISTINCT {column} FROM {table} WHERE current")
        if (m := re.fullmatch(rf"{letter}(\d+)", str(code)))
    ]
    return f"{letter}{max(numbers, default=0) + 1:02d}"
