"""What the program knows, with sources."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barkslip.app.settings import Settings

if TYPE_CHECKING:
    from barkslip.domain.known import Found


def look_up(settings: Settings, text: str, *, limit: int = 12) -> list[Found]:
    """Everything known under a name: varieties, rootstocks, methods, bindings, words, numbers. Needs no book.

    Parameters
    ----------
    text : str
        Any part of a name, in any case, with or without accents.
    """
    from barkslip.knowledge.load import load

    return load(settings.knowledge).find(text, limit=limit)
