"""When to order wood: planned back from the days on which it is to be grafted."""

from __future__ import annotations

from dataclasses import dataclass

#: Steps of an order, in the order of their days -> what is done.
ORDER_STEPS = {
    "plan": "a whole tree is to be worked over: plan by",
    "ask": "ask the plant-health authority before you order, by",
    "closes": "the giver takes orders until",
    "order": "usual last day to order",
    "cut": "wood is cut between",
    "arrive": "wood is here by",
    "set": "graft between",
}


@dataclass(frozen=True)
class OrderStep:
    """One step.

    Parameters
    ----------
    code : str
        Key of `ORDER_STEPS`.
    first, last : str
        ISO days; `first` is "" where only the latest day counts.
    late : bool
        True if `last` has passed.
    source, status, note : str
        Where the time between comes from; status "typed" if the grower typed it.
    """

    code: str
    first: str
    last: str
    late: bool
    source: str = ""
    status: str = "typed"
    note: str = ""


@dataclass(frozen=True)
class OrderDates:
    """The steps for one window.

    Parameters
    ----------
    first, last : str
        ISO days of the window.
    steps : tuple of OrderStep
    keeps_to : str
        ISO day to which wood cut at the latest day keeps by the shortest range; "" if that is not known.
    """

    first: str
    last: str
    steps: tuple[OrderStep, ...]
    keeps_to: str = ""

    @property
    def too_long(self) -> bool:
        """True if wood cut before the window does not keep to its end by the shortest range: order twice."""
        return bool(self.keeps_to) and self.keeps_to < self.last

    @property
    def late(self) -> bool:
        """True if the last day to order has passed: the giver's own, where it is known."""
        by_code = {s.code: s.late for s in self.steps}
        return by_code.get("closes", by_code.get("order", False))


@dataclass(frozen=True)
class WoodOrder:
    """When to order wood.

    Parameters
    ----------
    on : str
        ISO day of the answer.
    window_from : str
        "typed", or "weeks" for the weeks of the year that worked at this place.
    years : int
        Years of weather behind the weeks.
    next : OrderDates
        The coming window.
    in_time : OrderDates or None
        The first window that can still be ordered for, if the coming one cannot.
    keeps_d : (float, float) or None
        Shortest and longest keeping that was counted with [d].
    unknowns : tuple of str
    """

    on: str
    window_from: str
    years: int
    next: OrderDates
    in_time: OrderDates | None
    keeps_d: tuple[float, float] | None
    unknowns: tuple[str, ...] = ()
