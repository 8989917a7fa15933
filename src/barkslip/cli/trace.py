"""`barkslip trace`: where a suspicion leads, and what a trace lives on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing

if TYPE_CHECKING:
    from barkslip.domain.trace import Trace

_ONE = (
    ("tree", "CODE", "This tree,"),
    ("graft", "CODE", "or this graft,"),
    ("lot", "CODE", "or this wood lot."),
)


@click.group("trace", cls=Noun, invoke_without_command=True,
             short_help="Follow an infection or a wrong name through wood, grafts, trees and tools.")  # fmt: skip
@fields(
    ("from", "CODE", "Suspect: a wood lot, graft or tree, or a tool's name; lot:W08 if several have it."),
    ("agent", "DISEASE", "Which disease, such as exocortis; anything wood can carry if left out."),
    ("why", "WORD", "infection or wrong-name; infection if left out."),
)
@click.option("--backward", is_flag=True, help="Where the suspect can have it from, instead of where it went.")
@fields(
    ("since", "DATE", "Day since when the suspect counts as carrying it; all along if left out."),
    ("worlds", "N", "How many cases are drawn where there are too many to count."),
    ("seed", "N", "The same number draws the same cases."),
)
@common
@click.pass_context
def command(ctx: click.Context, /, backward: bool, **given: Any) -> None:
    """Where a suspicion leads, in time order: what can have been reached, how early, how likely; what to hold and test.

    A trace says where something can have gone, never whether it is there: only a test does.
    """
    if ctx.invoked_subcommand is not None:
        return
    call = ctx.find_object(Call)
    assert call is not None
    words = typed(given)
    if not words.get("from"):
        raise click.UsageError("Whom do you suspect? Name it with --from.", ctx)
    if backward:
        words["backward"] = "yes"
    from barkslip.app.trace import ask_trace

    found = ask_trace(call.open(), words)
    if call.as_json:
        from barkslip.present.trace_data import trace_data

        call.json(trace_data(found))
        return
    show(call, found)


def show(call: Call, found: Trace) -> None:
    """The answer on the terminal."""
    from barkslip.present import trace as words

    screen = call.screen
    screen.line(words.headline(found), "bold")
    screen.line(words.suspect_words(found))
    screen.line(words.caution_texts(found)[0])
    if found.reached:
        screen.head("Can have it from" if found.backward else "Can have been reached")
        heads = ("!What", "Which", "!Since" if not found.backward else "!Up to", "Chance", "How")
        screen.table(heads, _rows(found), indent=2)
        if words.hardly_words(found):
            screen.line(words.hardly_words(found), indent=2)
    if words.came_rows(found):
        screen.head("Ask where these came from")
        screen.table(("", ""), words.came_rows(found), indent=2)
    if found.given:
        screen.head("Who was given wood: tell them")
        screen.table(("", "", ""), [(g.receiver, words.given_words(g), words.odds_words(g.odds)) for g in found.given],
                     indent=2)  # fmt: skip
    if found.hold and (found.reached or not found.nodes[found.origin].gone):
        screen.head("Hold back")
        screen.line(words.hold_lead(found), indent=2)
        held = [f"{words.node_words(found.nodes[i])}{' (held)' if found.nodes[i].held else ''}" for i in found.hold]
        screen.line("; ".join(held) + ".", indent=2)
    screen.head("Test")
    screen.line(words.test_lead(found), indent=2)
    if found.test:
        told = [f"{words.node_words(found.nodes[i])} ({bits:.2f} bit)" for i, bits in found.test]
        screen.line(f"Then what would tell most: {'; '.join(told)}.", indent=2)
    _rest(call, found)


def _rows(found: Trace) -> list[tuple[str, str, str, str, str]]:
    """Equal grafts of one setting in one row."""
    from barkslip.present import trace as words
    from barkslip.present.dates import day_text

    out = []
    for things, codes, way in words.bundled(found):
        one, node = things[0], found.nodes[things[0].node]
        which = f"{codes}{',' if len(things) > 1 else ''} {node.name}" if node.name else codes
        state = words.state_words(node)
        day = one.latest if found.backward else one.earliest
        said = f"{which}; {state}" if state else which
        out.append((words.KIND_WORDS[node.kind], said, day_text(day) if day else "", words.odds_words(one.odds), way))
    return out


def _rest(call: Call, found: Trace) -> None:
    """What it leans on, what is not known, and all cautions."""
    from barkslip.present import trace as words

    screen = call.screen
    if found.cleanings:
        screen.head("Cleaning of tools")
        for one in found.cleanings:
            screen.line(words.cleaning_words(one) + ".", indent=2)
    if found.problems:
        screen.head("Does not fit in the book")
        for problem in found.problems:
            screen.line(words.problem_words(problem), indent=2)
    screen.head("Known how")
    numbers = words.number_rows(found)
    if numbers:
        screen.table(("", "", ""), numbers, indent=2)
    for text in (words.counted_words(found), *words.unknown_words(found)):
        screen.line(text, indent=2)
    screen.head("Mind")
    for text in words.caution_texts(found)[1:]:
        screen.line(text, indent=2)


@command.command("tool", short_help="Write down what a blade cut, in the order of the day.")
@click.argument("tool")
@fields(
    *_ONE,
    ("on", "DATE", "Day; today if left out."),
    ("place", "N", "Which cut of the day it was, from 1; ? if not known; the next one if left out."),
    ("cleaned", "TEXT", "What was done to the blade just before: '1 + 5 household bleach, 2 s'."),
    ("note", "TEXT", "Anything else."),
    ("correct", "NUMBER", "Number of a use to be corrected."),
)
@writing
@common
@pass_call
def tool_(call: Call, /, correct: str | None, **given: Any) -> None:
    """Write down one use of the blade TOOL: what it cut, and what was done to it just before."""
    from barkslip.app.trace_lists import codes_of
    from barkslip.app.trace_written import save_tool_use

    ctx = call.open()
    use = call.write(typed(given), lambda f: save_tool_use(ctx, f, use=correct or ""))
    if call.as_json:
        call.json({"tool_use": use})
    else:
        from barkslip.present.trace import use_words

        call.say(use_words(use, codes_of(ctx, [use])[0]) + ".")
    call.backed_up(days=7)


@command.command("tools", short_help="What blades cut, newest day first.")
@common
@pass_call
def tools(call: Call) -> None:
    """Uses of tools, newest day first, in the order of each day."""
    from barkslip.app.trace_lists import tool_uses

    found = tool_uses(call.open())
    if call.as_json:
        call.json({"tool_uses": [{"kind": kind, "code": code, "use": use} for kind, code, use in found]})
        return
    if not found:
        call.say("No use of a tool is written down yet. Next: barkslip trace tool KNIFE --tree CODE")
        return
    from barkslip.present.dates import when_text

    rows = [
        (when_text(use.on), use.tool, str(use.place or "?"), f"{kind} {code}", use.cleaned or "nothing")
        for kind, code, use in found
    ]
    call.screen.table(("!On", "Tool", ">Cut", "!Of", "Before it"), rows)


@command.command("handout", short_help="Write down wood that has left the garden.")
@click.argument("lot")
@fields(
    ("to", "WHO", "Who has it now, in your own words."),
    ("on", "DATE", "Day; today if left out."),
    ("sticks", "N", "How many sticks."),
    ("note", "TEXT", "Anything else."),
    ("correct", "NUMBER", "Number of a line to be corrected."),
)
@writing
@common
@pass_call
def handout(call: Call, /, lot: str, to: str | None, correct: str | None, **given: Any) -> None:
    """Write down that wood of LOT was given away. That makes no wood fit to be moved."""
    from barkslip.app.trace_written import save_handout

    words = typed(given)
    if to is not None:
        words["receiver"] = to
    ctx = call.open()
    call.options = {"receiver": "--to {}"}
    saved = call.write(words, lambda f: save_handout(ctx, f, lot=lot, handout=correct or ""))
    if call.as_json:
        call.json({"handout": saved})
    else:
        from barkslip.present.trace import handout_words
        from barkslip.present.wood import DO_NOT_MOVE

        call.say(f"{lot}: {handout_words(saved)}.")
        call.say(DO_NOT_MOVE)
    call.backed_up()


@command.command("hold", short_help="Hold things back that are under suspicion.")
@click.argument("codes", nargs=-1, required=True)
@fields(
    ("why", "WORD", "infection or wrong-name; infection if left out."),
    ("agent", "DISEASE", "Which disease, if one is suspected."),
    ("on", "DATE", "Day since when; today if left out."),
    ("how", "TEXT", "By what it is suspected."),
)
@writing
@common
@pass_call
def hold(call: Call, /, codes: tuple[str, ...], **given: Any) -> None:
    """Hold lots, grafts and trees back, named by their CODES. What is held for it already is left as it is."""
    from barkslip.app.trace_written import hold_all

    ctx = call.open()
    saved = call.write(typed(given) | {"things": ", ".join(codes)}, lambda f: hold_all(ctx, f))
    if call.as_json:
        call.json({"holds": saved})
    else:
        call.say(f"Held back: {len(saved)} of {len(codes)}. Their pages say so until it is lifted.")
    call.backed_up()


@command.command("lift", short_help="Let something go that was held back.")
@click.argument("code")
@fields(
    ("how", "TEXT", "By what it was cleared: test report, fruit."),
    ("lifted", "DATE", "Day; today if left out."),
)
@writing
@common
@pass_call
def lift(call: Call, /, code: str, **given: Any) -> None:
    """Let everything go that holds CODE back."""
    from barkslip.app.trace_written import lift_all

    ctx = call.open()
    saved = call.write(typed(given), lambda f: lift_all(ctx, f, code=code))
    if call.as_json:
        call.json({"holds": saved})
    else:
        from barkslip.present.trace import held_words

        for one in saved:
            call.say(f"{code}: {held_words(one)}.")
    call.backed_up()


@command.command("held", short_help="What is held back.")
@common
@pass_call
def held(call: Call) -> None:
    """What is held back today, and why."""
    from barkslip.app.trace_lists import holds_in_force

    found = holds_in_force(call.open())
    if call.as_json:
        call.json({"held": [{"kind": kind, "code": code, "hold": one} for kind, code, one in found]})
        return
    if not found:
        call.say("Nothing is held back.")
        return
    from barkslip.present.trace import KIND_WORDS, held_words

    call.screen.table(("!", "!", ""), [(KIND_WORDS[kind], code, held_words(one)) for kind, code, one in found])


@command.command("agents", short_help="Cards of the diseases that wood and tools can carry.")
@click.argument("disease", required=False)
@common
@pass_call
def agents(call: Call, disease: str | None) -> None:
    """The diseases that can be followed; with DISEASE, its card."""
    from barkslip.app.trace import agent_rows, find_agent
    from barkslip.present.trace_data import card_data, card_text

    ctx = call.open()
    rows = (find_agent(ctx, disease),) if disease else agent_rows(ctx)
    if call.as_json:
        call.json({"agents": [card_data(row) for row in rows]})
        return
    from barkslip.present.trace import NO_VERDICT

    if disease:
        call.screen.line(rows[0].cell("name"), "bold")
        call.screen.table(("!", ""), card_text(rows[0]), indent=2)
    else:
        told = [(r.key, r.cell("name"), r.cell("by_graft"), r.cell("by_tool")) for r in rows]
        call.screen.table(("!Key", "Disease", "By grafts", "By tools"), told)
    call.screen.line(NO_VERDICT)
