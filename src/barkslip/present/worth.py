"""Keep, rework or replace in words."""

from __future__ import annotations

from barkslip.domain.worth import Bearing, Turn, Way, WorthAnswer, WorthInput
from barkslip.present import counts
from barkslip.present import units as u

WAY_WORDS = {
    "keep": "keep it as it is",
    "wait": "one more crop, then choose",
    "trial": "a trial limb first",
    "rework": "rework the whole tree",
    "replace": "replace it",
}
_BEST = {
    "keep": "Keep {tree}",
    "wait": "Wait for one more crop of {tree}, taste it, and choose then",
    "trial": "Work one limb of {tree} first, and decide on the rest when it has borne",
    "rework": "Rework {tree}",
    "replace": "Replace {tree}",
}
#: Number -> (label, unit, how to say where it turns).
INPUT_WORDS: dict[str, tuple[str, str]] = {
    "years": ("years looked ahead", "years"),
    "discount": ("lost for each year of waiting", "a year"),
    "score": ("liking of what it bears now", "of 9"),
    "score_to": ("liking of what would be put on it", "of 9"),
    "score_new": ("liking of a new tree's fruit", "of 9"),
    "crop": ("its crop now, of a full one", ""),
    "dry": ("its fruit that is dry inside", ""),
    "take": ("grafts that take", ""),
    "bears_now": ("it bears good fruit from year", ""),
    "bears": ("grafts bear good fruit from year", ""),
    "bears_new": ("a new tree bears from year", ""),
    "stands": ("new trees that live to bear", ""),
    "give_out": ("chance that this tree gives out", "a year"),
    "share": ("share of the crown for a trial limb", ""),
    "cost_trial": ("cost of a trial limb", "cost"),
    "cost_rework": ("cost of reworking", "cost"),
    "cost_replace": ("cost of replacing", "cost"),
    "upkeep": ("water and care of this tree", "cost a year"),
    "upkeep_new": ("water and care of a new tree", "cost a year"),
    "fruit_year": ("what a year of good fruit is worth to you", "money"),
}
PERCENT = ("discount", "crop", "dry", "take", "stands", "give_out", "share")
COSTS = ("cost_trial", "cost_rework", "cost_replace", "upkeep", "upkeep_new")
_NOTES = {
    "costs_not_known": "Costs, water and care are not known and count for nothing. Type them: in money, if you say "
    "what a year of good fruit is worth to you, else in years of good fruit.",
    "crop_not_known": "How much of a full crop it bears now was not said; a full one is taken.",
    "no_tasting": "Its fruit has no tasting that counts: it is taken to be liked as any kind not tasted here, and that "
    "is no judgement of the variety. If you know how it eats, type how much you like it.",
    "too_early": "Too early to judge its fruit: a first crop, and fruit of the first years after grafting, judges no "
    "variety. Until then it is taken to be liked as any kind not tasted here.",
    "to_not_named": "What would be put on it was not named: a kind not tasted here is taken. Whether it fits on the "
    "whole chain is asked under What fits.",
    "no_tree": "No tree of the book was named: all is from the tables and from what was typed.",
    "several_kinds": "Several kinds stand on it; only the one named above is weighed, as if the whole crown bore it.",
}
#: What goes with working a tree over, always beside that advice.
CAUTIONS = (
    "A crown that is cut hard lets sun onto bark that never had it: whiten bare bark the same day, keep nurse limbs, "
    "and work the tree over in two seasons rather than one.",
    "Do not feed or water more after heavy cutting: a small crown uses less.",
    "Saws, ladders and falling limbs: stand firm, work with somebody near, and leave large limbs to licensed practice.",
    "Wood for it is moved and trees are replanted only as the plant-health authority allows: ask there first.",
)
SMALL_PRINT = (
    "One second try for grafts that fail; nothing picked from a reworked limb until it bears; one date from which "
    "fruit is as it should be; risk is not feared more than it is worth. These are not so in a real garden: the "
    "differences matter, the years themselves do not."
)


def tree_text(v: WorthAnswer) -> str:
    """ "T01 Gatepost", or "the tree"."""
    return f"{v.tree} {v.name}".strip() or "the tree"


def years_text(years: float) -> str:
    """ "5.4 years"."""
    return f"{years:.1f}{u.NBSP}{'year' if f'{years:.1f}' == '1.0' else 'years'}"


def headline(v: WorthAnswer) -> str:
    """The answer in one sentence."""
    words = _BEST[v.best].format(tree=tree_text(v))
    if {"look_first", "not_again"} <= set(v.notes):
        return f"Look at the union of {tree_text(v)} first; until then, {_if(v.best)}."
    if v.close:
        either = f"Too close to call: {WAY_WORDS[v.best]}, or {WAY_WORDS[v.close]}."
        return f"{either} By a little: {words[0].lower()}{words[1:]}."
    return f"{words}."


def lead(v: WorthAnswer) -> str:
    """How much it brings beside the next best."""
    best = v.way(v.best)
    plain = [w for w in v.ways if w.code not in (v.best, "wait") and not w.barred]
    other = max(plain, key=lambda w: w.value)
    gap = best.value - other.value
    if gap < 0.0:
        than = f"{years_text(-gap)} less than if you {_if(other.code)}; too little to change more for"
    else:
        than = f"{years_text(gap)} more than if you {_if(other.code)}"
    return (
        f"About {years_text(best.value)} of good fruit in the next {v_years(v)} ({range_text(best)}): {than}. "
        "Fruit that lies further ahead counts for less."
    )


def _if(code: str) -> str:
    return {
        "keep": "keep it as it is",
        "wait": "wait for one more crop",
        "trial": "work one limb first",
        "rework": "rework it whole",
        "replace": "replace it",
    }[code]


def v_years(v: WorthAnswer) -> str:
    """ "10 years"."""
    found = next(i for i in v.inputs if i.key == "years")
    return counts.many(int(found.value or 0), "year")


def range_text(way: Way) -> str:
    """Eight in ten lie between."""
    return f"8 in 10 between {way.low:.1f} and {way.high:.1f}"


def way_note(v: WorthAnswer, way: Way) -> str:
    """What stands beside a way in the table."""
    if way.barred == "not_again":
        return f"not to be done with {v.to}: its kind on this root is recorded as bad, and that join stays"
    if way.barred:
        return f"not to be done with {v.to}: recorded as a bad fit on this chain"
    if way.code == v.best:
        return "the answer"
    return f"brings more than the answer in {u.percent(way.more)} of what may be so"


def first_of_all(v: WorthAnswer) -> tuple[str, ...]:
    """What must be said before any number."""
    out = []
    kind = v.kind or "that kind"
    if "not_again" in v.notes:
        out.append(
            f"Do not put {kind}, or its like, on it again: a join that stands in this tree is recorded as bad "
            f"({u.percent(v.join_share)} sure of what it stands on)."
        )
    if "look_first" in v.notes:
        sure = (
            ""
            if v.join_share >= 0.5
            else f" A join of what it may stand on ({u.percent(v.join_share)}) is recorded as bad."
        )
        out.append(
            f"Look first.{sure} Open one bark window across the union, as large as a thumbnail: a crease or a brown "
            "line in the wood there decides more than any number below. Then ask again with what you saw."
        )
    if v.union == "crease":
        out.append(
            "A crease or brown line was seen at the union: the tree may stand for years or fail in the next dry months."
        )
    if v.seeds:
        a, b = v.seeds
        out.append(
            f"Seeds rose from {a:g} to {b:g} in a fruit: that is the pollen of a neighbour or of another limb, not the "
            "stock. Take that limb off, net in bloom, or live with seeds, before the tree is judged."
        )
    return tuple(out)


def notes(v: WorthAnswer) -> list[str]:
    """What else to know."""
    return [_NOTES[code] for code in v.notes if code in _NOTES]


def tasted_text(v: WorthAnswer) -> str:
    """What its fruit was liked, and which crops count."""
    scored = [t for t in v.tastings if t.score9 is not None]
    if not scored:
        return ""
    told = [f"{t.score9:g}{' (too early to count)' if t.left_out else ''}" for t in scored]
    words = f"{v.kind} was liked {counts.listed(told)} of 9"
    return f"{words}: {len(scored)} crops {v.trend}." if v.trend else f"{words}."


def input_value(found: WorthInput, value: float | None) -> str:
    """One number with its unit."""
    if value is None:
        return "not known"
    if found.key in PERCENT:
        return u.percent(value) if value >= 0.1 or value == 0 else f"{100 * value:.2g}{u.NBSP}%"
    return f"{value:.0f}" if found.key == "years" else f"{value:.1f}" if found.key not in COSTS else f"{value:g}"


def input_range(found: WorthInput) -> str:
    """Its range; "" if it has none."""
    if found.value is None or found.low is None or found.high is None or found.low == found.high:
        return ""
    return f"{input_value(found, found.low)} to {input_value(found, found.high)}"


def how_text(found: WorthInput) -> str:
    """How a number is known."""
    if found.how == "typed":
        return "as you typed it"
    if found.how == "own":
        return {
            "score": f"own tastings that count: {found.note}",
            "score_to": f"own tastings elsewhere: {found.note}",
            "score_new": f"own tastings elsewhere: {found.note}",
            "take": "{} of {} judged grafts of the garden took, with what was believed before".format(
                *([*found.note.split(), "?", "?"])[:2]
            ),
            "share": f"one of {found.note} limbs",
            "bears_now": "it bears already",
        }.get(found.key, "from this garden")
    if found.how == "not known":
        return "not known"
    return f"{found.status} ({found.source})" if found.source else "by its age"


def input_rows(v: WorthAnswer) -> list[tuple[str, str, str, str]]:
    """(number, value, range, how known)."""
    return [
        (INPUT_WORDS[i.key][0], input_value(i, i.value), input_range(i), how_text(i))
        for i in v.inputs
    ]  # fmt: skip


def turn_text(v: WorthAnswer, turn: Turn) -> str:
    """One turning point."""
    found = next(i for i in v.inputs if i.key == turn.key)
    now = found.value if found.value is not None else {"crop": 1.0}.get(turn.key, 0.0)
    at = round(turn.at + 0.4999) if turn.key == "years" and turn.at < now else turn.at
    side = "under" if turn.at < now else "over"
    unit = INPUT_WORDS[turn.key][1]
    money = any(i.key == "fruit_year" and i.value for i in v.inputs)
    if turn.key in COSTS:
        unit = ("" if money else "years of good fruit") + (" a year" if "year" in unit else "")
    tail = f" {unit.strip()}" if unit.strip() and turn.key not in ("years",) else ""
    label = counts.opening(INPUT_WORDS[turn.key][0])
    value = input_value(found, at) if turn.key not in COSTS else f"{at:.2g}"
    return f"{label}: {side} {value}{tail}, {WAY_WORDS[turn.becomes]}"


def turn_lists(v: WorthAnswer) -> tuple[list[str], list[str]]:
    """Turning points within what may be so, and beyond it."""
    return [turn_text(v, t) for t in v.turns if t.within], [turn_text(v, t) for t in v.turns if not t.within]


def known_text(v: WorthAnswer) -> str:
    """What knowing would be worth."""
    if v.known < 0.05:
        return "Knowing for sure how good each fruit is would hardly change what to do."
    labels = {"score": "what it bears now", "score_to": "what would be put on it", "score_new": "a new tree's fruit"}
    key, most = max(v.known_by.items(), key=lambda p: p[1])
    words = f"To know for sure how good each fruit is before choosing is worth {v.known:.1f} years of good fruit"
    if most >= 0.05:
        words += f"; most of it, {most:.1f}, lies in {labels[key]}"
    return f"{words}. A tasting that costs less than that pays."


def bearing_text(row: Bearing) -> str:
    """When a tree came, or will come, into bearing."""
    start = f"{row.tree} {row.name}, {row.what} {row.since}"
    if row.first_crop:
        return f"{start}: first crop tasted {row.first_crop}, {row.years:.1f} years on"
    if row.expected:
        low, high = row.expected
        return f"{start}: no crop tasted; not before {low}, likely by {high} ({row.status}, {row.source})"
    return f"{start}: no crop tasted"
