"""Lists of what a trace lives on: what is held, what blades cut, who was given wood."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from barkslip.app.context import Context
from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import Handout, Hold, ToolUse
from barkslip.domain.errors import InputError
from barkslip.domain.graft import Graft
from barkslip.domain.tree import Tree
from barkslip.fieldbook.reader import Reader

#: Fields of a line of which exactly one names what it is about.
TARGETS = ("tree", "graft", "lot")


def code_of(reader: Reader, kind: str, thing: str) -> str:
    """Code of a lot, a graft or a tree by its thing id.

    Raises
    ------
    InputError
        For a tool, which has none and is not held.
    """
    if kind == "tool":
        raise InputError(
            "A tool is cleaned, not held back.",
            given=thing,
            allowed="a lot, a graft or a tree",
            next_step="Clean it by a way that is recorded to work, and write its next use down with that.",
            field="things",
        )
    noun: Any = {"lot": WoodLot, "graft": Graft, "tree": Tree}[kind]
    return str(reader.get(noun, thing).code)


def code_about(reader: Reader, line: Hold | ToolUse) -> str:
    """Code of what a line is about."""
    kind = next(k for k in TARGETS if getattr(line, k))
    return code_of(reader, kind, getattr(line, kind))


def holds_of(reader: Reader, thing: str) -> list[Hold]:
    """Holds of one thing, newest first, lifted ones too."""
    return reader.every(
        Hold, "lot = :t OR graft = :t OR tree = :t", order="on_first DESC, id DESC", t=thing
    )  # fmt: skip


def held_things(ctx: Context, *things: str) -> list[Hold]:
    """What holds these things back today, newest first."""
    with ctx.book.read() as reader:
        return [h for thing in things for h in holds_of(reader, thing) if h.lifted is None]


def handouts_of(ctx: Context, lot: str) -> list[Handout]:
    """Who was given wood of a lot (thing id), oldest first."""
    with ctx.book.read() as reader:
        return reader.every(Handout, "lot = :lot", order="on_first, id", lot=lot)


def holds_in_force(ctx: Context) -> list[tuple[str, str, Hold]]:
    """What is held back: (kind, code, hold), newest first."""
    with ctx.book.read() as reader:
        found = reader.every(Hold, "lifted_first IS NULL", order="on_first DESC, id DESC")
        return [(_kind(h), code_about(reader, h), h) for h in found]


def tool_uses(ctx: Context, *, limit: int = 500) -> list[tuple[str, str, ToolUse]]:
    """Uses of tools: (kind, code, use), newest day first, in the order of each day."""
    with ctx.book.read() as reader:
        found = reader.every(ToolUse, order=f"on_first DESC, tool, place, id LIMIT {limit}")
        return [(_kind(u), code_about(reader, u), u) for u in found]


def all_handouts(ctx: Context) -> list[tuple[str, Handout]]:
    """Wood given away: (code of the lot, handout), newest first."""
    with ctx.book.read() as reader:
        found = reader.every(Handout, order="on_first DESC, id DESC")
        codes = reader.many(WoodLot, [h.lot for h in found])
        return [(codes[h.lot].code, h) for h in found]


def _kind(line: Hold | ToolUse) -> str:
    return next(k for k in TARGETS if getattr(line, k))


def codes_of(ctx: Context, lines: Sequence[Hold | ToolUse]) -> list[str]:
    """Codes of what some lines are about."""
    with ctx.book.read() as reader:
        return [code_about(reader, line) for line in lines]


def lot_code(ctx: Context, lot: str) -> str:
    """Code of a lot by its thing id."""
    with ctx.book.read() as reader:
        return reader.get(WoodLot, lot).code
