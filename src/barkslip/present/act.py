"""Acts, events and tastings in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from barkslip.domain.act import ACTS, Act, Event
from barkslip.domain.tasting import Tasting
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts
from barkslip.present import units as u

#: Key at the end of a figure's name -> how the figure is written.
_FIGURES: dict[str, Callable[[float, UnitChoice], str]] = {
    "c": u.temperature,
    "k": u.difference,
    "mm": u.length,
    "m_s": u.speed,
    "l": u.volume,
}


def text(act: Act, units: UnitChoice = METRIC) -> str:
    """ "watered, 20 L", "stock shoots rubbed off, 3", "cover put on: paper bag"."""
    words = "something else" if act.kind == "other" else ACTS[act.kind]
    if act.kind == "other" and act.detail:
        words = act.detail
    elif act.detail:
        words = f"{words}: {act.detail}"
    if act.amount_l is not None:
        words += f", {u.volume(act.amount_l, units)}"
    if act.count is not None:
        words += f", {act.count}"
    return words


def tally(done: Sequence[Act | Event]) -> str:
    """ "stock shoots rubbed off ×12, watered, drought": what a folded list holds, in the order of its first."""
    counted = Counter(_kind(one) for one in done)
    return ", ".join(f"{words}{u.NBSP}×{n}" if n > 1 else words for words, n in counted.items())


def _kind(one: Act | Event) -> str:
    if isinstance(one, Event):
        return one.kind
    return "other work" if one.kind == "other" else ACTS[one.kind]


def kind_words(kind: str) -> str:
    """What an act means, for a list to choose from."""
    return ACTS[kind]


def event_text(event: Event, units: UnitChoice = METRIC) -> str:
    """Kind, words and figures of an event."""
    figures = ", ".join(figure_text(key, value, units) for key, value in event.figures.items())
    parts = [event.text or event.kind, figures]
    words = "; ".join(part for part in parts if part)
    return words if event.kind in ("note",) or not event.text else f"{event.kind}: {words}"


def event_words(event: Event, units: UnitChoice = METRIC) -> str:
    """Words and figures of an event, where its kind stands beside it."""
    figures = ", ".join(figure_text(key, value, units) for key, value in event.figures.items())
    return " ".join(counts.sentence(part) for part in (event.text, figures) if part)


def figure_text(key: str, value: float, units: UnitChoice = METRIC) -> str:
    """ "low LOW −5.8 °C" from "low_c.LOW"."""
    name, _, place = key.partition(".")
    for ending, write in sorted(_FIGURES.items(), key=lambda item: -len(item[0])):
        if name.endswith("_" + ending):
            said = name.removesuffix("_" + ending).replace("_", " ")
            return " ".join(part for part in (said, place, write(value, units)) if part)
    return " ".join(part for part in (name.replace("_", " "), place, u.quantity(value, "1")) if part)


def tasting_text(tasting: Tasting) -> str:
    """ "3 fruits, 2 people: 12.4 °Brix, acid 0.9 %, liking 7.0 of 9"; a small count says that it is too early."""
    who = []
    if tasting.fruit_n is not None:
        who.append(counts.many(tasting.fruit_n, "fruit", "fruits"))
    if tasting.panel is not None:
        who.append(counts.many(tasting.panel, "person", "people"))
    what = []
    if tasting.brix is not None:
        what.append(f"{u.number(tasting.brix, 1)}{u.NBSP}°Brix")
    if tasting.acid_pct is not None:
        what.append(f"acid {u.number(tasting.acid_pct, 1)}{u.NBSP}%")
    if tasting.score9 is not None:
        what.append(f"liking {u.number(tasting.score9, 1)} of 9")
    if tasting.seeds_per_fruit is not None:
        what.append(f"{u.number(tasting.seeds_per_fruit, 1)} seeds a fruit")
    return ": ".join(part for part in (", ".join(who), ", ".join(what)) if part) or "no figures"
