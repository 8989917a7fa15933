"""Signs at a tree: writing them down, and reading those that tell what it stands on."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from barkslip.app.context import Context
from barkslip.app.lines import already, begin, door
from barkslip.app.root_table import look_questions
from barkslip.app.trees import find_tree
from barkslip.domain.root import read_looks
from barkslip.domain.sign import Sign
from barkslip.domain.tree import Tree
from barkslip.fieldbook.reader import Reader


def log_sign(ctx: Context, fields: Mapping[str, str]) -> Sign:
    """Write down a look that tells what a tree stands on.

    Parameters
    ----------
    fields : mapping
        tree (code or name), look ("leaflets=3"), on, note, id.

    Raises
    ------
    InputError, NotFoundError
    """
    at = door(ctx, fields)
    (look,) = read_looks([at.required(fields, "look", "look")], look_questions(ctx.knowledge))
    day = at.day(fields, "on", "today")
    with ctx.book.write() as writer:
        sent = already(writer, Sign, fields)
        if sent:
            return sent
        tree = find_tree(writer, at.required(fields, "tree", "tree"))
        sign = Sign(
            **begin(ctx, fields),
            question=look.question,
            answer=look.answer,
            on=day,
            tree=tree.thing,
            note=at.text(fields, "note"),
        )
        writer.append(sign)
    return sign


def signs_of_root(reader: Reader, tree: Tree, questions: Collection[str]) -> list[tuple[Sign, str]]:
    """Signs of a tree that answer some questions, each with the time when it was first written down; oldest first."""
    signs = [s for s in reader.every(Sign, "tree = :tree", tree=tree.thing) if s.question in questions]
    first = [(s, reader.versions(Sign, s.thing)[0].made_utc) for s in signs]
    return sorted(first, key=lambda pair: (pair[0].on.first, pair[1], pair[0].id))
