"""The questions and weights that tell a stock by its looks, from the knowledge base."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from barkslip.app.kinds import Kinds
from barkslip.domain.known import Row
from barkslip.domain.root import ANY, OTHER, LookAnswer, LookQuestion
from barkslip.domain.sourced import Value
from barkslip.domain.tree import UNKNOWN, Candidate, complete

if TYPE_CHECKING:
    from barkslip.engines.root import Start, StockLooks
    from barkslip.knowledge.load import Knowledge

#: Name of a stock that belongs to none of the groups.
OTHER_NAME = "another stock"
#: Where the knowledge base says what such a stock looks like.
_OTHER = "stock_looks.other."


def look_questions(knowledge: Knowledge) -> tuple[LookQuestion, ...]:
    """All questions with their answers, in the order of the table."""
    groups = [row.key for row in knowledge.table("stock_groups")]
    rows: dict[str, list[Row]] = {}
    for row in knowledge.table("stock_looks"):
        rows.setdefault(row.cell("question"), []).append(row)
    return tuple(
        LookQuestion(
            key=key,
            asked=several[0].cell("asked"),
            answers=tuple(_answer(row, groups) for row in several),
            place=several[0].cell("works_as") == "place",
            only_after=several[0].cell("only_after"),
        )
        for key, several in rows.items()
    )


def _answer(row: Row, groups: Sequence[str]) -> LookAnswer:
    return LookAnswer(
        question=row.cell("question"),
        answer=row.cell("answer"),
        text=row.cell("text"),
        words={g: row.cell(g) for g in groups},
        known=row.cell("look_known"),
        source=row.cell("source"),
        status=row.cell("status"),
        note=row.cell("note"),
    )


def stock_looks(knowledge: Knowledge, kept: dict[str, object] | None = None) -> StockLooks:
    """The table with its weights drawn; made anew only if `kept` does not have it."""
    from barkslip.engines.root import StockLooks

    held = kept.get("stock_looks") if kept is not None else None
    if isinstance(held, StockLooks):
        return held
    questions = look_questions(knowledge)
    words = {word for q in questions for a in q.answers for word in a.words.values()}
    said = {e.key.removeprefix(_OTHER): str(e.value.value) for e in knowledge.entries(_OTHER)}
    other = {a.key: said[a.row] for q in questions for a in q.answers if a.row in said}
    words |= set(other.values())
    table = StockLooks(
        questions,
        [row.key for row in knowledge.table("stock_groups")],
        {word: knowledge.value(f"stock_looks.class.{word.replace(' ', '_')}") for word in words},
        like=said["like"].split(";"),
        other=other,
        clash=number(knowledge, "stock_looks.rule.clash"),
    )
    if kept is not None:
        kept["stock_looks"] = table
    return table


def number(knowledge: Knowledge, key: str) -> float:
    """A number of the knowledge base; 0 for a hole."""
    value = knowledge.value(key).value
    return float(value) if isinstance(value, (int, float)) else 0.0


def prior(knowledge: Knowledge, group: str) -> Value:
    """Weight of a group before any look."""
    return knowledge.value(f"stock_looks.prior.{group}")


def group_starts(knowledge: Knowledge) -> list[Start]:
    """All groups, and room for a stock of none of them; they share what no other belief has."""
    from barkslip.engines.root import Start

    rows = knowledge.table("stock_groups")
    out = [Start(row.cell("name"), row.key, weight=prior(knowledge, row.key)) for row in rows]
    return [*out, Start(OTHER_NAME, OTHER, weight=prior(knowledge, OTHER))]


def book_starts(kinds: Kinds, candidates: Sequence[Candidate]) -> list[Start]:
    """The answers of a belief in the book, each judged by the looks of its group; what is missing to 1 is shared."""
    from barkslip.engines.root import Start

    out: list[Start] = []
    for one in complete(tuple(candidates)):
        if one.taxon != UNKNOWN:
            groups = groups_of(kinds, one.taxon)
            out += [Start(one.taxon, group, one.belief / len(groups)) for group in groups]
    return out + group_starts(kinds.knowledge)


def groups_of(kinds: Kinds, taxon: str) -> tuple[str, ...]:
    """Groups that a name may belong to: one mostly, several for "a hybrid of trifoliate", `ANY` if nothing is known."""
    found = {s.key for s in kinds.written(taxon) if s.table == "rootstocks"}
    whole = {s.group for s in kinds.written(taxon) if s.table == "groups"}
    out = []
    for row in kinds.knowledge.table("stock_groups"):
        members = {s.key for s in kinds.members(row)}
        if members & found or whole & set(row.cell_list("groups")):
            out.append(row.key)
    if not out:
        return (OTHER,) if found else (ANY,)
    return tuple(out)


def members_of(kinds: Kinds, group: str) -> tuple[str, ...]:
    """Names of the stocks of a group; of those in none for `OTHER`."""
    rows = kinds.knowledge.table("stock_groups")
    if group == OTHER:
        held = {s.key for row in rows for s in kinds.members(row)}
        return tuple(s.name for k, s in kinds.stocks.items() if k not in held)
    row = kinds.knowledge.rows("stock_groups").get(group)
    return tuple(s.name for s in kinds.members(row)) if row is not None else ()


def class_groups(kinds: Kinds) -> dict[str, tuple[str, ...]]:
    """Class of kinds -> groups that lie wholly in it; only classes of two groups or more."""
    rows = kinds.knowledge.table("stock_groups")
    members = {row.key: {s.key for s in kinds.members(row)} for row in rows}
    out = {}
    for row in kinds.knowledge.table("classes"):
        if row.cell("whole") == "yes":
            continue
        held = {s.key for s in kinds.members(row)}
        inside = tuple(key for key, some in members.items() if some <= held)
        if len(inside) > 1:
            out[row.cell("name")] = inside
    return out
