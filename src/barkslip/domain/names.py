"""Comparing names as people write them."""

from __future__ import annotations

import unicodedata


def same_word(a: str, b: str) -> bool:
    """True if two names differ only in case, accents, spaces and signs ("gate post", "Gatepost")."""
    return bare(a) == bare(b)


def bare(text: str) -> str:
    """Only the letters and figures of a name, without case and accents."""
    plain = unicodedata.normalize("NFKD", text)
    return "".join(c for c in plain.casefold() if c.isalnum())
