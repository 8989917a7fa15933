"""Ways of setting a bud or scion, and what holds it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barkslip.domain.known import SHIPPED
from barkslip.domain.sourced import Value


@dataclass(frozen=True)
class Method:
    """A way of grafting.

    Parameters
    ----------
    key, name : str
    synonyms : tuple of str
    bark_must_lift : str
        "yes", "no" or "partly".
    scion : str
        What is set.
    aftercare : str
    values : mapping
        Traits: stock_diameter [mm], take_prior [1], take_prior_weight [1] (grafts the prior is worth),
        unwrap_days [d], season (text), cut lengths [mm] ...
    owner : str
    """

    key: str
    name: str
    bark_must_lift: str
    synonyms: tuple[str, ...] = ()
    scion: str = ""
    aftercare: str = ""
    values: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)
    owner: str = SHIPPED

    def value(self, trait: str) -> Value | None:
        """First value of a trait, or None if nothing is known."""
        return next(iter(self.values.get(trait, ())), None)

    @property
    def unwrap_days(self) -> Value | None:
        """From when to when the binding is usually released [d]."""
        return self.value("unwrap_days")

    @property
    def stock_diameter_mm(self) -> Value | None:
        """Stocks it is used on [mm]."""
        return self.value("stock_diameter")

    @property
    def take_prior(self) -> Value | None:
        """Share that takes before anything is known of this grower [1]."""
        return self.value("take_prior")


@dataclass(frozen=True)
class Binding:
    """What holds the pieces together.

    Parameters
    ----------
    key, name : str
    synonyms : tuple of str
    yields : str
        Does it rot, stretch or crack by itself: "yes", "no" or "partly".
    avoid : bool
        True for what should not be used.
    note : str
    values : mapping
        Traits: release_from_days [d], release_by_days [d], yields (text).
    owner : str
    """

    key: str
    name: str
    yields: str
    synonyms: tuple[str, ...] = ()
    avoid: bool = False
    note: str = ""
    values: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)
    owner: str = SHIPPED

    def value(self, trait: str) -> Value | None:
        """First value of a trait, or None if nothing is known."""
        return next(iter(self.values.get(trait, ())), None)

    @property
    def release_from_days(self) -> Value | None:
        """Earliest usual day after setting [d]; None if not known."""
        return self.value("release_from_days")

    @property
    def release_by_days(self) -> Value | None:
        """Day after setting by which it must be off or slit [d]; None if not known."""
        return self.value("release_by_days")
