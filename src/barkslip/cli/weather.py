"""`barkslip weather`: weather series."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, path_of, typed, writing

if TYPE_CHECKING:
    from barkslip.domain.cards import SeriesCard, SeriesStory


_READING = (
    ("date_order", "ORDER", "How the file writes dates: dmy, mdy or ymd."),
    ("unit", "UNIT", "Unit of temperatures whose heading names none: °C or °F."),
    ("columns", "MAP", "Our column = its heading, comma-separated: 'air_temp_c=Probe 2'."),
    ("utc_offset_h", "HOURS", "Clock of the file minus UTC."),
)


@click.group("weather", cls=Noun, short_help="Weather series: bring in, type in, sum up.")
@common
def command() -> None:
    """Weather series: bring in, type in, sum up."""


@command.command("list", short_help="All series in the book.")
@common
@pass_call
def list_(call: Call) -> None:
    """All series in the book, by plot in walking order, then those from elsewhere."""
    from barkslip.app.weather import all_series

    cards = all_series(call.open())
    if call.as_json:
        call.json({"series": cards})
        return
    if not cards:
        call.say("No weather is in the book yet. Next: barkslip weather import FILE --plot CODE")
        return
    from datetime import date

    from barkslip.present.dates import range_text

    rows = []
    for card in cards:
        span = range_text(date.fromisoformat(card.first_day), date.fromisoformat(card.last_day))
        rows.append((card.plot_code or "-", card.info.name, card.info.kind, span, str(card.readings)))
    call.screen.table(("!Plot", "Series", "Kind", "Days", ">Readings"), rows)


@command.command("import", short_help="Read a weather file into the book.")
@click.argument("file")
@fields(
    ("plot", "CODE", "Plot it was measured in; a station elsewhere if left out."),
    ("name", "NAME", "What you call the series."),
    ("kind", "KIND", "measured, typical year or forecast; told from the file if left out."),
    *_READING,
    ("exposure", "TEXT", "How the sensor sat: screen, home-made shield, bare probe, under a cover."),
    ("logger", "CODE", "Logger that wrote it."),
)
@click.option("--keep-rest", is_flag=True, help="Keep what can be read of a file with broken lines, and list those.")
@writing
@common
@pass_call
def import_(call: Call, /, file: str, keep_rest: bool, **given: Any) -> None:
    """Read FILE into the book: EPW, TMY2, TMY3, ISD-Lite, CF NetCDF, or a logger's table.

    What the file leaves open (units, the order of dates, which column) is asked, never guessed. A file with a broken
    line is refused and the line named.
    """
    from barkslip.app.weather import import_file
    from barkslip.domain.errors import WeatherFileError

    ctx = call.open()
    words = typed(given) | ({"keep_rest": "yes"} if keep_rest else {})
    call.options["columns"] = "--columns air_temp_c={}"
    try:
        card = call.write(words, lambda f: import_file(ctx, path_of(file), f))
    except WeatherFileError as error:
        if error.line and not keep_rest:
            error.next_step += " To do that: --keep-rest"
        raise
    _kept(call, card)


@command.command("typed", short_help="Type in daily lows and highs.")
@click.argument("plot")
@click.option("--day", "days", nargs=3, multiple=True, metavar="DATE LOW HIGH", help="One day; may be repeated.")
@click.option("--forecast", is_flag=True, help="Days that are still to come.")
@fields(("name", "NAME", "What you call the series."))
@writing
@common
@pass_call
def typed_(call: Call, /, plot: str, days: tuple[tuple[str, str, str], ...], forecast: bool, **given: Any) -> None:
    """Type in daily lows and highs of PLOT: --day 2025-06-29 -1.5 14. Hours between follow a published curve.

    A number that looks like the other unit of temperature is asked about.
    """
    from shlex import quote

    from barkslip.app.weather import type_days

    ctx = call.open()
    words = typed(given) | {"plot": plot} | ({"forecast": "yes"} if forecast else {})
    for number, (day, low, high) in enumerate(days, 1):
        words |= {f"day_{number}": day, f"low_{number}": low, f"high_{number}": high}
        typed_day, typed_low, typed_high = (quote(text) for text in (day, low, high))
        call.options[f"low_{number}"] = f"--day {typed_day} {{}} {typed_high}"
        call.options[f"high_{number}"] = f"--day {typed_day} {typed_low} {{}}"
        call.options[f"day_{number}"] = f"--day {{}} {typed_low} {typed_high}"
    _kept(call, call.write(words, lambda f: type_days(ctx, f)))


def _kept(call: Call, card: SeriesCard) -> None:
    if call.as_json:
        call.json({"series": card})
    else:
        from barkslip.present import weather as words

        where = f"{card.plot_code} {card.plot_name}" if card.plot_code else "a station elsewhere"
        call.say(f"Kept: {card.info.name} ({where}), {card.readings} readings, {card.first_day} to {card.last_day}.")
        call.say(f"It is {words.kind_words(card.info)}; {words.step_text(card.info)}.")
        _doubts(call, card)
    call.backed_up()


def _doubts(call: Call, card: SeriesCard) -> None:
    """What was assumed, what is missing, what looks wrong."""
    from barkslip.present import weather as words

    info = card.info
    for title, lines in (
        ("Assumed", list(info.notes)),
        ("Missing", [words.gap_text(gap, info) for gap in info.gaps]),
        ("Looks wrong, kept all the same", [words.flag_text(flag) for flag in info.flags]),
        ("Could not be read, left out", [words.broken_text(line) for line in info.broken]),
    ):
        if lines:
            call.screen.line(f"{title}:")
            for line in lines[:8]:
                call.screen.line(line, indent=2)
            if len(lines) > 8:
                call.screen.line(f"... and {len(lines) - 8} more; all of them with --json", indent=2)


@command.command("summary", short_help="A series by month.")
@click.argument("series", metavar="[PLOT|SERIES|FILE]", required=False)
@click.option("--year", type=click.IntRange(1800, 2200), metavar="YEAR", help="Only this year.")
@fields(*_READING)
@common
@pass_call
def summary(call: Call, /, series: str | None, year: int | None, **given: Any) -> None:
    """Months of a plot's main series, of a series by name, or of a FILE that is not kept in the book.

    Without a name: the series of the first plot that has one. The options are about a FILE; it needs no book.
    """
    call.options["columns"] = "--columns air_temp_c={}"
    story = call.write(typed(given), lambda f: _story(call, series, f))
    if year is not None:
        story = replace(story, months=tuple(m for m in story.months if m.year == year))
    if call.as_json:
        call.json({"summary": story})
        return
    from barkslip.present import weather as words
    from barkslip.present.units import bare_temperature, rain, temperature, temperature_range

    screen, units, info = call.screen, call.units, story.card.info
    screen.line(info.name, "bold")
    screen.line(f"{info.source} It is {words.kind_words(info)}; {words.step_text(info)}.")
    if not story.months:
        screen.line("It holds no air temperature." if year is None else f"It has no reading in {year}.")
        return
    with_rain = any(m.rain_mm is not None for m in story.months)
    rows = []
    for m in story.months:
        row = [words.month_name(m), bare_temperature(m.low_c, units), bare_temperature(m.mean_c, units)]
        row += [bare_temperature(m.high_c, units)]
        row += [f"{h:.0f}" for h in (m.frost_hours, m.healing_hours, m.heat_hours)]
        row += [f"{m.share * 100:.0f}"] + ([rain(m.rain_mm, units)] if with_rain else [])
        rows.append(row)
    heads = ["!Month", ">Low", ">Mean", ">High", ">Frost", ">Healing", ">Heat", ">Read"] + [">Rain"] * with_rain
    screen.table(heads, rows)
    line = story.lines
    screen.line(
        f"Temperatures in {units.temperature}. Frost: hours below {temperature(line['frost_c'], units, 0)}. "
        f"Healing: hours at {temperature_range(line['healing_low_c'], line['healing_high_c'], units, 0)}, where citrus "
        f"heals well. Heat: hours above {temperature(line['heat_c'], units, 0)}. Read: share of the hours with a "
        "reading, in per cent."
    )
    _doubts(call, story.card)


def _story(call: Call, series: str | None, words: dict[str, str]) -> SeriesStory:
    from barkslip.app import weather

    if series is not None and path_of(series).is_file():
        from barkslip.app.weather_files import summary_of_file

        return summary_of_file(call.settings(), path_of(series), words)
    ctx = call.open()
    if series is None:
        first = next((c for c in weather.all_series(ctx) if c.plot_code), None)
        series = first.plot_code if first else ""
    return weather.series_story(ctx, series)
