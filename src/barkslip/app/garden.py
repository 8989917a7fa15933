"""The garden itself and its plots."""

from __future__ import annotations

from typing import Any

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.lines import Fields, begin, door, free_code, kept, old_line
from barkslip.app.settings import Settings
from barkslip.domain.errors import QuestionError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.names import same_word
from barkslip.domain.units import METRIC, UNIT_CHOICES
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.reader import Reader


def new_book(settings: Settings, fields: Fields) -> Context:
    """Make a book with one garden and one plot.

    Parameters
    ----------
    fields : mapping
        name, lat, lon, utc_offset_h, elevation_m, units, date_order, plot.

    Raises
    ------
    InputError, BookError
    """
    from datetime import UTC, datetime

    # read what was typed before anything is made on the disk
    blank = Garden(id="", thing="", made_utc="", name="")
    reading = Door(blank, METRIC, datetime.now(UTC).date())
    values = _garden_values(reading, fields, None)
    plot_name = reading.text(fields, "plot") or "Garden"
    ctx = Context(Book.create(settings.book), settings)
    garden = Garden(**begin(ctx, {}), **values)
    plot = Plot(**begin(ctx, {}), code="P1", name=plot_name, walk_order=1)
    with ctx.book.write() as writer:
        writer.append_all((garden, plot))
    return ctx


def _garden_values(at: Door, fields: Fields, old: Garden | None) -> dict[str, Any]:
    units = tuple(UNIT_CHOICES)
    return {
        "name": kept(fields, old, "name", lambda: at.required(fields, "name", "name of the garden")),
        "lat": kept(fields, old, "lat", lambda: at.number(fields, "lat", -90, 90, unit="°")),
        "lon": kept(fields, old, "lon", lambda: at.number(fields, "lon", -180, 180, unit="°")),
        "elevation_m": kept(fields, old, "elevation_m", lambda: at.number(fields, "elevation_m", -450, 6000, unit="m")),
        "utc_offset_h": kept(
            fields, old, "utc_offset_h", lambda: at.number(fields, "utc_offset_h", -12, 14, unit="h") or 0.0
        ),
        "units": kept(fields, old, "units", lambda: at.choice(fields, "units", units, "metric")),
        "date_order": kept(fields, old, "date_order", lambda: at.choice(fields, "date_order", ("", "dmy", "mdy"))),
        "soil": kept(fields, old, "soil", lambda: at.text(fields, "soil")),
        "water": kept(fields, old, "water", lambda: at.text(fields, "water")),
        "rules": kept(fields, old, "rules", lambda: at.text(fields, "rules")),
        "invented": old.invented if old else False,
        "today": old.today if old else "",
    }


def correct_garden(ctx: Context, fields: Fields) -> Garden:
    """Correct what is known about the garden."""
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        old = old_line(writer, Garden, fields, writer.every(Garden)[0].thing)
        garden = Garden(**begin(ctx, fields, old), **_garden_values(at, fields, old))
        writer.append(garden)
    return garden


def plots(ctx: Context) -> list[Plot]:
    """Plots in walking order."""
    with ctx.book.read() as reader:
        return plots_in_order(reader)


def plots_in_order(reader: Reader) -> list[Plot]:
    """Plots in walking order, from an open reader."""
    return reader.every(Plot, order="walk_order, code")


def plots_without_trees(ctx: Context) -> list[Plot]:
    """Plots that no tree stands in yet, in walking order."""
    with ctx.book.read() as reader:
        planted = {str(row[0]) for row in reader.rows("SELECT DISTINCT plot FROM tree WHERE current AND NOT withdrawn")}
        return [p for p in reader.every(Plot, order="walk_order, code") if p.thing not in planted]


def save_plot(ctx: Context, fields: Fields, *, code: str = "") -> Plot:
    """Add a plot, or correct the one called `code`.

    Raises
    ------
    InputError
        For a code that is taken.
    QuestionError
        If a plot of nearly the same name is there.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        old = old_line(writer, Plot, fields, writer.by_code(Plot, code).thing) if code else None
        name = kept(fields, old, "name", lambda: at.required(fields, "name", "name of the plot"))
        others = [p for p in writer.every(Plot) if old is None or p.thing != old.thing]
        ask_same_name(name, [(p.code, p.name) for p in others], at, "plot")
        typed = at.text(fields, "code") or (old.code if old else f"P{len(others) + 1}")
        order = kept(fields, old, "walk_order", lambda: at.count(fields, "walk_order", most=9999))
        plot = Plot(
            **begin(ctx, fields, old),
            code=free_code(writer, Plot, typed.upper(), old, "plot"),
            name=name,
            walk_order=order if order is not None else max((p.walk_order for p in others), default=0) + 1,
            still_offset_k=kept(
                fields, old, "still_offset_k", lambda: at.number(fields, "still_offset_k", -15, 15, unit="K")
            ),
            note=kept(fields, old, "note", lambda: at.text(fields, "note")),
        )
        writer.append(plot)
        if old is not None and (old.walk_order, old.code) != (plot.walk_order, plot.code):
            from barkslip.app.derive import refresh
            from barkslip.domain.tree import Tree

            refresh(writer, [t.thing for t in writer.every(Tree, "plot = :plot", plot=plot.thing)], ctx.care)
    return plot


def ask_same_name(name: str, others: list[tuple[str, str]], at: Door, called: str) -> None:
    """Ask before a second thing gets nearly the same name.

    Raises
    ------
    QuestionError
        Unless the grower is sure.
    """
    twins = [(code, other) for code, other in others if same_word(name, other)]
    if twins and "same-name" not in at.sure:
        code, other = twins[0]
        raise QuestionError(
            f"There is a {called} called {other} already ({code}). Is it the same one?",
            code="same-name",
            answers=((f"same:{code}", f"yes, take me to {code}"), ("same-name", "no, it is another one")),
            given=name,
            allowed="a name of its own",
            next_step="Say that it is another one, or give it another name.",
            field="name",
        )
