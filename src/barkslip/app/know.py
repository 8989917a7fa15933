"""What the program knows, with sources."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barkslip.app.settings import Settings

if TYPE_CHECKING:
    from barkslip.domain.known import Found
    from barkslip.knowledge.load import Knowledge


def look_up(
    settings: Settings,
    text: str,
    *,
    limit: int = 12,
    kinds: tuple[str, ...] = (),
    knowledge: Knowledge | None = None,
) -> list[Found]:
    """Everything known under a name: varieties, rootstocks, methods, bindings, words, numbers. Needs no book.

    Parameters
    ----------
    text : str
        Any part of a name, in any case, with or without accents.
    kinds : tuple of str
        Only these kinds ("variety", "rootstock", "method", "binding", "word", "number").
    knowledge : Knowledge or None
        One that is loaded already.
    """
    if knowledge is None:
        from barkslip.knowledge.load import load

        knowledge = load(settings.knowledge)
    return knowledge.find(text, kinds=kinds, limit=limit)
