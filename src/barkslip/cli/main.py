"""The command `barkslip`: loads a command's file when it is called, and says errors plainly."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

import click

from barkslip import __version__
from barkslip.cli.call import Call, common
from barkslip.domain.errors import BarkslipError

#: Command -> what it is for. One file each; a test compares the words with the file's own.
COMMANDS = {
    "demo": "Build the demo garden, or open it, and look around.",
    "serve": "Serve the pages of the book on this machine.",
    "today": "What is due, what waits, and the nights around the day.",
    "walk": "The walk-round: grafts to look at, in walking order.",
    "look": "Write down what you see at a graft.",
    "act": "Write down something done: released, rubbed, watered ...",
    "graft": "Grafts: list, show, set, correct.",
    "tree": "Trees, their limbs, and what they stand on.",
    "wood": "Wood lots: where wood came from and what it turned out to be.",
    "trace": "Follow an infection or a wrong name through wood, grafts, trees and tools.",
    "event": "What happened: frost, hail, drought, notes.",
    "photo": "Keep pictures in the book.",
    "night": "What a cold night will hurt, and the least that prevents it.",
    "heat": "What will cook or dry out in the sun, and which cover to choose.",
    "days": "Which of the coming days are good to graft, and why.",
    "root": "What a tree stands on, by its looks, and what to look at next.",
    "fits": "What fits on a tree or a chain, and what is recorded of each join.",
    "chimera": "The long shot: a shoot out of the join, of two kinds in layers.",
    "fruit": "What the fruit of a variety on a tree or a stock may be, in ranges.",
    "ripe": "What is ripe when in the garden, gaps and what fills them, pollen and seeds.",
    "taste": "Fruit tasted: juice scored, coded sheets, judged or too early.",
    "trial": "Small trials: plan, number needed, lot, readings, result.",
    "why": "Why a graft was lost: causes for and against, and the next look.",
    "worth": "Keep, rework or replace: years of good fruit that each way brings.",
    "scores": "The morning after: lows read, and how past answers have done.",
    "take": "What took, by method, cover, tree ...: ranges beside counts.",
    "weather": "Weather series: bring in, type in, sum up.",
    "plot": "The plots of the garden.",
    "garden": "The garden itself: place, clock, units.",
    "take-back": "Take back what never was; it stays in the book, struck out.",
    "find": "Find anything in the book.",
    "know": "What is known under a name, with sources.",
    "book": "The book as a whole: begin, check, back up, carry over.",
}
#: Over before there is any rubbish to collect: collecting would take a tenth of their time.
QUICK = ("look", "act")


class Commands(click.Group):
    """A group that imports a command only when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        if cmd_name not in QUICK:
            gc.enable()
        found: click.Command = import_module(f"barkslip.cli.{cmd_name.replace('-', '_')}").command
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from difflib import get_close_matches

            close = get_close_matches(args[0], COMMANDS, n=3)
            hint = f" Did you mean {' or '.join(close)}?" if close else ""
            raise click.UsageError(f"There is no command {args[0]!r}.{hint}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.command(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Look around first: barkslip demo",
)
@click.version_option(__version__, message="%(prog)s %(version)s")
@common
def barkslip() -> None:
    """A garden book for growers who graft fruit trees."""


def main(args: Sequence[str] | None = None) -> int:
    """Run one command.

    Returns
    -------
    int
        0 done; 2 what was typed cannot be right; 3 not in the book; 4 something about the book itself;
        130 stopped by the user.
    """
    words = list(sys.argv[1:] if args is None else args)
    call = Call(as_json="--json" in words)
    _write_utf8()
    try:
        code: Any = barkslip.main(words, prog_name="barkslip", standalone_mode=False, obj=call)
        return code if isinstance(code, int) else 0
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped. Nothing more was written.", err=True)
        return 130
    except BarkslipError as error:
        from barkslip.cli.faults import tell

        return tell(error, as_json=call.as_json, options=call.options, typed=call.asked)
    except click.ClickException as error:
        from barkslip.cli.faults import tell_usage

        return tell_usage(error, as_json=call.as_json)
    finally:
        call.close()


def _write_utf8() -> None:
    """A terminal that lacks a sign shows a ? for it rather than ending the program."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def run() -> None:
    """Entry point of the command `barkslip`."""
    gc.disable()  # until a command is known that needs it
    try:
        code = main()
        sys.stdout.flush()
    except BrokenPipeError:
        # whoever read the output has seen enough (barkslip tree list | head)
        import os

        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = 0
    sys.exit(code)
