"""A mark for each verdict on a cover: a square with a tick, an open square, one with a wave, one with a cross."""

from __future__ import annotations

from markupsafe import Markup

_BOX = '<rect class="cm-edge" x="2" y="2" width="16" height="16" rx="3"/>'
_INSIDE = {
    "choose": '<rect class="cm-full" x="1.5" y="1.5" width="17" height="17" rx="3"/>'
    '<path class="cm-cut" d="M5.5 10.5 8.8 13.8 14.5 6.8"/>',
    "bears": _BOX,
    "helps": f'{_BOX}<path class="cm-edge" d="M6 12C8 8 12 14 14 9"/>',
    "avoid": f'{_BOX}<path class="cm-edge" d="M6 6 14 14M14 6 6 14"/>',
}


def drawn() -> Markup:
    """The marks themselves, to stand once on a page that shows any."""
    inside = "".join(f'<symbol id="cm-{name}" viewBox="0 0 20 20">{part}</symbol>' for name, part in _INSIDE.items())
    return Markup(f'<svg class="unseen" xmlns="http://www.w3.org/2000/svg" aria-hidden="true">{inside}</svg>')


def mark(verdict: str) -> Markup:
    """The mark of "choose", "bears", "helps" or "avoid"; its word stands beside it, so it is silent itself."""
    if verdict not in _INSIDE:
        return Markup("")
    return Markup(f'<svg class="cm cm-{verdict}" aria-hidden="true"><use href="#cm-{verdict}"/></svg>')
