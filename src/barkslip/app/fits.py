"""What fits: a top on a whole chain, all varieties on one chain, one variety on all stocks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.fit_levels import book_levels, typed_levels
from barkslip.app.frost import night_door
from barkslip.app.kinds import Kinds, kinds_of
from barkslip.app.settings import Settings
from barkslip.domain.errors import InputError
from barkslip.domain.fits import VERDICTS, Choice, FitRow, FitTable, FitVerdict, Kind, Level, PairFit, Remedy
from barkslip.domain.sourced import Source
from barkslip.domain.tree import Tree

if TYPE_CHECKING:
    from barkslip.engines.fit import ChainEngine
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]


def ask_fit(ctx: Context | None, settings: Settings, fields: Fields) -> FitVerdict:
    """How one top fits on a whole chain.

    Parameters
    ----------
    ctx : Context or None
        The book; None if the chain is typed and no book is needed.
    fields : mapping
        scion; chain (typed), or tree with limb and onto; present (diseases, with commas).

    Raises
    ------
    InputError
        For a name that is not known; the nearest three are named.
    NotFoundError
        For a tree that is not in the book.
    """
    knowledge = knowledge_of(ctx, settings)
    kinds = kinds_of(knowledge, ctx.kept if ctx else None)
    typed = fields.get("scion", "")
    tops = kinds.top(typed)
    levels, tree, notes = levels_of(ctx, settings, kinds, fields)
    scion = tops[0] if len(tops) == 1 else kinds.group(tops[0].group)
    engine = chain_engine(kinds, fields)
    top = Level("scion", (Choice(scion.name, tops),))
    judged = engine.chain((top, *levels))
    joins = engine.joins((top, *levels))
    out = _remedies(kinds, judged.decides, judged.own_decides)
    return FitVerdict(
        scion=scion,
        levels=levels,
        verdict=judged.verdict,
        shares=dict(sorted(judged.shares.items(), key=lambda s: -VERDICTS.index(s[0]))),
        decides=judged.decides,
        share=judged.shares.get(judged.verdict, 0.0),
        own_verdict=judged.own_verdict,
        own_decides=judged.own_decides,
        joins=joins,
        remedies=out,
        notes=(*notes, *level_notes(levels, (top,))),
        sources=_sources(knowledge, joins_pairs=[p for j in joins for p, _ in j.pairs], remedies=out),
        tree=tree.code if tree else "",
        tree_name=tree.name if tree else "",
    )


def ask_table(ctx: Context | None, settings: Settings, fields: Fields) -> FitTable:
    """All varieties on one chain; or, if no chain and no tree is named, one top on all stocks.

    Raises
    ------
    InputError, NotFoundError
    """
    knowledge = knowledge_of(ctx, settings)
    kinds = kinds_of(knowledge, ctx.kept if ctx else None)
    engine = chain_engine(kinds, fields)
    if not fields.get("tree") and not fields.get("chain"):
        return _stocks_table(kinds, engine, fields)
    levels, tree, notes = levels_of(ctx, settings, kinds, fields)
    rows = [_row(engine, top, (Level("scion", (Choice(top.name, (top,)),)), *levels)) for top in kinds.tops.values()]
    standing = max(engine.joins(levels), key=lambda j: VERDICTS.index(j.verdict), default=None)
    return FitTable(
        levels,
        _best_first(rows),
        standing=standing if standing is not None and standing.worst.against else None,
        notes=(*notes, *level_notes(levels, ())),
        tree=tree.code if tree else "",
        tree_name=tree.name if tree else "",
    )


def _stocks_table(kinds: Kinds, engine: ChainEngine, fields: Fields) -> FitTable:
    if not fields.get("scion"):
        raise InputError(
            "Nothing is asked yet.",
            given="(nothing)",
            allowed="a variety (scion), what it would stand on (chain or tree), or both",
            next_step="Name the variety, the tree, or the chain.",
            field="scion",
        )
    tops = kinds.top(fields["scion"])
    scion = tops[0] if len(tops) == 1 else kinds.group(tops[0].group)
    top = Level("scion", (Choice(scion.name, tops),))
    rows = [
        _row(engine, stock, (top, Level("rootstock", (Choice(stock.name, (stock,)),))))
        for stock in kinds.stocks.values()
        if stock.key != "own_roots"
    ]
    return FitTable((), _best_first(rows), scion=scion)


def _row(engine: ChainEngine, kind: Kind, levels: tuple[Level, ...]) -> FitRow:
    judged = engine.chain(levels, own_only=True)
    return FitRow(kind, judged.own_verdict, judged.own_shares.get(judged.own_verdict, 0.0), judged.own_decides)


def _best_first(rows: Iterable[FitRow]) -> tuple[FitRow, ...]:
    return tuple(
        sorted(rows, key=lambda r: (VERDICTS.index(r.verdict), r.share if r.verdict != "recorded_good" else 0))
    )


def chain_engine(kinds: Kinds, fields: Fields) -> ChainEngine:
    """The engine with all reports, the share that decides, and the diseases said to be present."""
    from barkslip.engines.fit import ChainEngine

    likely = kinds.knowledge.value("fits.likely_share").value
    present = frozenset(_disease(kinds.knowledge, one) for one in _listed(fields.get("present", "")))
    share = float(likely) if isinstance(likely, (int, float)) else 0.0
    return ChainEngine(kinds.reports, share, present, kinds.judged(present))


def _listed(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _disease(knowledge: Knowledge, text: str) -> str:
    """Key of a disease by its key or a word of its name."""
    word = text.strip().lower()
    rows = knowledge.rows("pathogens")
    for key, row in rows.items():
        if word in (key, key.replace("_", " "), row.cell("name").lower()):
            return key
    found = [key for key, row in rows.items() if word in row.cell("name").lower()]
    if len(found) == 1:
        return found[0]
    raise InputError(
        "No disease of that name is known.",
        given=text,
        allowed=", ".join(row.cell("name") for row in rows.values()),
        next_step="Choose one of these names.",
        field="present",
    )


def levels_of(
    ctx: Context | None, settings: Settings, kinds: Kinds, fields: Fields
) -> tuple[tuple[Level, ...], Tree | None, tuple[str, ...]]:
    """The chain asked about: typed before the book's."""
    if fields.get("chain"):
        return typed_levels(kinds, fields["chain"]), None, ()
    if fields.get("tree") and ctx is not None:
        return book_levels(ctx, kinds, night_door(ctx, settings, fields), fields)
    raise InputError(
        "What would it stand on?",
        given="(nothing)",
        allowed="a tree of the book, or a chain from the top down such as: mandarin / trifoliate orange",
        next_step="Name the tree or the chain; ? stands for what is not known.",
        field="chain",
    )


def level_notes(levels: Iterable[Level], tops: Iterable[Level]) -> tuple[str, ...]:
    """Codes of what is not known about the levels."""
    out = []
    for level in levels:
        if any(c.guessed for c in level.choices):
            out.append("root_not_known" if all(c.guessed for c in level.choices) else "root_partly_known")
        for choice in level.choices:
            if not choice.kinds[0].known and choice.kinds[0].name != "?":
                out.append(f"name:{choice.words}")
            elif choice.kinds[0].table == "groups":
                out.append(f"roughly:{choice.words}:{choice.kinds[0].name}")
        if any(c.kinds[0].name == "?" for c in level.choices):
            out.append(f"not_known:{level.level}")
    if any(len(c.kinds) > 1 for t in tops for c in t.choices):
        out.append("whole_group")
    return tuple(dict.fromkeys(out))


def _remedies(kinds: Kinds, decides: PairFit | None, own: PairFit | None) -> tuple[Remedy, ...]:
    """Ways out: of the pair of the new top, and for one that stands already what may still be done."""
    from barkslip.engines.fit_remedies import remedies, standing

    rule = kinds.knowledge.rows("interstock")["piece_no_cure"].value
    no_cure = Remedy("no_piece", words=str(rule.value) if rule else "", source=rule.source if rule else "")
    stocks = {k: s for k, s in kinds.stocks.items() if k != "own_roots"}
    old = standing(decides) if decides is not None and decides is not own else ()
    if own is None or not own.against:
        return old
    return (*old, *remedies(own, stocks, kinds.tops, kinds.reports, no_cure=no_cure))


def _sources(knowledge: Knowledge, *, joins_pairs: Iterable[PairFit], remedies: Iterable[Remedy]) -> dict[str, Source]:
    keys: dict[str, None] = {}
    for pair in joins_pairs:
        for report in (*pair.reports, *pair.aside, *pair.if_infected):
            keys[report.years.source] = None
    for remedy in remedies:
        if remedy.source:
            keys[remedy.source] = None
    return {key: knowledge.source(key) for key in keys}


def knowledge_of(ctx: Context | None, settings: Settings) -> Knowledge:
    """The knowledge base of the book, or of the settings where no book is needed."""
    if ctx is not None:
        return ctx.knowledge
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def all_by_all(knowledge: Knowledge) -> dict[tuple[str, str], str]:
    """Verdict of every variety on every rootstock, by their keys."""
    from barkslip.engines.fit import grid

    kinds = kinds_of(knowledge)
    return grid(list(kinds.tops.values()), list(kinds.stocks.values()), kinds.reports)
