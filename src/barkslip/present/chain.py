"""A tree's chain, written from the top down: scion / framework / interstock / rootstock."""

from __future__ import annotations

from collections.abc import Iterable

from barkslip.domain.cards import ChainPart
from barkslip.domain.tree import LEVEL_HELP, UNKNOWN, Candidate, ChainLink, complete
from barkslip.present import dates
from barkslip.present import units as u

#: A name believed less than this carries a question mark [1].
SURE = 0.95
_TOP_DOWN = ("scion", "framework", "interstock", "rootstock", "own roots")


def ordered(parts: Iterable[ChainPart]) -> list[ChainPart]:
    """Parts from the top down, whatever order they came in."""
    return sorted(parts, key=lambda part: _TOP_DOWN.index(part.level))


def name_words(name: str, belief: float | None) -> str:
    """ "mandarin?" where it is believed less than nearly surely; "?" where nothing is known."""
    if name in ("", "?", UNKNOWN):
        return "?"
    return name if belief is None or belief >= SURE else f"{name}?"


def part_text(part: ChainPart) -> str:
    """One level of a written chain."""
    words = name_words(part.name, part.belief)
    if part.level == "own roots":
        return "own roots" if words == "?" else f"{words} on own roots"
    return words


def chain_text(parts: Iterable[ChainPart]) -> str:
    """ "'Minneola' tangelo / mandarin? / ?"; "not known" for an empty chain."""
    return " / ".join(part_text(part) for part in ordered(parts)) or "not known"


def belief_text(belief: float | None) -> str:
    """ "45 %"; a name set by the grower's own hand says so."""
    return "set by your own hand" if belief is None else u.percent(belief)


def candidate_name(candidate: Candidate) -> str:
    """The name, or "not known" for what is missing to certainty."""
    return "not known" if candidate.taxon == UNKNOWN else candidate.taxon


def candidates_text(candidates: tuple[Candidate, ...]) -> str:
    """ "trifoliate orange 45 %, citrange 35 %, not known 20 %"."""
    return ", ".join(f"{candidate_name(c)} {u.percent(c.belief)}" for c in complete(candidates)) or "not known"


def stands_on(part: ChainPart | None) -> str:
    """The answer at the head of a tree's page."""
    if part is None:
        return "Nothing is written down yet about what it stands on."
    if part.level == "own roots":
        doubt = "" if part.belief is None else f" ({u.percent(part.belief)})"
        return f"On its own roots{doubt}: there is no union."
    if part.name in ("", "?", UNKNOWN):
        others = [c for c in part.candidates if c.taxon != UNKNOWN]
        if not others:
            return "What it stands on is not known."
        return (
            f"What it stands on is not known; the likeliest name is {others[0].taxon}, {u.percent(others[0].belief)}."
        )
    if part.belief is None or part.belief >= SURE:
        return f"Stands on {part.name}."
    likeliest = "Most likely" if part.belief > 0.5 else "Perhaps"
    return f"{likeliest} on {part.name}, {u.percent(part.belief)}; not proved."


def level_help(level: str) -> str:
    """What a level is, in a few words."""
    return LEVEL_HELP[level]


def link_title(link: ChainLink) -> str:
    """ "rootstock, as believed on 3 Oct 2021"."""
    return f"{link.level}, as believed {_on(dates.when_text(link.on))}"


def _on(text: str) -> str:
    return f"on {text}" if text[:1].isdigit() and dates.NBSP in text else text


def slash_text(parts: Iterable[ChainPart]) -> str:
    """ "'Minneola' tangelo/mandarin?/?": the chain as journals write it, for tables."""
    return "/".join(part_text(part).replace("/", "|") for part in ordered(parts)) or "?"
