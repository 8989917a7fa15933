"""Cautions that go with each measure against cold, and what is not known: one sentence a code."""

from __future__ import annotations

from barkslip.domain.night import MeasureNight, Measures

#: Code of a caution -> (two or three words, one line to stand beside a measure, the whole caution).
CAUTIONS: dict[str, tuple[str, str, str]] = {
    "electric_outdoors": (
        "mains outdoors",
        "Lamp, cord and plug for outdoor use, on an outlet with RCD or GFCI.",
        "Lamps, cords and plugs marked for outdoor use, on an outlet with a residual-current device (RCD or GFCI); "
        "joints off the wet ground and under a lid; never more lamps on a cord than its maker allows; a damaged one is "
        "thrown out.",
    ),
    "lamp_fire": (
        "lamp: fire",
        "Bulb tied clear of leaves, cloth and straw.",
        "A lamp hangs clear of leaves, cloth, straw and mulch, as far as its maker says, and is tied so that it cannot "
        "fall: a hot bulb sets cloth and dry mulch alight. Try it for an evening before it burns while you sleep.",
    ),
    "no_flame": (
        "no flame",
        "Nothing that burns under a cover: fire, and carbon monoxide.",
        "Nothing that burns under any cover: no candle, charcoal, gas lantern, heater or smudge pot. It sets the cover "
        "on fire, and its carbon monoxide kills without a smell.",
    ),
    "scald": (
        "scald",
        "Hot water scalds: lid on, set where it cannot tip.",
        "Hot water scalds: lid on, carried in small loads, set where it cannot tip, away from children and animals, "
        "off the trunk and its roots.",
    ),
    "water_and_electricity": (
        "water with mains",
        "Never water and electricity together.",
        "Water and electricity never together: no water runs, drips or sprays on a tree that has a lamp in it.",
    ),
    "ice_load": (
        "ice load",
        "Ice breaks limbs; once begun, spray until it has melted.",
        "Sprayed water builds ice that breaks limbs. Once begun it runs until the ice has melted: stopping early, or "
        "too little of it in dry wind, makes the tree colder than leaving it alone.",
    ),
    "anchor_and_open": (
        "anchor; open in sun",
        "Cover off the leaves, held down, opened when the sun is on it.",
        "The cover stands on a frame off the leaves, held down so that wind cannot lift it, and is opened when the sun "
        "is on it: a closed cover cooks what it saved.",
    ),
    "plastic_touching": (
        "film off leaves",
        "Leaves that touch the film freeze.",
        "Leaves that touch the film freeze against it; and clear film alone can leave a tree colder than no cover.",
    ),
    "wrap_and_bank": (
        "wrap: check",
        "Look under it for wet and rot; off when the cold months are over.",
        "Look under a wrap or bank for wet, rot and insects, and take it away once the cold months are over; a bank "
        "never stays on a graft union.",
    ),
    "estimate_only": (
        "an estimate",
        "An estimate, no promise; local electrical and fire codes come first.",
        "This is an estimate with a spread, no promise. Local electrical and fire codes, burn rules and the advice of "
        "your extension service come first; mains wiring is a licensed electrician's work.",
    ),
}  # fmt: skip
#: Code of what is not known -> the sentence, with how the number that stands in for it is known.
UNKNOWNS: dict[str, str] = {
    "harm_curve": "How the chance of harm grows below the critical temperature: a logistic curve stands in "
    "(assumption).",
    "graft_critical": "At what temperature a young graft's union dies: no source was found. Tender growth stands in, "
    "and no hardening is counted (assumption).",
    "species_critical": "A critical temperature of this part of this kind of tree; that of tender growth stands in "
    "(assumption).",
    "cover_optics": "How much heat your cover lets through: cloth and film were not measured, the range is wide "
    "(recalled and assumption).",
    "cover_leak": "How tight your cover sits and how much air it leaks (assumption).",
    "tent_sky_view": "How much sky the sides of a tent see. This one was tuned, not measured: a calibration knob.",
    "hardening": "How hardened the tree is: no chill hours were given, so no hardening is counted.",
    "wind_guessed": "The wind: it was not given; light air was taken and the answer is wider for it.",
    "cloud_guessed": "The cloud: it was not given; a clear sky was taken and the answer is wider for it.",
    "dew_guessed": "The dew point: it was not given and was guessed; the answer is wider for it.",
    "site_spread": "How the tree's own place differs from the plot's thermometer; a degree either way is allowed for "
    "(assumption).",
    "offset_few_nights": "The plot's own offset: too few of its nights were measured, so it is loosely known.",
    "supercooling": "Whether the tree can go below freezing without ice: it sometimes does, and no credit is given.",
    "stale_forecast": "What the sky will do now: the forecast is old. Ask again with a fresh one, or type what "
    "you see.",
    "no_forecast": "The night itself: no forecast and nothing typed.",
}  # fmt: skip
#: A part of a set -> cautions that stand beside it whatever else was found.
_BESIDE = {
    "cover": ("anchor_and_open", "no_flame"),
    "lamp": ("electric_outdoors", "lamp_fire"),
    "wrap": ("wrap_and_bank",),
}
_FILMS = ("clear_pe", "thermal_film", "pvc", "polyester")
_SCALDS_C = 45.0
#: Order of telling: what kills first.
_ORDER = tuple(CAUTIONS)


def codes(rung: MeasureNight) -> tuple[str, ...]:
    """Codes of all cautions of a set: those found with it, and those that its parts always carry."""
    found = set(rung.hazards)
    for part in rung.measures.parts:
        found.update(_BESIDE.get(part, ()))
    found.update(_of_water(rung.measures))
    if rung.measures.cover in _FILMS:
        found.add("plastic_touching")
    return in_order(found)


def _of_water(measures: Measures) -> list[str]:
    out = []
    if measures.bucket_l > 0 and measures.bucket_c >= _SCALDS_C:
        out.append("scald")
    if measures.water_l_h > 0:
        if measures.lamp_w > 0:
            out.append("water_and_electricity")
        if measures.spray:
            out.append("ice_load")
    return out


def in_order(found: set[str] | tuple[str, ...]) -> tuple[str, ...]:
    """Codes in the order of telling; ones without words last."""
    return tuple(sorted(set(found), key=lambda c: (_ORDER.index(c) if c in _ORDER else 99, c)))


def sentence(code: str) -> str:
    """The whole caution."""
    return CAUTIONS[code][2] if code in CAUTIONS else _plain(code)


def line(code: str) -> str:
    """A caution in one line, to stand beside a measure."""
    return CAUTIONS[code][1] if code in CAUTIONS else _plain(code)


def short(code: str) -> str:
    """A caution in two or three words, for a column."""
    return CAUTIONS[code][0] if code in CAUTIONS else _plain(code)


def hazard_words(rung: MeasureNight) -> str:
    """ "mains outdoors, lamp: fire"; empty for the bare tree."""
    return ", ".join(short(code) for code in codes(rung))


def unknown(code: str) -> str:
    """What is not known, in a sentence."""
    return UNKNOWNS.get(code) or _plain(code)


def _plain(code: str) -> str:
    """A code without words of its own, readable all the same."""
    return code.replace("_", " ").replace("-", " ")
