"""`barkslip chimera`: the long shot."""

from __future__ import annotations

from typing import Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed


@click.command("chimera", short_help="The long shot: a shoot out of the join, of two kinds in layers.")
@fields(
    ("of", "NAME", "One kind,"),
    ("with", "NAME", "and the other: all six arrangements are shown."),
    ("l1", "NAME", "Instead: the kind of the outer layer,"),
    ("l2", "NAME", "of the middle layer,"),
    ("l3", "NAME", "and of the core: tissue by tissue."),
    ("tree", "CODE", "A tree of the book: its joins are listed."),
    ("unions", "N", "Unions whose join you have watched; else grafts of the book that took."),
    ("seen", "N", "Chimeras seen at them; none if left out."),
)
@common
@pass_call
def command(call: Call, /, **given: Any) -> None:
    """What a graft chimera is, what its fruit would be like, where one can arise, and how rare it is at most."""
    from barkslip.app.chimera import ask_chimera
    from barkslip.present import chimera as words

    asked = {name: value for name, value in typed(given).items() if value}
    answer = ask_chimera(_book(call, asked), call.settings(), asked)
    if call.as_json:
        call.json(words.chimera_data(answer))
        return
    screen = call.screen
    screen.line(words.headline(answer), "bold")
    screen.line(words.WHAT)
    screen.head("Three layers of a growing tip")
    rows = []
    for layer, what in words.LAYER_WORDS.items():
        for n, fact in enumerate(words.layer_facts(answer, layer)):
            rows.append(("" if n else layer, "" if n else what, words.fact_text(fact), words.known_text(fact)))
    screen.table(("!", "", "", ""), rows, indent=2)
    if answer.chosen is not None:
        screen.head(f"Tissue by tissue: {words.layers_text(answer.chosen)}")
        screen.table(("Tissue", "Would be", "Known", "Against it"), words.tissue_rows(answer, answer.chosen), indent=2)
    elif answer.arrangements:
        screen.head("Six arrangements")
        heads = ("L1", "L2", "L3", "Pulp", "Rind", "Seedlings")
        screen.table(heads, words.arrangement_rows(answer), indent=2)
    screen.head("Against so tidy a picture")
    for text, known in words.against_texts(answer):
        screen.table(("!", ""), [("-", f"{text} {known}")], indent=2)
    _rest(call, answer)


def _book(call: Call, words: dict[str, str]) -> Any:
    """The book, or None if there is none and no tree is asked for."""
    from barkslip.domain.errors import NotFoundError

    try:
        return call.open()
    except NotFoundError:
        if "tree" in words:
            raise
        return None


def _rest(call: Call, answer: Any) -> None:
    """How one would be known, where it can arise, how rare it is, what trying costs."""
    from barkslip.present import chimera as words

    screen = call.screen
    screen.head("How one would be known")
    for text in words.LOOKS:
        screen.table(("!", ""), [("-", text)], indent=2)
    if answer.joins:
        screen.head(f"Joins of {answer.tree}")
        screen.table(("!", ""), words.join_rows(answer), indent=2)
    screen.head("How rare")
    screen.line(words.odds_text(answer))
    if words.even_text(answer):
        screen.line(words.even_text(answer))
    screen.head("What trying costs")
    for text in (*words.TRYING, *(words.cost_text(c) for c in answer.costs)):
        screen.table(("!", ""), [("-", text)], indent=2)
    screen.head("Also read")
    for fact in words.other_facts(answer):
        screen.table(("!", ""), [("-", f"{words.fact_text(fact)} {words.known_text(fact)}")], indent=2)
