"""The door: everything typed, on a page or in a terminal, is read here once, in the garden's units and date order."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden
from barkslip.domain.units import UnitChoice, parse_quantity
from barkslip.domain.when import When, parse_when

#: How much may stand in one text field [characters].
LONGEST_TEXT = 10_000
_YES = ("1", "yes", "true", "on")


@dataclass(frozen=True)
class Door:
    """Reads typed fields.

    Parameters
    ----------
    garden : Garden
    units : UnitChoice
        Units meant when none is typed.
    today : date
    sure : collection of str
        Codes of questions that have been answered with "as typed".
    """

    garden: Garden
    units: UnitChoice
    today: date
    sure: Collection[str] = ()

    def text(self, fields: Mapping[str, str], name: str, default: str = "") -> str:
        """Words, without spaces around them."""
        value = fields.get(name, default).strip()
        if len(value) > LONGEST_TEXT:
            raise InputError(
                "That is too long for one field.",
                given=f"{len(value)} characters",
                allowed=f"{LONGEST_TEXT} characters",
                next_step="Shorten it, or put the rest into a second note.",
                field=name,
            )
        if "\x00" in value:
            raise InputError(
                "That holds a character that is no text.",
                given="a zero byte",
                allowed="letters, figures and signs",
                next_step="Type it again.",
                field=name,
            )
        return value

    def required(self, fields: Mapping[str, str], name: str, called: str) -> str:
        """Words that must be there."""
        value = self.text(fields, name)
        if not value:
            raise InputError(
                f"The {called} is missing.",
                given="(nothing)",
                allowed="any words",
                next_step=f"Type the {called}; if it is not known, write unknown.",
                field=name,
            )
        return value

    def choice(self, fields: Mapping[str, str], name: str, allowed: Collection[str], default: str = "") -> str:
        """One of a list."""
        value = " ".join(self.text(fields, name, default).lower().split())
        by_lower = {a.lower(): a for a in allowed}
        if value not in by_lower:
            raise InputError(
                "Not one of the choices.",
                given=value or "(nothing)",
                allowed=", ".join(allowed),
                next_step="Choose one from the list.",
                field=name,
            )
        return by_lower[value]

    def yes(self, fields: Mapping[str, str], name: str) -> bool:
        """A ticked box."""
        return self.text(fields, name).lower() in _YES

    def when(self, fields: Mapping[str, str], name: str, default: str = "", *, future: bool = False) -> When | None:
        """A date or a range of dates; None if nothing was typed.

        Raises
        ------
        InputError
            If it is no date, or lies in the future where only the past makes sense.
        """
        typed = self.text(fields, name, default) or default
        if not typed:
            return None
        found = parse_when(typed, today=self.today, field=name, order=self.garden.date_order)
        if not future and found.first > self.today:
            raise InputError(
                "That day has not come yet.",
                given=typed,
                allowed=f"{self.today.isoformat()} or earlier",
                next_step="Correct the date.",
                field=name,
            )
        return found

    def day(self, fields: Mapping[str, str], name: str, default: str = "", *, future: bool = False) -> When:
        """A date that must be there."""
        found = self.when(fields, name, default, future=future)
        if found is None:
            raise InputError(
                "The date is missing.",
                given="(nothing)",
                allowed="2024-09-01, 2024-09, about 2024, today",
                next_step="Type as much of the date as you know.",
                field=name,
            )
        return found

    def length_mm(
        self, fields: Mapping[str, str], name: str, *, metric: str, most_mm: float = 60_000.0
    ) -> float | None:
        """A length [mm]; `metric` is the unit meant in a metric garden; feet or inches in the others."""
        typed = self.text(fields, name)
        if not typed:
            return None
        default = metric if self.units.length == "metric" else "ft" if metric == "m" else "in"
        return self._between(
            parse_quantity(typed, "length", default_unit=default, field=name), 0.0, most_mm, "mm", name
        )

    def number(self, fields: Mapping[str, str], name: str, low: float, high: float, *, unit: str = "") -> float | None:
        """A number between two limits; None if nothing was typed."""
        typed = self.text(fields, name)
        if not typed:
            return None
        try:
            value = float(typed.replace("−", "-").replace(",", "."))
        except ValueError:
            raise InputError(
                "Not a number.",
                given=typed,
                allowed=f"{low:g} to {high:g} {unit}".strip(),
                next_step="Type the number again.",
                field=name,
            ) from None
        return self._between(value, low, high, unit, name)

    def count(self, fields: Mapping[str, str], name: str, *, most: int = 100_000) -> int | None:
        """A whole number from 0; None if nothing was typed."""
        value = self.number(fields, name, 0, most)
        if value is None:
            return None
        if value != int(value):
            raise InputError(
                "That must be a whole number.",
                given=fields[name],
                allowed=f"0 to {most}",
                next_step="Type it without a fraction.",
                field=name,
            )
        return int(value)

    @staticmethod
    def _between(value: float, low: float, high: float, unit: str, name: str) -> float:
        if not low <= value <= high:
            raise InputError(
                "That number cannot be.",
                given=f"{value:g} {unit}".strip(),
                allowed=f"{low:g} to {high:g} {unit}".strip(),
                next_step="Check the number and its unit.",
                field=name,
            )
        return value
