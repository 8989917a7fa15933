"""`barkslip know`: what is known under a name, with sources."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from barkslip.cli.call import Call, common, pass_call

if TYPE_CHECKING:
    from barkslip.domain.known import Found
    from barkslip.domain.units import UnitChoice

#: Words of a list stand in the tables without a space between.
_NEXT = re.compile(r";(?=\S)")


@click.command("know", short_help="What is known under a name, with sources.")
@click.argument("name", nargs=-1, required=True)
@click.option(
    "--limit", type=click.IntRange(1, 100), metavar="N", default=12, show_default=True, help="Most things shown."
)
@common
@pass_call
def command(call: Call, name: tuple[str, ...], limit: int) -> None:
    """What is known under NAME: varieties, rootstocks, methods, bindings, words, numbers. Needs no book.

    Each number says how it is known (measured, published, recalled, common practice, assumption) and by whom.
    """
    from barkslip.app.book import reading_units
    from barkslip.app.know import look_up

    words = " ".join(name)
    settings = call.settings()
    found = look_up(settings, words, limit=limit)
    units = reading_units(settings)
    if call.as_json:
        call.json({"name": words, "found": found}, units)
        return
    if not found:
        call.say(f"Nothing is known under: {words}\nNext: try another spelling, or a part of the name.")
        return
    same = [f for f in found if f.how == "same"] or found[:1]
    for one in same:
        _show(call, one, units)
    others = [f for f in found if f not in same]
    if others:
        call.screen.line()
        call.screen.line("Also: " + "; ".join(f"{f.name} ({f.kind})" for f in others) + ".")


def _show(call: Call, one: Found, units: UnitChoice) -> None:
    from barkslip.present.units import value_text

    screen = call.screen
    screen.head(f"{one.name} · {one.kind}")
    if one.how == "near":
        screen.line("Spelled a little otherwise than asked.")
    screen.table(("", ""), [(label, _NEXT.sub("; ", text)) for label, text in one.words if text], indent=2)
    rows = []
    for entry in one.values:
        value = entry.value
        note = f"; {value.note.rstrip('.')}" if value.note else ""
        said = value_text(value, units) if entry.known else "not known"
        rows.append((entry.label, said, f"{value.status}, {value.source}{note}"))
    if rows:
        screen.table(("What", "Value", "How known, source"), rows, indent=2)
    cited = {s.key: s for s in (*one.sources, *(e.source for e in one.values))}
    for key, source in cited.items():
        seen = source.seen if source.seen == "not seen" else f"seen: {source.seen}"
        screen.line(f"{key}: {source.citation.rstrip('.')} ({seen}).", "dim", indent=2)
