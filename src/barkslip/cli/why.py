"""`barkslip why`: why a graft was lost."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, typed

if TYPE_CHECKING:
    from barkslip.domain.why import WhyAnswer


@click.command("why", short_help="Why a graft was lost: causes for and against, and the next look.")
@click.argument("grafts", nargs=-1, metavar="[GRAFT]...")
@click.option(
    "--look",
    "looks",
    multiple=True,
    metavar="QUESTION=ANSWER",
    help="What you see, such as union=brown; may be repeated. It counts for the first graft, but is not written down.",
)
@click.option(
    "--saw",
    multiple=True,
    metavar="QUESTION=ANSWER",
    help="What was seen at the first graft, to be written down and counted; may be repeated.",
)
@fields(
    ("confirm", "CAUSE", "What the loss turned out to come from, to be written down; it teaches the shares of causes."),
    ("how", "TEXT", "By what that was found out."),
    ("on", "DATE", "Day on which it was seen or found out; today if left out."),
    ("note", "TEXT", "A note on what was seen."),
)
@click.option("--quick", is_flag=True, help="Leave the model of heat, drying and healing out.")
@click.option("--list", "list_all", is_flag=True, help="All questions with their answers, and the causes.")
@common
@pass_call
def command(
    call: Call, /, grafts: tuple[str, ...], looks: tuple[str, ...], saw: tuple[str, ...], quick: bool, list_all: bool,
    **given: Any,
) -> None:  # fmt: skip
    """Causes for and against, what cannot be told, whether several were lost to one cause, and what to look at next.

    Never a verdict on a disease. Taking a look back: barkslip take-back sign NUMBER.
    """
    if list_all:
        _list(call)
        return
    from barkslip.app.why import ask_why, log_cause, log_looks

    ctx, words = call.open(), typed(given)
    first = {"graft": grafts[0]} if grafts else {}
    rest = {k: words[k] for k in ("on", "note", "how") if k in words}
    written = bool(saw or words.get("confirm"))
    if saw and first:
        call.write(first | rest | {"looks": ", ".join(saw)}, lambda f: log_looks(ctx, f))
    if words.get("confirm") and first:
        call.write(first | rest | {"cause": words["confirm"]}, lambda f: log_cause(ctx, f))
    answer = ask_why(ctx, {"grafts": " ".join(grafts), "looks": ", ".join(looks)}, model=not quick)
    if call.as_json:
        from barkslip.present.why_data import why_data

        call.json(why_data(answer))
    else:
        if written:
            call.say("Written down.")
        _show(call, answer)
    if written:
        call.backed_up(days=7)


def _list(call: Call) -> None:
    from barkslip.present import why

    if call.as_json:
        call.json({"looks": {q: list(a) for q, a in why.ANSWERS.items()}, "causes": list(why.CAUSE_WORDS)})
        return
    for question, asked in why.QUESTIONS.items():
        call.screen.head(f"{asked} ({question})")
        call.screen.table(("!", ""), list(why.ANSWERS[question].items()), indent=2)
    call.screen.head("Causes")
    call.screen.table(("!", ""), list(why.CAUSE_WORDS.items()), indent=2)


def _show(call: Call, v: WhyAnswer) -> None:
    from barkslip.present import why

    screen, g = call.screen, v.grafts[0]
    screen.line(why.headline(v), "bold")
    for text in (why.lead(v), why.shared_text(v), why.next_time(v)):
        if text:
            screen.line(text)
    screen.head("Causes")
    rows = [(why.CAUSE_WORDS[b.cause], why.range_text(b), why.speaks_text(b)) for b in g.beliefs]
    screen.table(("Cause", ">Belief", "Why"), rows, indent=2)
    if g.answers:
        screen.head("Counted")
        screen.table(("!", ""), [("-", why.answered_text(a)) for a in g.answers], indent=2)
    if g.last is not None:
        screen.head("Its first weeks and last days")
        screen.table(("", "!"), why.last_rows(g.last, call.units), indent=2)
    if v.next_looks:
        screen.head("What to look at next")
        looks = [(n.question, why.next_text(n), f"{n.bits:.2f}", why.tells(n.bits)) for n in v.next_looks[:3]]
        screen.table(("!Look", "Question", ">Bits", "!Tells"), looks, indent=2)
    screen.head("What else to know")
    said = [t for t in (why.never_text(), why.again(v), *why.notes(v)) if t]
    screen.table(("!", ""), [("-", t) for t in said], indent=2)
