"""`barkslip wood sticks, keep, order, label, rule, passport, chains`: clean wood, enough of it, in time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, path_of, typed, writing

if TYPE_CHECKING:
    from barkslip.app.context import Context
    from barkslip.domain.wood_order import OrderDates


def _book(call: Call, words: dict[str, str]) -> Context | None:
    """The book, or None if there is none and it is not needed."""
    from barkslip.domain.errors import NotFoundError

    try:
        return call.open()
    except NotFoundError:
        return None


def _plain(given: dict[str, Any]) -> dict[str, str]:
    return {name: value for name, value in typed(given).items() if value}


@click.command("sticks", short_help="How many sticks to ask for.")
@fields(
    ("grafts", "N", "Living grafts wanted in the end."),
    ("buds_per_stick", "N", "Good buds on one stick."),
    ("buds_per_graft", "N", "Buds that one graft takes; 1 if left out."),
    ("take", "SHARE", "Share that takes, such as 0.6 or 60%; of a method if left out."),
    ("take_worth", "N", "Grafts that this share leans on: it is in doubt then."),
    ("method", "NAME", "Method: its take is looked up, and grafts of the book by it are added."),
    ("own", "YES|NO", "no: leave grafts of the book out."),
    ("sure", "CHANCE", "Wanted chance of at least so many: 95% if left out."),
)
@common
@pass_call
def sticks(call: Call, /, **given: Any) -> None:
    """The fewest sticks that give so many living grafts with the chance wanted.

    A take that is typed is taken as sure, and the answer for a mere guess stands beside it. A take looked up is in
    doubt: the doubt is shared by all grafts and more of them do not average it out.
    """
    from barkslip.app.sticks import ask_sticks
    from barkslip.present import sticks as words

    # here --sure is a chance, not an answer to a question
    asked = {name: str(value) for name, value in given.items() if value}
    if "sure" in asked:
        asked["chance"] = asked.pop("sure")
    needs_book = "method" in asked and "take" not in asked
    plan = ask_sticks(_book(call, asked) if needs_book else None, call.settings(), asked)
    if call.as_json:
        call.json(words.sticks_data(plan))
        return
    screen = call.screen
    screen.line(words.headline(plan), "bold")
    screen.line(words.sum_text(plan))
    screen.line(words.take_text(plan.take))
    if words.doubt_text(plan):
        screen.line(words.doubt_text(plan))
    screen.line()
    screen.table((">Sticks", ">Grafts", f">At least {plan.wanted}", ">At least 1"), words.step_rows(plan), indent=2)
    screen.head("What is not in it")
    for code in plan.unknowns:
        screen.table(("!", ""), [("-", words.DOUBTS[code])], indent=2)


@click.command("keep", short_help="How long the wood of a lot keeps, by several sources.")
@click.argument("lot", metavar="CODE")
@fields(
    ("on", "DATE", "Day asked about; today if left out."),
    ("store", "STORE", "fridge, cold or room, instead of what is written about it."),
)
@common
@pass_call
def keep(call: Call, /, lot: str, **given: Any) -> None:
    """How long the lot CODE keeps where it lies: a range from all sources that speak of it, never one number."""
    from barkslip.app.keeping import keep_lot
    from barkslip.present import keeping as words

    found = keep_lot(call.open(), lot, _plain(given))
    if call.as_json:
        call.json({"keep": words.keep_data(found)})
        return
    screen = call.screen
    screen.line(words.headline(found), "bold")
    screen.line(f"{words.age_text(found)} {words.store_text(found)}")
    for text in (words.shares_text(found), *words.sign_texts(found)):
        if text:
            screen.line(text)
    rows = words.source_rows(found)
    if rows:
        screen.head("What the sources say")
        screen.table(("Says", "Of", "!Known", "!Source"), rows, indent=2)
        screen.line(words.TEST)


@click.command("order", short_help="When to order wood, planned back from the days it is grafted.")
@fields(
    ("window", "DATES", "Days on which it shall be grafted: 2025-09, 15 Sep 2025 to 20 Oct 2025."),
    ("tree", "CODE", "Instead: a tree of the book; the weeks of the year that worked at its place are taken."),
    ("plot", "CODE", "Or a plot of the book."),
    ("method", "NAME", "Method, for those weeks."),
    ("species", "NAME", "Kind of wood, such as citrus or apple; the tree's own, else citrus."),
    ("store", "STORE", "Where it will be kept: fridge (if left out), cold or room."),
    ("post", "DAYS", "Days on the way."),
    ("closes", "DATE", "Last day on which the giver takes orders; taken again each year."),
    ("whole_tree", "YES|NO", "A whole tree is worked over: that is planned longer ahead."),
)
@common
@pass_call
def order(call: Call, /, **given: Any) -> None:
    """Order, cutting and arrival planned back from a window, with how long such wood keeps."""
    from barkslip.app.wood_order import ask_order
    from barkslip.present import wood_order as words

    asked = _plain(given)
    found = ask_order(_book(call, asked), call.settings(), asked)
    if call.as_json:
        call.json(words.order_data(found))
        return
    screen = call.screen
    screen.line(words.headline(found), "bold")
    screen.line(words.window_text(found))
    _steps(call, found.next)
    if words.keep_text(found, found.next):
        screen.line(words.keep_text(found, found.next))
    if found.in_time is not None:
        _steps(call, found.in_time)
    screen.head("What is not in it")
    for code in found.unknowns:
        screen.table(("!", ""), [("-", words.DOUBTS[code])], indent=2)
    from barkslip.present.moving import ASK

    screen.line(ASK)


def _steps(call: Call, dates: OrderDates) -> None:
    from barkslip.present import wood_order as words

    call.screen.head(f"To graft {words.window_days(dates)}")
    call.screen.table(("!Day", "What", "!", "Known"), words.step_rows(dates), indent=2)


@click.command("label", short_help="The label for a bag of wood.")
@click.argument("lot", metavar="CODE")
@common
@pass_call
def label(call: Call, /, lot: str) -> None:
    """What to write on the bag of the lot CODE, with its restriction. The page /wood/CODE/label prints it."""
    from barkslip.app.moving import bag_label
    from barkslip.present import moving as words

    found = bag_label(call.open(), lot)
    if call.as_json:
        call.json({"label": words.label_data(found)})
        return
    screen = call.screen
    screen.line(f"{found.lot} · {found.name}", "bold")
    screen.table(("!", ""), words.label_lines(found)[1:], indent=2)
    screen.line(words.label_restriction(found), "bold")


@click.command("rule", short_help="What an office says about moving wood, as you write it down.")
@click.argument("area", required=False)
@click.argument("text", required=False)
@fields(
    ("office", "TEXT", "Who said so."),
    ("on", "DATE", "Day it was asked or read; today if left out."),
    ("until", "DATE", "Day from which it must be asked again."),
)
@writing
@common
@pass_call
def rule(call: Call, /, **given: Any) -> None:
    """Without words: the rules written down, whom to ask, and what cleans a blade. With AREA and TEXT: write one down.

    No rule that is written down changes what this program says by itself: do not move.
    """
    from barkslip.app import moving as use
    from barkslip.present import moving as words

    ctx = call.open()
    asked = typed(given)
    if asked.get("area") or asked.get("text"):
        saved = call.write(asked, lambda f: use.save_rule(ctx, f))
        if call.as_json:
            call.json({"rule": saved})
        else:
            call.say(f"Written down for {saved.area}, by {saved.office}: {saved.text}")
            call.say(f"{words.HEAD} {words.ASK}")
        call.backed_up()
        return
    found, ways = use.moving(ctx), use.blade_ways(ctx)
    if call.as_json:
        call.json({"moving": words.moving_data(found), "blades": words.blade_data(ways)})
        return
    screen = call.screen
    screen.line(words.HEAD, "bold")
    screen.line(words.ASK)
    screen.head("Rules written down")
    for card in found.rules:
        screen.line(f"{words.rule_head(card)}.", indent=2)
        screen.line(card.rule.text, indent=4)
        screen.line(words.rule_age(card), indent=4)
    for text in (words.no_rule(found), found.garden_rules):
        if text:
            screen.line(text, indent=2)
    screen.head("In general")
    for text in words.GENERAL:
        screen.table(("!", ""), [("-", text)], indent=2)
    screen.head("What cleans a blade")
    screen.line(words.BLADE)
    screen.line(f"! {words.BLEACH}")
    screen.table(("!", "With", "!For", "Against", "Known"), words.blade_rows(ways), indent=2)


@click.command("passport", short_help="Lots as multi-crop passports (MCPD V.2.1), as CSV.")
@click.argument("lots", metavar="[CODE]...", nargs=-1)
@click.option("--to", "path", metavar="FILE", help="Write it there; else it is printed.")
@click.option("--place", is_flag=True, help="Say where wood of this garden was cut, in degrees.")
@common
@pass_call
def passport(call: Call, lots: tuple[str, ...], path: str | None, place: bool) -> None:
    """The lots named, or all, with the field names of the multi-crop passport descriptors."""
    from barkslip.app.passport import as_csv, field_names, passports

    ctx = call.open()
    rows = passports(ctx, lots, place=place)
    if call.as_json:
        call.json({"standard": "MCPD V.2.1", "lots": rows})
        return
    _write(call, as_csv(field_names(ctx), rows), path, len(rows), "lot")


@click.command("chains", short_help="Every graft with its chain in slash notation, as CSV.")
@click.option("--to", "path", metavar="FILE", help="Write it there; else it is printed.")
@common
@pass_call
def chains(call: Call, path: str | None) -> None:
    """Every graft: its name by the Code (ICNCP), its botanical name, and scion/interstock/rootstock."""
    from barkslip.app.passport import CHAIN_COLUMNS, as_csv
    from barkslip.app.passport import chains as found
    from barkslip.present.chain import slash_text

    rows = [columns | {"chain": slash_text(parts)} for columns, parts in found(call.open())]
    if call.as_json:
        call.json({"chains": rows})
        return
    _write(call, as_csv(CHAIN_COLUMNS, rows), path, len(rows), "graft")


def _write(call: Call, text: str, path: str | None, count: int, called: str) -> None:
    if path is None:
        click.echo(text, nl=False)
        return
    from barkslip.domain.errors import InputError
    from barkslip.present.counts import many

    try:
        path_of(path).write_text(text, encoding="utf-8")
    except OSError as error:
        raise InputError(
            "That file cannot be written.",
            given=f"{path}: {error.strerror or error}",
            allowed="a file in a folder that may be written to",
            next_step="Name another file.",
            field="to",
        ) from None
    call.say(f"{many(count, called)} written to {path}.")


#: Commands that `barkslip wood` takes over, in this order.
COMMANDS = (sticks, order, keep, label, rule, passport, chains)
