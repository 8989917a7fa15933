"""What needs doing, with its window and its reason."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from barkslip.domain.graft import Standing
from barkslip.domain.sourced import Value

#: Kind -> the word on the button. Order is the order of urgency within one tree.
DUE_KINDS = {
    "shade": "Shade",
    "release": "Release",
    "cover": "Uncover",
    "wrap check": "Check",
    "brace": "Brace",
    "rub": "Rub",
    "first look": "Look",
    "look": "Look",
}


@dataclass(frozen=True)
class BindingRule:
    """When a binding must come off, by material."""

    material: str
    release_from: Value | None
    release_by: Value | None
    gives_way: str  # "yes", "no", "partly", "not known"


@dataclass(frozen=True)
class CareRules:
    """The numbers behind the list of what is due; all from the knowledge base [d], [mm]."""

    first_look: Value
    look_again: Value
    false_take: Value
    wrap_check: Value
    cover_max: Value
    rub_weekly: Value
    rub_until: Value
    rub_every_early: Value
    rub_every_late: Value
    brace_mm: Value
    bindings: dict[str, BindingRule]

    def binding(self, text: str) -> BindingRule | None:
        """Rule of the material named in `text`, longest name first; None if none is known."""
        low = text.lower()
        hits = [name for name in self.bindings if name in low]
        return self.bindings[max(hits, key=len)] if hits else None


@dataclass(frozen=True)
class Due:
    """One thing to do.

    Parameters
    ----------
    kind : str
        Key of `DUE_KINDS`.
    opens : date
        First day on which it makes sense.
    closes : date or None
        No later than; None if no limit is known.
    reason : str
        Code of the reason, worded in `present.due`.
    since : date or None
        Day the count starts from (graft set, cover put on, last rub).
    value : Value or None
        The number that sets the window.
    detail : str
        Binding, cover or length concerned.
    ends : date or None
        Last day on which it is listed; None as long as it is not done.
    """

    kind: str
    opens: date
    closes: date | None
    reason: str
    since: date | None = None
    value: Value | None = None
    detail: str = ""
    ends: date | None = None

    def open_on(self, day: date) -> bool:
        """True if it is to be listed on a day."""
        return self.opens <= day and (self.ends is None or day <= self.ends)


@dataclass(frozen=True)
class GraftNow:
    """Where a graft stands today and what it is due for: worked out from the entries, kept for quick lists.

    Parameters
    ----------
    graft, tree, plot : str
        Thing ids.
    lot : str or None
        Thing id of its wood lot.
    campaign : str
    walk_key : str
        Sorts grafts in walking order: plot, tree, limb by bearing and height, code.
    open : bool
        True while it belongs to the walk-round.
    """

    graft: str
    tree: str
    plot: str
    walk_key: str
    standing: Standing
    open: bool
    due: tuple[Due, ...]
    lot: str | None = None
    campaign: str = ""


@dataclass(frozen=True)
class TreeNow:
    """A tree's own due list and its grafts."""

    tree: str
    plot: str
    walk_key: str
    due: tuple[Due, ...]
    grafts: tuple[GraftNow, ...]
