"""`barkslip walk`: the walk-round."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from barkslip.cli.call import Call, common, pass_call
from barkslip.domain.graft import STATES

if TYPE_CHECKING:
    from barkslip.domain.cards import Walk

_MOST = 500


@click.command("walk", short_help="The walk-round: grafts to look at, in walking order.")
@click.option("--at", metavar="STOP", help="One stop: its place (from 1) or the graft's code.")
@click.option("--go", is_flag=True, help="Go round: one key a stop writes the look down.")
@common
@pass_call
def command(call: Call, at: str | None, go: bool) -> None:
    """Grafts that wait for a look, in walking order; one of them with --at; all of them, key by key, with --go."""
    from barkslip.app.book import ensure_lists

    ensure_lists(call.open())
    if go:
        _go(call, at)
    elif at:
        stop = _stop(call, at)
        if call.as_json:
            call.json({"walk": stop})
        else:
            _show(call, stop)
    else:
        _list(call)


def _stop(call: Call, at: str) -> Walk:
    """The stop with a place from 1, or with a graft's code."""
    from barkslip.app.today import walk

    ctx = call.open()
    found = walk(ctx, at=int(at) - 1) if at.isdigit() else walk(ctx, graft=at)
    if found.card is None and found.stops:
        from barkslip.domain.errors import NotFoundError

        raise NotFoundError(
            "There is no such stop on the walk-round.",
            given=at,
            allowed=f"1 to {found.stops}",
            next_step="See the stops: barkslip walk",
        )
    return found


def _list(call: Call) -> None:
    from barkslip.app.today import walk
    from barkslip.present import due
    from barkslip.present.counts import many

    first = walk(call.open())
    stops = [first, *(walk(call.open(), at=i) for i in range(1, min(first.stops, _MOST)))] if first.stops else []
    if call.as_json:
        call.json({"on": first.on, "stops": first.stops, "walk": stops})
        return
    if not stops:
        call.say("Nothing on the walk-round: no graft waits for a look.")
        return
    from barkslip.cli.screen import mark_text
    from barkslip.present.graft import standing_words, title

    rows = []
    for stop in stops:
        card = stop.card
        assert card is not None
        todo = ", ".join(due.button(d).lower() for d in due.open_now(card.due, stop.on)) or "nothing due"
        state = mark_text(card.standing.mark, standing_words(card.standing))
        rows.append((str(stop.place + 1), card.graft.code, card.tree.code, title(card), state, todo))
    call.screen.line(f"{many(first.stops, 'stop')}, in walking order.")
    call.screen.table((">", "!Graft", "!Tree", "Where", "Stands", "Due"), rows)
    if first.stops > _MOST:
        call.screen.line(f"The first {_MOST}; go on with: barkslip walk --at {_MOST + 1}")


def _show(call: Call, stop: Walk) -> None:
    from barkslip.cli.today import due_lines
    from barkslip.present.dates import when_text
    from barkslip.present.day import walk_place
    from barkslip.present.graft import look_text, setting_words, standing_sentence, title

    screen, card = call.screen, stop.card
    if card is None:
        screen.line("Nothing on the walk-round: no graft waits for a look.")
        return
    screen.line(f"{walk_place(stop)} · {card.graft.code} on {card.tree.code} {card.tree.name}", "bold")
    screen.line(title(card))
    screen.line(setting_words(card.graft, call.units))
    screen.line(standing_sentence(card))
    due_lines(call, card.due, stop.on, indent=2)
    if stop.tree_due:
        screen.line("For the whole tree:", indent=2)
        due_lines(call, stop.tree_due, stop.on, indent=4)
    if stop.last_looks:
        rows = [(when_text(k.on), look_text(k, call.units), k.note) for k in stop.last_looks]
        screen.table(("!Looked", "Saw", "Note"), rows, indent=2)
    around = [f"before: {stop.before}"] * bool(stop.before) + [f"next: {stop.after}"] * bool(stop.after)
    if around:
        screen.line(", ".join(around))


def _go(call: Call, at: str | None) -> None:
    """Key by key. A stop that has been looked at may leave the round, so the next one is found by its code."""
    from barkslip.app.grafts import log_look
    from barkslip.cli.card import graft_card, verdict

    if call.as_json:
        raise click.UsageError("--go asks at the terminal and has no JSON.", click.get_current_context())
    states = list(STATES)
    keys = {str((i + 1) % 10): state for i, state in enumerate(states)}
    call.say("   ".join(f"{key} {state}" for key, state in keys.items()))
    call.say("Enter: next, nothing written   q: stop")
    stop, written = _stop(call, at or "1"), 0
    while stop.card is not None:
        call.say("")
        _show(call, stop)
        click.echo("> ", nl=False)
        key = click.getchar()
        call.say(keys.get(key, "stop" if key in "qQ" else "next" if key in "\r\n " else "no such key"))
        if key in "qQ":
            break
        if key in keys:
            code = stop.card.graft.code
            look = call.write({"state": keys[key]}, lambda f, code=code: log_look(call.open(), code, f))  # type: ignore[misc]
            written += 1
            call.say(verdict(graft_card(call.open(), look.graft)))
        elif key not in "\r\n ":
            continue
        if not stop.after:
            break
        stop = _stop(call, stop.after)
    call.say(f"Looks written down: {written}.")
    if written:
        call.backed_up(days=7)
