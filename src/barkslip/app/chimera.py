"""The long shot: a graft chimera of two kinds, and the joins of the book at which one could arise."""

from __future__ import annotations

import difflib
import itertools
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.frost import night_door
from barkslip.app.lines import Fields
from barkslip.app.names import graft_chain, tree_chain
from barkslip.app.settings import Settings
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.chimera import LAYERS, Arrangement, ChimeraAnswer, ChimeraFact, Cost, Join, Odds
from barkslip.domain.errors import InputError
from barkslip.domain.graft import Graft
from barkslip.domain.tree import ChainLink, Limb

if TYPE_CHECKING:
    from barkslip.app.door import Door
    from barkslip.domain.known import Row
    from barkslip.domain.variety import Variety
    from barkslip.knowledge.load import Knowledge

MOST_UNIONS = 10_000_000
#: What trying costs in years: row of the table of times -> code.
_TIMES = {"topwork_first_fruit": "first fruit", "topwork_quality": "fruit as it should be"}
#: Tissue -> trait of a variety that says something of it.
_TRAITS = {"seed": "seediness"}


def ask_chimera(ctx: Context | None, settings: Settings, fields: Fields) -> ChimeraAnswer:
    """What a graft chimera of two kinds would be like, where it could arise, how rare it is, what trying costs.

    Parameters
    ----------
    ctx : Context or None
        None if there is no book.
    fields : mapping
        of and with (two kinds), or l1, l2 and l3 (kind of each layer: one arrangement); tree (its joins are listed);
        unions (watched) and seen (chimeras at them); without them the grafts of the book that took are counted.

    Raises
    ------
    InputError
        If a kind is not known, three kinds are named, or more were seen than watched.
    NotFoundError
    """
    from barkslip.engines import chimera

    knowledge = _knowledge(ctx, settings)
    at = night_door(ctx, settings, {})
    kinds, chosen = _kinds(at, fields, knowledge)
    named = {v.name: v for v in kinds}

    def known(kind: str, tissue: str) -> str:
        value = named[kind].value(_TRAITS[tissue]) if tissue in _TRAITS and kind in named else None
        return str(value.value) if value is not None and value.value is not None else ""

    arrangements: tuple[Arrangement, ...] = ()
    if len(kinds) == 2:
        arrangements = chimera.all_arrangements(kinds[0].name, kinds[1].name, known)
    joins = tree_joins(ctx, at.text(fields, "tree")) if ctx is not None and at.text(fields, "tree") else ()
    odds, odds_from = _odds(ctx, at, fields, knowledge)
    return ChimeraAnswer(
        one=kinds[0].name if kinds else "",
        other=kinds[1].name if kinds else "",
        arrangements=arrangements,
        chosen=chimera.arrange(chosen, known) if chosen else None,
        tree=at.text(fields, "tree").upper(),
        joins=joins,
        odds=odds,
        odds_from=odds_from,
        costs=_costs(knowledge),
        facts=_facts(knowledge),
        knowledge_hash=knowledge.hash,
    )


def _knowledge(ctx: Context | None, settings: Settings) -> Knowledge:
    if ctx is not None:
        return ctx.knowledge
    from barkslip.knowledge.load import load

    return load(settings.knowledge)


def _kinds(at: Door, fields: Fields, knowledge: Knowledge) -> tuple[tuple[Variety, ...], tuple[str, str, str] | None]:
    """The two kinds, and the kind of each layer if all three are typed."""
    layers = [at.text(fields, name.lower()) for name in LAYERS]
    pair = [at.text(fields, "of"), at.text(fields, "with")]
    if any(layers):
        if not all(layers):
            missing = next(name for name, text in zip(LAYERS, layers, strict=True) if not text)
            raise InputError(
                f"The kind of layer {missing} is missing.",
                given=", ".join(t for t in layers if t),
                allowed="a kind for each of L1, L2 and L3",
                next_step="Name it, or name the two kinds only: all six arrangements are shown then.",
                field=missing.lower(),
            )
        found = [_variety(knowledge, t, n.lower()) for t, n in zip(layers, LAYERS, strict=True)]
        names = (found[0].name, found[1].name, found[2].name)
        two = list({v.name: v for v in found}.values())
        if len(two) != 2:
            raise InputError(
                "A graft chimera is of two kinds.",
                given=", ".join(dict.fromkeys(names)),
                allowed="two kinds in three layers",
                next_step="Name two kinds.",
                field="l2",
            )
        return tuple(two), names
    if not any(pair):
        return (), None
    if not all(pair):
        raise InputError(
            "Only one kind is named.",
            given="".join(pair),
            allowed="two kinds",
            next_step="Name the other one.",
            field="of" if not pair[0] else "with",
        )
    one, other = _variety(knowledge, pair[0], "of"), _variety(knowledge, pair[1], "with")
    if one.name == other.name:
        raise InputError(
            "A graft chimera is of two kinds.",
            given=one.name,
            allowed="two kinds",
            next_step="Name another one.",
            field="with",
        )
    return (one, other), None


def _variety(knowledge: Knowledge, text: str, field: str) -> Variety:
    found = knowledge.variety(text)
    if found is not None:
        return found
    names = {name: v.name for v in knowledge.varieties for name in (v.name, v.epithet, *v.synonyms)}
    near = difflib.get_close_matches(text, names, n=3, cutoff=0.3)
    raise InputError(
        "No variety of that name is known.",
        given=text,
        allowed=", ".join(dict.fromkeys(names[n] for n in near)) or ", ".join(list(names.values())[:3]),
        next_step="Choose one of these, or look names up: barkslip know.",
        field=field,
    )


def tree_joins(ctx: Context, tree: str) -> tuple[Join, ...]:
    """The unions of a tree: those of its chain, and its grafts.

    Raises
    ------
    NotFoundError
    """
    from barkslip.app.trees import find_tree

    with ctx.book.read() as reader:
        found = find_tree(reader, tree)
        links = reader.every(ChainLink, "tree = :tree", order="id", tree=found.thing)
        grafts = reader.every(Graft, "tree = :tree", order="code", tree=found.thing)
        lots = reader.many(WoodLot, [g.lot for g in grafts if g.lot])
        limbs = reader.many(Limb, [g.limb for g in grafts if g.limb])
        finds = reader.every(LotFind, order="on_first, id")
        words = dict(reader.rows("SELECT graft, word FROM graft_now WHERE tree = :tree", tree=found.thing))
    parts = tree_chain(links, ctx.names)
    out = [
        Join(upper.name, lower.name, upper.level, found.code)
        for upper, lower in itertools.pairwise(parts)
        if lower.level != "own roots"
    ]
    for graft in grafts:
        chain = graft_chain(
            graft, lots.get(graft.lot or ""), finds, limbs.get(graft.limb or ""), links, ctx.names
        )  # fmt: skip
        lower_name = chain[1].name if len(chain) > 1 else "?"
        out.append(Join(chain[0].name, lower_name, "graft", graft.code, words.get(graft.thing) == "took"))
    return tuple(out)


def _odds(ctx: Context | None, at: Door, fields: Fields, knowledge: Knowledge) -> tuple[Odds | None, str]:
    from barkslip.engines import chimera

    bound = knowledge.value("wood.bound").value
    sure = float(bound) if isinstance(bound, (int, float)) else 0.95
    unions, seen = at.count(fields, "unions", most=MOST_UNIONS), at.count(fields, "seen", most=MOST_UNIONS)
    if seen and not unions:
        raise InputError(
            "How many unions were watched is missing.",
            given=f"{seen} seen",
            allowed=f"1 to {MOST_UNIONS}",
            next_step="Count every union whose join was watched, also those without anything.",
            field="unions",
        )
    if unions is not None:
        if (seen or 0) > unions:
            raise InputError(
                "More chimeras were seen than unions watched.",
                given=f"{seen} of {unions}",
                allowed=f"0 to {unions}",
                next_step="Correct one of the two.",
                field="seen",
            )
        return chimera.odds(seen or 0, unions, sure), "typed"
    if ctx is None:
        return None, "book"
    with ctx.book.read() as reader:
        took = int(reader.rows("SELECT count(*) FROM graft_now WHERE word = 'took'")[0][0])
    return chimera.odds(0, took, sure), "book"


def _costs(knowledge: Knowledge) -> tuple[Cost, ...]:
    rows = knowledge.rows("timelines")
    out = []
    for key, code in _TIMES.items():
        value = rows[key].value if key in rows else None
        if value is not None:
            out.append(Cost(code, value.low, value.high, value.source, value.status))
    return tuple(out)


def _facts(knowledge: Knowledge) -> tuple[ChimeraFact, ...]:
    return tuple(_fact(knowledge, row) for row in knowledge.table("chimera"))


def _fact(knowledge: Knowledge, row: Row) -> ChimeraFact:
    value = row.value
    if value is None:
        return ChimeraFact(row.key, row.cell("topic"), row.cell("layer"), "", "", "", "")
    if isinstance(value.value, (int, float)):
        text = f"{value.value:g} {value.unit}"
    elif value.value is not None:
        text = str(value.value)
    elif value.low is not None and value.high is not None:
        text = f"{value.low:g} to {value.high:g} {value.unit}"
    else:
        text = "not known"
    return ChimeraFact(
        row.key, row.cell("topic"), row.cell("layer"), text, value.source, knowledge.source(value.source).citation,
        value.status, value.applies_to, value.note,
    )  # fmt: skip
