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
