"""A graft chimera in words and as plain data."""

from __future__ import annotations

from typing import Any

from barkslip.domain.chimera import AGAINST, LAYERS, PLACES, Arrangement, ChimeraAnswer, ChimeraFact, Cost, Join, Tissue
from barkslip.present import counts
from barkslip.present import units as u

#: Always the first words: what it is, and that it is not to be counted on.
WHAT = (
    "A graft chimera is a shoot out of the very join whose outer and inner layers come from the two kinds. It is no "
    "cross: each cell stays one kind or the other."
)
LAYER_WORDS = {"L1": "the outer layer", "L2": "the middle layer", "L3": "the core"}
#: How one would be known; every line says what it does not prove.
LOOKS = (
    "Where the shoot stands: out of the very join. A shoot from below it is the stock, one from above it the top.",
    "Leaves, then fruit, that mix the two: the rind of one over the pulp of the other. Sectors of another colour in "
    "one fruit are usually mutations, no graft chimera.",
    "Alike along the whole branch, or it is still sorting itself out. Wood is cut only from a branch that is all "
    "alike, and each young tree is looked at again.",
    "Seedlings show the kind in the middle layer, shoots out of roots that of the core: tissues that disagree with "
    "each other are the strongest home evidence.",
    "Looks prove nothing: only markers read in peel, pulp and wood apart do, in a laboratory.",
)
#: What trying takes, besides years.
TRYING = (
    "Shoots at the join are left on and watched instead of rubbed off: they take the strength of the graft, so try it "
    "on one you can spare.",
    "To force more of them a healed union is cut back through the join: that graft is lost.",
    "What an old stock carries comes along: a chimera of a sick tree is a sick tree. It stays in the garden like any "
    "other wood.",
)
_COSTS = {
    "first fruit": "years to the first fruit",
    "fruit as it should be": "years until the fruit is as it should be",
}


def headline(answer: ChimeraAnswer) -> str:
    """The answer in one sentence."""
    if answer.chosen is not None:
        inner, outer = answer.chosen.layers[1], answer.chosen.layers[0]
        if inner != outer:
            return f"Expect the pulp to lean to {outer}, the rind and the seed to {inner}; neither is sure."
        core = answer.chosen.layers[2]
        return f"Expect fruit like {outer}; only wood and core would be {core}. Hardly anybody would notice."
    if answer.arrangements:
        return f"{answer.one} and {answer.other} could lie in three layers in {len(answer.arrangements)} ways."
    return "A graft chimera is a long shot: do not count on it, and do not rub off what you have not looked at."


def layer_facts(answer: ChimeraAnswer, layer: str) -> list[ChimeraFact]:
    """What is known of a layer."""
    return [f for f in answer.facts if f.layer == layer]


def other_facts(answer: ChimeraAnswer) -> list[ChimeraFact]:
    """What is known of chimeras as a whole."""
    return [f for f in answer.facts if f.layer == "all" and f.key not in AGAINST]


def fact_text(fact: ChimeraFact) -> str:
    """One line of the knowledge base in words."""
    note = f" {fact.note}" if fact.note and fact.note != "About." else ""
    about = "about " if fact.note == "About." else ""
    return f"{counts.opening(fact.topic)}: {about}{fact.text}.{note}".replace("..", ".")


def known_text(fact: ChimeraFact) -> str:
    """How it is known."""
    return f"{fact.status} ({fact.source})" if fact.source else ""


def citations(answer: ChimeraAnswer) -> list[tuple[str, str]]:
    """Sources behind the facts, each once."""
    return list({f.source: f.citation for f in answer.facts if f.source}.items())


def layers_text(arrangement: Arrangement) -> str:
    """ "L1 'Owari' satsuma, L2 and L3 'Robertson' navel orange"."""
    by_kind: dict[str, list[str]] = {}
    for layer, kind in zip(LAYERS, arrangement.layers, strict=True):
        by_kind.setdefault(kind, []).append(layer)
    return ", ".join(f"{counts.listed(layers)} {kind}" for kind, layers in by_kind.items())


def donor_text(tissue: Tissue) -> str:
    """What a tissue would be like."""
    if not tissue.donor:
        return "not known: the one case that was read ripened a month earlier"
    known = f" ({tissue.known})" if tissue.known else ""
    return f"like {tissue.donor}{known}"


def tissue_rows(answer: ChimeraAnswer, arrangement: Arrangement) -> list[tuple[str, str, str, str]]:
    """Tissue, what it would be like, how known, what speaks against it."""
    facts = {f.key: f for f in answer.facts}
    rows = []
    for tissue in arrangement.tissues:
        fact = facts.get(tissue.fact)
        against = counts.listed([facts[k].source for k in tissue.against if k in facts])
        layer = f"{tissue.name} ({tissue.layer})" if tissue.layer else tissue.name
        rows.append((layer, donor_text(tissue), known_text(fact) if fact else "", against))
    return rows


def arrangement_rows(answer: ChimeraAnswer) -> list[tuple[str, str, str, str, str, str]]:
    """L1, L2, L3, then pulp, rind and seedlings, for each arrangement."""
    rows = []
    for one in answer.arrangements:
        like = {t.name: t.donor for t in one.tissues}
        rows.append((*one.layers, like["juice sacs"], like["rind: colour and scent"], like["seedlings"]))
    return rows


def against_texts(answer: ChimeraAnswer) -> list[tuple[str, str]]:
    """Facts that stand against strict layers, with how they are known."""
    return [(fact_text(f), known_text(f)) for f in answer.facts if f.key in AGAINST]


def join_text(join: Join) -> str:
    """One union."""
    words = f"{join.upper} on {join.lower}"
    if join.place == "graft":
        return words if join.lives else f"{words} (not joined for sure)"
    return f"{words} ({PLACES[join.place]} of the tree)"


def join_rows(answer: ChimeraAnswer) -> list[tuple[str, str]]:
    """Where, what on what: unions of the same kinds together."""
    rows: dict[str, list[str]] = {}
    for join in answer.joins:
        rows.setdefault(join_text(join), []).append(join.where)
    return [(_places(where), words) for words, where in rows.items()]


def _places(where: list[str]) -> str:
    return where[0] if len(where) == 1 else f"{where[0]} and {len(where) - 1} more"


def odds_text(answer: ChimeraAnswer) -> str:
    """How rare it is at most."""
    odds = answer.odds
    unknown = "How often a shoot at a union is a chimera is not known: no source was found."
    if odds is None:
        return f"{unknown} Count your own: --unions watched and --seen."
    of = counts.many(odds.unions, "union")
    how = f"{u.percent(odds.sure)} sure"
    if odds.seen:
        return (
            f"{unknown} {odds.seen} seen at {of}: between {_small(odds.low)} and {_small(odds.high)} of unions, "
            f"{how} (exact)."
        )
    three = f" The rule of three gives {_small(odds.three)}." if odds.three is not None else (
        f" The rule of three needs {30} unions." if odds.unions < 30 else ""
    )  # fmt: skip
    where = (
        f"None is known at the {of} of this book that took. If every one of those joins was watched"
        if answer.odds_from == "book"
        else f"None was seen at {of}: so"
    )
    comma = "," if answer.odds_from == "book" else ""
    rarer = f"it is rarer than {_small(odds.upper)} of unions, {how} (exact)."
    return f"{unknown} {where}{comma} {rarer}{three} It may be never."


def even_text(answer: ChimeraAnswer) -> str:
    """How many unions an even chance would take at the very best."""
    odds = answer.odds
    if odds is None or odds.for_even_chance is None:
        return ""
    return (
        f"Even at that upper end an even chance of one takes {counts.many(odds.for_even_chance, 'union')} watched; "
        "the true number may be far higher."
    )


def _small(share: float | None) -> str:
    if share is None:
        return "not known"
    percent = 100.0 * share
    digits = f"{percent:.2g}" if percent < 10 else f"{percent:.0f}"
    return f"{digits}{u.NBSP}%"


def cost_text(cost: Cost) -> str:
    """ "1 to 3 years to the first fruit"."""
    low, high = cost.low_y, cost.high_y
    span = f"{low:g} to {high:g}" if low is not None and high is not None else "not known"
    return f"{counts.opening(_COSTS[cost.code])}: {span}, {cost.status} ({cost.source})."


def chimera_data(answer: ChimeraAnswer) -> dict[str, Any]:
    """The whole answer."""
    return {
        "verdict": headline(answer).replace(u.NBSP, " "),
        "layers": {
            layer: {"is": LAYER_WORDS[layer], "facts": [_fact(f) for f in layer_facts(answer, layer)]}
            for layer in LAYERS
        },
        "arrangements": [_arrangement(a) for a in answer.arrangements],
        "chosen": _arrangement(answer.chosen) if answer.chosen is not None else None,
        "tree": answer.tree,
        "joins": [
            {"upper": j.upper, "lower": j.lower, "place": j.place, "where": j.where, "lives": j.lives}
            for j in answer.joins
        ],
        "odds": _odds(answer),
        "costs": [
            {"code": c.code, "low_y": c.low_y, "high_y": c.high_y, "status": c.status, "source": c.source}
            for c in answer.costs
        ],
        "looks": list(LOOKS),
        "facts": [_fact(f) for f in other_facts(answer)],
        "against": [text for text, _ in against_texts(answer)],
        "knowledge_hash": answer.knowledge_hash,
    }


def _fact(fact: ChimeraFact) -> dict[str, Any]:
    return {
        "key": fact.key,
        "topic": fact.topic,
        "text": fact.text,
        "status": fact.status,
        "source": fact.source,
        "citation": fact.citation,
        "applies_to": fact.applies_to,
        "note": fact.note,
    }


def _arrangement(arrangement: Arrangement) -> dict[str, Any]:
    return {
        "layers": dict(zip(LAYERS, arrangement.layers, strict=True)),
        "written": arrangement.written,
        "tissues": [
            {
                "tissue": t.name,
                "layer": t.layer,
                "like": t.donor,
                "known": t.known,
                "because": t.fact,
                "against": list(t.against),
            }
            for t in arrangement.tissues
        ],
    }


def _odds(answer: ChimeraAnswer) -> dict[str, Any] | None:
    odds = answer.odds
    if odds is None:
        return None
    return {
        "from": answer.odds_from,
        "unions": odds.unions,
        "seen": odds.seen,
        "sure": odds.sure,
        "low": odds.low,
        "high": odds.high,
        "upper_one_sided": odds.upper,
        "rule_of_three": odds.three,
        "unions_for_even_chance_at_upper": odds.for_even_chance,
    }
