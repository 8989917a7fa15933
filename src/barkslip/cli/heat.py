"""`barkslip heat`: what a hot day does to a wrapped graft under each cover, and which cover to choose."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, path_of, typed

if TYPE_CHECKING:
    from datetime import date

    from barkslip.domain.heat import HeatVerdict

#: Options that need the book.
_OF_THE_BOOK = ("graft", "tree", "plot")


@click.command("heat", short_help="What will cook or dry out in the sun, and which cover to choose.")
@fields(
    ("graft", "CODE", "A graft of the book: its limb, scion, cover and plot are taken from there."),
    ("tree", "CODE", "A tree of the book, for a graft that is thought of."),
    ("plot", "CODE", "A plot of the book: its forecast or its readings are taken."),
    ("date", "DATE", "The day; tomorrow if left out. A past day is taken from its readings."),
    ("lat", "DEGREES", "Latitude, south negative. With it and without graft, tree or plot, no book is needed."),
    ("lon", "DEGREES", "Longitude, west negative."),
    ("utc_offset_h", "HOURS", "Local standard time minus UTC."),
    ("weather", "FILE", "Hours from a weather file instead of typed values."),
    ("air_max", "TEMP", "Highest air of the day."),
    ("air_min", "TEMP", "Lowest air of the day."),
    ("wind", "SPEED", "Wind at the graft by day."),
    ("rh_min", "PERCENT", "Relative humidity at the hottest hour."),
    ("dew_point", "TEMP", "Dew point, instead of the humidity."),
    ("cloud", "0..1", "Share of the sky that is covered."),
    ("species", "NAME", "Kind of wood, such as 'sweet orange'."),
)
@click.option("--cover", multiple=True, metavar="KIND", help="A cover to try, such as foil_sleeve; may be repeated. "
              "All are tried if left out.")  # fmt: skip
@fields(
    ("closed", "YES|NO", "The covers are closed at the foot; open if left out, but for plastic."),
    ("touching", "YES|NO", "The covers' sunny side lies against the scion."),
    ("now", "KIND", "The cover that is on it now."),
    ("scion", "LENGTH", "Thickness of the scion."),
    ("scion_length", "LENGTH", "Length of the scion."),
    ("limb", "LENGTH", "Thickness of the limb or stub under it."),
    ("bearing", "SIDE", "Side of the tree it stands on: N, NE ... NW."),
    ("shade", "0..1", "Share of the sun that is kept off all day."),
    ("whitened", "YES|NO", "The limb's bark is whitened."),
    ("target", "CHANCE", "Chance of harm you would bear: 10% if left out."),
    ("members", "N", "Days drawn."),
    ("seed", "N", "Where the draws begin: the same number gives the same answer."),
)
@click.option("--brief", is_flag=True, help="Verdict, what to do and its cautions only.")
@click.option("--sure", multiple=True, metavar="CODE", help="Answer a question with: yes, as typed. May be repeated.")
@common
@pass_call
def command(call: Call, /, brief: bool, cover: tuple[str, ...], **given: Any) -> None:
    """How hot and how dry one wrapped graft gets in one day of sun under each cover, and which cover to choose.

    The day is typed (highest and lowest air, wind, humidity), read from a FILE, or taken from the book: its forecast,
    or for a past day its readings. A scion in the sun is hotter than the air, in a paper bag or in plastic much so.
    """
    words = {name: value for name, value in typed(given).items() if value}
    if cover:
        words["cover"] = ",".join(cover)
    if "weather" in words:
        words["weather"] = str(path_of(words["weather"]))
    verdict = call.write(words, lambda f: _ask(call, f))
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.heat_data import heat_data

        # its keys are in the reader's units already
        call.json(heat_data(verdict, call.units), METRIC)
        return
    show(call, verdict, brief=brief, on=_today(call, words))


def _typed_whole(words: dict[str, str]) -> bool:
    """True if nothing of the book is asked for."""
    return "lat" in words and not any(words.get(name) for name in _OF_THE_BOOK)


def _ask(call: Call, words: dict[str, str]) -> HeatVerdict:
    from barkslip.app import heat

    return heat.ask_heat(None if _typed_whole(words) else call.open(), call.settings(), words)


def _today(call: Call, words: dict[str, str]) -> date | None:
    """The book's own day; None without a book, where a day is called by its date."""
    if _typed_whole(words):
        return None
    ctx = call.open()
    return ctx.today(ctx.garden())


def show(call: Call, verdict: HeatVerdict, *, brief: bool = False, on: date | None = None) -> None:
    """The answer on the terminal: verdict, what to do, covers side by side, bark, and what is not known."""
    from barkslip.present import heat, heat_cautions, heat_steps

    screen, units = call.screen, call.units
    screen.line(heat.headline(verdict, on), "bold")
    screen.line(f"{heat.title(verdict)}. {heat.hottest_text(verdict, units)}")
    screen.line(heat.dry_text(verdict))
    bark = heat.faces_text(verdict, units)
    if bark:
        screen.line(bark)
    screen.head(heat_steps.do_head(verdict))
    screen.line(heat_steps.do_text(verdict, units))
    screen.table(("!", ""), heat_steps.steps(verdict), indent=2)
    runner = heat_steps.runner_text(verdict)
    if runner:
        screen.line(runner)
    for code in heat.shown_cautions(verdict):
        screen.line(f"! {heat_cautions.line(code, units)}", indent=2)
    if not brief:
        _covers(call, verdict)
        _bark(call, verdict)
        _around(call, verdict)


def _covers(call: Call, verdict: HeatVerdict) -> None:
    """Covers side by side; a letter leads to each caution under them."""
    from barkslip.present import heat, heat_cautions, heat_rows

    screen, units = call.screen, call.units
    rows = heat_rows.cover_rows(verdict, units)
    codes = heat_cautions.in_order({code for row in rows for code in row.hazards} - {"estimate_only"})
    letters = {code: "abcdefghijklmnopqrstuvwxyz"[i] for i, code in enumerate(codes)}
    screen.head("Covers side by side, least harm first")
    degree = units.temperature
    screen.table(
        ("Cover", "!Verdict", f"!Scion {degree} (8 in 10)", ">Harm", "!At", "!Care"),
        [
            (
                _named(row),
                f"{row.sign}\u00a0{row.verdict}",
                row.scion,
                row.chance,
                row.hottest_at,
                "".join(letters.get(code, "") for code in row.hazards),
            )
            for row in rows
        ],
    )
    screen.line()
    gap = "K" if degree == "°C" else "°F"
    first, second = (heat.temperature_mark(temp, units) for temp in (38.0, 44.0))
    screen.table(
        ("Cover", f"!Over the air {gap}", f">Over {first}", f">{second}", "!Water lost %"),
        [(row.words, row.over_air, _middle(row.minutes_38), _middle(row.minutes_44), row.water) for row in rows],
    )
    screen.line(
        f"Scion: its hottest. Harm: chance that heat or drying harms it. Over {first} and {second}: degree-minutes of "
        f"the day [{heat_rows.minutes_unit(units)}], the middle. Water: share of the scion's own."
    )
    learned = heat.learned_text(verdict)
    if learned:
        screen.line(learned)
    screen.table(
        ("!", ""), [(letter, heat_cautions.sentence(code, units)) for code, letter in letters.items()], indent=2
    )


def _named(row: Any) -> str:
    """A cover with how it is put on and what stands beside it."""
    more = ", ".join(part for part in (row.how, row.note) if part)
    return f"{row.words} ({more})" if more else row.words


def _middle(text: str) -> str:
    return text.split(" ")[0]


def _bark(call: Call, verdict: HeatVerdict) -> None:
    """Sides of the limb's bark, clockwise from north."""
    from barkslip.present import heat, heat_chart, heat_rows

    screen, units = call.screen, call.units
    rows = heat_rows.face_rows(verdict, units)
    if not rows:
        return
    degree = units.temperature
    over = dict(heat_chart.danger_hours(verdict))
    screen.head("Bark of the limb by side")
    line = heat.temperature_mark(heat.BARK_C, units)
    screen.table(
        ("Side", f"!Bark {degree} (8 in 10)", "!Whitened", ">Gain", f">Over {line}", f"Hours over {line}"),
        [(r.words, r.bark, _middle(r.whitened), r.gain, r.over_44, over.get(r.words, "")) for r in rows],
    )


def _around(call: Call, verdict: HeatVerdict) -> None:
    """What would change it, what is not known, where it comes from."""
    from barkslip.present import heat, heat_cautions, heat_rows

    screen, units = call.screen, call.units
    if verdict.would_change:
        screen.head("What would change it")
        screen.line(heat.changed_text(verdict))
        for words in heat.changes(verdict, units):
            screen.line(f"- {words}", indent=2)
    screen.head("What is not known")
    for code in verdict.unknowns:
        screen.table(("!", ""), [("-", heat_cautions.unknown(code))], indent=2)
    screen.head("Where this comes from")
    screen.line(heat.air_text(verdict, units))
    screen.line(heat.graft_text(verdict, units))
    inside = heat_rows.inside_text(verdict, units)
    if inside:
        screen.line(inside)
    lines = [
        (words, heat.line_words(temp), status, source)
        for (temp, _), (words, _, status, source) in zip(
            verdict.lines, heat_rows.line_rows(verdict, units), strict=True
        )
    ]
    screen.table(("!Line", "What happens there", "!How known", "!Source"), lines)
    screen.line(f"{verdict.members} days drawn, seed {verdict.seed}. {heat_cautions.sentence('estimate_only', units)}")
