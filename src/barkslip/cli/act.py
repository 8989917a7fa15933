"""`barkslip act`: what was done."""

from __future__ import annotations

from typing import Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed, writing
from barkslip.domain.act import ACTS


@click.command(
    "act",
    short_help="Write down something done: released, rubbed, watered ...",
    epilog="Kinds: " + "; ".join(f"{kind} ({words})" for kind, words in ACTS.items()) + ".",
)
@click.argument("kind", nargs=-1)
@fields(
    ("graft", "CODE", "Done to this graft,"),
    ("tree", "CODE", "or to this tree,"),
    ("limb", "ADDRESS", "or to this limb of the tree,"),
    ("plot", "CODE", "or to this plot."),
    ("on", "DATE", "Day; today if left out."),
    ("amount", "VOLUME", "Water or feed: 20L, '5 US gal'."),
    ("count", "N", "How many, such as stock shoots rubbed off."),
    ("detail", "TEXT", "Kind of cover, paint, binding ..."),
    ("note", "TEXT", "Anything else."),
    ("correct", "ACT", "Number of an act to be corrected."),
)
@writing
@common
@pass_call
def command(call: Call, /, kind: tuple[str, ...], correct: str | None, **given: Any) -> None:
    """Write down something done: its KIND, and what it was done to."""
    from barkslip.app import acts

    words = typed(given)
    ctx = call.open()
    if kind or not correct:
        words["kind"] = " ".join(kind)
    if correct:
        act = call.write(words, lambda f: acts.correct_act(ctx, correct, f))
    else:
        act = call.write(words, lambda f: acts.log_act(ctx, f))
    if call.as_json:
        call.json({"act": act})
    else:
        from barkslip.present.act import text
        from barkslip.present.dates import when_text

        call.say(f"{_target(call, act.graft, words)}: {text(act, call.units)}, {when_text(act.on)}.")
    call.backed_up(days=7)


def _target(call: Call, graft: str | None, words: dict[str, str]) -> str:
    """What it was done to, as the grower named it."""
    if graft:
        from barkslip.cli.card import graft_card
        from barkslip.present.graft import variety_words

        card = graft_card(call.open(), graft)
        return f"{card.graft.code} {variety_words(card)}"
    named = [words[name].strip() for name in ("tree", "limb", "plot") if words.get(name)]
    return " ".join(named) or "Corrected"
