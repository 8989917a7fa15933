"""`barkslip ripe`: what is ripe when in the garden, gaps, pollen partners and seeds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from barkslip.cli.call import Call, common, pass_call

if TYPE_CHECKING:
    from barkslip.domain.calendar import RipeYear

_LETTERS = "JFMAMJJASOND"


@click.command("ripe", short_help="What is ripe when in the garden, gaps and what fills them, pollen and seeds.")
@common
@pass_call
def command(call: Call, /) -> None:
    """The year of citrus fruit in the garden by half months, turned to its half of the world.

    Then the months with nothing for the hand and the varieties that would fill them, and pollen partners: who sets
    whose fruit, and what brought the seeds.
    """
    from barkslip.app.calendar import ripe_year

    year = ripe_year(call.open())
    if call.as_json:
        from barkslip.present.fruit_data import ripe_data

        call.json(ripe_data(year))
        return
    show(call, year)


def show(call: Call, y: RipeYear) -> None:
    """The year on the terminal."""
    from barkslip.present import calendar

    screen = call.screen
    screen.line(calendar.headline(y), "bold")
    screen.line(calendar.lead(y))
    screen.head("The year")
    bar = "".join(f"{letter} " for letter in _LETTERS)
    rows = [
        (r.kind.name, "".join(_sign(r.ripe_in(h), r.kitchen) for h in range(24)), calendar.places_text(r))
        for r in y.ripe
        if r.windows
    ]
    screen.table(("Kind", f"!{bar}", "Where"), rows)
    screen.line("█ for the hand, ▒ for the kitchen; two signs a month.")
    for gap in y.gaps:
        screen.head(f"Nothing for the hand: {calendar.gap_text(gap)}. What would fill it")
        screen.table(("!", ""), [("-", calendar.fill_text(kind, share)) for kind, share in gap.fills], indent=2)
    for card in y.pollen:
        screen.head(f"Pollen: {card.ripe.kind.name}")
        screen.line(f"{calendar.pollen_words(card)} {calendar.partners_text(card)}")
        for seeds in card.seeds:
            screen.line(calendar.seeds_text(seeds, card.ripe.kind.name))
            if seeds.explains is not None:
                screen.line(calendar.WAYS)
    if y.unknown:
        screen.head("Not in the year: names of which no months are known")
        screen.line("; ".join(y.unknown))


def _sign(ripe: bool, kitchen: bool) -> str:
    return ("▒" if kitchen else "█") if ripe else "·"
