"""`barkslip days`: which of the coming days are good to graft, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, path_of, typed

if TYPE_CHECKING:
    from datetime import date

    from barkslip.domain.timing import DaysVerdict

#: Options that need the book.
_OF_THE_BOOK = ("graft", "tree", "plot")


@click.command("days", short_help="Which of the coming days are good to graft, and why.")
@fields(
    ("species", "NAME", "Kind of tree, such as citrus or apple; of a tree of the book its own is taken."),
    ("method", "NAME", "Method, such as 'bark graft' or 'T-bud'."),
    ("path", "WORD", "growing (the bud grows on at once) or sleeping (it stays at rest until the next push)."),
    ("cover", "KIND", "Cover over the graft, such as foil_sleeve; film alone if left out."),
    ("buds", "WORD", "Buds on the wood: resting, swelling or pushing."),
    ("bark", "WORD", "Test of the bark: lifts, tears or 'sun side only'."),
    ("flush", "YES|NO", "New growth is seen on the stock."),
    ("drought", "YES|NO", "The stock is short of water."),
    ("tree", "CODE", "A tree of the book: its kind, plot and last bark test are taken."),
    ("graft", "CODE", "A graft of the book, to look at its own days again."),
    ("plot", "CODE", "A plot of the book: its readings and forecast are taken."),
    ("limb", "LENGTH|LIMB", "Thickness of the limb, or the limb's address."),
    ("scion", "LENGTH", "Thickness of the scion."),
    ("bearing", "SIDE", "Side of the tree: N, NE ... NW."),
    ("shade", "0..1", "Share of the sun that is kept off all day."),
    ("weather", "FILE", "Hours from a weather file instead of the book."),
    ("from", "DATE", "First day to look at; today if left out."),
    ("lat", "DEGREES", "Latitude, south negative, if the file does not say."),
    ("lon", "DEGREES", "Longitude, west negative."),
    ("utc_offset_h", "HOURS", "Local standard time minus UTC."),
    ("days", "N", "How many days to look at: 14 if left out."),
    ("years", "YES|NO", "The weeks of the year as well."),
    ("members", "N", "Courses drawn."),
    ("seed", "N", "Where the draws begin: the same number gives the same answer."),
)
@click.option("--brief", is_flag=True, help="Verdict and dates only.")
@click.option("--sure", multiple=True, metavar="CODE", help="Answer a question with: yes, as typed. May be repeated.")
@common
@pass_call
def command(call: Call, /, brief: bool, **given: Any) -> None:
    """For each of the coming days: the chance that a graft set then links before drying, heat or frost ends it.

    Hours come from the book (measured, forecast, then own years of the place) or from a weather FILE. Healing is
    counted hour by hour at the union, not by daily means. The bark's own test goes before any rule.
    """
    words = {name: value for name, value in typed(given).items() if value}
    if "weather" in words:
        words["weather"] = str(path_of(words["weather"]))
    verdict = call.write(words, lambda f: _ask(call, f))
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.days_data import days_data

        # its keys are in the reader's units already
        call.json(days_data(verdict, call.units), METRIC)
        return
    show(call, verdict, brief=brief, on=_today(call, words))


def _typed_whole(words: dict[str, str]) -> bool:
    """True if nothing of the book is asked for."""
    return "weather" in words and not any(words.get(name) for name in _OF_THE_BOOK)


def _ask(call: Call, words: dict[str, str]) -> DaysVerdict:
    from barkslip.app import days

    return days.ask_days(None if _typed_whole(words) else call.open(), call.settings(), words)


def _today(call: Call, words: dict[str, str]) -> date | None:
    """The book's own day; None without a book, where a day is called by its date."""
    if _typed_whole(words):
        return None
    ctx = call.open()
    return ctx.today(ctx.garden())


def show(call: Call, verdict: DaysVerdict, *, brief: bool = False, on: date | None = None) -> None:
    """The answer on the terminal: verdict and why, the ribbon, the bark, dates, the year, and what is not known."""
    from barkslip.present import days, days_words

    screen = call.screen
    screen.line(days.headline(verdict, on), "bold")
    screen.line(f"{days.title(verdict)}.")
    for words in (days.lead(verdict), days.in_time_text(verdict)):
        if words:
            screen.line(words)
    if not brief:
        _why(call, verdict)
    _ribbon(call, verdict)
    bark = days.bark_text(verdict)
    if bark:
        screen.head("The bark")
        screen.line(bark)
    rows = days.date_rows(verdict)
    if rows:
        screen.head(days.dates_head(verdict))
        screen.table(("!", ""), [(f"{name}", text) for name, text in rows], indent=2)
    if not brief:
        _year(call, verdict)
    screen.head("With care")
    for code in days.shown_cautions(verdict):
        words = days_words.caution_line(code) if brief else days_words.caution(code)
        screen.table(("!", ""), [("!", words)], indent=2)
    if not brief:
        _around(call, verdict)


def _why(call: Call, verdict: DaysVerdict) -> None:
    from barkslip.present import days

    call.screen.head("Why")
    call.screen.table(("!", ""), [("-", words) for words in days.why_texts(verdict)], indent=2)
    day = days.chosen(verdict)
    if day is not None:
        call.screen.line(days.ended_text(day))


def _ribbon(call: Call, verdict: DaysVerdict) -> None:
    """One line a day."""
    from barkslip.present import days_rows

    rows = days_rows.day_rows(verdict, call.units)
    if not rows:
        return
    screen = call.screen
    screen.head("Day by day")
    degree = call.units.temperature
    screen.table(
        ("!Day", "!Links in time", ">Heal", ">Dry%", ">Frost", f">Air {degree}", "!From", "Against"),
        [
            (
                f"{'►' if r.put else ' '}{r.sign} {r.date}",
                f"{days_rows.bar(r.day.chance)} {days_rows.short_percent(r.day.chance)}",
                days_rows.short_healing(r.day),
                days_rows.short_water(r.day),
                days_rows.short_frost(r.day),
                days_rows.short_air(r.day, call.units),
                r.source,
                days_rows.short_against(r.day),
            )
            for r in rows
        ],
    )
    screen.line(days_rows.ribbon_key(verdict))


def _year(call: Call, verdict: DaysVerdict) -> None:
    """Weeks of the year."""
    from barkslip.present import days_year

    if not verdict.year:
        return
    screen = call.screen
    screen.head("The year here")
    screen.line(days_year.year_text(verdict))
    months, signs = days_year.strip(verdict)
    if screen.console.width >= len(signs) + 2:
        screen.fixed(months, indent=2)
        screen.fixed(signs, indent=2)
        screen.line(", ".join(f"{sign} {words}" for sign, words in days_year.KINDS.values() if sign in signs), indent=2)
    screen.table(
        ("!Set from", "!Worked", "!Chance (8 in 10)", "!Else", "Mind"),
        [(r.span, r.worked, r.chance, r.short, r.note) for r in days_year.stretch_rows(verdict)],
    )
    screen.line(days_year.years_text(verdict))


def _around(call: Call, verdict: DaysVerdict) -> None:
    """What is not known, and where it comes from."""
    from barkslip.present import days, days_words

    screen, units = call.screen, call.units
    screen.head("What is not known")
    for code in verdict.unknowns:
        screen.table(("!", ""), [("-", days_words.unknown(code))], indent=2)
    screen.head("Where this comes from")
    for words in (days.plan_text(verdict, units), days.source_text(verdict), days.curve_text(verdict, units)):
        if words:
            screen.line(words)
    screen.line(f"{verdict.members} courses drawn, seed {verdict.seed}.")
