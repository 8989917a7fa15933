"""What is due, as a button, a sentence and a reason with its source."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from barkslip.domain.due import DUE_KINDS, Due
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates
from barkslip.present import units as u

#: Kind -> what to do, as the beginning of a sentence.
DO = {
    "shade": "shade it",
    "release": "release the binding",
    "cover": "take the cover off",
    "wrap check": "look under the wrap",
    "brace": "brace the shoot",
    "rub": "rub off stock shoots",
    "first look": "take the first look",
    "look": "look again",
}
#: Reason -> why. `{detail}` is the binding, cover, length, heat or state concerned, in the reader's units.
REASONS = {
    "first-look": "nobody has looked since it was set",
    "waiting-waiting": "{detail} at the last look, no verdict yet",
    "waiting-pushing": "pushing, but too early to call it taken",
    "waiting-stalled": "it had stalled at the last look, no verdict yet",
    "waiting-unknown": "the last look could not tell",
    "wrap-check": "wet, mould and insects gather under {detail}",
    "cover-still-on": "{detail} is still on; wood cooks and rots under it",
    "release-holds": "{detail} does not give way",
    "release-gives-way": "{detail} gives way by itself; see that it has",
    "long-shoot": "{detail} long; wind snaps it at the union",
    "rub-first": "stock shoots outgrow a young graft",
    "rub-again": "stock shoots come back",
    "heat-coming": "{detail} forecast; a wrapped scion cooks in sun",
}
#: Kind -> reason said when the code has no words of its own.
_PLAIN = {
    "shade": "a fresh graft in sun dries and cooks",
    "release": "a binding that stays on chokes the graft",
    "cover": "wood cooks and rots under a cover that stays on",
    "wrap check": "wet, mould and insects gather under a wrap",
    "brace": "wind snaps a long shoot at the union",
    "rub": "stock shoots outgrow a young graft",
    "first look": "nobody has looked since it was set",
    "look": "the last look is long ago",
}
#: Kind -> kind of act written down when it is done; looks are looks.
_ACTS = {
    "shade": "shade", "release": "release", "cover": "cover off", "wrap check": "wrap check", "brace": "brace",
    "rub": "rub",
}  # fmt: skip


#: Kinds that an act settles, not a look.
ACT_KINDS = tuple(_ACTS)


def button(due: Due) -> str:
    """The word on the button."""
    return DUE_KINDS[due.kind]


def act_kind(due: Due) -> str:
    """Kind of act that settles it; empty where a look does."""
    return _ACTS.get(due.kind, "")


def reason(due: Due, units: UnitChoice = METRIC) -> str:
    """Why it is due, in a few words."""
    words = REASONS.get(due.reason)
    if words is None or ("{detail}" in words and not due.detail):
        words = _PLAIN[due.kind]
    return words.format(detail=_detail(due, units))


def _detail(due: Due, units: UnitChoice) -> str:
    """The detail in the reader's units: a shoot comes in mm, a forecast high in °C."""
    if due.reason == "long-shoot":
        return u.length(float(due.detail or 0.0), units)
    if due.reason == "heat-coming":
        return u.temperature(float(due.detail or 0.0), units)
    return due.detail


def limit(due: Due, on: date | None = None) -> str:
    """ "no later than 12 Oct"; "was due by 12 Oct, 3 days ago"; "from 12 Oct" if it is still to come."""
    if due.closes is not None and on is not None and due.closes < on:
        return f"was due by {dates.day_near(due.closes, on)}, {dates.ago_text(due.closes, on)}"
    if on is not None and due.opens > on:
        begins = f"from {dates.day_near(due.opens, on)}"
        return f"{begins}, no later than {dates.day_near(due.closes, on)}" if due.closes else begins
    return f"no later than {dates.day_near(due.closes, on or due.closes)}" if due.closes else ""


def is_late(due: Due, on: date) -> bool:
    """True if its last day has passed."""
    return due.closes is not None and due.closes < on


def status(due: Due) -> str:
    """How the number behind it is known, in brackets; empty if no number is behind it."""
    return f"({due.value.status})" if due.value else ""


def text(due: Due, on: date | None = None, units: UnitChoice = METRIC) -> str:
    """ "release the binding: vinyl tape does not give way; no later than 12 Oct (common practice)"."""
    because = reason(due, units)
    window = limit(due, on)
    words = DO[due.kind] + (f": {because}" if because else "")
    words += f"; {window}" if window else ""
    return f"{words} {status(due)}".rstrip()


def short(due: Due, on: date | None = None, units: UnitChoice = METRIC) -> str:
    """Reason and limit alone, for a line whose button says what to do."""
    window = limit(due, on)
    subject = "the shoot is " if due.reason == "long-shoot" else ""
    because = counts.sentence(subject + reason(due, units)).rstrip(".")
    return f"{because}; {window}." if window else f"{because}."


def why(due: Due, units: UnitChoice = METRIC) -> str:
    """The number behind it with its range, status, source and what it counts from."""
    parts = []
    if due.value is not None:
        parts.append(f"{u.value_text(due.value, units)}, {due.value.status}, source {due.value.source}")
        if due.value.note:
            parts.append(due.value.note.rstrip("."))
    if due.since is not None and due.kind != "shade":
        parts.append(f"counted from {dates.day_text(due.since)}")
    return "; ".join(parts)


def urgency(dues: Iterable[Due], on: date) -> list[Due]:
    """Late ones first, then by the last day, then in the order of kinds."""
    kinds = list(DUE_KINDS)
    return sorted(dues, key=lambda d: (not is_late(d, on), d.closes or date.max, kinds.index(d.kind), d.opens))


def open_now(dues: Iterable[Due], on: date) -> list[Due]:
    """Those whose first day has come, the most urgent first."""
    return urgency((d for d in dues if d.opens <= on), on)


def still_to_come(dues: Iterable[Due], on: date) -> list[Due]:
    """Those whose first day is still to come, the nearest first."""
    return sorted((d for d in dues if d.opens > on), key=lambda d: (d.opens, d.kind))
