"""Help: the list at the top says what each command says of itself, without loading any."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import click
import pytest

from barkslip import __version__
from barkslip.cli.main import COMMANDS, barkslip


def every_command() -> list[tuple[str, click.Command]]:
    """("graft list", command) of all commands and groups."""

    def below(name: str, command: click.Command) -> list[tuple[str, click.Command]]:
        found = [(name, command)]
        if isinstance(command, click.Group):
            ctx = click.Context(command)
            for sub in command.list_commands(ctx):
                inner = command.get_command(ctx, sub)
                assert inner is not None
                found += below(f"{name} {sub}", inner)
        return found

    ctx = click.Context(barkslip)
    out = []
    for name in COMMANDS:
        command = barkslip.get_command(ctx, name)
        assert command is not None
        out += below(name, command)
    return out


def test_the_list_and_the_commands_say_the_same() -> None:
    ctx = click.Context(barkslip)
    said = {name: barkslip.get_command(ctx, name).short_help for name in COMMANDS}  # type: ignore[union-attr]
    assert said == COMMANDS


@pytest.mark.parametrize(("name", "command"), every_command(), ids=lambda v: v if isinstance(v, str) else "")
def test_every_command_explains_itself(run: Any, name: str, command: click.Command) -> None:
    said = run(*name.split(), "--help")
    assert (said.code, said.err) == (0, "")
    assert command.short_help
    for option in ("--json", "--units", "--book"):
        assert option in said.out
    for param in command.params:
        if isinstance(param, click.Option):
            assert param.help, f"{name} {param.name}"
            assert param.help.rstrip(" .,") != ""


def test_version(run: Any) -> None:
    assert run("--version").out == f"barkslip {__version__}\n"


def test_the_entry_point_runs_and_a_closed_pipe_is_no_fault(demo_folder: Any) -> None:
    words = [sys.executable, "-c", "from barkslip.cli.main import run; run()", "graft", "list", "--book", demo_folder]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == ""
        assert process.wait(timeout=60) in (0, 1)
