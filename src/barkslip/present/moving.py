"""Moving wood in words: the default is do not move, and who is to be asked. Nothing here ever says that it may."""

from __future__ import annotations

from typing import Any

from barkslip.domain.moving import BagLabel, BladeWay, Moving, RuleCard
from barkslip.present import dates
from barkslip.present import units as u

#: The whole of what this program says by itself.
HEAD = "Do not move it."
#: Whom to ask.
ASK = (
    "Ask the plant-health authority of the place before any wood or plant moves: of the place it leaves, and of the "
    "place it goes to. Every country that has joined the International Plant Protection Convention (IPPC) names one "
    "office, its national plant protection organisation; the Convention's secretariat keeps the list of them. Within "
    "a country a state or province may have rules of its own."
)
#: General words on quarantine areas and clean-wood schemes.
GENERAL = (
    "A regulated or quarantine area is drawn round a pest or disease; wood inside it stays inside. Areas are drawn "
    "anew as finds are made, so an answer holds for its day only.",
    "A clean-wood scheme tests mother trees for what passes with a graft and gives out wood with a number. Wood "
    "from one is the way in; its paper stays with the lot.",
    "Wood that looks healthy can carry what kills the tree it is set on. Looks prove nothing, and neither does a fine "
    "mother tree.",
    "Neighbours, clubs and swaps are moving wood too, over a fence as well as by post.",
)
REASONS = {
    "regulated area": "It comes from inside a regulated area: it stays inside.",
    "refused": "It was refused.",
    "thrown away": "It was thrown away.",
    "held": "It is held back: it is under suspicion.",
    "no paper": "No paper came with it.",
    "own wood": "It is cut from a tree of this garden, not from tested mother trees.",
    "name not confirmed": "Its name is as claimed; neither fruit nor test has shown it.",
}
#: Said before the ways of cleaning a blade.
BLADE = (
    "Sap on a blade carries viroids and some viruses from tree to tree. Alcohol and flame failed against the exocortis "
    "viroid; chlorine bleach worked. Mix it fresh each day. Wipe the sap off first, dip between trees, rinse, dry, oil."
)
#: Said with every dip of bleach.
BLEACH = (
    "Bleach: fresh air, gloves, eyes guarded. Never in one vessel with acid, vinegar, ammonia or alcohol: the gas is "
    "poisonous. Out of reach of children; follow its label."
)
#: What stands beside the word, for those who do not see its colour.
BLADE_SIGNS = {"works": "✓", "fails": "×", "in part": "~", "never": "!"}
_WORKS = {"yes": "works", "no": "fails", "partly": "in part"}


def reason_texts(moving: Moving) -> list[str]:
    """What speaks against moving this lot."""
    return [REASONS[code] for code in moving.reasons]


def rule_head(card: RuleCard) -> str:
    """ "Upper valley: asked 3 May 2025 of the district plant health office"."""
    return f"{card.rule.area}: asked {dates.when_text(card.rule.on)} of {card.rule.office}"


def rule_age(card: RuleCard) -> str:
    """How old it is, and whether it must be asked again."""
    if card.ask_again:
        return f"To be asked again since {dates.when_text(card.rule.until)}."
    again = f"To be asked again from {dates.when_text(card.rule.until)}." if card.rule.until else ""
    return again or f"{dates.days_text(card.age_d)} old. Rules change: ask again before you lean on it."


def no_rule(moving: Moving) -> str:
    """What stands there before any rule is written down."""
    return "" if moving.rules else "No rule is written down yet. Until an office has answered: do not move."


def blade_rows(ways: tuple[BladeWay, ...]) -> list[tuple[str, str, str, str, str]]:
    """Works or fails, what, how long, against what, how known."""
    return [
        (
            "never" if w.avoid else _WORKS[w.works],
            _with(w),
            _seconds(w.seconds),
            w.target,
            f"{w.status} ({w.source})",
        )
        for w in ways
    ]


def _with(way: BladeWay) -> str:
    """What it is and how strong; figures stay with their signs."""
    strong = "" if way.concentration.lower() in way.name.lower() else f", {way.concentration}"
    warning = ": dangerous, named only because it was tried" if way.avoid else ""
    return f"{way.name}{strong}{warning}".replace(" %", f"{u.NBSP}%")


def _seconds(seconds: tuple[float, float] | None) -> str:
    if seconds is None:
        return ""
    low, high = seconds
    return f"{low:g}{u.NBSP}s" if low == high else f"{low:g} to {high:g}{u.NBSP}s"


def label_lines(label: BagLabel) -> list[tuple[str, str]]:
    """The lines of a bag's label: (word, text)."""
    lines = [
        ("Variety", label.name),
        ("Came as", label.claimed),
        ("Botanical", label.botanical),
        ("Cut", label.cut),
        ("From", label.source),
        ("Paper", label.paper.rstrip(".") or "none"),
        ("Sticks", "" if label.sticks is None else str(label.sticks)),
        ("Keep", label.storage.rstrip(".")),
    ]
    return [(word, text) for word, text in lines if text]


def label_restriction(label: BagLabel) -> str:
    """The line that every label carries."""
    special = next((r for r in ("regulated area", "refused", "held", "thrown away") if r in label.moving.reasons), "")
    words = {
        "regulated area": "DO NOT MOVE: from inside a regulated area.",
        "refused": "DO NOT MOVE, DO NOT GRAFT: refused.",
        "held": "DO NOT MOVE, DO NOT GRAFT: held under suspicion.",
        "thrown away": "DO NOT USE: thrown away.",
    }
    return words.get(special, "DO NOT MOVE unless the plant-health authority says that you may.")


def moving_data(moving: Moving) -> dict[str, Any]:
    """The whole answer."""
    return {
        "state": moving.state,
        "lot": moving.lot,
        "reasons": reason_texts(moving),
        "reason_codes": list(moving.reasons),
        "rules": [rule_data(card) for card in moving.rules],
        "garden_rules": moving.garden_rules,
        "ask": ASK,
        "general": list(GENERAL),
    }


def rule_data(card: RuleCard) -> dict[str, Any]:
    """One rule."""
    rule = card.rule
    return {
        "id": rule.id,
        "area": rule.area,
        "text": rule.text,
        "office": rule.office,
        "asked": rule.on.iso(),
        "ask_again_from": rule.until.iso() if rule.until else "",
        "ask_again": card.ask_again,
    }


def blade_data(ways: tuple[BladeWay, ...]) -> list[dict[str, Any]]:
    """Ways of cleaning blades."""
    return [
        {
            "name": w.name,
            "concentration": w.concentration,
            "seconds": list(w.seconds) if w.seconds else None,
            "dangerous": w.avoid,
            "target": w.target,
            "works": w.works,
            "status": w.status,
            "source": w.source,
            "note": w.note,
        }
        for w in ways
    ]


def label_data(label: BagLabel) -> dict[str, Any]:
    """The label."""
    return {
        "lot": label.lot,
        "lines": [{"word": word, "text": text} for word, text in label_lines(label)],
        "restriction": label_restriction(label),
        "cut_mcpd": label.cut_mcpd,
        "garden": label.garden,
        "invented": label.invented,
    }
