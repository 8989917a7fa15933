"""Forms of weather: bringing a file in, and typing lows and highs."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from barkslip.app import garden as gardens
from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.weather import EXPOSURES, KINDS
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill, choices

Typed = Mapping[str, str] | None
#: Days offered on the form of typed lows and highs.
LINES = 7


def import_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, held_name: str = "") -> FormView:
    """Bring a weather file in. A file that raised a question is held, so that it need not be sent twice."""
    with ctx.book.read() as reader:
        plots = gardens.plots_in_order(reader)
    fill = Fill(ctx, typed)
    file: tuple[FormField, ...]
    if held_name:
        file = (
            FormField("held", "", "hidden", fill.text("held")),
            FormField("held_name", "", "hidden", held_name),
        )
    else:
        file = (
            FormField(
                "file",
                "File",
                "file",
                required=True,
                help="EPW, TMY2, TMY3, ISD-Lite, any logger's CSV, CF NetCDF; found out by looking inside",
            ),
        )
    return FormView(
        title=f"Bring in {held_name}" if held_name else "Bring in weather",
        action="/weather/import",
        submit="Read it",
        here="weather",
        cancel="/weather",
        crumbs=(("/weather", "Weather"),),
        error=error,
        fields=(
            *(f for f in fill.hidden() if f.name != "id"),
            *file,
            FormField(
                "plot",
                "Measured in",
                "select",
                fill.text("plot"),
                options=(("", "a station elsewhere"), *((p.code, p.name) for p in plots)),
            ),
            FormField("name", "Name", value=fill.text("name"), help="Left empty, the file's own", more=True),
            FormField(
                "exposure",
                "How the sensor sat",
                "select",
                fill.text("exposure", default="not known"),
                options=choices(EXPOSURES),
            ),
            FormField(
                "kind",
                "What it is",
                "select",
                fill.text("kind"),
                options=choices(KINDS, first="as the file says"),
                more=True,
            ),
            FormField(
                "unit",
                "Temperatures in",
                "select",
                fill.text("unit"),
                options=(("", "as the file says"), ("°C", "°C"), ("°F", "°F")),
                more=True,
            ),
            FormField(
                "date_order",
                "3/4/2024 means",
                "select",
                fill.text("date_order"),
                options=(("", "as the file shows"), ("dmy", "3 April"), ("mdy", "4 March"), ("ymd", "year first")),
                more=True,
            ),
            FormField(
                "utc_offset_h",
                "Its clock, hours ahead of UTC",
                "number",
                fill.text("utc_offset_h"),
                unit="h",
                help="Left empty, the garden's",
                more=True,
            ),
            FormField(
                "columns", "Columns", value=fill.text("columns"), help="Only if asked: air_temp_c=Sensor 2", more=True
            ),
            FormField(
                "keep_rest",
                "Keep what can be read if some lines are broken",
                "checkbox",
                fill.ticked("keep_rest") if typed and typed.get("keep_rest") else False,
                more=True,
            ),
        ),
    )


def days_form(ctx: Context, typed: Typed, error: BarkslipError | None) -> FormView:
    """Type daily lows and highs of past or coming days."""
    given = typed or {}
    with ctx.book.read() as reader:
        plots = gardens.plots_in_order(reader)
    fill = Fill(ctx, typed)
    ahead = bool(given.get("forecast"))
    fields: list[FormField] = []
    for i in range(1, LINES + 1):
        # the day nearest to today stands first
        day = fill.today + timedelta(days=i if ahead else 1 - i)
        unit, line = fill.units.temperature, f"day {i}"
        fields += [
            FormField(f"day_{i}", "Day", "date", given.get(f"day_{i}", day.isoformat()), group=line),
            FormField(f"low_{i}", f"Low, {unit}", "number", given.get(f"low_{i}", ""), group=line),
            FormField(f"high_{i}", f"High, {unit}", "number", given.get(f"high_{i}", ""), group=line),
        ]
    nowhere = fill.garden.lat is None or fill.garden.lon is None
    here = given.get("plot", "") or (plots[0].code if len(plots) == 1 else "")
    return FormView(
        title="Lows and highs of coming days" if ahead else "Lows and highs of past days",
        action="/weather/days/new",
        here="weather",
        cancel="/weather",
        crumbs=(("/weather", "Weather"),),
        lead=(
            "The hours between a low and a high depend on the length of the day, so the garden's place is needed first."
            if nowhere
            else "Leave days empty that you do not know. The hours between follow a published curve of the day."
        ),
        first=("/garden/edit?next=/weather/days/new", "Say where the garden is") if nowhere else None,
        error=error,
        fields=(
            *(f for f in fill.hidden() if f.name != "id"),
            FormField("forecast", "", "hidden", "yes" if ahead else ""),
            FormField(
                "plot",
                "Plot",
                "select",
                here,
                options=(*(() if here else (("", "choose the plot"),)), *((p.code, p.name) for p in plots)),
                required=True,
            ),
            *fields,
        ),
    )
