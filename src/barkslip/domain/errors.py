"""Everything that can go wrong, in one small tree.

BarkslipError
    InputError              what was typed cannot be right
        QuestionError       it may be right: say so and send it again
    NotFoundError           no such tree, graft, lot ...
    ConflictError           the book moved on meanwhile; nothing was overwritten
    KnowledgeError          a knowledge file is broken
    WeatherFileError        a weather file cannot be read, with line and column
    BookError               the book itself
        BookLockedError     somebody else is writing and did not stop in time
        BookReadOnlyError   the file or its folder cannot be written
        BookCorruptError    the file is damaged or is no book
        BookVersionError    the book is newer than this program
        DiskFullError       no room left

Each error says what was given, what is allowed and what to do next. Not knowing is no error.
"""

from __future__ import annotations


class BarkslipError(Exception):
    """Base of all errors that a user can meet.

    Parameters
    ----------
    problem : str
        One sentence: what is wrong.
    given : str
        What was given, as typed; empty if nothing was.
    allowed : str
        What would be accepted.
    next_step : str
        What to do now.
    field : str
        Name of the form field or option, if one is to blame.
    """

    def __init__(
        self, problem: str, *, given: str = "", allowed: str = "", next_step: str = "", field: str = ""
    ) -> None:
        self.problem = problem
        self.given = given
        self.allowed = allowed
        self.next_step = next_step
        self.field = field
        super().__init__(self.message)

    @property
    def message(self) -> str:
        """The whole message, one line a part."""
        parts = [self.problem]
        if self.given:
            parts.append(f"Given: {self.given}")
        if self.allowed:
            parts.append(f"Allowed: {self.allowed}")
        if self.next_step:
            parts.append(f"Next: {self.next_step}")
        return "\n".join(parts)


class InputError(BarkslipError):
    """What was typed cannot be right."""


class QuestionError(InputError):
    """What was typed may be right, but is more likely a slip. `answers` are what can be said to it.

    Parameters
    ----------
    code : str
        Short name of the question; sending it back as `sure` says "yes, as typed".
    answers : tuple of (value, words)
        The choices shown.
    """

    def __init__(
        self,
        problem: str,
        *,
        code: str,
        answers: tuple[tuple[str, str], ...],
        given: str = "",
        allowed: str = "",
        next_step: str = "",
        field: str = "",
    ) -> None:
        self.code = code
        self.answers = answers
        super().__init__(problem, given=given, allowed=allowed, next_step=next_step, field=field)


class NotFoundError(BarkslipError):
    """No such thing in the book."""


class ConflictError(BarkslipError):
    """The book moved on meanwhile; nothing was overwritten."""


class KnowledgeError(BarkslipError):
    """A knowledge file is broken."""


class WeatherFileError(BarkslipError):
    """A weather file cannot be read. `line` and `column` count from 1; 0 means the whole file."""

    def __init__(
        self,
        problem: str,
        *,
        line: int = 0,
        column: str = "",
        given: str = "",
        allowed: str = "",
        next_step: str = "",
        field: str = "",
    ) -> None:
        self.line = line
        self.column = column
        super().__init__(problem, given=given, allowed=allowed, next_step=next_step, field=field)


class BookError(BarkslipError):
    """Something about the book's file."""


class BookLockedError(BookError):
    """Somebody else is writing and did not stop in time."""


class BookReadOnlyError(BookError):
    """The book's file or folder cannot be written."""


class BookCorruptError(BookError):
    """The book's file is damaged, or is no book."""


class BookVersionError(BookError):
    """The book was written by a newer program."""


class DiskFullError(BookError):
    """No room left on the disk."""
