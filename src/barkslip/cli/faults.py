"""Errors in a terminal: the message, how to answer a question, and the exit code."""

from __future__ import annotations

import json
from collections.abc import Mapping
from shlex import quote
from types import MappingProxyType

import click

from barkslip.cli.text import plain
from barkslip.domain import errors as e

#: What was typed cannot be right; not in the book; something about the book itself.
INPUT, NOT_FOUND, BOOK = 2, 3, 4


def _stops(value: str) -> bool:
    """True for an answer that does not go on with what was typed ("cancel", "same:T01")."""
    return value.partition(":")[0] in ("cancel", "same")


def exit_code(error: e.BarkslipError) -> int:
    """Exit code of an error."""
    if isinstance(error, e.NotFoundError):
        return NOT_FOUND
    if isinstance(error, (e.BookError, e.ConflictError)):
        return BOOK
    return INPUT


def tell(
    error: e.BarkslipError,
    *,
    as_json: bool,
    options: Mapping[str, str],
    typed: Mapping[str, str] = MappingProxyType({}),
) -> int:
    """Say an error, in words to stderr or as JSON to stdout; its exit code.

    Parameters
    ----------
    options : mapping
        Field -> how its option is typed, "{}" standing for the value.
    typed : mapping
        Fields as typed when a question came up.
    """
    if as_json:
        from barkslip.present.fault import error_data

        click.echo(json.dumps(error_data(error), ensure_ascii=False, indent=2))
        return exit_code(error)
    click.echo(plain(error.message), err=True)
    if isinstance(error, e.QuestionError):
        click.echo(plain(_answers(error, options, typed)), err=True)
    return exit_code(error)


def tell_usage(error: click.ClickException, *, as_json: bool) -> int:
    """Say what is wrong with the command itself."""
    where = error.ctx.command_path if isinstance(error, click.UsageError) and error.ctx else "barkslip"
    problem = e.InputError(error.format_message(), next_step=f"See: {where} --help")
    return tell(problem, as_json=as_json, options={})


def _answers(question: e.QuestionError, options: Mapping[str, str], typed: Mapping[str, str]) -> str:
    """How each answer is typed."""
    lines = []
    for value, words in question.answers:
        if _stops(value):
            lines.append(("(write nothing)", words))
        elif value == question.code:
            lines.append((f"--sure {value}", words))
        else:
            pattern = options.get(question.field, f"--{question.field.replace('_', '-')} {{}}")
            said = _replaced(question, value, typed.get(question.field, ""))
            lines.append((pattern.format(quote(said)), words))
    width = max((len(a) for a, _ in lines), default=0)
    return "\n".join(["Answer with:", *(f"  {a:<{width}}  {words}" for a, words in lines)]) if lines else ""


def _replaced(question: e.QuestionError, value: str, was: str) -> str:
    """What the field says once the question is answered; of an amount, only its unit was asked."""
    if question.code != "gallon":
        return value
    number = was.rstrip().rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ. ")
    return f"{number} {value}".strip()


def ask(question: e.QuestionError, fields: dict[str, str]) -> None:
    """Ask at the terminal and put the answer into the fields.

    Raises
    ------
    QuestionError
        If the answer is to leave it.
    """
    click.echo(plain(question.problem), err=True)
    if question.allowed:
        click.echo(plain(f"Allowed: {question.allowed}"), err=True)
    choices = [*question.answers]
    if not any(_stops(value) for value, _ in choices):
        choices.append(("cancel", "leave it, write nothing"))
    for number, (_, words) in enumerate(choices, 1):
        click.echo(plain(f"  {number}  {words}"), err=True)
    chosen = click.prompt("Which", type=click.IntRange(1, len(choices)), err=True)
    value = choices[chosen - 1][0]
    if _stops(value):
        raise click.Abort
    if value == question.code or not question.field:
        fields["sure"] = f"{fields.get('sure', '')} {question.code}".strip()
    else:
        fields[question.field] = _replaced(question, value, fields.get(question.field, ""))
        if question.code == "unusual":
            fields["sure"] = f"{fields.get('sure', '')} {question.code}".strip()
