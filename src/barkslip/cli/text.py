"""Text for a terminal."""

from __future__ import annotations


def plain(text: str) -> str:
    """Text with spaces that can be searched for, and nothing that steers the terminal."""
    text = text.replace("\u00a0", " ")
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c in "\n\t" else "\N{REPLACEMENT CHARACTER}" for c in text)
