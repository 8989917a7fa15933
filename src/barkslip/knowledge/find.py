"""Finding by name: small and capital letters, accents, quotation marks and hyphens do not matter."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

#: How well a text can fit a name, best first.
HOWS = ("same", "starts", "part", "near")


@dataclass(frozen=True)
class Name:
    """A name under which something can be found. `weight` sorts kinds that fit equally well."""

    folded: str
    kind: str
    key: str
    weight: int = 0


def fold(text: str) -> str:
    """A text without case, accents and punctuation: "Citrus × 'Lane Late'" becomes "citrus lane late"."""
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(
        ch if ch.isalnum() else " " for ch in decomposed if not unicodedata.combining(ch) and ch not in "'’‘"
    )
    return " ".join(kept.split())


def fits(asked: str, name: str) -> str:
    """How `asked` fits `name` (both folded): one of `HOWS` but "near", or "" if it does not."""
    if asked == name:
        return "same"
    if name.startswith(asked):
        return "starts"
    words = name.split()
    if all(any(word.startswith(part) for word in words) for part in asked.split()):
        return "part"
    return ""


def search(text: str, names: Iterable[Name], limit: int) -> list[tuple[str, str, str]]:
    """(how, kind, key) of what fits, best first, each thing once; near spellings only if nothing else fits."""
    asked = fold(text)
    if not asked:
        return []
    best: dict[tuple[str, str], tuple[int, int, int, str]] = {}
    every = list(names)
    for name in every:
        how = fits(asked, name.folded)
        if how:
            rank = (HOWS.index(how), name.weight, len(name.folded), name.key)
            place = (name.kind, name.key)
            best[place] = min(best.get(place, rank), rank)
    if not best:
        import difflib  # only for a slip of the finger

        close = difflib.get_close_matches(asked, {name.folded for name in every}, n=limit, cutoff=0.78)
        for name in every:
            if name.folded in close:
                best.setdefault((name.kind, name.key), (3, close.index(name.folded), 0, name.key))
    ranked = sorted(best.items(), key=lambda item: item[1])[:limit]
    return [(HOWS[rank[0]], kind, key) for (kind, key), rank in ranked]
