"""`barkslip today`: what is due."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from barkslip.cli.call import Call, common, pass_call

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from barkslip.domain.cards import PlotToday, Today
    from barkslip.domain.due import Due


@click.command("today", short_help="What is due, what waits, and the nights around the day.")
@click.option("--on", metavar="DATE", help="Another day: what was due then, or will be if nothing is done.")
@common
@pass_call
def command(call: Call, on: str | None) -> None:
    """What is due by plot and in walking order, what waits for a verdict, and the nights around the day."""
    from barkslip.app.book import ensure_lists
    from barkslip.app.lines import door
    from barkslip.app.today import today

    ctx = call.open()
    ensure_lists(ctx)
    day = door(ctx, {}).day({"on": on}, "on", future=True).first if on else None
    found = today(ctx, day)
    if call.as_json:
        call.json({"today": found})
    else:
        show(call, found)


def show(call: Call, found: Today) -> None:
    """The day on the terminal."""
    from barkslip.present import day
    from barkslip.present.dates import day_text

    screen, units = call.screen, call.units
    invented = " · invented, for the demo" if found.garden.invented else ""
    screen.line(f"{found.garden.name} · {day_text(found.on)}{invented}", "bold")
    screen.line(day.headline(found))
    coldest = day.coldest_ahead(found, units)
    if coldest:
        screen.line(coldest)
    for plot in found.plots:
        _plot(call, found, plot)
    if found.cut:
        screen.line()
        screen.line("Long lists are cut here; the walk-round has them all: barkslip walk")


def _plot(call: Call, found: Today, plot: PlotToday) -> None:
    from barkslip.present.counts import many
    from barkslip.present.day import highs_text
    from barkslip.present.graft import title
    from barkslip.present.weather import plot_text

    screen = call.screen
    screen.head(f"{plot.plot.code} · {plot.plot.name}")
    screen.line(f"Nights: {plot_text(plot, call.units)}.", indent=2)
    highs = highs_text(plot, call.units)
    if highs:
        screen.line(f"Days: {highs}.", indent=2)
    if not plot.trees:
        screen.line("Nothing is due here.", indent=2)
        return
    for tree, grafts in plot.trees:
        screen.line(f"{tree.tree.code} {tree.tree.name}", "bold", indent=2)
        due_lines(call, tree.due, found.on, indent=4)
        for card in grafts:
            screen.line(f"{card.graft.code} · {title(card)}", indent=4)
            due_lines(call, card.due, found.on, indent=6)
    if plot.waiting:
        screen.line(f"{many(plot.waiting, 'graft waits', 'grafts wait')} for a verdict here.", indent=2)


def due_lines(call: Call, dues: Iterable[Due], on: date, *, indent: int) -> None:
    """What is due, one line each, late ones first and called late."""
    from barkslip.present import due

    rows = [("late" if due.is_late(d, on) else "due", due.text(d, on, call.units)) for d in due.open_now(dues, on)]
    if rows:
        call.screen.table(("!", ""), rows, indent=indent)
