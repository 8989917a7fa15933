"""Pollen partners in a garden, and what explains a rise of seeds. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from barkslip.domain.calendar import NEAR, Partner, Place, Ripe, Seeds
from barkslip.domain.fits import Kind
from barkslip.domain.sourced import Value

_MONTH_D = 30.44


@dataclass(frozen=True)
class PollenRules:
    """What is known of pollen.

    Parameters
    ----------
    gives : mapping
        Key of a variety or group -> what its pollen is like, for those that give hardly any.
    unlike : mapping
        Key of a variety or group -> key of one whose fruit it does not set.
    bloom : (int, int)
        Half months of the bloom in this garden, first and last.
    fruit_months, flower_months : float
        Least time from bloom to ripe fruit, and from grafting to a bloom of the graft's own [month].
    seeds_rose : float
        Rise of seeds a fruit from which on something is said to have brought them.
    """

    gives: Mapping[str, Value]
    unlike: Mapping[str, str]
    bloom: tuple[int, int]
    fruit_months: float
    flower_months: float
    seeds_rose: float


def need_of(pollination: str, seeds: str) -> tuple[str, bool]:
    """Need of foreign pollen, and whether such pollen brings seeds, from the words of the knowledge base.

    Returns
    -------
    (str, bool)
        "needs", "helps", "alone" (bears without, by itself seedless), "none" or "not known".
    """
    words, said = pollination.lower(), seeds.lower()
    seedy = any(w in said for w in ("when cross", "near poll", "seedless alone"))
    if "needs" in words:
        return "needs", seedy
    if "improves" in words:
        return "helps", seedy
    if "incompatible" in words:
        return ("alone" if "alone" in said else "needs"), seedy
    if "none" in words or words.startswith("self"):
        return "none", seedy
    return "not known", seedy


def partners(one: Ripe, others: Sequence[Ripe], rules: PollenRules) -> tuple[Partner, ...]:
    """Other kinds of the garden that may set this one's fruit, nearest first; those that give hardly any come last."""
    out = []
    for other in others:
        if other.kind.key == one.kind.key or _unlike(one.kind, other.kind, rules) or not other.places:
            continue
        pollen = rules.gives.get(other.kind.key) or rules.gives.get(other.kind.group)
        near = min((_near(a, b) for a in one.places for b in other.places), key=NEAR.index, default=NEAR[-1])
        places = tuple(b for b in other.places if any(_near(a, b) == near for a in one.places))
        out.append(Partner(other.kind, near, places, pollen, "hardly" if pollen else "yes"))
    return tuple(sorted(out, key=lambda p: (p.gives == "hardly", NEAR.index(p.near), p.kind.name)))


def _unlike(one: Kind, other: Kind, rules: PollenRules) -> bool:
    found = rules.unlike.get(one.key) or rules.unlike.get(one.group)
    return bool(found) and found in (other.key, other.group)


def _near(a: Place, b: Place) -> str:
    if a.tree == b.tree:
        return "same tree"
    return "same plot" if a.plot == b.plot else "same garden"


def bloom_before(day: date, rules: PollenRules) -> date:
    """First day of the bloom that fruit ripe on a day came from."""
    first, last = rules.bloom
    for year in (day.year, day.year - 1, day.year - 2):
        end = _day_of_half(year if last >= first else year + 1, last % 24, end=True)
        if (day - end).days >= rules.fruit_months * _MONTH_D:
            return _day_of_half(year, first)
    return _day_of_half(day.year - 2, first)


def _day_of_half(year: int, half: int, *, end: bool = False) -> date:
    month, second = divmod(half, 2)
    start = date(year, month + 1, 16 if second else 1)
    if not end:
        return start
    return date(year, month + 1, 15) if not second else (start + timedelta(days=20)).replace(day=1) - timedelta(days=1)


def could_flower(place: Place, bloom: date, rules: PollenRules) -> bool:
    """True if what stands there was old enough to bloom then; what a tree came with always was."""
    if not place.since:
        return True
    return (bloom - date.fromisoformat(place.since)).days >= rules.flower_months * _MONTH_D


def explain(
    tree: str, tree_name: str, counts: Sequence[tuple[date, float]], found: Sequence[Partner], rules: PollenRules
) -> Seeds:
    """What explains the seeds counted in one kind's fruit on one tree.

    If the count rose, it is the nearest partner that gives pollen and could bloom for the newest fruit but not yet for
    the oldest one; no stock brings seeds.
    """
    ordered = sorted(counts)
    (old_day, old), (new_day, new) = ordered[0], ordered[-1]
    rose = len(ordered) > 1 and new - old >= rules.seeds_rose
    old_bloom, new_bloom = bloom_before(old_day, rules), bloom_before(new_day, rules)
    cause = None
    if rose:
        for partner in found:
            fresh = tuple(
                p for p in partner.places if could_flower(p, new_bloom, rules) and not could_flower(p, old_bloom, rules)
            )
            if partner.gives == "yes" and fresh and len(fresh) == len(partner.places):
                cause = Partner(partner.kind, partner.near, fresh, partner.pollen, partner.gives)
                break
    listed = tuple((day.isoformat(), count) for day, count in ordered)
    return Seeds(tree, tree_name, listed, rose, cause, new_bloom.strftime("%Y-%m"))
