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
    ("path", "WORD", "growing (the bud grows this season) or sleeping (it sleeps until spring)."),
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
    """For each of the coming days: the chance that a graft set then joins before drying, heat or frost ends it.

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
    """The answer on the terminal: verdict, day by day, dates, the year, and what is not known."""
    from barkslip.present import days, days_words

    screen = call.screen
    screen.line(days.headline(verdict, on), "bold")
    screen.line(f"{days.title(verdict)}.")
    screen.line(days.bark_text(verdict, on))
    rows = days.dates_rows(verdict)
    if rows:
        screen.head(f"If it is set on {days.dates.day_text(verdict.set_on)}")
        screen.table(("", "!Day (8 in 10)"), [(name, text) for name, text in rows], indent=2)
    if not brief and verdict.days:
        _days(call, verdict)
        _year(call, verdict)
    for code in days.shown_cautions(verdict):
        screen.line(f"! {days_words.caution(code)}", indent=2)
    if not brief:
        _around(call, verdict)


def _bare(text: str, degree: str) -> str:
    return text.replace(degree, "").strip()


def _days(call: Call, verdict: DaysVerdict) -> None:
    """The ribbon: one line a day."""
    from barkslip.present import days

    screen = call.screen
    screen.head("Day by day")
    degree = call.units.temperature
    screen.table(
        ("!Day", "", "!Verdict", ">Chance", ">Heals", ">Dries", ">Heat", ">Frost", f"!Air {degree}", "Against it"),
        [
            (r.day, r.sign, r.verdict, r.chance, r.healing, r.water, r.heat, r.frost, _bare(r.air, degree), r.why)
            for r in days.day_rows(verdict, call.units)
        ],
    )
    screen.line(days.hours_text(verdict))
    screen.line(
        "Chance: that the union joins before drying, heat or frost ends it. Heals: of that day alone, 1 is a whole "
        "best day. Dries, heat: scion's water lost [%] and heat dose from that day until it joins. Frost: hours of "
        "frost until the end of the time looked at."
    )


def _year(call: Call, verdict: DaysVerdict) -> None:
    """Weeks of the year."""
    from barkslip.present import days_year

    if not verdict.year:
        return
    screen = call.screen
    screen.head("The year here")
    screen.line(days_year.year_text(verdict))
    screen.table(
        ("!Week", "!Worked", "!Chance (8 in 10)", "Else", "Mind"),
        [(r.week, r.worked, r.chance, r.ended, r.note) for r in days_year.week_rows(verdict)],
    )


def _around(call: Call, verdict: DaysVerdict) -> None:
    """What is not known, and where it comes from."""
    from barkslip.present import days, days_words

    screen = call.screen
    screen.head("What is not known")
    for code in verdict.unknowns:
        screen.table(("!", ""), [("-", days_words.unknown(code))], indent=2)
    screen.head("Where this comes from")
    screen.line(days.curve_text(verdict))
    screen.line(days.sources_text(verdict))
    screen.line(f"{verdict.members} courses drawn, seed {verdict.seed}.")
