"""What a tree stands on: looks typed or kept in the book, over what was believed before."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.kinds import Kinds, kinds_of
from barkslip.app.root_table import (
    OTHER_NAME,
    book_starts,
    class_groups,
    group_starts,
    members_of,
    stock_looks,
)
from barkslip.app.settings import Settings
from barkslip.app.signs import signs_of_root
from barkslip.app.trees import find_tree, save_link
from barkslip.domain.errors import InputError
from barkslip.domain.root import (
    SICK,
    ClassBelief,
    CountedLook,
    LookAnswer,
    LookQuestion,
    RootBelief,
    RootVerdict,
    read_looks,
)
from barkslip.domain.sign import Sign
from barkslip.domain.sourced import Source
from barkslip.domain.tree import UNKNOWN, Candidate, ChainLink, Limb, Tree

if TYPE_CHECKING:
    from barkslip.engines.root import Array, Start, StockLooks
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Answers believed less than this are not written into a chain unless the book names them: they stay "not known" [1].
WRITTEN_FROM = 0.01
#: How the evidence of a belief begins that was reckoned from looks, with its share in per cent.
_RECKONED = re.compile(r"^from looks: (\d+\.\d) %")
#: Between typed looks: a comma, or a space before the next question.
_BETWEEN = re.compile(r"\s*,\s*|\s+(?=\w+\s*=)")
_ROOT_LEVELS = ("rootstock", "own roots")


@dataclass(frozen=True)
class _Book:
    """What the book says about the root of a tree."""

    tree: Tree
    history: tuple[ChainLink, ...] = ()
    base: ChainLink | None = None
    signs: tuple[Sign, ...] = ()
    older: tuple[Sign, ...] = ()
    limbs: tuple[Limb, ...] = ()


def ask_root(ctx: Context | None, settings: Settings, fields: Fields) -> RootVerdict:
    """What a tree stands on, by what has been seen.

    Parameters
    ----------
    ctx : Context or None
        The book; None if the looks are typed and no book is needed.
    fields : mapping
        looks ("leaflets=3, thorns=many"; counted, not written down), tree (code or name), afresh (yes: what the book
        believes is left aside and all its looks count).

    Raises
    ------
    InputError
        For a look that is not known, or a tree that is no citrus.
    NotFoundError
    """
    knowledge = _knowledge(ctx, settings)
    kept = ctx.kept if ctx is not None else None
    table = stock_looks(knowledge, kept)
    kinds = kinds_of(knowledge, kept)
    questions = tuple(table.questions.values())
    typed_words = fields.get("looks", "").strip(" ,")
    typed = read_looks(_BETWEEN.split(typed_words), questions) if typed_words else []
    book = _read_book(ctx, fields, table) if ctx is not None and fields.get("tree") else None
    counted = [CountedLook(look) for look in typed]
    if book is not None:
        counted = [CountedLook(_look_of(table, s), s) for s in book.signs] + counted
    verdict = _judged(table, kinds, book, counted)
    if book is None:
        return verdict
    return replace(
        verdict,
        older=book.older,
        base=book.base,
        kept=_is_kept(book, verdict),
        limbs=book.limbs,
        history=book.history,
        tree=book.tree.code,
        tree_name=book.tree.name,
    )


def _judged(table: StockLooks, kinds: Kinds, book: _Book | None, counted: list[CountedLook]) -> RootVerdict:
    from barkslip.engines import root

    looks = [c.look for c in counted]
    taken = root.implied(table, looks)
    every = [*looks, *taken]
    starts = _starts(kinds, book)
    roomy = root.before(starts, kinds.knowledge.value("stock_looks.rule.room"))
    prior = roomy if looks else root.before(starts, None)
    now = root.after(table, starts, prior, every)
    beliefs = _beliefs(table, kinds, starts, (prior, now), every)
    answered = {look.question for look in looks}
    return RootVerdict(
        beliefs=beliefs,
        classes=_classes(kinds, starts, now),
        looks=(*counted, *(CountedLook(look, implied=True) for look in taken)),
        next_looks=root.next_looks(table, starts, root.after(table, starts, roomy, every), every),
        places=tuple(q for q in table.questions.values() if q.place and q.key not in answered),
        clashes=root.clashes(table, starts, looks),
        notes=_notes(beliefs, looks, book),
        sources=_sources(kinds.knowledge, every),
    )


def _starts(kinds: Kinds, book: _Book | None) -> list[Start]:
    if book is None or book.base is None:
        return group_starts(kinds.knowledge)
    link = book.base
    if link.level == "own roots":
        rows = kinds.knowledge.rows("stock_groups")
        held = sum(c.belief for c in link.candidates if c.taxon != UNKNOWN) or 1.0
        return book_starts(kinds, (Candidate(rows["own_roots"].cell("name"), held),))
    return book_starts(kinds, link.candidates)


def _beliefs(
    table: StockLooks, kinds: Kinds, starts: Sequence[Start], shares: tuple[Array, Array], looks: Sequence[LookAnswer]
) -> tuple[RootBelief, ...]:
    from barkslip.engines import root

    prior, now = shares
    before, after = root.named(starts, prior), root.named(starts, now)
    by_name = {s.name: s for s in reversed(starts)}
    groups = [by_name[name].group for name in after.names]
    ratios = root.speaks(table, groups, before.share, looks)
    several = list(zip(ratios, root.by_question(looks).values(), strict=True))
    in_book = {s.name for s in starts if s.share > 0}
    out = []
    for i, name in enumerate(after.names):
        p, low, high = after.range_of([i])
        if p == high == 0.0:
            continue
        of_group = name == OTHER_NAME or by_name[name].weight is not None
        stocks = members_of(kinds, groups[i]) if of_group else ()
        out.append(
            RootBelief(
                stock=name,
                group=groups[i],
                p=p,
                low=low,
                high=high,
                was=float(before.share[i, 0]),
                stocks=stocks if len(stocks) > 1 else (),
                speaks_for=tuple(a.key for r, some in several for a in some if r[i] >= root.SPEAKS),
                speaks_against=tuple(a.key for r, some in several for a in some if r[i] * root.SPEAKS <= 1.0),
                named=name in in_book,
            )
        )
    return tuple(sorted(out, key=lambda b: (-round(b.p, 9), b.stock)))


def _classes(kinds: Kinds, starts: Sequence[Start], now: Array) -> tuple[ClassBelief, ...]:
    from barkslip.engines.root import Believed

    whole = Believed(tuple(s.name for s in starts), now)
    out = []
    for name, groups in class_groups(kinds).items():
        p, low, high = whole.range_of([i for i, s in enumerate(starts) if s.group in groups])
        out.append(ClassBelief(name, groups, p, low, high))
    return tuple(sorted(out, key=lambda c: (-c.p, c.name)))


def _notes(beliefs: Sequence[RootBelief], looks: Sequence[LookAnswer], book: _Book | None) -> tuple[str, ...]:
    out = []
    if any(look.key in SICK for look in looks):
        out.append("no_disease")
    if len({look.question for look in looks}) > 1:
        out.append("independent")
    if any(b.group == "any" for b in beliefs):
        out.append("no_looks_known")
    if book is not None and book.older:
        out.append("in_belief_already")
    if book is not None and book.base is not None and looks:
        out.append("from_belief")
    return tuple(out)


def _sources(knowledge: Knowledge, looks: Sequence[LookAnswer]) -> dict[str, Source]:
    return {look.source: knowledge.source(look.source) for look in looks}


def _look_of(table: StockLooks, sign: Sign) -> LookAnswer:
    found = table.questions[sign.question].answer(sign.answer)
    assert found is not None
    return found


def _knowledge(ctx: Context | None, settings: Settings) -> Knowledge:
    if ctx is not None:
        return ctx.knowledge
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def questions(ctx: Context | None, settings: Settings) -> tuple[LookQuestion, ...]:
    """All questions with their answers."""
    from barkslip.app.root_table import look_questions

    return look_questions(_knowledge(ctx, settings))


# -- the book ---------------------------------------------------------------------------------------------------


def _read_book(ctx: Context, fields: Fields, table: StockLooks) -> _Book:
    """The tree, the belief to begin with, the looks written down since, and what is not proved.

    A belief that was itself reckoned from looks is no beginning: the one before it is, so that no look counts twice.
    Looks that were written down before a belief set by hand are held to be in it.
    """
    with ctx.book.read() as reader:
        tree = find_tree(reader, fields["tree"])
        if tree.fruit.strip().lower() != "citrus":
            raise InputError(
                "Looks are known for stocks of citrus only.",
                given=f"{tree.code} {tree.name}, {tree.fruit}",
                allowed="a citrus tree",
                next_step=f"Write what you believe by hand: barkslip tree link {tree.code} rootstock --is NAME=BELIEF",
                field="tree",
            )
        links = reader.every(ChainLink, "tree = :tree AND limb IS NULL", tree=tree.thing)
        lines = [v for k in links if k.level in _ROOT_LEVELS for v in reader.versions(ChainLink, k.thing)]
        answers = {(q.key, a.answer) for q in table.questions.values() for a in q.answers}
        signs = signs_of_root(reader, tree, {q for q, _ in answers})
        limbs = reader.every(Limb, "tree = :tree", tree=tree.thing)
    history = tuple(sorted((k for k in lines if not k.withdrawn), key=lambda k: (k.made_utc, k.id), reverse=True))
    afresh = fields.get("afresh", "").lower() in ("1", "yes", "true", "on")
    base = None if afresh else next((k for k in history if not is_reckoned(k)), None)
    known = [(s, made) for s, made in signs if (s.question, s.answer) in answers]
    new = tuple(s for s, made in known if base is None or made > base.made_utc)
    return _Book(
        tree=tree,
        history=history,
        base=base,
        signs=new,
        older=tuple(s for s, _ in known if s not in new),
        limbs=tuple(sorted((k for k in limbs if not k.proved), key=lambda k: k.address)),
    )


def is_reckoned(link: ChainLink) -> bool:
    """True if a belief was reckoned from looks and has not been changed by hand since."""
    named = [c for c in link.candidates if c.taxon != UNKNOWN]
    marks = [(c, _RECKONED.match(c.evidence)) for c in named]
    return bool(named) and all(m is not None and m[1] == f"{100 * c.belief:.1f}" for c, m in marks)


def _is_kept(book: _Book, verdict: RootVerdict) -> bool:
    if not book.history or not is_reckoned(book.history[0]):
        return False
    held = {c.taxon: c.belief for c in book.history[0].candidates if c.taxon != UNKNOWN}
    now = {b.stock: b.p for b in verdict.beliefs if _is_written(b)}
    return held.keys() == now.keys() and all(abs(held[k] - now[k]) < 1e-6 for k in held)


def _is_written(belief: RootBelief) -> bool:
    return belief.stock != OTHER_NAME and (belief.named or belief.p >= WRITTEN_FROM)


def keep_belief(ctx: Context, settings: Settings, fields: Fields) -> ChainLink:
    """Write the beliefs that the looks of the book give into the tree's chain, with their evidence.

    Answers believed less than 1 % that the book does not name, and stocks of none of the groups, stay "not known".

    Parameters
    ----------
    fields : mapping
        tree, afresh, on, id.

    Raises
    ------
    InputError
        If no look of the book has been counted; if the book says that the tree has roots of its own.
    """
    asked = {k: v for k, v in fields.items() if k in ("tree", "afresh")}
    verdict = ask_root(ctx, settings, asked)
    if not verdict.looks:
        raise InputError(
            "No look has been counted, so there is nothing to write down.",
            given=f"{verdict.tree} {verdict.tree_name}",
            allowed="a tree with a look written down since its belief was",
            next_step="Write a look down first.",
            field="tree",
        )
    words = {k: v for k, v in fields.items() if k in ("on", "id", "sure")} | {"level": "rootstock"}
    for i, belief in enumerate((b for b in verdict.beliefs if _is_written(b)), 1):
        words |= {f"taxon_{i}": belief.stock, f"belief_{i}": repr(belief.p), f"evidence_{i}": _evidence(belief)}
    return save_link(ctx, words, tree=verdict.tree)


def _evidence(belief: RootBelief) -> str:
    """ "from looks: 60.4 % (43 to 74 %); for it: union=bench"."""
    out = f"from looks: {100 * belief.p:.1f} % ({100 * belief.low:.0f} to {100 * belief.high:.0f} %)"
    if belief.speaks_for:
        out += f"; for it: {', '.join(belief.speaks_for)}"
    if belief.speaks_against:
        out += f"; against it: {', '.join(belief.speaks_against)}"
    return out
