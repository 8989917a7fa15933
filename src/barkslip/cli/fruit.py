"""`barkslip fruit`: what the fruit of a variety on a stock may be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed

if TYPE_CHECKING:
    from barkslip.domain.fruit import FruitVerdict


@click.command("fruit", short_help="What the fruit of a variety on a tree or a stock may be, in ranges.")
@fields(
    ("scion", "NAME", "The variety."),
    ("chain", "NAMES", "What it stands on, from the top down; as for fits. Needs no book."),
    ("tree", "CODE", "A tree of the book: its chain, its place and your own tastings are taken."),
    ("limb", "ADDRESS", "The limb it stands on."),
    ("against", "NAME", "Another stock, to be seen beside the first."),
    ("hemisphere", "WORD", "north or south, for the months; else as the garden lies."),
)
@click.option("--brief", is_flag=True, help="The ranges only.")
@common
@pass_call
def command(call: Call, /, brief: bool, **given: Any) -> None:
    """Ranges for sugar, acid, size, yield, juice and ripening of a variety on a stock, and what they rest on.

    Each range is meant to hold eight in ten. Trials and ratings are pooled; your own tastings move them. No stock is a
    promise of sweeter fruit.
    """
    words = {name: value for name, value in typed(given).items() if value}
    found = _ask(call, words)
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.fruit_data import fruit_data

        # its keys are in the reader's units already
        call.json(fruit_data(found, call.units), METRIC)
        return
    show(call, found, brief=brief)


def _ask(call: Call, words: dict[str, str]) -> FruitVerdict:
    from barkslip.app import fruit

    return fruit.ask_fruit(call.open() if words.get("tree") else None, call.settings(), words)


def show(call: Call, v: FruitVerdict, *, brief: bool = False) -> None:
    """The answer on the terminal."""
    from barkslip.present import fruit

    screen = call.screen
    screen.line(fruit.headline(v), "bold")
    screen.line(fruit.lead(v))
    screen.line(fruit.no_promise(v))
    _ranges(call, v)
    if brief:
        return
    screen.head("When")
    screen.line(fruit.months_text(v))
    screen.table(("", "", ""), fruit.years_rows(v), indent=2)
    screen.head("Cold")
    for words in fruit.cold_text(v.cold, call.units):
        screen.line(words)
    screen.head("Dry fruit")
    for words in (*fruit.dry_text(v), *fruit.dry_causes(v)):
        screen.line(words)
    screen.head("How much each part counts")
    screen.table(("Part", "How much", "How known"), fruit.counted_rows(v))
    if v.own:
        screen.head("Your own tastings")
        screen.table(("Day, tree", "Read", ""), fruit.own_rows(v))
    _roots(call, v)
    _rest(call, v)


def _ranges(call: Call, v: FruitVerdict) -> None:
    from barkslip.present import counts, fruit

    screen = call.screen
    screen.head("The fruit itself")
    names = [counts.opening(fruit.stock_name(s)) for s in v.stocks]
    rows = [(r.name, *r.values, r.rests) for r in fruit.level_rows(v)]
    screen.table(("", *(f"!{n}" for n in names), "Rests on"), rows)
    screen.head("What the stock does, against a middling stock")
    for stock in v.stocks:
        screen.line(fruit.stock_words(stock))
    rows = [(r.name, *r.values, r.rests) for r in fruit.against_rows(v)]
    screen.table(("", *names, "Rests on"), rows)
    if v.beside:
        screen.head(fruit.beside_head(v))
        screen.table(("!", ""), [("-", fruit.beside_text(b)) for b in v.beside], indent=2)


def _roots(call: Call, v: FruitVerdict) -> None:
    """What each stock stands, by source."""
    from barkslip.present import fruit

    for stock in v.stocks:
        if not stock.scores:
            continue
        call.screen.head(f"What the root stands: {fruit.best_stock(stock)}")
        rows = [
            (s.label, fruit.score_sign(s), fruit.score_words(s), "; ".join(fruit.opinion_text(o) for o in s.opinions))
            for s in stock.scores
        ]
        call.screen.table(("", "!", "", "Source by source"), rows)


def _rest(call: Call, v: FruitVerdict) -> None:
    from barkslip.present import fruit

    screen = call.screen
    if v.standards:
        screen.head("When such fruit counts as ripe")
        screen.table(("!", ""), [("-", fruit.standard_text(t, x)) for t, x in v.standards], indent=2)
    if fruit.notes(v.notes):
        screen.head("What else to know")
        screen.table(("!", ""), [("-", words) for words in fruit.notes(v.notes)], indent=2)
    screen.head("Sources; barkslip know KEY tells each")
    screen.line(", ".join(v.sources))
