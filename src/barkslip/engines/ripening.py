"""When fruit is ripe, read out of words and turned to the garden's half of the world; gaps. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from barkslip.domain.calendar import HALVES, Gap, Ripe

_NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTHS = {name: i for i, name in enumerate(_NAMES)}
#: Seasons as they are meant in the northern half of the world: first and last month.
_SEASONS = {"winter": (11, 13), "spring": (2, 4), "summer": (5, 7), "autumn": (8, 10)}
_POINT = rf"(late\s+|mid\s+|early\s+)?({'|'.join(_MONTHS)}|{'|'.join(_SEASONS)})\w*"
_SPAN = re.compile(rf"{_POINT}(?:\s*(?:-|to)\s*{_POINT})?", re.IGNORECASE)
#: Words after which a span speaks of another place or another use.
_ASIDE = re.compile(r"\b(home|coast|hangs)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Season:
    """Windows of half months (last may lie beyond the year's end), and whether the words were wide."""

    windows: tuple[tuple[int, int], ...]
    wide: bool = False


def season_of(words: str) -> Season:
    """The windows that words on a season mean in the northern half of the world.

    Parts after the first are kept apart: "Nov-Mar; home Jan-Apr" are two windows. "all year" is the whole year unless a
    span stands beside it, which is then the main crop. What stands in brackets is left out.
    """
    text = re.sub(r"\(.*?\)", " ", words.lower())
    windows: list[tuple[int, int]] = []
    wide = "all year" in text
    for part in re.split(r"[;,]", text):
        for match in _SPAN.finditer(part.replace("weeks", " ")):
            first, last, rough = _window(match)
            wide = wide or rough
            windows.append((first, last))
            if _ASIDE.search(part):
                wide = True
            break
    if not windows and wide:
        windows.append((0, HALVES - 1))
    return Season(tuple(dict.fromkeys(windows)), wide)


def _window(match: re.Match[str]) -> tuple[int, int, bool]:
    first, _, rough = _point(match[1], match[2])
    _, last, also = _point(match[3], match[4]) if match[4] else _point(match[1], match[2])
    if match[3] and match[3].strip() == "mid" and match[4].lower()[:3] in _MONTHS:
        last -= 1
    while last < first:
        last += HALVES
    return first, last, rough or also


def _point(prefix: str | None, word: str) -> tuple[int, int, bool]:
    """First and last half month of a month or season."""
    late = bool(prefix) and str(prefix).strip() in ("late", "mid")
    if word in _SEASONS:
        first, last = _SEASONS[word]
        return 2 * first + (4 if late else 0), 2 * last + 1, True
    month = _MONTHS[word[:3]]
    return 2 * month + (1 if late else 0), 2 * month + 1, False


def turned(windows: Iterable[tuple[int, int]], *, south: bool) -> tuple[tuple[int, int], ...]:
    """Windows in the garden's own half of the world: half a year on in the south."""
    out = []
    for first, last in windows:
        shift = HALVES // 2 if south else 0
        start = (first + shift) % HALVES
        out.append((start, start + min(last - first, HALVES - 1)))
    return tuple(out)


def gaps(ripe: Sequence[Ripe], others: Sequence[Ripe], *, most: int = 5) -> tuple[Gap, ...]:
    """Stretches of the year without ripe fruit for the hand, and kinds that would fill them, best first.

    Parameters
    ----------
    ripe : sequence of Ripe
        Kinds of the garden.
    others : sequence of Ripe
        Kinds that might be added.
    """
    fresh = [r for r in ripe if not r.kitchen and r.windows]
    bare = [not any(r.ripe_in(h) for r in fresh) for h in range(HALVES)]
    out = []
    for first, last in _stretches(bare):
        halves = [h % HALVES for h in range(first, last + 1)]
        fills = []
        for other in others:
            if other.kitchen or not other.windows:
                continue
            share = sum(other.ripe_in(h) for h in halves) / len(halves)
            if share > 0:
                fills.append((other, share))
        # of equal fillers the one whose window is least wide says most
        fills.sort(key=lambda f: (-f[1], f[0].open_words, sum(b - a for a, b in f[0].windows), f[0].kind.name))
        out.append(Gap(first, last, tuple(fills[:most])))
    return tuple(out)


def _stretches(bare: Sequence[bool]) -> list[tuple[int, int]]:
    """Runs of half months that are bare, one over the turn of the year being one run."""
    if all(bare):
        return [(0, HALVES - 1)]
    starts = [h for h in range(HALVES) if bare[h] and not bare[h - 1]]
    out = []
    for start in starts:
        end = start
        while bare[(end + 1) % HALVES]:
            end += 1
        out.append((start, end))
    return out
