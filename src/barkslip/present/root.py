"""What a tree stands on, in words: the belief first, what speaks for it, what to look at next, what not to cut."""

from __future__ import annotations

from barkslip.domain.root import (
    OTHER,
    Clash,
    CountedLook,
    LookAnswer,
    NextLook,
    RootBelief,
    RootVerdict,
    WouldBe,
)
from barkslip.domain.sourced import Source
from barkslip.domain.tree import ChainLink, Limb
from barkslip.present import chain, counts
from barkslip.present import units as u
from barkslip.present.dates import when_text

#: Said with every answer: a belief about the root shows nothing about a limb.
DO_NOT_CUT = (
    "Do not cut a shoot or a limb because of this answer. It is cut only when its own fruit or leaves, or its way down "
    "to below the union, have shown what it is."
)
WEAK = (
    "Thorns and size alone settle nothing: water shoots of the top, seedlings and many stocks are thorny or strong. "
    "Look at something else before you believe it."
)
#: What must be known before one looks: season, place, harm.
HELP = {
    "leaflets": "Look at a shoot that comes from below the union, at full-grown leaves.",
    "wing": "The stalk of a full-grown leaf; crush the leaf and smell it.",
    "thorns": "It tells little by itself: young shoots of most kinds are thorny.",
    "leaf_fall": "Only to be seen in the cold months, at shoots from below the union.",
    "union": "Feel round the trunk from the soil to a hand above the change of bark.",
    "scaling": "Look with your eyes; do not peel.",
    "pinholes": (
        "It needs a flap of bark no larger than a thumbnail across the union. That is a wound: one, with a clean "
        "knife, while the bark lifts, pressed back and bound. Leave it out if you can do without."
    ),
    "size": "Beside trees of the same variety and age. Hunger, drought or a pot make any tree small.",
    "lime": "Only where the soil is limy.",
    "salt": "Only where the water is salty or holds boron.",
    "freeze": "Only after a freeze that hurt its neighbours of the same variety.",
    "fruit": "Fruit of a crop that was neither the first nor frozen.",
    "foot_rot": "Scrape the soil away from the foot with your hand; do not cut.",
}
CLASH_WORDS = {
    "two_answers": "Both were said: {looks}. One of them is a mistake, or two shoots were looked at. Each counts half.",
    "takes_for_granted": "{first} takes for granted what was not seen: {rest}. One of them is a mistake.",
    "hardly_together": (
        "{first} and {rest} hardly go together on any stock. One was misread or belongs to another part of the tree; "
        "or the tree was grafted again."
    ),
    "against_belief": (
        "What you believed before hardly ever shows this: {first}. The look may be of another part, or the belief "
        "wrong."
    ),
}
NOTES = {
    "no_disease": (
        "A look names no disease. If you fear one, ask your plant-health authority what to test and do not move wood "
        "meanwhile."
    ),
    "independent": (
        "Looks are counted as if each told something new. Where they hang together, the belief is surer than it should "
        "be."
    ),
    "no_looks_known": "Of a name in the book nothing is known about its looks: they neither raise nor lower it.",
}
#: A belief below this does not stand out from the others [1].
_STANDS_OUT = 0.25
#: Questions that a page shows without being asked for more.
SHOWN_QUESTIONS = 4
#: Information [bit] from which on a look tells much, some.
_MUCH, _SOME, _NOTHING = 0.5, 0.15, 0.05


def likely_words(p: float) -> str:
    """A belief as people say it."""
    for least, words in (
        (0.95, "nearly sure"), (0.75, "very likely"), (0.5, "likely"), (0.2, "perhaps"), (0.05, "unlikely"),
    ):  # fmt: skip
        if p >= least:
            return words
    return "very unlikely"


def range_text(p: float, low: float, high: float) -> str:
    """ "60 % (56 to 64 %)"; without a range where there is none."""
    if round(100 * low) == round(100 * high):
        return u.percent(p)
    return f"{u.percent(p)} ({round(100 * low)} to {u.percent(high)})"


def stock_words(belief: RootBelief) -> str:
    """Its name; a stock of none of the groups with examples."""
    if belief.group == OTHER and belief.stocks and not belief.named:
        return f"another stock, such as {belief.stocks[0]}"
    return belief.stock


def title(v: RootVerdict) -> str:
    """The question."""
    return f"What does {v.tree_name} stand on?" if v.tree else "What does it stand on?"


def headline(v: RootVerdict) -> str:
    """The answer in one line."""
    best = v.best
    if not v.looks and v.base is None:
        return "Not known yet. Each look moves the beliefs."
    if v.settled:
        return counts.opening(f"nearly sure: {stock_words(best)}, {u.percent(best.p)}.")
    if v.settled_class is not None:
        one = v.settled_class
        which = f"most likely {best.stock}, {u.percent(best.p)}" if best.p > 0.5 else "which one is open"
        return counts.opening(f"{one.name}: {u.percent(one.p)}; {which}.")
    if best.p > 0.5:
        return f"Most likely {stock_words(best)}, {u.percent(best.p)}; not settled."
    if best.p < _STANDS_OUT:
        return "Not settled: no stock stands out yet."
    return f"Not settled. Perhaps {stock_words(best)}, {u.percent(best.p)}."


def lead(v: RootVerdict) -> str:
    """What must be said beside the answer: that it is weak, or how wide it is."""
    if v.weak_only:
        return WEAK
    several = held_by(v)
    if len(several) > 1 and v.looks:
        return f"Nine in ten of the belief lie with: {'; '.join(b.stock for b in several)}."
    return ""


def held_by(v: RootVerdict, share: float = 0.9) -> tuple[RootBelief, ...]:
    """The fewest answers that hold so much of the belief together."""
    out: list[RootBelief] = []
    total = 0.0
    for belief in v.beliefs:
        if total >= share:
            break
        out.append(belief)
        total += belief.p
    return tuple(out)


def shown(v: RootVerdict) -> tuple[tuple[RootBelief, ...], tuple[RootBelief, ...]]:
    """Beliefs to be drawn, and those that are next to nothing and named together."""
    big = tuple(b for b in v.beliefs if b.p >= 0.01 or b.named)
    return big, tuple(b for b in v.beliefs if b not in big)


def rest_text(rest: tuple[RootBelief, ...]) -> str:
    """ "Hardly: mandarin, macrophylla and others, together 2 %."; empty without any."""
    if not rest:
        return ""
    names = "; ".join(b.stock for b in rest)
    return f"Next to nothing, but not ruled out, together {u.percent(sum(b.p for b in rest))}: {names}."


def speaks_text(belief: RootBelief, looks: tuple[CountedLook, ...]) -> str:
    """ "For it: single leaves. Against it: a bench."; empty if nothing tells much."""
    words = {c.look.key: look_words(c.look) for c in looks}
    parts = []
    for head, keys in (("For it", belief.speaks_for), ("Against it", belief.speaks_against)):
        said = [words[k] for k in keys if k in words]
        if said:
            parts.append(f"{head}: {'; '.join(said)}.")
    return " ".join(parts)


def look_words(look: LookAnswer) -> str:
    """What is seen, to stand within a sentence."""
    text = look.text
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text


def counted_text(counted: CountedLook) -> str:
    """One look with where it comes from."""
    text = counted.look.text
    if counted.implied:
        return f"{text} (taken for granted by another look)"
    if counted.sign is None:
        return f"{text} (typed, not written down)"
    note = f"; {counted.sign.note}" if counted.sign.note else ""
    return f"{text}, {when_text(counted.sign.on)}{note}"


def clash_text(clash: Clash) -> str:
    """One contradiction."""
    looks = [look_words(look) for look in clash.looks]
    return counts.opening(
        CLASH_WORDS[clash.code].format(looks=" / ".join(looks), first=looks[0], rest=", ".join(looks[1:]))
    )


def notes(v: RootVerdict) -> list[str]:
    """What else must be said."""
    out = [NOTES[code] for code in v.notes if code in NOTES]
    if v.base is not None and v.looks:
        out.append(_begun_text(v.base))
    if v.older:
        many = counts.many(len(v.older), "look")
        out.append(
            f"{many} older than that belief {'is' if len(v.older) == 1 else 'are'} held to be in it already, and not "
            "counted again."
        )
    return out


def _begun_text(base: ChainLink) -> str:
    evidence = "; ".join(c.evidence.rstrip(".") for c in base.candidates if c.evidence)
    because = f" It rested on: {evidence}. A look named there counts twice if it is counted again." if evidence else ""
    held = chain.candidates_text(base.candidates)
    return f"Begun from what was believed on {when_text(base.on)}: {held}.{because}"


def tells(bits: float) -> str:
    """How much a look tells."""
    return "much" if bits >= _MUCH else "some" if bits >= _SOME else "little" if bits >= _NOTHING else "next to nothing"


def bits_text(bits: float) -> str:
    """ "tells much (0.66 bits)"."""
    return f"tells {tells(bits)} ({bits:.2f}{u.NBSP}bits)"


def would_text(answer: WouldBe) -> str:
    """What one answer would make of it: "then trifoliate orange 85 %; the chance of it 66 %"."""
    return f"then {answer.stock} {u.percent(answer.p)}; the chance of it {u.percent(answer.chance)}"


def telling_text(v: RootVerdict, n: NextLook) -> str:
    """How much one look tells, and whether it is the one that tells most."""
    most = "Of all looks this one tells most: it " if n == v.next_looks[0] else "It "
    return f"{most}{bits_text(n.bits)}."


def next_lead(v: RootVerdict) -> str:
    """What is said when no look is put forward."""
    if not v.next_looks:
        return "Every look that is known has been taken."
    if v.next_looks[0].bits < _NOTHING:
        return "No further look would change much."
    return "What is left has been passed over."


def limb_text(limb: Limb) -> str:
    """ "S-L-6: not proved, do not cut yet"."""
    label = f" ({limb.label})" if limb.label else ""
    return f"{limb.address}{label}: not proved, do not cut yet"


def history_text(link: ChainLink) -> str:
    """What was believed from a day on."""
    return f"{chain.link_title(link)}: {chain.candidates_text(link.candidates)}"


def how_known(look: LookAnswer, source: Source | None) -> str:
    """How a look and its words are known."""
    cited = f" {source.citation.rstrip('.')}" if source is not None and source.key != "own.choice" else ""
    note = f" {look.note}" if look.note else ""
    seen = f" (seen: {source.seen})" if cited and source is not None and source.seen != "text" else ""
    stop = "." if cited else ""
    return f"The look: {look.known}. How often each group shows it: our words, {look.status}.{cited}{seen}{stop}{note}"
