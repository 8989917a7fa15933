"""Filling forms: typed text first, then what the book says, in the reader's units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from barkslip.app.context import Context
from barkslip.domain.entry import Entry
from barkslip.domain.units import UnitChoice, convert
from barkslip.domain.when import When
from barkslip.present.form import FormField


class Fill:
    """Values for the fields of one form.

    Parameters
    ----------
    typed : mapping or None
        What came with the request; None fills from `old` alone.
    old : Entry or None
        Line that is corrected.
    """

    def __init__(self, ctx: Context, typed: Mapping[str, str] | None, old: Entry | None = None) -> None:
        self.ctx = ctx
        self.typed = typed or {}
        self.old = old
        self.garden = ctx.garden()
        self.units: UnitChoice = ctx.units(self.garden)
        self.today = ctx.today(self.garden)

    def text(self, name: str, attr: str = "", default: str = "") -> str:
        """Words of a field."""
        if name in self.typed:
            return self.typed[name]
        if self.old is None:
            return default
        return shown(getattr(self.old, attr or name))

    def length(self, name: str, attr: str, metric: str) -> str:
        """A length in the unit that is meant when none is typed."""
        if name in self.typed:
            return self.typed[name]
        value = getattr(self.old, attr) if self.old is not None else None
        return "" if value is None else f"{round(convert(value, 'mm', self.length_unit(metric)), 2):g}"

    def length_unit(self, metric: str) -> str:
        """The unit meant when none is typed."""
        return metric if self.units.length == "metric" else "ft" if metric == "m" else "in"

    def volume(self, name: str, attr: str) -> str:
        """A volume in the reader's unit."""
        if name in self.typed:
            return self.typed[name]
        value = getattr(self.old, attr) if self.old is not None else None
        return "" if value is None else f"{round(convert(value, 'L', self.units.volume), 2):g} {self.units.volume}"

    def ticked(self, name: str, attr: str = "") -> bool:
        """State of a box."""
        if self.typed and name in self.typed:
            return bool(self.typed[name])
        return bool(getattr(self.old, attr or name)) if self.old is not None else False

    def hidden(self) -> tuple[FormField, ...]:
        """Hidden fields of every form: the line's own identifier, and the line it corrects."""
        out = [FormField("id", "", "hidden", self.typed.get("id") or self.ctx.new_id())]
        if self.old is not None:
            out.append(FormField("corrects", "", "hidden", self.typed.get("corrects") or self.old.id))
        for name in ("sure", "next"):
            if self.typed.get(name):
                out.append(FormField(name, "", "hidden", self.typed[name]))
        return tuple(out)


def shown(value: object) -> str:
    """A stored value as it would be typed."""
    if value is None:
        return ""
    if isinstance(value, When):
        return value.text or value.iso()
    if isinstance(value, bool):
        return "1" if value else ""
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def choices(words: Iterable[str], *, first: str | None = None) -> tuple[tuple[str, str], ...]:
    """Options whose value is what is shown; `first` puts an empty one in front."""
    out = [(w, w) for w in words]
    return tuple(out if first is None else [("", first), *out])
