"""`barkslip demo`: an invented garden to look around in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from barkslip.cli.call import Call, common, pass_call

if TYPE_CHECKING:
    from barkslip.app.settings import Settings


@click.command("demo", short_help="Build the demo garden, or open it, and look around.")
@click.option("--fresh", is_flag=True, help="Build it anew; what was written into the old demo is lost.")
@click.option("--serve/--no-serve", default=False, show_default=True, help="Serve its pages afterwards.")
@click.option("--port", metavar="PORT", help="Port for --serve.")
@common
@pass_call
def command(call: Call, fresh: bool, serve: bool, port: str | None) -> None:
    """Build the demo garden, or open it. It has a folder of its own and never touches your book.

    Everything in it is invented: a garden of citrus and other fruit trees over five years, with its weather.
    """
    from barkslip.app.book import ensure_lists, state
    from barkslip.app.demo import make_demo
    from barkslip.app.today import today

    settings = _settings(call, port)
    call.flags["book"] = str(settings.book)
    ctx = call.hold(make_demo(settings, fresh=fresh, tell=call.tell))
    ensure_lists(ctx)
    day, glance = today(ctx), state(ctx)
    address = f"http://{settings.host}:{settings.port}/"
    if call.as_json:
        call.json({"garden": day.garden, "book": glance, "today": day, "address": address})
    else:
        from barkslip.app.grafts import list_grafts
        from barkslip.cli.book import things_words
        from barkslip.domain.graft import VERDICTS
        from barkslip.present.counts import listed, many, tally
        from barkslip.present.day import headline

        call.say(f"{day.garden.name}, a garden invented for the demo, as of {day.on.isoformat()}.")
        call.screen.line(f"It holds {things_words(glance.things)}.")
        verdicts = {word: list_grafts(ctx, word=word, size=1)[1] for word in VERDICTS}
        call.say(f"Of {glance.things['graft']} grafts: {tally(verdicts, VERDICTS)}.")
        due = listed(f"{many(p.due, 'thing')} in {p.plot.name}" for p in day.plots if p.due)
        call.screen.line(headline(day).rstrip(".") + (f": {due}." if due else "."))
        call.say(f"Folder: {glance.folder}")
        if not serve:
            call.say(f"Pages:  barkslip demo --serve   then open {address}")
            call.say(f"Or:     barkslip today --book '{glance.folder}'")
    if serve:
        from barkslip.cli.serve import start

        call.close()
        start(call, settings)


def _settings(call: Call, port: str | None) -> Settings:
    """The demo's own folder beside the usual one, whatever book the environment names."""
    from barkslip.app.settings import read_settings, usual_folder

    folder = call.flags.get("book") or str(usual_folder().with_name("demo"))
    return read_settings({**call.flags, "book": folder, "port": port})
