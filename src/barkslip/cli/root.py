"""`barkslip root`: what a tree stands on, by its looks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed

if TYPE_CHECKING:
    from barkslip.domain.root import RootVerdict


@click.command("root", short_help="What a tree stands on, by its looks, and what to look at next.")
@click.option(
    "--look",
    "looks",
    multiple=True,
    metavar="QUESTION=ANSWER",
    help="What was seen, such as leaflets=3; may be repeated. It counts, but is not written down.",
)
@fields(
    ("tree", "CODE", "A tree of the book: its belief and the looks written down there are counted."),
)
@click.option(
    "--saw",
    multiple=True,
    metavar="QUESTION=ANSWER",
    help="What was seen at the tree, to be written down and counted; may be repeated.",
)
@fields(
    ("on", "DATE", "Day on which it was seen, or believed; today if left out."),
    ("note", "TEXT", "A note on what was seen."),
)
@click.option("--believe", is_flag=True, help="Write the answer down as what the tree is believed to stand on.")
@click.option("--afresh", is_flag=True, help="Leave what the book believes aside and count all its looks.")
@click.option("--list", "list_all", is_flag=True, help="All questions with their answers.")
@common
@pass_call
def command(
    call: Call, /, looks: tuple[str, ...], saw: tuple[str, ...], believe: bool, afresh: bool, list_all: bool,
    **given: Any,
) -> None:  # fmt: skip
    """What a tree stands on: beliefs over stocks with their ranges, and the look that would tell most.

    Thorns or vigour alone settle nothing, and no answer is a reason to cut: a limb that nothing has proved is not to
    be cut yet. Taking a look back: barkslip take-back sign NUMBER.
    """
    if list_all:
        _list(call)
        return
    words = typed(given)
    if (saw or believe) and not words.get("tree"):
        raise click.UsageError("Which tree? Name it with --tree; looks without a tree are given with --look.",
                               click.get_current_context())  # fmt: skip
    if afresh:
        words["afresh"] = "yes"
    written: dict[str, Any] = {"signs": [], "link": None}
    for one in saw:
        written["signs"].append(_log(call, words | {"look": one}))
    if believe:
        written["link"] = _keep(call, words)
    verdict = _ask(call, words | {"looks": ", ".join(looks)})
    if call.as_json:
        from barkslip.present.root_data import root_data

        call.json(root_data(verdict) | written)
    else:
        for sign in written["signs"]:
            call.say(f"Written down at {verdict.tree} {verdict.tree_name}: {sign.question} {sign.answer}.")
        if written["link"] is not None:
            call.say(f"Written down as what {verdict.tree} {verdict.tree_name} is believed to stand on.")
        show(call, verdict)
    if saw or believe:
        call.backed_up(days=7)


def _log(call: Call, words: dict[str, str]) -> Any:
    from barkslip.app.signs import log_sign

    ctx = call.open()
    return call.write(words, lambda f: log_sign(ctx, f))


def _keep(call: Call, words: dict[str, str]) -> Any:
    from barkslip.app.root import keep_belief

    ctx = call.open()
    return call.write(words, lambda f: keep_belief(ctx, call.settings(), f))


def _ask(call: Call, words: dict[str, str]) -> RootVerdict:
    from barkslip.app.root import ask_root

    return ask_root(call.open() if words.get("tree") else None, call.settings(), words)


def _list(call: Call) -> None:
    from barkslip.app.root import questions

    found = questions(None, call.settings())
    if call.as_json:
        from barkslip.present.root_data import questions_data

        call.json(questions_data(found))
        return
    for question in found:
        call.screen.head(question.asked + (f" (only after {question.only_after})" if question.only_after else ""))
        call.screen.table(("!", ""), [(a.key, a.text) for a in question.answers], indent=2)


def show(call: Call, v: RootVerdict) -> None:
    """The answer on the terminal."""
    from barkslip.present import root

    screen = call.screen
    screen.line(f"{v.tree} {v.tree_name}. {root.headline(v)}".lstrip(" ."), "bold")
    if root.lead(v):
        screen.line(root.lead(v))
    for clash in v.clashes:
        screen.line(f"! {root.clash_text(clash)}")
    screen.head("Beliefs")
    big, rest = root.shown(v)
    rows = [
        (root.stock_words(b), root.range_text(b.p, b.low, b.high), root.likely_words(b.p), root.speaks_text(b, v.looks))
        for b in big
    ]
    screen.table(("Stock", ">Belief", "!", "Why"), rows, indent=2)
    for one in v.classes[:1]:
        screen.line(f"{one.name} together: {root.range_text(one.p, one.low, one.high)}", indent=2)
    if rest:
        screen.line(root.rest_text(rest), indent=2)
    if v.looks:
        screen.head("Counted")
        screen.table(("!", ""), [(c.look.key, root.counted_text(c)) for c in v.looks], indent=2)
    _next(call, v)
    screen.head("What may be cut")
    screen.line(root.DO_NOT_CUT, indent=2)
    if v.limbs:
        screen.table(("!", ""), [("-", root.limb_text(limb)) for limb in v.limbs], indent=2)
    _rest(call, v)


def _next(call: Call, v: RootVerdict) -> None:
    from barkslip.present import root

    screen = call.screen
    screen.head("What to look at next")
    rows = [(n.question.key, n.question.asked, f"{n.bits:.2f}", root.tells(n.bits)) for n in v.next_looks[:5]]
    if rows:
        screen.table(("!Look", "Question", ">Bits", "Tells"), rows, indent=2)
        first = v.next_looks[0]
        screen.table(("!", ""), [(a.look.key, root.would_text(a)) for a in first.answers], indent=4)
        if first.question.key in root.HELP:
            screen.line(root.HELP[first.question.key], indent=2)
    if not v.next_looks or root.tells(v.next_looks[0].bits) == "next to nothing":
        screen.line(root.next_lead(v), indent=2)
    if v.places:
        asked = " ".join(q.asked for q in v.places)
        keys = " and ".join(q.key for q in v.places)
        screen.line(f"Its past tells too: {asked} ({keys}; answers: barkslip root --list)", indent=2)


def _rest(call: Call, v: RootVerdict) -> None:
    from barkslip.present import root

    screen = call.screen
    said = root.notes(v)
    if said:
        screen.head("What else to know")
        screen.table(("!", ""), [("-", words) for words in said], indent=2)
    if v.history:
        screen.head("What was believed, newest first")
        screen.table(("!", ""), [("-", root.history_text(link)) for link in v.history], indent=2)
    if v.looks:
        screen.head("How this is known")
        rows = [(c.look.key, root.how_known(c.look, v.sources.get(c.look.source))) for c in v.looks]
        screen.table(("!", ""), rows, indent=2)
