"""Whether a tasting may judge a variety: too early, name first, good, or poor. Pure.

A first crop, a handful of fruit, frozen fruit or a wrong name never make a variety bad. Checked by
tests/engines/test_tasting.py.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from barkslip.domain.calendar import HALVES
from barkslip.domain.sourced import Value

Known = Callable[[str], Value]


@dataclass(frozen=True)
class TasteRules:
    """The lines somebody had to draw; see taste.toml."""

    few_fruit: int = 5
    first_crop: int = 1
    outside_halves: int = 2
    liked: float = 6.5
    disliked: float = 5.0
    poor_crops: int = 2
    dry_share: float = 0.2
    seeds_few: float = 2.0


def rules_from(known: Known) -> TasteRules:
    """The lines as the knowledge base draws them."""

    def n(key: str) -> float:
        value = known(f"taste.{key}").value
        return float(value) if isinstance(value, (int, float)) else 0.0

    return TasteRules(
        round(n("few_fruit")),
        round(n("first_crop")),
        round(n("outside_halves")),
        n("liked"),
        n("disliked"),
        round(n("poor_crops")),
        n("dry_share"),
        n("seeds_few"),
    )


def half_of(month: int, day: int) -> int:
    """Half month of a day, from 0."""
    return 2 * (month - 1) + (day > 15)


def in_months(half: int, windows: Sequence[tuple[int, int]], spare: int) -> str:
    """ "its months", "beside its months" (within `spare` half months), "not its months", or "not known"."""
    if not windows:
        return "not known"
    far = min(_away(half, first, last) for first, last in windows)
    return "its months" if far == 0 else "beside its months" if far <= spare else "not its months"


def before_months(half: int, windows: Sequence[tuple[int, int]]) -> bool:
    """True if the next window is nearer ahead than the last one is behind."""
    ahead = min((first - half) % HALVES for first, _ in windows)
    behind = min((half - last) % HALVES for _, last in windows)
    return ahead <= behind


def _away(half: int, first: int, last: int) -> int:
    if (half - first) % HALVES <= last - first:
        return 0
    return min((first - half) % HALVES, (half - last) % HALVES)


def early_reasons(
    crop: int | None, fruit_n: int | None, *, frozen: bool, fits: str, before: bool, rules: TasteRules
) -> tuple[str, ...]:
    """Why it is too early to judge; empty if nothing speaks against it.

    Parameters
    ----------
    crop : int or None
        Which crop of this variety on this tree; None if nobody knows.
    fruit_n : int or None
        Fruits tasted; None if they were not counted.
    frozen : bool
        A frost since they grew may have frozen them.
    fits : str
        As `in_months` says.
    before : bool
        Of fruit out of its months: tasted before them.
    """
    out = []
    if crop is not None and crop <= rules.first_crop:
        out.append("first_crop")
    if fruit_n is not None and fruit_n < rules.few_fruit:
        out.append("few_fruit")
    if frozen:
        out.append("frozen")
    if fits == "not its months":
        out.append("not_ripe" if before else "over_ripe")
    return tuple(out)


def verdict(score9: float | None, early: Sequence[str], *, name_open: bool, poor_before: int, rules: TasteRules) -> str:
    """One of `domain.taste.VERDICTS`.

    Parameters
    ----------
    score9 : float or None
        Mean liking.
    early : sequence of str
        Why it is too early.
    name_open : bool
        The fruit is, or may be, another variety than the label says.
    poor_before : int
        Earlier crops that could be judged and were poor.
    """
    if name_open:
        return "name"
    if early:
        return "early"
    if score9 is None:
        return "no score"
    if score9 >= rules.liked:
        return "good"
    if score9 >= rules.disliked:
        return "middling"
    return "poor here" if poor_before + 1 >= rules.poor_crops else "poor once"


def seeds_told(seeds: float | None, told: str, rules: TasteRules) -> str:
    """Seeds counted beside what is told: "as told", "pollen" (told to be seedy only near a partner), "more than told",
    "not counted" or "not known".
    """
    if seeds is None:
        return "not counted"
    if not told:
        return "not known"
    alone = "alone" in told.lower() or "pollin" in told.lower() or "cross" in told.lower()
    if alone and seeds > rules.seeds_few:
        return "pollen"
    seedless = told.lower().startswith(("seedless", "near seedless", "few", "low"))
    return "more than told" if seedless and seeds > rules.seeds_few else "as told"
