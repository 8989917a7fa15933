"""`barkslip take`: what took, group by group, and what cannot be told yet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed

if TYPE_CHECKING:
    from barkslip.domain.take import TakeGroup, TakeVerdict


@click.command("take", short_help="What took, by method, cover, tree ...: ranges beside counts.")
@fields(
    ("by", "WHAT", "What to group by: method, cover, heat, wood, side, months, season, tree, plot, variety, stock, "
     "pair, lot, campaign, binding or arm. method if left out."),
    ("tree", "CODE", "Only grafts on this tree."),
    ("plot", "CODE", "Only grafts in this plot."),
    ("campaign", "CODE", "Only grafts of this campaign."),
    ("method", "NAME", "Only grafts set by this method."),
    ("counts", "COUNTS", "Typed counts instead of the book: 'bark graft 8/10; T-bud 3/7'. Needs no book."),
    ("seed", "N", "Where the draws begin: the same number gives the same answer."),
)  # fmt: skip
@click.option("--brief", is_flag=True, help="Counts, ranges and the verdict only.")
@common
@pass_call
def command(call: Call, /, brief: bool, **given: Any) -> None:
    """What took, group by group, with the range that a few grafts leave open.

    The share that takes is learned from all looks in the book, pooled over trees and over pairs of scion and stock, and
    from what is believed of grafts anywhere; heat, cover, age of the wood, side, method and time of year are taken into
    account. A group with fewer than five verdicts is shown and never compared.
    """
    words = {name: value for name, value in typed(given).items() if value}
    verdict = _ask(call, words)
    if call.as_json:
        from barkslip.present.take_data import take_data

        call.json(take_data(verdict))
        return
    show(call, verdict, brief=brief)


def _ask(call: Call, words: dict[str, str]) -> TakeVerdict:
    from barkslip.app import take

    if words.get("counts"):
        return take.ask_counts(call.settings(), words)
    return take.ask_take(call.open(), words)


def show(call: Call, v: TakeVerdict, *, brief: bool = False) -> None:
    """The answer on the terminal."""
    from barkslip.present import take

    screen = call.screen
    screen.line(take.headline(v), "bold")
    screen.line(take.whole_text(v))
    screen.line()
    rows = [
        (take.group_name(g.group), f"{g.took} of {g.n}", f"{g.waiting or '–'}", f"{g.lost or '–'}",
         take.span(g.take_26w), take.prior_text(g), take.more_text(g))
        for g in v.groups
    ]  # fmt: skip
    screen.table((_head(v), ">Took", ">Wait", ">Not", "!Takes (9 in 10)", ">Prior", ">More needed"), rows)
    if brief:
        return
    screen.line(take.lead(v))
    _pairs(call, v)
    _groups(call, v)
    _around(call, v)


def _head(v: TakeVerdict) -> str:
    from barkslip.present import take
    from barkslip.present.counts import opening

    return opening(take.by_words(v))


def _pairs(call: Call, v: TakeVerdict) -> None:
    """Groups that can be compared, two by two."""
    from barkslip.present import take

    if not v.pairs:
        return
    from barkslip.present.counts import many

    screen = call.screen
    screen.head("Two by two")
    shown, rest = take.shown_pairs(v)
    for p in shown:
        screen.line(f"{take.pair_head(p)}: {take.pair_verdict(p)}")
        screen.line(f"{take.pair_text(p)} {take.behind_text(p)}".rstrip(), indent=2)
    if rest:
        screen.line(f"{many(len(rest), 'more pair')}, none of which can be told: --json has them all.")


def _groups(call: Call, v: TakeVerdict) -> None:
    """Group by group: where the answer comes from, a year on, what is still needed."""
    from barkslip.present import take

    screen = call.screen
    screen.head("Group by group")
    for g in v.groups:
        texts = "; ".join(words for words in (take.take_text(g), take.stands_text(v, g)) if words)
        screen.line(f"{take.group_name(g.group)}: {texts}.")
        for words in _lines(call, v, g):
            screen.line(f"{words}.", indent=2)


def _lines(call: Call, v: TakeVerdict, g: TakeGroup) -> list[str]:
    from barkslip.present import take
    from barkslip.present.counts import opening

    found = (take.unranked_text(v, g), take.year_text(g), take.shares_text(g), take.needed_text(g),
             take.thick_text(g, call.units))  # fmt: skip
    return [opening(words) for words in found if words]


def _around(call: Call, v: TakeVerdict) -> None:
    from barkslip.present import take

    screen = call.screen
    if v.alone:
        screen.head("What cannot be told apart")
        screen.line("Each of these has what no other group has, so that may be behind its take:")
        screen.table(("!", ""), take.alone_rows(v), indent=2)
    if v.effects:
        screen.head("What else was taken into account")
        screen.table(("", "!Odds of loss"), take.effect_rows(v), indent=2)
    if take.notes(v):
        screen.head("What else to know")
        screen.table(("!", ""), [("-", words) for words in take.notes(v)], indent=2)
    screen.line()
    screen.line(take.how_text(v))
