"""Errors as headings; their sentences come with them."""

from __future__ import annotations

from typing import Any

from barkslip.domain import errors as e

_TITLES: tuple[tuple[type[e.BarkslipError], str], ...] = (
    (e.QuestionError, "One question first"),
    (e.InputError, "Not written down yet"),
    (e.NotFoundError, "Not in the book"),
    (e.ConflictError, "The book moved on"),
    (e.WeatherFileError, "This weather file cannot be read"),
    (e.KnowledgeError, "A knowledge file is broken"),
    (e.BookLockedError, "Somebody else is writing"),
    (e.BookReadOnlyError, "The book cannot be written"),
    (e.BookCorruptError, "The book is damaged"),
    (e.BookVersionError, "The book is newer than this program"),
    (e.DiskFullError, "The disk is full"),
    (e.BookError, "Something is wrong with the book"),
)


def title(error: e.BarkslipError) -> str:
    """A heading for the kind of error."""
    return next((words for kind, words in _TITLES if isinstance(error, kind)), "Something went wrong")


def is_question(error: e.BarkslipError) -> bool:
    """True if it may be right and only asks."""
    return isinstance(error, e.QuestionError)


def place(error: e.BarkslipError) -> str:
    """ "line 12, column temp" of a weather file; empty for everything else."""
    if not isinstance(error, e.WeatherFileError) or not error.line:
        return ""
    return f"line {error.line}" + (f", column {error.column}" if error.column else "")


def error_data(error: e.BarkslipError) -> dict[str, Any]:
    """An error as plain data, one shape for pages, phone and command line."""
    out: dict[str, Any] = {
        "kind": type(error).__name__.removesuffix("Error").lower(),
        "problem": error.problem,
        "given": error.given,
        "allowed": error.allowed,
        "next": error.next_step,
        "field": error.field,
    }
    if isinstance(error, e.QuestionError):
        out["question"] = {"code": error.code, "answers": [{"value": v, "words": w} for v, w in error.answers]}
    if isinstance(error, e.WeatherFileError):
        out |= {"line": error.line, "column": error.column}
    return {"error": out}
