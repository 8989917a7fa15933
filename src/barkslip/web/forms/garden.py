"""Forms of the garden and its plots."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill

Typed = Mapping[str, str] | None


def garden_form(ctx: Context, typed: Typed, error: BarkslipError | None) -> FormView:
    """Correct what is known about the garden."""
    fill = Fill(ctx, typed, ctx.garden())
    return FormView(
        title="The garden",
        action="/garden/edit",
        here="search",
        cancel=fill.typed.get("next", "/"),
        lead="Where it lies decides the months, the length of the day and the hot side of a limb.",
        error=error,
        fields=(
            *fill.hidden(),
            FormField("name", "Name", value=fill.text("name"), required=True),
            FormField(
                "lat",
                "Latitude",
                "number",
                fill.text("lat"),
                unit="°",
                help="South with a minus; two decimals do",
                group="place",
            ),
            FormField(
                "lon",
                "Longitude",
                "number",
                fill.text("lon"),
                unit="°",
                help="West of Greenwich with a minus",
                group="place",
            ),
            FormField(
                "utc_offset_h",
                "Clock, hours ahead of UTC",
                "number",
                fill.text("utc_offset_h"),
                unit="h",
                help="Standard time, without summer time",
            ),
            FormField("elevation_m", "Height over the sea", "number", fill.text("elevation_m"), unit="m", more=True),
            FormField(
                "units",
                "Units you think in",
                "radio",
                fill.text("units"),
                options=(
                    ("metric", "°C, mm, litres"),
                    ("us", "°F, inches, US gallons"),
                    ("imperial", "°F, inches, imperial gallons"),
                ),
            ),
            FormField(
                "date_order",
                "You write 3/4/2024 and mean",
                "radio",
                fill.text("date_order"),
                options=(("", "ask me"), ("dmy", "the 3rd of April"), ("mdy", "March the 4th")),
                more=True,
            ),
            FormField("soil", "Soil", value=fill.text("soil"), more=True),
            FormField("water", "Water", value=fill.text("water"), more=True),
            FormField(
                "rules",
                "What the plant-health authority asks here",
                "textarea",
                fill.text("rules"),
                help="In your words, with date and office. The program never says that a movement of wood is allowed",
                more=True,
            ),
        ),
    )


def plot_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, code: str = "") -> FormView:
    """Add a plot, or correct one."""
    old = None
    if code:
        with ctx.book.read() as reader:
            old = reader.by_code(Plot, code)
    fill = Fill(ctx, typed, old)
    return FormView(
        title=f"Correct plot {old.name}" if old else "Add a plot",
        action=f"/plots/{code}/edit" if old else "/plots/new",
        here="trees",
        cancel="/trees",
        crumbs=(("/trees", "Trees"),),
        lead="A part of the garden with its own cold and heat.",
        error=error,
        fields=(
            *fill.hidden(),
            FormField("name", "Name", value=fill.text("name"), required=True),
            FormField(
                "still_offset_k",
                "Colder or warmer than the garden's screen on still nights",
                "number",
                fill.text("still_offset_k"),
                unit="K",
                help="As you believe; loggers will tell. −2.6 for a cold hollow",
            ),
            FormField(
                "code", "Code", value=fill.text("code"), help="Short name such as LOW; empty, one is made", more=True
            ),
            FormField("walk_order", "Place in the walk-round", "number", fill.text("walk_order"), more=True),
            FormField("note", "Note", "textarea", fill.text("note"), more=True),
        ),
    )
