"""`barkslip garden`: the garden itself."""

from __future__ import annotations

from typing import Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing


@click.group("garden", cls=Noun, short_help="The garden itself: place, clock, units.")
@common
def command() -> None:
    """The garden itself: place, clock, units, and what the plant-health authority asks here."""


@command.command("show", short_help="What is known about the garden.")
@common
@pass_call
def show(call: Call) -> None:
    """What is known about the garden."""
    garden = call.open().garden()
    if call.as_json:
        call.json({"garden": garden})
        return
    from barkslip.domain.units import convert
    from barkslip.present.units import number

    unknown = "not known"
    place = height = unknown
    if garden.lat is not None and garden.lon is not None:
        north, east = ("north" if garden.lat >= 0 else "south"), ("east" if garden.lon >= 0 else "west")
        place = f"{number(abs(garden.lat), 2)}° {north}, {number(abs(garden.lon), 2)}° {east}"
    if garden.elevation_m is not None:
        metric = call.units.length == "metric"
        height = f"{number(garden.elevation_m)} m" if metric else f"{number(convert(garden.elevation_m, 'm', 'ft'))} ft"
    clock = number(garden.utc_offset_h, 0 if garden.utc_offset_h % 1 == 0 else 2, sign=True)
    rows = [
        ("Name", garden.name + (" (invented, for the demo)" if garden.invented else "")),
        ("Place", place),
        ("Height", height),
        ("Clock", f"standard time is UTC {clock} h, without summer time"),
        ("Units", garden.units),
        ("Dates", {"dmy": "3/4 is 3 April", "mdy": "3/4 is 4 March"}.get(garden.date_order, "3/4 is asked for")),
        ("Soil", garden.soil or unknown),
        ("Water", garden.water or unknown),
        ("Rules", garden.rules or "nothing written down; ask the plant-health authority before wood moves"),
    ]
    call.screen.table(("!", ""), rows)


@command.command("edit", short_help="Correct what is known about the garden.")
@fields(
    ("name", "NAME", "Name of the garden."),
    ("lat", "DEGREES", "Latitude, north positive."),
    ("lon", "DEGREES", "Longitude, east positive."),
    ("elevation_m", "METRES", "Height above the sea."),
    ("utc_offset_h", "HOURS", "Standard time minus UTC, without summer time."),
    ("typed_units", "CHOICE", "What you type when no unit is named: metric, us or imperial."),
    ("date_order", "ORDER", "How you write 3/4/2024: dmy or mdy; '' asks."),
    ("soil", "TEXT", "The soil."),
    ("water", "TEXT", "The water."),
    ("rules", "TEXT", "What the plant-health authority asks here."),
)
@writing
@common
@pass_call
def edit(call: Call, /, typed_units: str | None, **given: Any) -> None:
    """Correct what is known about the garden: what is not typed stays as it is; "" empties a field."""
    from barkslip.app.garden import correct_garden

    ctx = call.open()
    words = typed(given | {"units": typed_units})
    garden = call.write(words, lambda f: correct_garden(ctx, f))
    if call.as_json:
        call.json({"garden": garden})
    else:
        call.say(f"{garden.name} is corrected.")
    call.backed_up()
