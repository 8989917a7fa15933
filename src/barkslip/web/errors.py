"""Errors as answers: class -> HTTP status in one function."""

from __future__ import annotations

from barkslip.domain import errors as e

_STATUS: tuple[tuple[type[e.BarkslipError], int], ...] = (
    (e.QuestionError, 409),
    (e.InputError, 422),
    (e.NotFoundError, 404),
    (e.ConflictError, 409),
    (e.WeatherFileError, 422),
    (e.KnowledgeError, 500),
    (e.BookLockedError, 503),
    (e.BookReadOnlyError, 507),
    (e.DiskFullError, 507),
    (e.BookError, 500),
)


def status_of(error: e.BarkslipError) -> int:
    """The HTTP status that says the same as the error."""
    return next((status for kind, status in _STATUS if isinstance(error, kind)), 500)


def error_data(error: e.BarkslipError) -> dict[str, object]:
    """An error as JSON: one shape for all."""
    out: dict[str, object] = {
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
