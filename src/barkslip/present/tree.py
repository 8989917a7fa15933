"""Trees and limbs in words."""

from __future__ import annotations

from barkslip.domain.cards import LimbCard, TreeCard, TreeStory
from barkslip.domain.graft import MARKS
from barkslip.domain.tree import BANDS, Limb, Tree
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import chain, counts, dates, marks
from barkslip.present import units as u

_BEARING_WORDS = {
    "N": "north", "NE": "north-east", "E": "east", "SE": "south-east",
    "S": "south", "SW": "south-west", "W": "west", "NW": "north-west", "C": "the leader in the middle",
}  # fmt: skip


def bearing_words(bearing: str) -> str:
    """ "north-west"; the leader is said in full."""
    return _BEARING_WORDS[bearing]


def limb_words(limb: Limb) -> str:
    """An address read out: "north-west, middle, L"."""
    parts = [_BEARING_WORDS[limb.bearing], BANDS[limb.band], limb.path]
    return ", ".join(part for part in parts if part)


def title(tree: Tree) -> str:
    """What the grower calls it, with its number if it is a batch."""
    return f"{tree.name}, {tree.count} alike" if tree.count > 1 else tree.name


def about(card: TreeCard) -> str:
    """ "House yard · citrus · planted before 1990"."""
    parts = [card.plot.name, card.tree.fruit]
    if card.tree.planted is not None:
        text = dates.when_text(card.tree.planted)
        parts.append(text if text.startswith(("sown", "planted")) else f"planted {text}")
    if card.tree.count > 1:
        parts.append(f"{card.tree.count} alike")
    return " · ".join(parts)


def holds(card: TreeCard) -> str:
    """ "7 limbs, 9 grafts: 5 took, 2 waiting"."""
    words = counts.many(card.limbs, "limb") if card.limbs else ""
    if card.grafts:
        named = {marks.mark_word(m): n for m, n in card.marks.items()}
        grafts = f"{counts.many(card.grafts, 'graft')}: {counts.tally(named, [marks.mark_word(m) for m in MARKS])}"
        words = f"{words}, {grafts}" if words else grafts
    return words or "no limbs and no grafts written down"


def stands_on_short(card: TreeCard) -> str:
    """For a list: "on trifoliate orange? 45 %", "own roots", "stock not known"."""
    part = card.stands_on
    if part is None or part.name in ("", "?", "unknown"):
        return "own roots" if part is not None and part.level == "own roots" else "stock not known"
    if part.level == "own roots":
        return "own roots"
    name = chain.name_words(part.name, part.belief)
    return f"on {name} {u.percent(part.belief)}" if part.belief is not None else f"on {name}"


def size_words(tree: Tree, units: UnitChoice = METRIC) -> str:
    """ "2.4 m high, 2 m across; union at 62 cm; bench at 38 cm"; what is not measured is said."""
    parts = []
    if tree.height_mm is not None:
        parts.append(f"{u.length(tree.height_mm, units)} high")
    if tree.spread_mm is not None:
        parts.append(f"{u.length(tree.spread_mm, units)} across")
    size = ", ".join(parts) or "size not measured"
    more = [f"union at {u.length(tree.union_mm, units)}"] if tree.union_mm is not None else []
    more += [f"bench at {u.length(tree.bench_mm, units)}"] if tree.bench_mm is not None else []
    return "; ".join([size, *more])


def proof_words(limb: Limb) -> str:
    """ "proved", or the warning not to cut."""
    return "proved" if limb.proved else "not proved: do not cut yet"


def limb_holds(card: LimbCard) -> str:
    """What grows on a limb, grafts apart."""
    return f"carries {card.limb.carries}" if card.limb.carries else ""


def former_words(card: LimbCard) -> str:
    """ "called L2 until 2022-02-11"; empty if it never changed."""
    return "; ".join(f"called {name} until {_day(until)}" for name, until in card.former)


def heights_words(story: TreeStory, units: UnitChoice = METRIC) -> str:
    """What the drawing from the side stands on."""
    limbs = story.limbs
    if not limbs:
        return "No limbs are written down; the outline is not measured."
    measured = sum(1 for card in limbs if card.limb.tip_mm is not None)
    if measured == len(limbs):
        return f"Heights measured, {counts.many(measured, 'limb')}."
    if measured:
        rest = counts.many(len(limbs) - measured, "limb")
        return f"{rest} without measured height: drawn dashed, by low, middle and high."
    return "Heights not measured: limbs stand in their bands, low, middle and high."


def _day(text: str) -> str:
    try:
        return dates.day_text(text)
    except ValueError:
        return text
