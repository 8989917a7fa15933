"""`barkslip tree`: trees, their limbs, and what they stand on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, typed, writing

if TYPE_CHECKING:
    from barkslip.domain.cards import TreeStory
    from barkslip.domain.tree import Limb, Tree

_TREE = (
    ("plot", "CODE", "Plot it stands in."),
    ("code", "CODE", "Short name for commands; the next T.. if left out."),
    ("fruit", "KIND", "citrus, apple, persimmon ...; citrus if left out."),
    ("planted", "DATE", "1998, about 1998, before 1990."),
    ("count", "N", "How many alike, for a batch."),
    ("walk_order", "N", "Place in the walk-round within the plot."),
    ("union", "HEIGHT", "Height of the lowest union over the soil."),
    ("bench", "HEIGHT", "Height of a bench (step in girth)."),
    ("height", "HEIGHT", "Height of the tree."),
    ("spread", "LENGTH", "Width of the crown."),
    ("note", "TEXT", "Anything else."),
)
_LIMB = (
    ("label", "TEXT", "Any other name in use."),
    ("base", "HEIGHT", "Height over the soil where it leaves the trunk."),
    ("tip", "HEIGHT", "Height where it ends."),
    ("since", "DATE", "Day from which this address or name holds."),
    ("carries", "NAME", "What grows on it, grafts of this book apart."),
    ("proved", "yes|no", "yes if fruit or a look has shown what it is."),
    ("note", "TEXT", "Anything else."),
)


@click.group("tree", cls=Noun, short_help="Trees, their limbs, and what they stand on.")
@common
def command() -> None:
    """Trees, their limbs, and what they stand on."""


@command.command("list", short_help="All trees in walking order.")
@click.option("--plot", metavar="CODE", help="Only this plot.")
@common
@pass_call
def list_(call: Call, plot: str | None) -> None:
    """All trees in walking order, with what they stand on and how their grafts stand."""
    from barkslip.app.trees import all_trees

    cards = [c for c in all_trees(call.open()) if not plot or c.plot.code.lower() == plot.lower()]
    if call.as_json:
        call.json({"trees": cards})
        return
    if not cards:
        call.say("No tree is written down yet. Next: barkslip tree new NAME")
        return
    from barkslip.cli.screen import marks_words
    from barkslip.present.tree import stands_on_short, title

    rows = [
        (c.tree.code, title(c.tree), c.plot.code, stands_on_short(c), str(c.limbs), marks_words(c.marks)) for c in cards
    ]
    call.screen.table(("!Code", "Name", "!Plot", "Stock", ">Limbs", "Grafts"), rows)


@command.command("show", short_help="One tree: chain, limbs, grafts, what is due.")
@click.argument("code")
@common
@pass_call
def show(call: Call, code: str) -> None:
    """Everything about the tree CODE (or its name): chain, limbs, grafts, what was done, what is due."""
    from barkslip.app.trees import tree_story

    ctx = call.open()
    story = tree_story(ctx, code)
    if call.as_json:
        call.json({"tree": story})
        return
    from barkslip.cli.today import due_lines
    from barkslip.present import chain, tree
    from barkslip.present.counts import sentence

    screen, units = call.screen, call.units
    screen.line(f"{story.card.tree.code} · {tree.title(story.card.tree)}", "bold")
    screen.line(tree.about(story.card))
    screen.line(chain.stands_on(story.card.stands_on))
    screen.line(f"Chain, from the top down: {chain.chain_text(story.chain)}")
    screen.line(sentence(tree.size_words(story.card.tree, units)))
    if story.card.tree.note:
        screen.line(story.card.tree.note)
    _links(call, story)
    _limbs(call, story)
    if story.card.due:
        screen.head("Due")
        due_lines(call, story.card.due, ctx.today(ctx.garden()), indent=2)
    _history(call, story)


def _links(call: Call, story: TreeStory) -> None:
    from barkslip.present.chain import candidates_text, link_title

    if not story.links:
        return
    address = {c.limb.thing: c.limb.address for c in story.limbs}
    call.screen.head("What it is believed to be")
    rows = []
    for link in story.links:
        where = f", limb {address.get(link.limb, '?')}" if link.limb else ""
        why = "; ".join(c.evidence for c in link.candidates if c.evidence)
        rows.append((link_title(link) + where, candidates_text(link.candidates), why))
    call.screen.table(("Level", "Belief", "Evidence"), rows, indent=2)


def _limbs(call: Call, story: TreeStory) -> None:
    from barkslip.cli.screen import graft_rows
    from barkslip.present.counts import sentence
    from barkslip.present.tree import former_words, limb_holds, proof_words

    for card in story.limbs:
        label = f" ({card.limb.label})" if card.limb.label else ""
        call.screen.head(f"Limb {card.limb.address}{label}")
        words = "; ".join(w for w in (limb_holds(card), proof_words(card.limb), former_words(card)) if w)
        call.screen.line(f"{sentence(words)} {sentence(card.limb.note)}".rstrip(), indent=2)
        if card.grafts:
            rows = [(r[0], r[1], r[3], r[4]) for r in graft_rows(card.grafts)]
            call.screen.table(("!", "", "", "!"), rows, indent=2)
    if story.loose:
        call.screen.head("Grafts whose limb is not known")
        call.screen.table(("!", "", "", "!"), [(r[0], r[1], r[3], r[4]) for r in graft_rows(story.loose)], indent=2)


def _history(call: Call, story: TreeStory) -> None:
    from barkslip.present import act
    from barkslip.present.dates import when_text

    units = call.units
    done = [(a.on.first, when_text(a.on), act.text(a, units), a.note) for a in story.acts]
    done += [(e.on.first, when_text(e.on), act.event_text(e, units), "") for e in story.events]
    done += [(t.on.first, when_text(t.on), f"{t.variety}: {act.tasting_text(t)}", t.note) for t in story.tastings]
    if not done:
        return
    done.sort(key=lambda row: row[0], reverse=True)
    call.screen.head("What was done and what happened, newest first")
    call.screen.table(("", "", ""), [row[1:] for row in done[:12]], indent=2)
    if len(done) > 12:
        call.screen.line(f"... and {len(done) - 12} more; all of them with --json", indent=2)


@command.command("new", short_help="Add a tree.")
@click.argument("name")
@fields(*_TREE)
@writing
@common
@pass_call
def new(call: Call, /, **given: Any) -> None:
    """Add a tree called NAME. A name much like another one's asks first."""
    from barkslip.app.trees import save_tree

    ctx = call.open()
    tree = call.write(typed(given), lambda f: save_tree(ctx, f))
    _saved(call, tree, "is in the book", "Next: barkslip tree limb new {code} ADDRESS, barkslip tree link {code} LEVEL")


@command.command("edit", short_help="Correct a tree.")
@click.argument("tree", metavar="CODE")
@fields(("name", "NAME", "What you call it."), *_TREE)
@writing
@common
@pass_call
def edit(call: Call, /, tree: str, **given: Any) -> None:
    """Correct the tree CODE: what is not typed stays as it is; "" empties a field. Older versions are kept."""
    from barkslip.app.trees import save_tree

    ctx = call.open()
    saved = call.write(typed(given), lambda f: save_tree(ctx, f, code=tree))
    _saved(call, saved, "is corrected", "")


def _saved(call: Call, tree: Tree, words: str, next_words: str) -> None:
    if call.as_json:
        call.json({"tree": tree})
    else:
        call.say(f"{tree.code} {tree.name} {words}.")
        if next_words:
            call.say(next_words.format(code=tree.code))
    call.backed_up()


@command.group("limb", cls=Noun, short_help="Limbs of a tree.")
@common
def limb() -> None:
    """Limbs, found without tags: bearing from the trunk, height, then any letters (NW-M-L)."""


@limb.command("new", short_help="Add a limb.")
@click.argument("tree", metavar="TREE")
@click.argument("address")
@fields(*_LIMB)
@writing
@common
@pass_call
def limb_new(call: Call, /, tree: str, **given: Any) -> None:
    """Add the limb ADDRESS to TREE."""
    from barkslip.app.trees import save_limb

    ctx = call.open()
    saved = call.write(typed(given), lambda f: save_limb(ctx, f, tree=tree))
    _limb_saved(call, saved, "is in the book")


@limb.command("edit", short_help="Correct a limb.")
@click.argument("tree", metavar="TREE")
@click.argument("limb", metavar="LIMB")
@fields(("address", "ADDRESS", "New address."), *_LIMB)
@writing
@common
@pass_call
def limb_edit(call: Call, /, tree: str, limb: str, **given: Any) -> None:
    """Correct a LIMB of TREE, named by address, label, or any name it ever had."""
    from barkslip.app.trees import find_limb, find_tree, save_limb

    ctx = call.open()
    with ctx.book.read() as reader:
        thing = find_limb(reader, find_tree(reader, tree), limb).thing
    saved = call.write(typed(given), lambda f: save_limb(ctx, f, limb=thing))
    _limb_saved(call, saved, "is corrected")


def _limb_saved(call: Call, limb: Limb, words: str) -> None:
    if call.as_json:
        call.json({"limb": limb, "address": limb.address})
    else:
        from barkslip.present.tree import limb_words, proof_words

        call.say(f"Limb {limb.address} ({limb_words(limb)}) {words}: {proof_words(limb)}.")
    call.backed_up()


@command.command("link", short_help="What a level of a tree is believed to be.")
@click.argument("tree", metavar="TREE")
@click.argument("level", nargs=-1, required=True)
@click.option(
    "--is",
    "answers",
    multiple=True,
    metavar="NAME[=BELIEF[:EVIDENCE]]",
    help="One answer, such as 'trifoliate orange=0.45:bench at union'; may be repeated.",
)
@fields(("limb", "LIMB", "Only for this limb."), ("on", "DATE", "Day of this belief; today if left out."))
@writing
@common
@pass_call
def link(call: Call, /, tree: str, level: tuple[str, ...], answers: tuple[str, ...], **given: Any) -> None:
    """Write down what LEVEL (rootstock, own roots, interstock, framework, scion) of TREE is believed to be.

    Beliefs are shares (0.45) or per cent (45%); what is missing to certainty is shown as not known. What was
    believed before is kept.
    """
    from barkslip.app.trees import save_link

    ctx = call.open()
    words = typed(given) | {"level": " ".join(level)}
    for number, text in enumerate(answers, 1):
        name, _, rest = text.partition("=")
        belief, _, evidence = rest.partition(":")
        words |= {f"taxon_{number}": name, f"belief_{number}": belief, f"evidence_{number}": evidence}
    saved = call.write(words, lambda f: save_link(ctx, f, tree=tree))
    if call.as_json:
        call.json({"link": saved})
    else:
        from barkslip.present.chain import candidates_text, link_title

        call.say(f"{link_title(saved)}: {candidates_text(saved.candidates)}.")
    call.backed_up()
