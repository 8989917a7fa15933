"""Cautions that go with covers in heat, and what is not known: one sentence a code."""

from __future__ import annotations

from collections.abc import Iterable

from barkslip.domain.heat import CoverDay, HeatVerdict
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import units as u

#: Air over which work waits for the cool of the day [°C]; common practice.
WORK_C = 35.0
#: Code of a caution -> (two or three words, one line to stand beside a cover, the whole caution). "{work}" is the heat
#: in which people should not work.
CAUTIONS: dict[str, tuple[str, str, str]] = {
    "people_heat": (
        "heat and you",
        "Over {work} work at dawn, with water and a hat.",
        "Over {work} do this at dawn, with water, a hat and shade to rest in, and not alone. Whoever turns dizzy, sick "
        "or confused, or stops sweating, stops, is cooled and gets help.",
    ),
    "foil_lines_glare": (
        "foil: power lines, glare",
        "Foil well away from power lines; no loose ends; its glare off leaves and eyes.",
        "Foil conducts and shines: keep it, and the pole or ladder it is carried on, well away from power lines. Fold "
        "loose ends in, and turn it so that its glare falls neither on leaves and fruit nor in anyone's eyes.",
    ),
    "ladder": (
        "ladder",
        "Three-legged ladder on firm ground, never on its top two rungs.",
        "A three-legged orchard ladder on firm ground; belt buckle between the rails, one hand to hold on with, never "
        "on the top two rungs, and clear of power lines.",
    ),
    "sealed_plastic": (
        "plastic: shade only",
        "Closed plastic in shade only: in sun it cooks the scion.",
        "Closed plastic is for shade only: in sun the air in it heats up and cooks the scion. Where shade moves on, it "
        "comes off, or a second cover goes over it, before the sun comes round.",
    ),
    "paint_water_based": (
        "paint: water-based",
        "Water-based white paint, never oil-based; none on leaves.",
        "Water-based white paint for indoors, thinned with as much water, and never an oil-based one. None on leaves "
        "or open buds. Lime wash is caustic: gloves and eye protection.",
    ),
    "bag_nests": (
        "look in weekly",
        "Look into it weekly: ants and earwigs nest there.",
        "Ants and earwigs nest in bags, sleeves and pouches, and wet gathers: look in every week. A cover puts nothing "
        "off: the binding is released on its day, and the cover comes off when shoots push against it.",
    ),
    "estimate_only": (
        "an estimate",
        "An estimate, no promise: no measurement of covers on grafts was found.",
        "This is an estimate with a spread, no promise: no measurement of these covers on grafts was found. What your "
        "own logger reads under the cover, the advice of your extension service and local codes come first.",
    ),
}  # fmt: skip
#: Code of what is not known -> the sentence, with how the number that stands in for it is known.
UNKNOWNS: dict[str, str] = {
    "paper_optics": "How much sun bags, pouches and film take up and let through: estimates, not measurements, so the "
    "range is wide (assumption).",
    "no_measured_graft": "How hot a graft gets under these covers: no measurement on grafts was found. The model was "
    "held against fruit in bags, trunks and leaves.",
    "wind_guessed": "The wind: it was not given; light air was taken and the answer is wider for it.",
    "cloud_guessed": "The cloud: it was not given; a clear sky was taken.",
    "dew_guessed": "The damp of the air: it was not given and was guessed; drying is the less sure for it.",
    "sun_guessed": "The sun: no reading of it; what a sky with such a cloud lets through was taken.",
    "kill_point": "At what loss of water a scion dies: no source was found; a wide guess stands in (assumption).",
    "film_rate": "How fast water passes through the film: recalled, not measured (recalled).",
    "seal_unknown": "How well the ends and seams of the film are closed. A leak loses more water than the film "
    "(assumption).",
    "species_heat": "What heat this kind of wood bears: figures of other kinds stand in, with a spread for the kind "
    "(assumption).",
    "shade_unknown": "How much sun the tree itself keeps off this graft.",
    "offset_unknown": "How much hotter or cooler than the garden's screen this plot is by day.",
    "stale_forecast": "What the day will bring now: the forecast is old. Ask again with a fresh one.",
    "humid_bag": "How damp the air in a cover gets. It would slow drying, not heating, and is left out.",
    "no_forecast": "The day itself: no forecast, nothing measured and nothing typed.",
}  # fmt: skip
#: Covers -> cautions that they carry whatever else was found.
_OF_COVER = {
    "white_paint": ("paint_water_based",),
    "foil_sleeve": ("foil_lines_glare", "bag_nests"),
    "foil_pouch": ("foil_lines_glare", "bag_nests"),
    "white_bag": ("bag_nests",),
    "brown_bag": ("bag_nests",),
    "dark_bag": ("bag_nests",),
    "clear_plastic": ("sealed_plastic", "bag_nests"),
    "clear_plastic_shade": ("sealed_plastic", "bag_nests"),
}
#: Order of telling: what hurts people first.
_ORDER = tuple(CAUTIONS)


def codes(cover: CoverDay) -> tuple[str, ...]:
    """Codes of all cautions of a cover: those found with it, and those that it always carries."""
    return in_order({*cover.hazards, *of_cover(cover.wrap.cover)})


def of_cover(cover: str) -> tuple[str, ...]:
    """Codes that a cover always carries."""
    return _OF_COVER.get(cover, ())


def shown(verdict: HeatVerdict, covers: Iterable[CoverDay], *, whiten: bool = False) -> tuple[str, ...]:
    """Cautions to stand beside the covers that are put before the grower."""
    found = {"estimate_only", *(code for cover in covers for code in codes(cover))}
    if whiten:
        found.add("paint_water_based")
    if verdict.air.high_c >= WORK_C or "people_heat" in verdict.cautions:
        found.add("people_heat")
    if "ladder" in verdict.cautions:
        found.add("ladder")
    return in_order(found)


def every(verdict: HeatVerdict) -> tuple[str, ...]:
    """Cautions of everything on the page, each once."""
    found = {*verdict.cautions, *shown(verdict, ())}
    for cover in verdict.covers:
        found.update(codes(cover))
    if verdict.faces:
        found.add("paint_water_based")
    return in_order(found)


def in_order(found: set[str] | tuple[str, ...]) -> tuple[str, ...]:
    """Codes in the order of telling; ones without words last."""
    return tuple(sorted(set(found), key=lambda c: (_ORDER.index(c) if c in _ORDER else 99, c)))


def sentence(code: str, units: UnitChoice = METRIC) -> str:
    """The whole caution."""
    return _worded(code, 2, units)


def line(code: str, units: UnitChoice = METRIC) -> str:
    """A caution in one line, to stand beside a cover."""
    return _worded(code, 1, units)


def short(code: str) -> str:
    """A caution in two or three words, for a column."""
    return _worded(code, 0, METRIC)


def unknown(code: str) -> str:
    """What is not known, in a sentence."""
    return UNKNOWNS.get(code) or _plain(code)


def _worded(code: str, form: int, units: UnitChoice) -> str:
    if code not in CAUTIONS:
        return _plain(code)
    return CAUTIONS[code][form].replace("{work}", u.temperature(WORK_C, units, 0))


def _plain(code: str) -> str:
    """A code without words of its own, readable all the same."""
    return code.replace("_", " ").replace("-", " ")
