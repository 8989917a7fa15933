"""What took, in words: intervals beside counts, what cannot be told yet, what may be behind a difference."""

from __future__ import annotations

from barkslip.domain.take import BY, UNKNOWN, Alone, Range, TakeGroup, TakePair, TakeVerdict
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates
from barkslip.present import units as u

NBSP = dates.NBSP
#: What may stand behind a difference -> in words.
BEHIND = BY | {"thickness": "thickness of the stock"}
#: What else was taken into account -> when it is there.
EFFECTS = {
    "cover": "a cover when it was set",
    "heat": "heat in the first weeks",
    "wood": "old wood",
    "side": "the side of the afternoon sun",
}
#: Pairs that are shown at once.
SHOWN_PAIRS = 4
NOTES = {
    "fit_failed": "The pooled answer could not be trusted on these grafts and is not shown. Each group is reckoned "
    "alone from its count, nothing is compared, and what goes with a group is not taken out.",
    "typed": "Bare counts: trees, pairs, heat, cover and time are not taken into account, and whatever went with a "
    "group is in its share.",
    "no_grafts": "No graft has been set, so only what is believed of grafts anywhere is shown.",
    "no_lives": "Nobody has looked at any of these grafts yet, so only what is believed of grafts anywhere is shown.",
    "none_lost": "None has been lost. That is no 100 %: the range says how low it can still be.",
    "all_lost": "All have been lost. That is no 0 %: the range says how high it can still be.",
    "one_group": "There is one group only, so nothing is compared.",
    "no_ranking": "Fewer than two groups have enough grafts with a verdict, so none is called better.",
    "left_out": "Grafts set on a day that is too vague, or that nobody has looked at, are counted but move no range.",
    "heat_unknown": "Of some grafts it is not known whether they had heat: their plot has no readings of those weeks.",
}
COUNTED = "9 times in 10 the share that takes lies in the range; it leans on what is believed of grafts anywhere."
LEAD = (
    "Counts are what the looks say. The range beside them is the share that takes, 9 times in 10, for a graft like the "
    "others of this garden: joined after 26 weeks, if no bird, wind, snail or binding takes it. It leans on what is "
    "believed of grafts anywhere and on the other grafts of the garden, the more the fewer there are."
)


def points(share: float, *, sign: bool = False) -> str:
    """A difference of shares in points: "+8"."""
    return u.number(100.0 * share, sign=sign)


def span(r: Range) -> str:
    """ "63 to 88 %"."""
    return f"{100 * r.p05:.0f} to {100 * r.p95:.0f}{NBSP}%"


def chance(share: float) -> str:
    """ "93 in 100"; never 0 or 100."""
    return f"{min(max(round(100 * share), 1), 99)} in 100"


def by_words(v: TakeVerdict) -> str:
    """What the grafts are grouped by."""
    return "group" if "typed" in v.notes else BY[v.by]


def group_name(name: str) -> str:
    """Name of a group."""
    return "not known" if name == UNKNOWN else name


def headline(v: TakeVerdict) -> str:
    """The answer at the head of a page."""
    if "no_grafts" in v.notes:
        return "No graft has been set yet."
    told = [p for p in v.pairs if p.told]
    if told:
        best = told[0]
        tail = " Something else may be behind it." if best.never_together else ""
        return f"{counts.opening(best.better)} has likely taken better than {best.worse}.{tail}"
    if v.pairs:
        return f"No {by_words(v)} can be called better yet."
    if len(v.groups) > 1:
        return "Too few grafts to compare."
    return f"{counts.many(v.whole.took, 'graft')} of {v.whole.n} took."


def whole_text(v: TakeVerdict) -> str:
    """All grafts together."""
    if "fit_failed" in v.notes:
        return f"All together: {count_text(v.whole)}."
    if not v.whole.n:
        return f"Believed of grafts anywhere: {span(v.whole.take_26w)} take."
    if "typed" in v.notes:
        return f"All together: {count_text(v.whole)}; {span(v.whole.take_26w)} take, 9 times in 10."
    return (
        f"All together: {count_text(v.whole)}. Of a graft like the others of this garden, "
        f"{span(v.whole.take_26w)} take; {span(v.whole.stands_26w)} still stand after 26 weeks when birds, wind, "
        "snails and bindings have had their part."
    )


def lead(v: TakeVerdict) -> str:
    """What the ranges mean."""
    return COUNTED if {"typed", "fit_failed"} & set(v.notes) else LEAD


def count_text(g: TakeGroup) -> str:
    """ "35 of 47 took, 2 waiting, 10 did not take"."""
    rest = [(g.waiting, "still waiting"), (g.lost, "did not take")]
    text = ", ".join([f"{g.took} of {g.n} took", *(f"{n} {words}" for n, words in rest if n)])
    if g.lost_after:
        of = "it was" if g.took == 1 else f"{g.lost_after} of those that took {'was' if g.lost_after == 1 else 'were'}"
        text += f"; {of} lost later"
    return text


def year_text(g: TakeGroup) -> str:
    """How it stands after a year; what is not known yet is said so."""
    y = g.year
    parts = []
    if y.known:
        parts.append(f"{y.alive} of {y.known} alive after a year")
    if y.waiting:
        what = "after a year not yet known" if not y.known else "not yet known"
        due = f", the last on {dates.day_text(y.due)}" if y.due is not None else ""
        parts.append(f"{y.waiting} {what}{due}" if y.known else f"{what} of {y.waiting}{due}")
    return "; ".join(parts)


def take_text(g: TakeGroup) -> str:
    """ "63 to 88 % take, middle 79 %"."""
    return f"{span(g.take_26w)} take, middle {u.percent(g.take_26w.p50)}"


def stands_text(v: TakeVerdict, g: TakeGroup) -> str:
    """With what other causes take; "" if counts were typed or no fit tells."""
    if {"typed", "fit_failed"} & set(v.notes):
        return ""
    return f"{span(g.stands_26w)} still stand after 26 weeks, other causes counted"


def shares_text(g: TakeGroup) -> str:
    """Where the answer comes from."""
    s = g.shares
    parts = [f"{u.percent(s.prior)} from what is believed of grafts anywhere"]
    if s.others > 0.005:
        parts.append(f"{u.percent(s.others)} from your other grafts")
    parts.append(f"{u.percent(s.own)} from these")
    return f"The answer is {counts.listed(parts)}"


def prior_text(g: TakeGroup) -> str:
    """Share of the answer that is what is believed of grafts anywhere."""
    return u.percent(g.shares.prior)


def more_text(g: TakeGroup) -> str:
    """Grafts still needed, as a number for a table."""
    return "very many" if g.needed is None else str(g.needed) if g.needed else "enough"


def needed_text(g: TakeGroup) -> str:
    """Grafts still needed, and for what."""
    goal = f"to tell it from {g.needed_for}, if they are as far apart as it seems now"
    if not g.needed_for:
        if g.needed == 0:
            return "Enough grafts for a range of ten points either way"
        return f"{counts.many(g.needed or 0, 'more graft')} for a range of ten points either way"
    if g.needed is None:
        return f"It seems so close to {g.needed_for} that no garden sets enough grafts to tell them apart"
    if g.needed == 0:
        return f"Enough grafts {goal}"
    return f"{counts.many(g.needed, 'more graft')} {goal}"


def unranked_text(v: TakeVerdict, g: TakeGroup) -> str:
    """Why a group is not compared; "" if it is, or if there is nothing to compare it with."""
    if g.ranked or len(v.groups) < 2 or "fit_failed" in v.notes:
        return ""
    return f"Fewer than {v.rank_from} with a verdict: not compared"


def shown_pairs(v: TakeVerdict) -> tuple[tuple[TakePair, ...], tuple[TakePair, ...]]:
    """Pairs shown at once, those told among them, and the rest."""
    first = max(SHOWN_PAIRS, sum(p.told for p in v.pairs))
    return v.pairs[:first], v.pairs[first:]


def pair_head(p: TakePair) -> str:
    """ "T-bud over bark graft"."""
    return f"{p.better} over {p.worse}"


def pair_verdict(p: TakePair) -> str:
    """What can be said of two groups."""
    if p.told:
        return f"likely better, {chance(p.chance)}"
    return f"can't tell yet, {chance(p.chance)}"


def pair_text(p: TakePair) -> str:
    """How far apart, and how many would tell."""
    text = f"{points(p.points.p05, sign=True)} to {points(p.points.p95, sign=True)} points, middle "
    text += f"{points(p.points.p50, sign=True)}; more than ten points apart: {chance(p.apart)}. "
    if p.needed_each is None:
        return text + "They seem so close that no garden sets enough grafts to tell them apart."
    return text + f"To tell takes as far apart as they seem now, about {p.needed_each} of each are needed in all."


def behind_text(p: TakePair) -> str:
    """What two groups have never shared; "" if nothing."""
    if not p.never_together:
        return ""
    return (
        f"They have never shared {counts.listed((_a(BEHIND[k]) for k in p.never_together), 'or')}: "
        "that may be behind a difference."
    )


def _a(words: str) -> str:
    if words == BY["heat"]:
        return words
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def alone_rows(v: TakeVerdict) -> tuple[tuple[str, str], ...]:
    """(group, what it has that no other has)."""
    by_group: dict[str, list[Alone]] = {}
    for one in v.alone:
        by_group.setdefault(one.group, []).append(one)
    return tuple((group_name(group), counts.listed(_alone(a) for a in held)) for group, held in by_group.items())


def _alone(a: Alone) -> str:
    if a.what == "thickness":
        return f"{a.value} stocks than all others"
    return f"{BEHIND[a.what]} {a.value}"


def effect_rows(v: TakeVerdict) -> tuple[tuple[str, str], ...]:
    """(what is there, by how much it multiplies the odds of loss)."""
    return tuple(
        (counts.opening(EFFECTS[name]), f"× {r.p50:.1f} ({r.p05:.1f} to {r.p95:.1f})") for name, r in v.effects
    )


def thick_text(g: TakeGroup, units: UnitChoice = METRIC) -> str:
    """Thickness of the stocks; "" if not known."""
    if g.stock_mm is None:
        return ""
    low, high = g.stock_mm
    return f"stocks {u.length(low, units)}" + (f" to {u.length(high, units)}" if high > low else "")


def notes(v: TakeVerdict) -> tuple[str, ...]:
    """What must be said beside the answer."""
    said = [NOTES[code] for code in v.notes]
    if v.left_out and "left_out" in v.notes:
        said = [f"{w} Here {counts.many(v.left_out, 'graft')}." if w == NOTES["left_out"] else w for w in said]
    if v.lumped:
        said.append(f"{counts.many(len(v.lumped), 'small group')} were put together as all others.")
    return tuple(said)


def how_text(v: TakeVerdict) -> str:
    """How it was reckoned."""
    return (
        f"{v.draws} draws worth {v.ess:.0f}, seed {v.seed}; numbers of the knowledge base {v.knowledge_hash[:12]}. "
        "How it is reckoned, and how often its ranges hold in made-up gardens: docs/models/take.md"
    )
