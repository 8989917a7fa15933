"""`barkslip serve`: the pages, on this machine only."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from barkslip.cli.call import Call, common, pass_call

if TYPE_CHECKING:
    from barkslip.app.settings import Settings


@click.command("serve", short_help="Serve the pages of the book on this machine.")
@click.option("--host", metavar="ADDRESS", help="Address on this machine; 127.0.0.1 if left out.")
@click.option("--port", metavar="PORT", help="Port; 8321 if left out.")
@common
@pass_call
def command(call: Call, host: str | None, port: str | None) -> None:
    """Serve the pages of the book until stopped with Ctrl-C. Only this machine can open them."""
    call.flags.update({"host": host, "port": port})
    start(call, call.settings())


def start(call: Call, settings: Settings) -> None:
    """Serve until stopped; the address goes to stderr with --json, so that stdout holds JSON only."""
    from barkslip.web.server import serve

    serve(settings, tell=call.tell if call.as_json else call.say)
