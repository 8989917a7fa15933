"""`barkslip find`: anything in the book."""

from __future__ import annotations

import click

from barkslip.cli.call import Call, common, pass_call


@click.command("find", short_help="Find anything in the book.")
@click.argument("text", nargs=-1, required=True)
@common
@pass_call
def command(call: Call, text: tuple[str, ...]) -> None:
    """Find trees, limbs, grafts, wood lots, plots and events that hold all the words. Former names find them too."""
    from barkslip.app.find import find

    words = " ".join(text)
    hits = find(call.open(), words)
    if call.as_json:
        call.json({"text": words, "found": hits})
        return
    if not hits:
        call.say(f"Nothing in the book holds all of: {words}\nNext: try fewer words, or: barkslip know '{words}'")
        return
    from itertools import groupby
    from textwrap import shorten

    from barkslip.present.counts import many
    from barkslip.present.day import HIT_WORDS

    call.screen.line(many(len(hits), "thing") + " found.")
    rows = []
    for (kind, name, more), same in groupby(hits, key=lambda h: (h.kind, h.title, h.detail)):
        codes = [h.code for h in same]
        if len(codes) > 2:  # a campaign of equal grafts is one line
            codes = [f"{codes[0]} ... {codes[-1]}"]
        word = HIT_WORDS.get(kind, kind.replace("_", " "))
        rows += [(word, code, name, shorten(more, 34, placeholder="…")) for code in codes]
    call.screen.table(("!What", "!Code", "Name", "More"), rows)
