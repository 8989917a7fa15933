"""The garden's year of fruit in words: when each is ripe, gaps, pollen partners and seeds."""

from __future__ import annotations

from barkslip.domain.calendar import HALVES, Gap, Partner, PollenCard, Ripe, RipeYear, Seeds
from barkslip.present import counts, dates
from barkslip.present import units as u

_NEEDS = {
    "needs": "bears poorly without foreign pollen",
    "helps": "bears more with foreign pollen",
    "alone": "bears without foreign pollen",
    "none": "needs no foreign pollen",
    "not known": "whether it needs foreign pollen is not known",
}


def half_text(half: int, *, end: bool = False) -> str:
    """A half month as a bound of a span: "Apr", "mid Apr" (its second half begins), "late Apr" is never said."""
    month = dates.MONTHS[half % HALVES // 2]
    second = half % 2 == 1
    if end:
        return month if second else f"mid {month}"
    return f"mid {month}" if second else month


def window_text(window: tuple[int, int]) -> str:
    """ "Apr to Jun", "mid Apr to Jun", "all year", "Jan"."""
    first, last = window
    if last - first >= HALVES - 1:
        return "all year"
    start, end = half_text(first), half_text(last, end=True)
    return start if start == end else f"{start} to {end}"


def windows_text(r: Ripe) -> str:
    """All windows of a kind; "about" where its words were wide."""
    if not r.windows:
        return "months not known"
    text = counts.listed([window_text(w) for w in r.windows], "or")
    return f"about {text}" if r.open_words else text


def headline(y: RipeYear) -> str:
    """The answer in one line."""
    fresh = [r for r in y.ripe if not r.kitchen]
    if not fresh:
        return "No citrus for the hand is written down in this garden yet."
    if not y.gaps:
        return "Something for the hand could be ripe in every month."
    spans = counts.listed([window_text((g.first, g.last)) for g in y.gaps])
    return f"Nothing for the hand is ripe from {spans}."


def lead(y: RipeYear) -> str:
    """What is counted, and for which half of the world."""
    half = {True: "Months are turned to the south.", False: "Months are those of the north.", None: ""}[y.south]
    if y.south is None:
        half = "The garden's place is not written down: months are those of the northern half of the world."
    young = [r for r in y.ripe if r.first_fruit]
    wait = (
        f" {counts.opening(counts.many(len(young), 'kind'))} stand on grafts too young to be sure of." if young else ""
    )
    if len(young) == 1:
        wait = " One kind stands on grafts too young to be sure of."
    return (
        f"{counts.many(len(y.ripe), 'kind')} of citrus that live here, by months that others wrote down. {half}{wait}"
    )


def places_text(r: Ripe) -> str:
    """ "Well, Thornback"."""
    return counts.listed(dict.fromkeys(p.tree_name for p in r.places))


def first_fruit_text(r: Ripe) -> str:
    """When its grafts may fruit first; "" if something has stood for longer."""
    return f"first fruit {r.first_fruit}, by its kind" if r.first_fruit else ""


def gap_text(gap: Gap) -> str:
    """ "Jul to mid Aug"."""
    return window_text((gap.first, gap.last))


def fill_text(kind: Ripe, share: float) -> str:
    """ "'Pixie' mandarin, Sep to Nov: fills all of it"."""
    part = "all of it" if share >= 0.995 else f"{u.percent(share)} of it"
    return f"{kind.kind.name}, {windows_text(kind)}: {part}"


# -- pollen -------------------------------------------------------------------------------------------------


def pollen_words(card: PollenCard) -> str:
    """What pollen means to one kind."""
    seeds = "; foreign pollen brings seeds into its fruit" if card.seedy else ""
    return f"{counts.opening(_NEEDS[card.need])}{seeds}."


def partner_text(p: Partner) -> str:
    """ "'Minneola' tangelo, on the same tree (Well)"."""
    where = {"same tree": "on the same tree", "same plot": "in the same plot", "same garden": "in the garden"}[p.near]
    trees = counts.listed(dict.fromkeys(x.tree_name for x in p.places))
    pollen = f"; its pollen: {p.pollen.value} ({p.pollen.status})" if p.pollen is not None else ""
    return f"{p.kind.name}, {where} ({trees}){pollen}"


def good_partners(card: PollenCard) -> tuple[Partner, ...]:
    """Partners of which nothing speaks against their pollen."""
    return tuple(p for p in card.partners if p.gives == "yes")


def partners_text(card: PollenCard) -> str:
    """Whether it has a partner here."""
    good = good_partners(card)
    if not good:
        return "No other kind here is known to give it good pollen."
    nearest = [p for p in good if p.near == good[0].near]
    where = {"same tree": "on the same tree", "same plot": "in the same plot", "same garden": "in the garden"}
    return f"Nearest: {counts.listed([p.kind.name for p in nearest])}, {where[good[0].near]}."


def seeds_text(s: Seeds, name: str) -> str:
    """Counts of seeds, and what explains them."""
    listed = ", then ".join(f"{u.number(count, 1)} ({dates.day_text(day)})" for day, count in s.counts)
    head = f"Seeds in a fruit of {name} on {s.tree_name}: {listed}."
    if not s.rose:
        return head
    year, month = s.bloom.split("-")
    bloom = f"{dates.MONTHS[int(month) - 1]} {year}"
    if s.explains is None:
        return f"{head} The rise is not explained by a kind that began to bloom here; look at the neighbours' trees."
    since = next((p.since for p in s.explains.places if p.since), "")
    when = f", set {dates.day_text(since)}," if since else ""
    near = {"same tree": "on the same tree", "same plot": "in the same plot", "same garden": "in the garden"}
    return (
        f"{head} The pollen partner explains it: {s.explains.kind.name} {near[s.explains.near]}{when} was too young "
        f"for the bloom before and could bloom in {bloom}, from which the newest fruit came. A stock brings no seeds."
    )


WAYS = "Ways: take the partner off, net the kind while it blooms, or live with the seeds."
