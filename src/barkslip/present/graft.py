"""Where a graft stands, in words."""

from __future__ import annotations

from collections.abc import Iterable

from barkslip.domain.cards import GraftCard
from barkslip.domain.graft import LOST, STATES, Graft, Look, Standing, Turn
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import dates
from barkslip.present import units as u

#: Loss -> how it is said after "took, then".
_LOST_AFTER = {
    "shrivelled": "shrivelled",
    "black": "black or rotten",
    "broken": "broken",
    "choked": "choked",
    "eaten": "eaten",
}


def state_words(state: str) -> str:
    """The state as a word: "green and still"; "could not tell" for unknown."""
    return "could not tell" if state == "unknown" else state


def state_button(state: str) -> str:
    """The state as the word on its button."""
    words = state_words(state)
    return words[0].upper() + words[1:]


def state_help(state: str) -> str:
    """What is seen, under the word on the button; empty where the word says it all."""
    return "" if state == "unknown" else STATES[state]


def state_group(state: str) -> str:
    """ "alive", "lost" or "unsure": how the button is drawn, besides its word."""
    return "lost" if state in LOST else "unsure" if state == "unknown" else "alive"


def standing_words(standing: Standing) -> str:
    """ "took", "took, then broken", "waiting · swelling", "did not take · shrivelled"; a loss taken back is said."""
    if standing.looks == 0:
        return "waiting · no look yet"
    if standing.lost_after:
        words = f"took, then {_LOST_AFTER[standing.state]}"
    elif standing.word == "took":
        words = "took · stalled" if standing.state == "stalled" else "took"
    else:
        words = f"{standing.word} · {state_words(standing.state)}"
    return f"{words} · loss taken back" if standing.taken_back else words


def standing_sentence(card: GraftCard) -> str:
    """The answer at the head of a graft's page."""
    standing, since = card.standing, dates.days_since(card.days)
    if standing.looks == 0:
        return f"Waiting: nobody has looked yet, {since}."
    seen = f"last look {dates.day_text(standing.last_on)}" if standing.last_on else "no dated look"
    if standing.word == "waiting":
        return f"Waiting for a verdict: {state_words(standing.state)}, {since}; {seen}."
    if standing.lost_after:
        return f"It took, and was lost later: {_LOST_AFTER[standing.state]}; {seen}."
    if standing.word == "did not take":
        return (
            f"It did not take: {state_words(standing.state)}; {seen}. A later look at a living scion takes that back."
        )
    return f"It took, {since}; {seen}: {state_words(standing.state)}."


def taken_back_note(standing: Standing) -> str:
    """Said where a loss was taken back; empty otherwise."""
    if not standing.taken_back:
        return ""
    return "It was once judged lost. A later look showed it alive, so that was taken back."


def turn_text(turn: Turn) -> str:
    """ "13 Sep 2024: pushing, so it took"."""
    verdict = {"took": "it took", "waiting": "it waits again", "did not take": "it did not take"}[turn.word]
    if turn.word == "took" and turn.state in LOST:
        verdict = "it had taken and is lost"
    return f"{dates.day_text(turn.on)}: {state_words(turn.state)}, so {verdict}"


def look_text(look: Look, units: UnitChoice = METRIC) -> str:
    """ "pushing, shoot 4 cm"."""
    words = state_words(look.state)
    return f"{words}, shoot {u.length(look.shoot_mm, units)}" if look.shoot_mm is not None else words


def variety_words(card: GraftCard) -> str:
    """The variety; a name found instead stands first, the written one after it."""
    if card.name_doubt:
        return f"{card.name_doubt} (written as {card.variety})"
    return "variety not known" if card.variety in ("", "?") else card.variety


def title(card: GraftCard) -> str:
    """One line that finds the graft in the garden: "NW-M-L · 'Washington' navel"."""
    where = card.address or (f"{card.graft.side} side" if card.graft.side else "limb not known")
    return f"{where} · {variety_words(card)}"


def bundles(cards: Iterable[GraftCard]) -> list[tuple[GraftCard, ...]]:
    """Grafts that would read alike put together: same limb, variety, standing and age; what is due stands alone.

    The order is that of the first of each.
    """
    out: dict[tuple[str, ...], tuple[GraftCard, ...]] = {}
    for card in cards:
        alike = (card.address, variety_words(card), standing_words(card.standing), dates.days_since(card.days))
        key = (card.graft.code,) if card.due else alike
        out[key] = (*out.get(key, ()), card)
    return list(out.values())


def setting_words(graft: Graft, units: UnitChoice = METRIC) -> str:
    """ "bark graft, 3 Oct 2021, vinyl tape; scion 7 mm on 45 mm"."""
    parts = [graft.method, dates.when_text(graft.set_on)]
    parts += [graft.binding] if graft.binding else []
    parts += [f"cover: {graft.cover}"] if graft.cover else []
    words = ", ".join(parts)
    if graft.scion_mm is not None and graft.stock_mm is not None:
        return f"{words}; scion {u.length(graft.scion_mm, units)} on {u.length(graft.stock_mm, units)}"
    if graft.scion_mm is not None:
        return f"{words}; scion {u.length(graft.scion_mm, units)}"
    return f"{words}; on {u.length(graft.stock_mm, units)}" if graft.stock_mm is not None else words


def short_variety(variety: str) -> str:
    """For a label in a drawing: the epithet alone ("Washington"), else the name, "?" if not known."""
    name = variety.strip()
    for opening, closing in (("'", "'"), ("‘", "’")):
        start = name.find(opening)
        end = name.find(closing, start + 1)
        if start >= 0 and end > start + 1:
            return name[start + 1 : end]
    return name or "?"
