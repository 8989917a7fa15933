"""`barkslip take-back`: what never was."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, pass_call

if TYPE_CHECKING:
    from barkslip.domain.entry import Entry

#: What can be taken back -> how it is named.
KINDS = {
    "graft": "CODE", "tree": "CODE", "plot": "CODE", "lot": "CODE", "limb": "TREE ADDRESS", "link": "TREE LEVEL",
    "series": "NAME", "look": "NUMBER", "act": "NUMBER", "event": "NUMBER",
    "tool": "NUMBER", "handout": "NUMBER", "hold": "NUMBER",
    "sign": "NUMBER", "rule": "NUMBER",
}  # fmt: skip


@click.command(
    "take-back",
    short_help="Take back what never was; it stays in the book, struck out.",
    epilog="Kinds: " + "; ".join(f"{kind} {named}" for kind, named in KINDS.items()) + ". "
    "Numbers: barkslip graft show CODE --ids, or --json.",
)
@click.argument("kind", type=click.Choice(tuple(KINDS)))
@click.argument("named", nargs=-1, required=True)
@common
@pass_call
def command(call: Call, kind: str, named: tuple[str, ...]) -> None:
    """Take back a thing that never was: a graft typed twice, a look at the wrong one.

    It is shown nowhere any more, but stays in the book. What others lean on cannot be taken back: correct it instead.
    """
    from barkslip.app.trees import take_back

    ctx = call.open()
    noun, thing = _found(call, kind, named)
    call.write({}, lambda _: take_back(ctx, noun, thing))
    if call.as_json:
        call.json({"taken_back": thing, "kind": kind})
    else:
        call.say(f"Taken back: {kind} {' '.join(named)}.")
    call.backed_up()


def _found(call: Call, kind: str, named: tuple[str, ...]) -> tuple[type[Entry], str]:
    """The noun and the thing that is meant."""
    from barkslip.app.trees import find_limb, find_tree
    from barkslip.app.weather import find_series
    from barkslip.domain.act import Act, Event
    from barkslip.domain.budwood import WoodLot
    from barkslip.domain.clean import Handout, Hold, ToolUse, WoodRule
    from barkslip.domain.garden import Plot
    from barkslip.domain.graft import Graft, Look
    from barkslip.domain.record import Record
    from barkslip.domain.sign import Sign
    from barkslip.domain.tree import Limb, Tree

    text = " ".join(named)
    coded: dict[str, type[Any]] = {"graft": Graft, "plot": Plot, "lot": WoodLot}
    numbered: dict[str, type[Any]] = {"look": Look, "act": Act, "event": Event, "sign": Sign, "rule": WoodRule}
    numbered |= {"tool": ToolUse, "handout": Handout, "hold": Hold}
    with call.open().book.read() as reader:
        if kind in coded:
            return coded[kind], reader.by_code(coded[kind], text).thing
        if kind in numbered:
            return numbered[kind], reader.line(numbered[kind], text).thing
        if kind == "series":
            return Record, find_series(reader, text).thing
        tree = find_tree(reader, text if kind == "tree" else named[0])
        if kind == "tree":
            return Tree, tree.thing
        rest = " ".join(named[1:])
        if kind == "limb":
            return Limb, find_limb(reader, tree, rest).thing
        return _link(reader, tree, rest)


def _link(reader: Any, tree: Any, level: str) -> tuple[type[Entry], str]:
    from barkslip.domain.errors import NotFoundError
    from barkslip.domain.tree import ChainLink

    links = [k for k in reader.every(ChainLink, "tree = :tree", tree=tree.thing) if k.limb is None]
    for link in links:
        if link.level == level.lower():
            return ChainLink, link.thing
    raise NotFoundError(
        "Nothing is written down for that level.",
        given=level or "(nothing)",
        allowed=", ".join(k.level for k in links) or "no level yet",
        next_step=f"See: barkslip tree show {tree.code}",
    )
