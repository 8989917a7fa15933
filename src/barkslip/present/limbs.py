"""What both drawings of a tree share: what hangs at the end of each limb, and keeping marks apart."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from markupsafe import escape

from barkslip.domain.cards import GraftCard, LimbCard, TreeStory
from barkslip.domain.graft import MARKS
from barkslip.present import counts, graft, marks
from barkslip.present.labels import Box, Sheet, cut, disc

MARK_R = 12.0
APART = 2 * MARK_R + 3.0
#: More grafts than this on one limb, or on one tree, are drawn as one mark of each kind with its number.
EACH_ON_LIMB, EACH_ON_TREE = 3, 14
_HIT = 24.0
_TURNS = 400


@dataclass(slots=True)
class Spot:
    """One mark to be drawn.

    Parameters
    ----------
    mark, href, words : str
        Which mark, where it leads, and its words.
    count : int
        Grafts it stands for.
    x, y : float
    """

    mark: str
    href: str
    words: str
    count: int = 1
    x: float = 0.0
    y: float = 0.0


def spots(grafts: tuple[GraftCard, ...], href: str, *, each: bool) -> list[Spot]:
    """One spot for each graft, or one for each kind of mark."""
    if each:
        return [Spot(g.standing.mark, f"/grafts/{g.graft.code}", graft_words(g)) for g in grafts]
    tally = Counter(g.standing.mark for g in grafts)
    out = []
    for mark in MARKS:
        if tally[mark] == 1:
            one = next(g for g in grafts if g.standing.mark == mark)
            out.append(Spot(mark, f"/grafts/{one.graft.code}", graft_words(one)))
        elif tally[mark]:
            words = f"{counts.many(tally[mark], 'graft')}: {marks.mark_word(mark)}"
            out.append(Spot(mark, href, words, tally[mark]))
    return out


def limb_spots(story: TreeStory) -> list[list[Spot]]:
    """Spots of each limb, in the story's order."""
    total = sum(len(card.grafts) for card in story.limbs)
    out = []
    for card in story.limbs:
        each = len(card.grafts) <= EACH_ON_LIMB and total <= EACH_ON_TREE
        out.append(spots(card.grafts, limb_href(card), each=each))
    return out


def limb_href(card: LimbCard) -> str:
    """Where a limb stands further down the page."""
    return f"#limb-{card.limb.thing}"


def graft_words(card: GraftCard) -> str:
    """Words of one mark: "G04-3, 'Washington' navel: took"."""
    return f"{card.graft.code}, {graft.variety_words(card)}: {graft.standing_words(card.standing)}"


def limb_label(card: LimbCard) -> str:
    """What a limb bears, for a label: its varieties, what it carries, its address, or that it is not proved."""
    names = list(dict.fromkeys(graft.short_variety(g.name_doubt or g.variety) for g in card.grafts))
    if len(names) > 2:
        return f"{names[0]} + {len(names) - 1} more"
    if names:
        return " + ".join(names)
    return card.limb.carries or (card.limb.address if card.limb.proved else "not proved")


def push_apart(places: list[Spot], *, apart: float, box: Box, sideways: bool = False) -> None:
    """Move spots until none comes closer to another than `apart`, inside a box; the order of spots decides ties.

    Parameters
    ----------
    sideways : bool
        True if heights are measured: spots move along x before they give way in y.
    """
    for turn in range(_TURNS):
        moved = False
        for one in places:
            one.x = min(max(one.x, box.x0), box.x1)
            one.y = min(max(one.y, box.y0), box.y1)
        for i, a in enumerate(places):
            for b in places[i + 1 :]:
                dx, dy = b.x - a.x, b.y - a.y
                if abs(dx) >= apart or abs(dy) >= apart:
                    continue
                away = math.hypot(dx, dy)
                if away < apart - 0.01:
                    moved = True
                    _part(a, b, away, apart, turn, sideways=sideways)
        if not moved:
            return


def _part(a: Spot, b: Spot, away: float, apart: float, turn: int, *, sideways: bool) -> None:
    """Move two spots from each other; later turns push a little askew, so that no row gets stuck against an edge."""
    step = (apart - away) / 2 + 0.3
    if sideways and turn < _TURNS // 2:
        side = 1.0 if b.x >= a.x else -1.0
        a.x, b.x = a.x - side * step, b.x + side * step
        return
    angle = math.atan2(b.y - a.y, b.x - a.x) if away > 0.5 else 2.4 * turn
    if turn > _TURNS // 10:
        angle += 0.5 if turn % 40 < 20 else -0.5
    ux, uy = math.cos(angle) * step, math.sin(angle) * step
    a.x, a.y, b.x, b.y = a.x - ux, a.y - uy, b.x + ux, b.y + uy


def draw_spots(sheet: Sheet, places: list[Spot]) -> None:
    """Marks with their links; touch areas are as large as their neighbours allow, 48 across at most."""
    centres = [(one.x, one.y) for one in places]
    for i, one in enumerate(places):
        nearest = min((math.dist(centres[i], other) for j, other in enumerate(centres) if j != i), default=99.0)
        sheet.add(
            f'<a href="{escape(one.href)}"><title>{escape(one.words)}</title>'
            f'<circle class="hit" cx="{one.x:.1f}" cy="{one.y:.1f}" r="{max(min(_HIT, nearest / 2), MARK_R):.1f}"/>'
            f"{marks.mark_shape(one.mark, one.x, one.y, MARK_R)}</a>"
        )
        sheet.marks.append(disc(one.x, one.y, MARK_R))


def number_labels(sheet: Sheet, places: list[Spot]) -> None:
    """ "×4" beside each mark that stands for several grafts."""
    for one in places:
        if one.count > 1:
            sheet.place(f"×{one.count}", (one.x, one.y), clear=MARK_R, towards=0.0, size=13.0, klass="t-strong")


def loose_rows(sheet: Sheet, grafts: tuple[GraftCard, ...], y: float) -> float:
    """Grafts whose limb is not known, in rows under the drawing; the new bottom is returned."""
    if not grafts:
        return y
    each = len(grafts) <= 6
    places = spots(grafts, "#loose", each=each)
    sheet.write("limb not known:", 8, y + 14, 13, klass="t-quiet")
    y += 40
    for i, one in enumerate(places):
        one.x, one.y = 22 + (i % 3) * 118, y + (i // 3) * 48
    sheet.height = max(sheet.height, places[-1].y + 26)
    draw_spots(sheet, places)
    for i, one in enumerate(places):
        name = graft.short_variety(grafts[i].name_doubt or grafts[i].variety) if each else f"×{one.count}"
        sheet.write(cut(name, 14, 78), one.x + MARK_R + 5, one.y + 5, 14)
    return sheet.height


def finish(sheet: Sheet, title: str, desc: str, klass: str) -> str:
    """The whole picture; labels that found no room stand in lines under it."""
    y = sheet.height
    if sheet.left_out:
        lines, sheet.left_out = sheet.left_out[:], []
        sheet.height += 18.0 * len(lines) + 8
        for i, text in enumerate(lines):
            sheet.write(f"also: {text}", 8, y + 14 + 18.0 * i, 13)
    return (
        f'<svg class="{klass}" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {sheet.width:g} {sheet.height:.0f}" '
        f'role="group" aria-label="{escape(title)}"><title>{escape(title)}</title><desc>{escape(desc)}</desc>'
        f"{''.join(sheet.parts)}</svg>"
    )
