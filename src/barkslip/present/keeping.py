"""How long wood keeps, in words and as plain data."""

from __future__ import annotations

from datetime import date
from typing import Any

from barkslip.domain.keeping import STORES, KeepSource, KeepVerdict
from barkslip.present import dates
from barkslip.present import units as u
from barkslip.present.counts import sentence

#: What is written about the store -> what the sources say of it.
SIGNS = {
    "wet": "Its store is written down as wet: growers report mould where wood lay wet; barely moist is what is named.",
    "warm": "Its store is written down as warmer than the sources name: buds wake.",
    "cold": "Its store is written down as colder than the sources name for citrus; what that does is not known here.",
    "fruit": "It lay beside fruit. One account tells of kinds that woke in a kitchen refrigerator; put it apart.",
}
_MONTH_D = 60.0


def headline(keep: KeepVerdict) -> str:
    """The answer in one sentence."""
    if keep.lot_state == "refused":
        return f"{keep.lot} was refused: it is not kept, and nothing is set from it."
    if keep.lot_state == "thrown away":
        return f"{keep.lot} was thrown away. {_span(keep)}"
    if keep.lot_state == "used":
        used = f"; its grafts were set when it was {_ages(keep.used_d)} old" if keep.used_d else ""
        return f"{keep.lot} is used up{used}. {_span(keep)}"
    if keep.state == "not cut yet":
        return f"{keep.lot} is not cut yet on that day."
    if keep.state == "no source":
        return f"How long {keep.lot} keeps is not known: {_why(keep)}."
    first, last = _day(keep.first_until), _day(keep.last_until)
    if keep.state == "within":
        return f"Use {keep.lot} by {first} to be within every source; the longest runs to {last}."
    if keep.state == "between":
        return (
            f"Some sources say {keep.lot} is past it, some not: from {first} to {last}. Test a bud before you set any."
        )
    return f"{keep.lot} is past every source, the longest of which ran to {last}. Buds may still live: test one."


def _why(keep: KeepVerdict) -> str:
    if not keep.kind:
        return "what kind of wood it is, is not known"
    return "where it is kept is not written down" if not keep.store else f"no source speaks of {_what(keep)}"


def _what(keep: KeepVerdict) -> str:
    return f"{keep.kind} wood {STORES[keep.store]}" if keep.store else f"{keep.kind} wood"


def _span(keep: KeepVerdict) -> str:
    if keep.shortest_d is None or keep.longest_d is None:
        return f"How long it keeps is not known: {_why(keep)}."
    return f"Sources give {span_text(keep.shortest_d, keep.longest_d)} for {_what(keep)}."


def _day(iso: str) -> str:
    return dates.day_text(date.fromisoformat(iso))


def _ages(days: tuple[int, int]) -> str:
    fewest, most = days
    return dates.days_text(most) if fewest == most else f"{fewest} to {dates.days_text(most)}"


def age_text(keep: KeepVerdict) -> str:
    """ "Cut 20 Sep 2021: 16 days ago."."""
    if keep.age_d[1] < 0:
        return f"Cut {dates.when_text(keep.cut)}."
    return f"Cut {dates.when_text(keep.cut)}: {_ages((max(keep.age_d[0], 0), keep.age_d[1]))} old."


def store_text(keep: KeepVerdict) -> str:
    """Where it is kept, as written."""
    if not keep.store_words:
        return "Where it is kept is not written down."
    read = f"read as {STORES[keep.store]}" if keep.store else "where that is cannot be read from it"
    return sentence(f"kept: {keep.store_words.rstrip('.')} ({read})")


def span_text(low_d: float, high_d: float) -> str:
    """ "6 to 9 days", "2 to 3 months", "about 150 days"."""
    if low_d >= 28 and high_d >= _MONTH_D / 2 and _whole_months(low_d) and _whole_months(high_d):
        low, high = round(low_d / 30.44), round(high_d / 30.44)
        return f"{low}{u.NBSP}month{'s' if low > 1 else ''}" if low == high else f"{low} to {high}{u.NBSP}months"
    if round(low_d, 1) == round(high_d, 1):
        return f"{low_d:.3g}{u.NBSP}days"
    return f"{low_d:.3g} to {high_d:.3g}{u.NBSP}days"


def _whole_months(days: float) -> bool:
    return abs(days / 30.44 - round(days / 30.44)) < 0.01


def says_text(source: KeepSource) -> str:
    """What one source says."""
    span = span_text(source.low_d, source.high_d)
    if source.says == "keeps":
        return f"keeps {span}"
    if source.says == "half dead":
        return f"half of the buds dead after {span}"
    low, high = source.alive_low or 0.0, source.alive_high or 0.0
    alive = u.percent(low) if low == high else f"{u.percent(low)} to {u.percent(high)}"
    return f"{alive} of the buds alive after {span}"


def source_rows(keep: KeepVerdict) -> list[tuple[str, str, str, str]]:
    """What it says, of what, how it is known, source: own store first, the others marked."""
    rows = []
    for one in keep.sources if keep.lot_state != "refused" else ():
        of = one.applies_to or one.words
        rows.append(
            (says_text(one), of if one.here or not keep.store else f"another store: {of}", one.status, one.source)
        )
    return rows


def shares_text(keep: KeepVerdict) -> str:
    """Share of buds alive now, where a curve or a half-life speaks of it; "" elsewhere."""
    if keep.lot_state != "in store":
        return ""
    if keep.alive_low is not None and keep.alive_high is not None:
        return (
            f"By the curve of orange buds at room temperature {u.percent(keep.alive_low)} to "
            f"{u.percent(keep.alive_high)} of the buds would be alive."
        )
    if keep.half_alive is not None:
        from barkslip.present.sticks import share

        return f"Chance that more than half of the buds live, by judgement: {share(keep.half_alive)}."
    return ""


def sign_texts(keep: KeepVerdict) -> list[str]:
    """What is written about the store that the sources warn of."""
    return [SIGNS[code] for code in keep.signs]


#: Said with every keeping range.
TEST = "No number tells about this bag: cut into one bud; green and moist lives, brown or dry is dead."


def keep_data(keep: KeepVerdict) -> dict[str, Any]:
    """The whole answer."""
    return {
        "lot": keep.lot,
        "verdict": headline(keep).replace(u.NBSP, " "),
        "state": keep.state,
        "lot_state": keep.lot_state,
        "kind": keep.kind,
        "store": keep.store,
        "store_words": keep.store_words,
        "age_d": list(keep.age_d),
        "used_at_age_d": list(keep.used_d) if keep.used_d else None,
        "shortest_d": keep.shortest_d,
        "longest_d": keep.longest_d,
        "first_until": keep.first_until,
        "last_until": keep.last_until,
        "alive_share": None if keep.alive_low is None else [round(keep.alive_low, 4), round(keep.alive_high or 0.0, 4)],
        "half_alive_chance": None if keep.half_alive is None else round(keep.half_alive, 4),
        "signs": list(keep.signs),
        "sources": [
            {
                "key": s.key,
                "says": s.says,
                "low_d": s.low_d,
                "high_d": s.high_d,
                "alive_low": s.alive_low,
                "alive_high": s.alive_high,
                "applies_to": s.applies_to,
                "own_store": s.here,
                "status": s.status,
                "source": s.source,
                "citation": s.citation,
                "note": s.note,
            }
            for s in keep.sources
        ],
    }
