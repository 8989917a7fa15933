"""`barkslip look`: what is seen at a graft."""

from __future__ import annotations

from typing import Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed, writing
from barkslip.domain.graft import STATES


@click.command(
    "look",
    short_help="Write down what you see at a graft.",
    epilog="States: " + "; ".join(f"{state} ({seen})" for state, seen in STATES.items()) + ".",
)
@click.argument("graft", metavar="[GRAFT]", required=False)
@click.argument("state", metavar="[STATE]", nargs=-1)
@fields(
    ("on", "DATE", "Day of the look; today if left out."),
    ("shoot", "LENGTH", "Length of the longest new shoot: 12cm, 5in."),
    ("note", "TEXT", "Anything else."),
    ("correct", "LOOK", "Number of a look to be corrected, instead of a graft."),
)
@writing
@common
@pass_call
def command(call: Call, /, graft: str | None, state: tuple[str, ...], correct: str | None, **given: Any) -> None:
    """Write down what you see at GRAFT: its STATE. The verdict follows from the looks.

    To correct a look, name it: barkslip look --correct LOOK STATE; what is not typed stays as it was. Nothing is
    overwritten.
    """
    from barkslip.app import grafts
    from barkslip.cli.card import graft_card, verdict

    words = typed(given)
    ctx = call.open()
    if correct:
        state = (graft, *state) if graft else state
        if state:
            words["state"] = " ".join(state)
        look = call.write(words, lambda f: grafts.correct_look(ctx, correct, f))
    else:
        if not graft:
            raise click.UsageError("Which graft? Name its code, such as G04-3.", click.get_current_context())
        code, words["state"] = graft, " ".join(state)
        look = call.write(words, lambda f: grafts.log_look(ctx, code, f))
    card = graft_card(ctx, look.graft)
    if call.as_json:
        call.json({"look": look, "graft": card})
    else:
        from barkslip.present.dates import when_text
        from barkslip.present.graft import look_text, variety_words

        seen = f"{card.graft.code} {variety_words(card)}: {look_text(look, call.units)}, {when_text(look.on)}."
        call.say(f"{seen} {verdict(card)}")
        if correct:
            call.say("The look as it was stays in the book.")
    call.backed_up(days=7)
