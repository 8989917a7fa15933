"""`barkslip plot`: the plots of the garden."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing

if TYPE_CHECKING:
    from barkslip.domain.garden import Plot

_PLOT = (
    ("code", "CODE", "Short name for commands."),
    ("walk_order", "N", "Place in the walk-round."),
    ("still_offset_k", "K", "What its low differs by from the garden's screen on still nights [K]; colder is minus."),
    ("note", "TEXT", "Anything else."),
)


@click.group("plot", cls=Noun, short_help="The plots of the garden.")
@common
def command() -> None:
    """Plots: parts of the garden with their own cold and heat."""


@command.command("list", short_help="Plots in walking order.")
@common
@pass_call
def list_(call: Call) -> None:
    """Plots in walking order."""
    from barkslip.app.garden import plots

    found = plots(call.open())
    if call.as_json:
        call.json({"plots": found})
        return
    from barkslip.present.weather import offset_words

    rows = [(p.code, p.name, offset_words(p, call.units), p.note) for p in found]
    call.screen.table(("!Code", "Name", "Cold", "Note"), rows)


@command.command("new", short_help="Add a plot.")
@click.argument("name")
@fields(*_PLOT)
@writing
@common
@pass_call
def new(call: Call, /, **given: Any) -> None:
    """Add a plot called NAME."""
    from barkslip.app.garden import save_plot

    ctx = call.open()
    _saved(call, call.write(typed(given), lambda f: save_plot(ctx, f)), "is in the book")


@command.command("edit", short_help="Correct a plot.")
@click.argument("plot", metavar="CODE")
@fields(("name", "NAME", "What you call it."), *_PLOT)
@writing
@common
@pass_call
def edit(call: Call, /, plot: str, **given: Any) -> None:
    """Correct the plot CODE: what is not typed stays as it is; "" empties a field."""
    from barkslip.app.garden import save_plot

    ctx = call.open()
    _saved(call, call.write(typed(given), lambda f: save_plot(ctx, f, code=plot)), "is corrected")


def _saved(call: Call, plot: Plot, words: str) -> None:
    if call.as_json:
        call.json({"plot": plot})
    else:
        call.say(f"{plot.code} {plot.name} {words}.")
    call.backed_up()
