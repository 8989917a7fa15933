"""`barkslip fits`: what is recorded of a top on a whole chain."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed

if TYPE_CHECKING:
    from barkslip.domain.fits import FitTable, FitVerdict


@click.command("fits", short_help="What fits on a tree or a chain, and what is recorded of each join.")
@fields(
    ("scion", "NAME", "Variety to be set on top, such as 'Eureka lemon'; left out, all of them."),
    ("chain", "NAMES", "What it would stand on, from the top down: 'mandarin / trifoliate orange'. ? is not known; "
     "answers are parted by |, with beliefs: 'trifoliate orange=45%|rough lemon=20%'. Needs no book."),
    ("tree", "CODE", "A tree of the book: its chain is taken as it is believed."),
    ("limb", "ADDRESS", "The limb it would be set on; what that carries lies between."),
    ("onto", "LEVEL", "top, interstock or rootstock: how far down it would be set. top if left out."),
    ("present", "DISEASES", "Diseases that are in the wood, in the tree or about, with commas, such as tristeza."),
)  # fmt: skip
@click.option("--brief", is_flag=True, help="The verdict and the pair that decides only.")
@common
@pass_call
def command(call: Call, /, brief: bool, **given: Any) -> None:
    """What is recorded of a variety on a whole chain: every join of it, and root against top for what a virus carries.

    With a variety alone all stocks are listed; with a tree or a chain alone all varieties. The worst answer that is
    likely decides, with its share. Good is what was written somewhere, no promise; no record is no yes.
    """
    words = {name: value for name, value in typed(given).items() if value}
    if words.get("scion") and (words.get("chain") or words.get("tree")):
        verdict = _ask(call, words)
        if call.as_json:
            from barkslip.present.fits_data import fit_data

            call.json(fit_data(verdict))
            return
        show(call, verdict, brief=brief)
        return
    table = _table(call, words)
    if call.as_json:
        from barkslip.present.fits_data import table_data

        call.json(table_data(table))
        return
    show_table(call, table)


def _ask(call: Call, words: dict[str, str]) -> FitVerdict:
    from barkslip.app import fits

    return fits.ask_fit(call.open() if words.get("tree") else None, call.settings(), words)


def _table(call: Call, words: dict[str, str]) -> FitTable:
    from barkslip.app import fits

    return fits.ask_table(call.open() if words.get("tree") else None, call.settings(), words)


def show(call: Call, v: FitVerdict, *, brief: bool = False) -> None:
    """The answer on the terminal."""
    from barkslip.present import fits

    screen = call.screen
    screen.line(f"{fits.SIGNS[v.verdict]} {fits.headline(v)}", "bold")
    screen.line(fits.chain_text(v.scion.name, v.levels))
    screen.line(fits.decides_text(v))
    more = fits.new_part_text(v)
    if more:
        screen.line(more)
    if brief:
        return
    for join in fits.shown_joins(v):
        screen.head(fits.join_title(join))
        rows = [
            (f"{fits.SIGNS[r.verdict]} {r.words}", r.share, r.name, r.years, r.signs, ", ".join(r.sources))
            for r in fits.pair_rows(join)
        ]
        screen.table(("Record", ">Share", "Pair", "Shows after", "Look for", "Source"), rows)
    if v.remedies:
        screen.head("Ways out")
        screen.table(("!", ""), [("-", fits.remedy_text(r)) for r in v.remedies], indent=2)
    if v.look_alikes:
        screen.head("What looks alike and comes with the wood")
        screen.line(fits.LOOK_ALIKE_LEAD)
        screen.table(("!", ""), [("-", fits.look_alike_text(r)) for r in v.look_alikes], indent=2)
    _rest(call, v)


def _rest(call: Call, v: FitVerdict) -> None:
    from barkslip.present import fits

    screen = call.screen
    if fits.notes(v.notes):
        screen.head("What else to know")
        screen.table(("!", ""), [("-", words) for words in fits.notes(v.notes)], indent=2)
    if v.sources:
        screen.head("Sources")
        screen.table(("!", ""), [(key, s.citation) for key, s in v.sources.items()], indent=2)


def show_table(call: Call, t: FitTable) -> None:
    """A table on the terminal, best first."""
    from barkslip.present import fits

    screen = call.screen
    screen.line(fits.table_headline(t), "bold")
    if t.levels:
        screen.line(fits.chain_text("", t.levels))
    for words in (fits.standing_text(t), fits.table_lead(t)):
        if words:
            screen.line(words)
    screen.line()
    rows = [
        (f"{fits.SIGNS[r.verdict]} {fits.verdict_words(r.verdict, r.decides)}", r.kind.name, fits.row_why(r),
         fits.years_text(r.decides) if r.decides else "")
        for r in t.rows
    ]  # fmt: skip
    screen.table(("Record", "Stock" if t.scion else "Variety", "Because of", "Shows after"), rows)
    if fits.notes(t.notes):
        screen.line()
        screen.table(("!", ""), [("-", words) for words in fits.notes(t.notes)], indent=2)
