"""What was done to a blade, in the grower's words, set against what is recorded to work and to fail."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from barkslip.domain.known import Row
from barkslip.domain.trace import NEVER, Cleaning, Odds

#: Means -> words by which it is named.
MEANS = {
    "bleach": ("bleach", "hypochlorite", "chlorine", "naocl"),
    "alcohol": ("alcohol", "spirit", "ethanol", "isopropanol", "meths"),
    "flame": ("flame", "torch", "burnt", "burned", "lighter"),
    "trisodium phosphate": ("trisodium", "tsp"),
    "caustic soda": ("caustic", "lye"),
    "formalin": ("formalin", "formaldehyde"),
    "borax": ("borax",),
    "cresol": ("cresol",),
    "hexachlorophene": ("hexachlorophene",),
    "peroxymonosulfate": ("peroxymonosulfate", "peroxymonosulphate"),
    "vinegar": ("vinegar",),
}
_SECONDS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:-|–)?\s*(s|sec|secs|second|seconds|min|mins|minute|minutes)\b")
_PER_CENT = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:%|per cent|percent)")
_STRENGTH = re.compile(r"(\d+(?:[.,]\d+)?)\s*% sodium hypochlorite")
_PARTS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:part)?s?\s*(?:\+|:|in|to)\s*(\d+(?:[.,]\d+)?)")
_MINUTE_S = 60.0


@dataclass(frozen=True)
class Done:
    """What was done, as far as it could be read.

    Parameters
    ----------
    means : tuple of str
        Keys of `MEANS`.
    seconds : float or None
        How long [s].
    share : float or None
        Share of the means in the mixture as typed [%].
    pure : bool
        True if the share is that of the chemical itself, not of the bottle.
    """

    means: tuple[str, ...]
    seconds: float | None = None
    share: float | None = None
    pure: bool = False


def read_words(words: str) -> Done:
    """ "1 + 5 household bleach, 2 s" -> bleach, 2 s, 16.7 %."""
    low = " ".join(words.lower().replace("½", "0.5").split())
    found = tuple(name for name, told in MEANS.items() if any(re.search(rf"\b{w}", low) for w in told))
    time = _SECONDS.search(low)
    seconds = None
    if time:
        seconds = _number(time[1]) * (_MINUTE_S if time[2].startswith("min") else 1.0)
    share, parts = _PER_CENT.search(low), _PARTS.search(low)
    if share:
        bottled = "bleach" in low
        return Done(found, seconds, _number(share[1]), not bottled and ("hypochlorite" in low or "naocl" in low))
    if parts:
        one, rest = _number(parts[1]), _number(parts[2])
        return Done(found, seconds, 100.0 * one / (one + rest) if one + rest > 0.0 else None)
    return Done(found, seconds)


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def means_of(row: Row) -> str:
    """Key of `MEANS` that a recorded line is about; the first one named. "" if none is."""
    text = row.cell("name").lower()
    return next((name for name, told in MEANS.items() if any(w in text for w in told)), "")


def clean(words: str, agent: str, viroid: bool, rows: Iterable[Row], works: Odds, partly: Odds) -> Cleaning:
    """What a cleaning counts for against one agent.

    What is recorded to fail clears nothing. What is not recorded counts as nothing, but might work. A record of another
    agent of the same sort is a hint only; between viroids what fails for one fails for all.

    Parameters
    ----------
    words : str
        As in the book.
    agent : str
        Key of a pathogen; "" for any.
    viroid : bool
        True if it is a viroid: most records are of those.
    rows : iterable of Row
        Of `tool_cleaning`.
    works, partly : Odds
        Chance that what is recorded to work, or to work in part, does so on a grower's blade.
    """
    done, every = read_words(words), list(rows)
    bottle = _bottle(every)
    found = [row for row in every if means_of(row) in done.means and "rust" not in row.cell("target")]
    judged = [(_nearness(row, agent, viroid), _judged(words, done, row, agent, viroid, (works, partly), bottle))
              for row in found]  # fmt: skip
    told = [(near, one) for near, one in judged if one is not None]
    if not told:
        return Cleaning(words, "not_known", None, Odds(0.0, 0.0, works.high, known=False))
    near = min(max(near for near, _ in told), _AT_LARGE)
    return max((one for n, one in told if n >= near), key=lambda c: (c.clears.best, c.clears.low, c.code == "fails"))


#: How near a record comes to an agent: of itself, of viroids and viruses on grafting tools, of its sort, of others.
_ITSELF, _AT_LARGE, _SORT, _OTHER = 3, 2, 1, 0
#: Mixtures closer than this are the same [1].
_SAME = 0.05


def _nearness(row: Row, agent: str, viroid: bool) -> int:
    if row.cell("pathogen"):
        return _ITSELF if row.cell("pathogen") == agent else _SORT if viroid else _OTHER
    target = row.cell("target").lower()
    if "grafting tools" in target:
        return _AT_LARGE
    return _SORT if viroid and "viroid" in target else _OTHER


def _judged(
    words: str, done: Done, row: Row, agent: str, viroid: bool, odds: tuple[Odds, Odds], bottle: float
) -> Cleaning | None:
    """A cleaning beside one record; None if the record says nothing about it."""
    near, verdict = _nearness(row, agent, viroid), row.cell("works")
    works, partly = odds
    maybe = Odds(0.0, 0.0, works.high, known=False)
    mixed, recorded = _strength(done, bottle), _strength(_recorded(row), bottle)
    if verdict == "no":
        if mixed is not None and recorded is not None and mixed > recorded * (1.0 + _SAME):
            return None
        return Cleaning(words, "fails", row, NEVER if near >= _SORT else maybe)
    needed = row.value.value if row.value and isinstance(row.value.value, (int, float)) else None
    if mixed is not None and recorded is not None and mixed < recorded * (1.0 - _SAME):
        return Cleaning(words, "too_weak", row, maybe)
    if done.seconds is not None and needed is not None and done.seconds < needed:
        return Cleaning(words, "too_short", row, maybe)
    good = works if verdict == "yes" else partly
    unsure = Odds(good.best / 2.0, 0.0, good.high, known=False)
    if near < _AT_LARGE:
        return Cleaning(words, "other_agent", row, unsure)
    if near == _AT_LARGE and not viroid:
        return Cleaning(words, "recipe", row, unsure)
    if (mixed is None and recorded is not None) or (done.seconds is None and needed is not None):
        return Cleaning(words, "no_time", row, unsure)
    return Cleaning(words, "works" if verdict == "yes" else "partly", row, good)


def _recorded(row: Row) -> Done:
    """The mixture of a record, as if it had been typed."""
    return read_words(f"{row.cell('concentration')} {row.cell('name').partition(',')[0]}")


def _bottle(rows: Sequence[Row]) -> float:
    """Sodium hypochlorite in household bleach as the records have it [share]; 1 if none says it."""
    told = (_STRENGTH.search(r.cell("name")) for r in rows if "bleach" in r.cell("name").lower())
    return next((_number(m[1]) / 100.0 for m in told if m), 1.0)


def _strength(done: Done, bottle: float) -> float | None:
    """How strong a mixture is [% of what works in it]: bottles of bleach are themselves a solution."""
    if done.share is None:
        return None
    return done.share * bottle if "bleach" in done.means and not done.pure else done.share


def ways(rows: Iterable[Row]) -> tuple[str, ...]:
    """Ways of cleaning recorded to work on grafting knives, as they would be written in the book."""
    out = []
    for row in rows:
        target, value = row.cell("target").lower(), row.value.value if row.value else None
        if row.cell("works") != "yes" or means_of(row) != "bleach" or not re.search("knives|grafting tools", target):
            continue
        time = f", {value:g} s" if isinstance(value, (int, float)) else ""
        name = row.cell("name").partition(",")[0]
        mixed = row.cell("concentration").partition(",")[0].removesuffix(f" of {name}")
        out.append(f"{name}, {mixed}{time}")
    return tuple(out)
