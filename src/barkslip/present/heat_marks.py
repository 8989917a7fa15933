"""A mark for each verdict on a cover: a square with a tick, an open square, a square with a cross."""

from __future__ import annotations

from markupsafe import Markup

_INSIDE = {
    "choose": '<rect class="cm-full" x="1.5" y="1.5" width="17" height="17" rx="3"/>'
    '<path class="cm-cut" d="M5.5 10.5 L8.8 13.8 L14.5 6.8"/>',
    "bears": '<rect class="cm-edge" x="2" y="2" width="16" height="16" rx="3"/>',
    "avoid": '<rect class="cm-edge" x="2" y="2" width="16" height="16" rx="3"/>'
    '<path class="cm-edge" d="M6 6 L14 14 M14 6 L6 14"/>',
}


def mark(verdict: str, size: int = 20) -> Markup:
    """The mark of "choose", "bears" or "avoid"; its word stands beside it, so it is silent itself."""
    inside = _INSIDE.get(verdict, "")
    return Markup(
        f'<svg class="cm cm-{verdict}" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20" width="{size}" '
        f'height="{size}" aria-hidden="true">{inside}</svg>'
    )
