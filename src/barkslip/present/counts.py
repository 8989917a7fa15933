"""Counts of things: "1 graft", "3 grafts", "12 took, 1 waiting"."""

from __future__ import annotations

from collections.abc import Iterable, Mapping


def many(count: int, one: str, more: str = "") -> str:
    """ "1 graft", "3 grafts"; `more` is the plural where an s is not enough."""
    return f"{count} {one if count == 1 else more or one + 's'}"


def tally(counts: Mapping[str, int], order: Iterable[str]) -> str:
    """ "12 took, 1 waiting" in the given order; what is none is left out; "none" if nothing is left."""
    return ", ".join(f"{counts[word]} {word}" for word in order if counts.get(word)) or "none"


def listed(words: Iterable[str], last: str = "and") -> str:
    """ "bark, bud and leaf"."""
    parts = [w for w in words if w]
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def opening(text: str) -> str:
    """The text with a capital first letter; nothing else changes."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """The text with a capital first letter and a full stop, if it lacks them."""
    text = text.strip()
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?…" else text + "."
