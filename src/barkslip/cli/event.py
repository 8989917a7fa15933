"""`barkslip event`: what happened."""

from __future__ import annotations

from typing import Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing
from barkslip.domain.act import EVENTS


@click.group("event", cls=Noun, short_help="What happened: frost, hail, drought, notes.")
@common
def command() -> None:
    """What happened to the garden, a plot or a tree."""


@command.command("list", short_help="Events, newest first.")
@click.option("--kind", type=click.Choice(EVENTS), help="Only these.")
@common
@pass_call
def list_(call: Call, kind: str | None) -> None:
    """Events, newest first."""
    from barkslip.app.acts import all_events

    events = [e for e in all_events(call.open()) if kind in (None, e.kind)]
    if call.as_json:
        call.json({"events": events})
        return
    from barkslip.present.act import event_text
    from barkslip.present.dates import when_text

    if not events:
        call.say("No such event is written down.")
        return
    call.screen.table(("Day", "What"), [(when_text(e.on), event_text(e, call.units)) for e in events])


@command.command("new", short_help="Write down what happened.", epilog=f"Kinds: {', '.join(EVENTS)}.")
@click.argument("text")
@fields(
    ("kind", "KIND", "What it was; note if left out."),
    ("on", "DATE", "Day; today if left out."),
    ("plots", "CODES", "Plots concerned, comma-separated; the whole garden if left out."),
    ("tree", "CODE", "Tree concerned."),
)
@writing
@common
@pass_call
def new(call: Call, /, **given: Any) -> None:
    """Write down TEXT: what happened."""
    from barkslip.app.acts import log_event

    ctx = call.open()
    event = call.write(typed(given), lambda f: log_event(ctx, f))
    if call.as_json:
        call.json({"event": event})
    else:
        from barkslip.present.act import event_text
        from barkslip.present.counts import sentence
        from barkslip.present.dates import when_text

        call.say(f"{when_text(event.on)}: {sentence(event_text(event, call.units))}")
    call.backed_up()
