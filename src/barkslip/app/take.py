"""What took: grafts of the book brought to the engine, or counts that are typed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.days import forget
from barkslip.app.lines import door
from barkslip.app.past_grafts import state_of
from barkslip.app.settings import Settings
from barkslip.app.trees import find_tree
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.take import BY, TakeVerdict
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.app.door import Door
    from barkslip.domain.take import TakeGraft

Fields = Mapping[str, str]
#: Answers that are kept at most.
MOST_KEPT = 20
#: Books' grafts that are kept at most, as they were read.
MOST_READ = 2
#: What narrows the grafts down.
FILTERS = ("tree", "plot", "campaign", "method")
#: Nouns, besides those of the clocks, that an answer depends on.
_ALSO = ("chain_link",)


def ask_take(ctx: Context, fields: Fields) -> TakeVerdict:
    """What took, by groups.

    Parameters
    ----------
    fields : mapping
        by (a key of `domain.take.BY`; method if left out), tree, plot, campaign, method (codes and words: only
        grafts of these), seed.

    Raises
    ------
    InputError
        If there is no such way of grouping.
    NotFoundError
        If there is no such tree, plot, campaign or method among the grafts.
    """
    at = door(ctx, fields)
    by = at.choice(fields, "by", tuple(BY), "method") if at.text(fields, "by") else "method"
    seed = at.count(fields, "seed", most=10**9) or 1
    today = at.today
    with ctx.book.read() as reader:
        grafts = _chosen(ctx, reader, at, fields)
        lines = " ".join(str(reader.lines_of(noun)) for noun in _ALSO)
        state = hash(f"{[g.id for g in grafts]} {lines} {state_of(ctx, reader)}")
        key, read = f"take {by} {seed} {state}", f"lives {state}"
        if key in ctx.kept:
            kept: TakeVerdict = ctx.kept[key]
            return kept
        if read not in ctx.kept:
            # reading the looks takes longer than the answer: another grouping of the same grafts need not do it again
            found = _grafts(ctx, reader, grafts, today)
            forget(ctx, "lives ", MOST_READ)
            ctx.kept[read] = found
    verdict = _answer(ctx, ctx.kept[read], by, seed, today)
    forget(ctx, "take ", MOST_KEPT)
    ctx.kept[key] = verdict
    return verdict


def _grafts(ctx: Context, reader: Reader, grafts: list[Graft], today: date) -> list[TakeGraft]:
    from barkslip.app.take_grafts import take_grafts

    return take_grafts(ctx, reader, grafts, today)


def _answer(ctx: Context, found: list[TakeGraft], by: str, seed: int, today: date) -> TakeVerdict:
    from barkslip.engines.take import assess

    return assess(found, by, ctx.knowledge.value, seed=seed, as_of=today, knowledge_hash=ctx.knowledge.hash)


def _chosen(ctx: Context, reader: Reader, at: Door, fields: Fields) -> list[Graft]:
    """Grafts that are asked about, by their codes."""
    where, values = ["1"], {}
    if at.text(fields, "tree"):
        where.append("tree = :tree")
        values["tree"] = find_tree(reader, at.text(fields, "tree")).thing
    if at.text(fields, "plot"):
        where.append("tree IN (SELECT thing FROM tree WHERE plot = :plot AND current AND NOT withdrawn)")
        values["plot"] = reader.by_code(Plot, at.text(fields, "plot")).thing
    if at.text(fields, "campaign"):
        where.append("campaign = :campaign COLLATE NOCASE")
        values["campaign"] = at.text(fields, "campaign")
    found = reader.every(Graft, " AND ".join(where), order="code", **values)
    if at.text(fields, "method"):
        found = _of_method(ctx, found, at.text(fields, "method"))
    if not found and any(at.text(fields, name) for name in FILTERS):
        raise NotFoundError(
            "No graft of the book is like that.",
            given=", ".join(f"{name} {at.text(fields, name)}" for name in FILTERS if at.text(fields, name)),
            allowed="a tree, a plot, a campaign or a method that grafts were set on or with",
            next_step="See them all: barkslip graft list",
            field=next(name for name in FILTERS if at.text(fields, name)),
        )
    return found


def _of_method(ctx: Context, grafts: list[Graft], asked: str) -> list[Graft]:
    method = ctx.knowledge.method(asked)
    wanted = method.name if method is not None else asked

    def name(g: Graft) -> str:
        known = ctx.knowledge.method(g.method)
        return known.name if known is not None else g.method

    return [g for g in grafts if name(g).lower() == wanted.lower()]


def ask_counts(settings: Settings, fields: Fields) -> TakeVerdict:
    """What typed counts say, each group alone with the published belief; no book is needed.

    Parameters
    ----------
    fields : mapping
        counts ("bark graft 8/10; T-bud 3/7"), seed.

    Raises
    ------
    InputError
    """
    from barkslip.engines.take import assess_counts
    from barkslip.knowledge.load import load

    knowledge = load(settings.knowledge)
    seed = fields.get("seed", "1")
    return assess_counts(
        typed_counts(fields["counts"]),
        knowledge.value,
        seed=int(seed) if seed.isdigit() else 1,
        knowledge_hash=knowledge.hash,
    )


def typed_counts(text: str) -> tuple[tuple[str, int, int], ...]:
    """Groups with what took and what was set, from "bark graft 8/10; T-bud 3/7".

    Raises
    ------
    InputError
    """
    out: list[tuple[str, int, int]] = []
    for part in text.replace("\n", ";").split(";"):
        if not part.strip():
            continue
        name, _, count = part.strip().replace("=", " ").rpartition(" ")
        took, slash, of = count.partition("/")
        if not (slash and took.isdigit() and of.isdigit() and len(of) < 5) or int(took) > int(of) or int(of) == 0:
            raise InputError(
                "Not a count of grafts.",
                given=part.strip(),
                allowed="a name, then how many took and how many were set: bark graft 8/10; T-bud 3/7",
                next_step="Correct it; grafts that still wait count as neither, leave them out.",
                field="counts",
            )
        out.append((name.strip() or f"group {len(out) + 1}", int(took), int(of)))
    return tuple(out)
