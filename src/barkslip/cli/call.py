"""One call of the command: its common options, the book it opens, and what it prints."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

from barkslip.cli.text import plain
from barkslip.domain.errors import BarkslipError, QuestionError
from barkslip.domain.units import METRIC, UNIT_CHOICES, UnitChoice, unit_choice

if TYPE_CHECKING:
    from pathlib import Path

    from barkslip.app.context import Context
    from barkslip.app.settings import Settings
    from barkslip.cli.screen import Screen

T = TypeVar("T")
F = TypeVar("F", bound=Callable[..., Any])
Fields = dict[str, str]


class Call:
    """What one call of the command was given, and what it has opened.

    Parameters
    ----------
    as_json : bool
        Print one JSON document instead of words.
    """

    def __init__(self, *, as_json: bool = False) -> None:
        self.as_json = as_json
        self.flags: dict[str, str | None] = {}
        #: Field of a use case -> how its option is typed, "{}" standing for the value; for answers to questions.
        self.options: dict[str, str] = {}
        #: What was typed when a question came up.
        self.asked: Fields = {}
        self._ctx: Context | None = None
        self._screen: Screen | None = None

    def settings(self) -> Settings:
        """Settings in force: options, then the environment, then the book's own file."""
        from barkslip.app.settings import read_settings

        return read_settings(self.flags)

    def open(self) -> Context:
        """The book, opened once."""
        if self._ctx is None:
            from barkslip.app.context import open_context

            self.hold(open_context(self.settings()))
        assert self._ctx is not None
        return self._ctx

    def hold(self, ctx: Context) -> Context:
        """Take over a book that a use case has opened."""
        self.close()
        self._ctx = ctx
        return ctx

    def close(self) -> None:
        """Close the book."""
        if self._ctx is not None:
            self._ctx.book.close()
            self._ctx = None

    @property
    def units(self) -> UnitChoice:
        """Units to show: those asked for, else the open book's, else metric."""
        if self._ctx is not None:
            return self._ctx.units(self._ctx.garden())
        asked = self.settings().units
        return unit_choice(asked) if asked else METRIC

    @property
    def screen(self) -> Screen:
        """The terminal, for tables."""
        if self._screen is None:
            from barkslip.cli.screen import Screen

            self._screen = Screen()
        return self._screen

    def json(self, data: Mapping[str, Any], units: UnitChoice | None = None) -> None:
        """Print one JSON document, in `units` if they are not the book's."""
        import json

        from barkslip.present.records import record

        click.echo(json.dumps(record(data, units or self.units), ensure_ascii=False, indent=2))

    def say(self, text: str) -> None:
        """Print plain words, broken at the edge of a terminal; a pipe gets them as they are."""
        click.echo(_broken(plain(text)) if sys.stdout.isatty() else plain(text))

    def tell(self, text: str) -> None:
        """A line about how it is going: never between the lines of a result."""
        click.echo(plain(text), err=True)

    def write(self, fields: Mapping[str, str], do: Callable[[Fields], T]) -> T:
        """Write something down; a question is asked if somebody sits at the terminal."""
        typed = dict(fields)
        while True:
            try:
                return do(typed)
            except QuestionError as question:
                self.asked = typed
                if self.as_json or not (sys.stdin.isatty() and sys.stdout.isatty()):
                    raise
                from barkslip.cli.faults import ask

                ask(question, typed)

    def backed_up(self, days: float = 1.0) -> None:
        """Make a backup if the newest is old. What has been written stands, whatever becomes of it."""
        from datetime import timedelta

        from barkslip.app.book import keep_backups

        try:
            keep_backups(self.open(), timedelta(days=days))
        except (BarkslipError, OSError) as error:
            self.tell(f"It is written down, but no backup could be made.\n{error}")


def _broken(text: str) -> str:
    from shutil import get_terminal_size
    from textwrap import fill

    width = get_terminal_size().columns
    lines = text.split("\n")
    return "\n".join(
        fill(line, width, break_long_words=False, break_on_hyphens=False) if len(line) > width else line
        for line in lines
    )


def _keep(ctx: click.Context, param: click.Parameter, value: Any) -> Any:
    if value:
        call = ctx.find_root().ensure_object(Call)
        if param.name == "as_json":
            call.as_json = True
        else:
            call.flags[str(param.name)] = value
    return value


def common(command: F) -> F:
    """The options that every command takes, before or after its name."""
    for option in (
        click.option("--json", "as_json", is_flag=True, expose_value=False, callback=_keep,
                     help="Print one JSON document; keys carry their units."),
        click.option("--units", type=click.Choice(tuple(UNIT_CHOICES)), expose_value=False, callback=_keep,
                     help="Units to show and to read; else as the garden says."),
        click.option("--book", metavar="FOLDER", expose_value=False, callback=_keep,
                     help="Folder of the garden book; else the usual one."),
    ):  # fmt: skip
        command = option(command)
    return command


def writing(command: F) -> F:
    """The options of every command that writes."""
    command = click.option(
        "--sure", multiple=True, metavar="CODE", help="Answer a question with: yes, as typed. May be repeated."
    )(command)
    return click.option("--id", metavar="UUID", help="Number of the line, if you make your own.")(command)


def fields(*specs: tuple[str, str, str]) -> Callable[[F], F]:
    """Options whose words go to a use case as they are: (field, what to type, help)."""

    def add(command: F) -> F:
        for name, metavar, words in reversed(specs):
            command = click.option(f"--{name.replace('_', '-')}", name, metavar=metavar, help=words)(command)
        return command

    return add


def typed(given: Mapping[str, Any]) -> Fields:
    """Fields from options: what was not typed is left out, "" is kept and empties a field."""
    out = {name: str(value) for name, value in given.items() if value is not None and name != "sure"}
    if given.get("sure"):
        out["sure"] = " ".join(given["sure"])
    return out


class Noun(click.Group):
    """A group of commands about one noun."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)  # in the order in which they are used


pass_call = click.make_pass_decorator(Call)


def path_of(text: str) -> Path:
    """A path as typed, ~ read."""
    from pathlib import Path

    return Path(text).expanduser()
