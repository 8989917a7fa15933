"""Words for the codes of days to graft: why a day is good or bad, what ends a graft, what is not known, cautions."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Why:
    """Words for one code.

    Parameters
    ----------
    short : str
        One or two words, for a column.
    clause : str
        Goes on from "links in time; else mostly": "frost comes first".
    sentence : str
    sign : str
        Sign in a drawing, one of `SIGNS`; "" for none.
    """

    short: str
    clause: str
    sentence: str
    sign: str = ""


#: Signs of the drawings -> what they stand for.
SIGNS = {
    "frost": "frost",
    "cold": "too cold to heal",
    "heat": "heat",
    "dry": "drying",
    "buds": "buds first",
    "open": "not known",
}
#: Code of a reason, or of what ends a graft -> its words.
WHYS: dict[str, Why] = {
    "species_unknown": Why(
        "kind", "nothing is known of the kind",
        "How this kind heals is not known, and no other kind stands in for it.", "open",
    ),
    "no_weather": Why(
        "no weather", "the weather is not known",
        "The weather is not known far enough: there is no reading, no forecast and no year of your own for it.", "open",
    ),
    "bark_tears": Why("bark tears", "the bark tears", "The bark tears. That decides, whatever the weather does."),
    "ask_bark_test": Why("test the bark", "the bark is not tested", "Whether the bark lifts has not been tested."),
    "too_cold": Why(
        "cold", "it is too cold", "It is cold: the union heals slowly, and may not link at all.",
        "cold",
    ),
    "too_hot": Why(
        "heat", "it gets too hot", "It is hot: too hot for the union to heal well, or for the scion to live.", "heat",
    ),
    "drying": Why(
        "drying", "the scion dries out", "The scion may dry out before the first water path is there.",
        "dry",
    ),
    "frost_after": Why(
        "frost", "frost takes the new growth", "Frost comes after the push and takes the new growth.",
        "frost",
    ),
    "frost_before_link": Why(
        "frost", "frost comes first", "Frost comes before the union links, and a fresh union bears little of it.",
        "frost",
    ),
    "buds_before_union": Why(
        "buds", "the buds push first",
        "The buds push before the union links; they then live on their own store, and it may not last.", "buds",
    ),
    "heat_wave_ahead": Why(
        "heat", "extreme heat is ahead", "Extreme heat is ahead within days; a fresh graft does not bear it.", "heat",
    ),
    "late_in_season": Why("late", "it gets colder from here", "It gets colder from here on.", "cold"),
    "false_spring": Why(
        "false spring", "a false spring", "A false spring: warm enough to heal now, with frost still to come.", "frost",
    ),
    "drought": Why("drought", "the tree is short of water", "The tree is short of water. Water it first.", "dry"),
    "good": Why("", "", "Nothing in the weather speaks against it."),
}  # fmt: skip
#: Key of a method -> its name, where that is more than the key without its underscores.
METHODS = {
    "t_bud": "T-bud",
    "inverted_t_bud": "inverted T-bud",
    "cleft": "cleft graft",
    "side_veneer": "side veneer graft",
    "shoot_tip": "shoot-tip graft",
    "micro_bud": "micro-bud",
}
#: Verdict on a day -> (sign in a terminal, word).
DAY_WORDS = {"good": ("✓", "good"), "fair": ("○", "fair"), "poor": ("×", "poor"), "unknown": ("?", "not known")}
#: Where the hours of a day come from -> (short word, as it stands beside a day).
SOURCES = {
    "measured": ("read", "from readings"),
    "typed": ("typed", "as typed"),
    "forecast": ("forecast", "from the forecast"),
    "own years": ("years", "from your own years"),
    "typical year": ("typical", "from a typical year"),
}
#: Code of what is not known -> the sentence, with how the number that stands in for it is known.
UNKNOWNS: dict[str, str] = {
    "healing_curve": "How this kind heals by temperature: no curve is written down, and that of another kind is not "
    "taken.",
    "weak_species": "How this kind heals by temperature, closely: its curve leans on little (assumption).",
    "after_forecast": "The weather after the forecast: your own years stand in for it, one after the other.",
    "own_years_few": "What a rare year brings: few years of weather stand behind this.",
    "no_own_years": "The weather after these hours: there are no years of this place to go on with.",
    "take_other_causes": "Whether it takes. The chance is about weather alone: cut, fit, wood, sealing and disease are "
    "not in it.",
    "bark_rule": "Whether the bark lifts. The rule of heat is for citrus and good to two weeks either way; the knife "
    "decides (assumption).",
    "push_clock": "When the buds push, and how long a pushed bud lives on its own store: a wide guess stands in "
    "(assumption).",
    "kill_point": "At what loss of water, at what heat and at what cold a fresh graft dies: no source was found, wide "
    "guesses stand in (assumption).",
    "cover_guessed": "The cover: none was named, so film alone was taken.",
    "frost_plot": "How much colder than the garden's screen this plot's nights are: nothing was read there.",
    "union_temperature": "How warm the union is: worked out from air, sun and wind, not measured.",
    "stale_forecast": "What the days will bring now: the forecast is old. Ask again with a fresh one.",
    "set_day": "The day it was set on, closely enough for a clock.",
}
#: Code of a caution -> (two or three words, one line to stand beside the verdict, the whole caution).
CAUTIONS: dict[str, tuple[str, str, str]] = {
    "test_bark": (
        "the bark decides",
        "Lift a flap before you cut; if it tears, wait.",
        "Lift a small flap before you cut: if it tears, wait, or choose a method that needs no lifting bark.",
    ),
    "not_take": (
        "not the take",
        "Weather only: not the chance that your graft takes.",
        "The chance is about weather only. Cut, fit, wood, sealing, disease and the look after it decide as well.",
    ),
    "knife": (
        "the knife",
        "Cut away from your hand, in a cut-resistant glove.",
        "Cut away from the hand that holds, in a cut-resistant glove, with a sharp blade and both feet on firm ground.",
    ),
    "clean_wood": (
        "clean wood",
        "Ask your plant health authority before wood is moved; clean tools between trees.",
        "Wood is not moved before your plant health authority was asked: its rules come first. Clean wood, and tools "
        "cleaned between trees.",
    ),
    "estimate_only": (
        "an estimate",
        "An estimate, no promise.",
        "This is an estimate with a spread, no promise: made from weather and from curves that are mostly assumptions.",
    ),
}
#: Order of telling.
_ORDER = ("test_bark", "not_take", "knife", "clean_wood", "estimate_only")


def why(code: str) -> Why:
    """Words for a reason; a code without words of its own is readable all the same."""
    plain = code.replace("_", " ")
    return WHYS.get(code, Why(plain, plain, f"{plain[:1].upper()}{plain[1:]}."))


def method_words(method: str) -> str:
    """A method's name from its key; "" if none was said."""
    return METHODS.get(method, method.replace("_", " "))


def unknown(code: str) -> str:
    """What is not known, in a sentence."""
    return UNKNOWNS.get(code, code.replace("_", " "))


def caution(code: str) -> str:
    """The whole caution."""
    return CAUTIONS[code][2] if code in CAUTIONS else code.replace("_", " ")


def caution_line(code: str) -> str:
    """A caution in one line, to stand beside the verdict."""
    return CAUTIONS[code][1] if code in CAUTIONS else code.replace("_", " ")


def caution_head(code: str) -> str:
    """Two or three words of it."""
    return CAUTIONS[code][0] if code in CAUTIONS else code.replace("_", " ")


def cautions_in_order(codes: tuple[str, ...]) -> tuple[str, ...]:
    """Codes in the order of telling; the estimate is said whatever else is."""
    return tuple(sorted({*codes, "estimate_only"}, key=lambda c: (_ORDER.index(c) if c in _ORDER else 99, c)))


#: What ends a graft, longer than in a column.
ENDED = {
    "too_cold": "too cold to link",
    "too_hot": "too hot",
    "drying": "dried out",
    "frost_after": "frost on the new growth",
    "frost_before_link": "frost before it links",
    "buds_before_union": "buds spent before it links",
    "no_weather": "weather not known so far ahead",
}


def ended(code: str) -> str:
    """What ends a graft: "frost before it links"."""
    return ENDED.get(code, why(code).short)


def source_words(source: str) -> str:
    """Where the hours of a day come from, in a word."""
    return SOURCES[source][0] if source in SOURCES else source or "not known"


def source_long(source: str) -> str:
    """Where they come from, to stand beside a day."""
    return SOURCES[source][1] if source in SOURCES else f"from {source}" if source else "source not known"
