"""A tree from above: north is up, limbs run by bearing, low limbs reach furthest."""

from __future__ import annotations

import math
from collections import defaultdict

from barkslip.domain.cards import LimbCard, TreeStory
from barkslip.domain.tree import BEARING_DEG
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import limbs
from barkslip.present import units as u
from barkslip.present.labels import Box, Sheet, cut
from barkslip.present.limbs import APART, MARK_R, Spot

WIDTH = 360.0
_CX, _CY, _R = 180.0, 172.0, 112.0
_REACH = {"L": 0.93, "M": 0.74, "H": 0.53}
#: Limbs of one bearing are fanned out by this much, all within 40 degrees [deg].
_FAN, _FAN_MOST = 17.0, 40.0
_LABEL_ROOM = 132.0


def sheet_above(story: TreeStory, units: UnitChoice = METRIC) -> Sheet:
    """The drawing, with the boxes of its marks and labels."""
    if story.card.tree.count > 1:
        return _batch(story)
    sheet = Sheet(WIDTH, 2 * _CY)
    _ground(sheet)
    if story.limbs:
        _limbs(sheet, story, units)
    else:
        sheet.add(f'<circle class="crown" cx="{_CX}" cy="{_CY}" r="{_R * 0.7:.1f}"/>')
        sheet.add(f'<circle class="wood" cx="{_CX}" cy="{_CY}" r="9"/>')
        sheet.write("no limbs written down", _CX, _CY + 34, 14, anchor="middle", klass="t-quiet")
        _compass(sheet, story, units)
    limbs.loose_rows(sheet, story.loose, sheet.height)
    return sheet


def _ground(sheet: Sheet) -> None:
    for share in (1 / 3, 2 / 3, 1.0):
        outer = " outer" if share == 1.0 else ""
        sheet.add(f'<circle class="canopy{outer}" cx="{_CX}" cy="{_CY}" r="{_R * share:.1f}"/>')


def _compass(sheet: Sheet, story: TreeStory, units: UnitChoice) -> None:
    """Letters of the bearings outside the canopy, beside a mark that stands there."""
    for word, x, y in (("N", 0.0, -1.0), ("E", 1.0, 0.0), ("S", 0.0, 1.0), ("W", -1.0, 0.0)):
        at = (_CX + x * _R, _CY + y * _R)
        sheet.place(word, at, clear=1, towards=math.atan2(y, x), klass="t-quiet t-strong")
    if story.card.tree.spread_mm is not None:
        words = f"{u.length(story.card.tree.spread_mm, units)} across"
        y = sheet.height - 6
        sheet.write_free(words, ((WIDTH - 4, y, "end"), (4, y, "start"), (WIDTH - 4, 18, "end")), 13, "t-quiet")


def _angles(story: TreeStory) -> list[float]:
    """Direction of each limb [rad], 0 = right, clockwise on the page; limbs of one bearing fanned out."""
    same: dict[str, list[int]] = defaultdict(list)
    for i, card in enumerate(story.limbs):
        same[card.limb.bearing].append(i)
    out = [0.0] * len(story.limbs)
    for bearing, members in same.items():
        step = min(_FAN, _FAN_MOST / max(len(members) - 1, 1))
        if bearing == "C" and len(members) > 1:
            step = 360.0 / len(members)
        for place, i in enumerate(members):
            turn = (place - (len(members) - 1) / 2) * step
            out[i] = math.radians(BEARING_DEG[bearing] + turn - 90.0)
    return out


def _reach(card: LimbCard, leaders: int) -> float:
    if card.limb.bearing == "C":
        return 0.0 if leaders == 1 else 20.0
    return _R * _REACH[card.limb.band]


def _limbs(sheet: Sheet, story: TreeStory, units: UnitChoice) -> None:
    angles = _angles(story)
    leaders = sum(1 for card in story.limbs if card.limb.bearing == "C")
    clusters = limbs.limb_spots(story)
    ends = []
    for card, angle, cluster in zip(story.limbs, angles, clusters, strict=True):
        reach = _reach(card, leaders)
        end = Spot("", limbs.limb_href(card), "", 1, _CX + reach * math.cos(angle), _CY + reach * math.sin(angle))
        ends.append(end)
        for i, one in enumerate(cluster):
            row, place, wide = i // 3, i % 3, min(3, len(cluster) - 3 * (i // 3))
            aside = (place - (wide - 1) / 2) * APART
            along = reach - row * APART
            one.x = _CX + along * math.cos(angle) - aside * math.sin(angle)
            one.y = _CY + along * math.sin(angle) + aside * math.cos(angle)
    everyone = [one for cluster in clusters for one in cluster]
    bare = [end for end, cluster in zip(ends, clusters, strict=True) if not cluster]
    limbs.push_apart([*everyone, *bare], apart=APART, box=Box(MARK_R + 2, MARK_R + 2, WIDTH - 14, 2 * _CY - 14))
    for end, cluster in zip(ends, clusters, strict=True):
        if cluster:
            end.x = sum(one.x for one in cluster) / len(cluster)
            end.y = sum(one.y for one in cluster) / len(cluster)
        _wood(sheet, end, cluster)
    sheet.add(f'<circle class="wood" cx="{_CX}" cy="{_CY}" r="9"/>')
    limbs.draw_spots(sheet, everyone)
    for end in bare:
        sheet.add(f'<circle class="wood" cx="{end.x:.1f}" cy="{end.y:.1f}" r="4.5"/>')
        sheet.marks.append(Box(end.x - 5, end.y - 5, end.x + 5, end.y + 5))
    _compass(sheet, story, units)
    limbs.number_labels(sheet, everyone)
    _names(sheet, story, ends, clusters, angles)


def _wood(sheet: Sheet, end: Spot, cluster: list[Spot]) -> None:
    """A limb tapers to its end; a twig runs to each mark."""
    dx, dy = end.x - _CX, end.y - _CY
    away = math.hypot(dx, dy)
    if away > 1.0:
        nx, ny = -dy / away, dx / away
        points = [
            (_CX + nx * 6.5, _CY + ny * 6.5), (end.x + nx * 1.8, end.y + ny * 1.8),
            (end.x - nx * 1.8, end.y - ny * 1.8), (_CX - nx * 6.5, _CY - ny * 6.5),
        ]  # fmt: skip
        sheet.add(f'<polygon class="wood" points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in points)}"/>')
        steps = max(int(away / 9), 1)
        sheet.soft += [(_CX + dx * k / steps, _CY + dy * k / steps) for k in range(1, steps + 1)]
    for one in cluster if len(cluster) > 1 else []:
        sheet.add(
            f'<line class="wood-line" stroke-width="3" x1="{end.x - dx * 0.16:.1f}" y1="{end.y - dy * 0.16:.1f}" '
            f'x2="{one.x:.1f}" y2="{one.y:.1f}"/>'
        )


def _names(sheet: Sheet, story: TreeStory, ends: list[Spot], clusters: list[list[Spot]], angles: list[float]) -> None:
    order = sorted(range(len(ends)), key=lambda i: -math.hypot(ends[i].x - _CX, ends[i].y - _CY))
    for i in order:
        card, cluster = story.limbs[i], clusters[i]
        text = cut(limbs.limb_label(card), 14, _LABEL_ROOM)
        out = (math.cos(angles[i]), math.sin(angles[i]))
        outermost = max(cluster, key=lambda s: s.x * out[0] + s.y * out[1]) if len(cluster) > 1 else ends[i]
        at = (outermost.x, outermost.y)
        towards = angles[i] if card.limb.bearing != "C" else 0.0
        klass = "" if cluster or card.limb.carries or card.limb.proved else "t-quiet"
        sheet.place(text, at, clear=MARK_R if cluster else 5.0, towards=towards, klass=klass)


def _batch(story: TreeStory) -> Sheet:
    """A batch of equal plants: a tray of them, up to 36 drawn."""
    count = story.card.tree.count
    drawn = min(count, 36)
    columns = min(6, drawn)
    rows = math.ceil(drawn / columns)
    sheet = Sheet(WIDTH, rows * 40.0 + 44)
    left = _CX - (columns - 1) * 24.0
    for i in range(drawn):
        x, y = left + (i % columns) * 48.0, 24 + (i // columns) * 40.0
        sheet.add(f'<circle class="crown" cx="{x:.0f}" cy="{y:.0f}" r="14"/>')
        sheet.add(f'<circle class="wood" cx="{x:.0f}" cy="{y:.0f}" r="3"/>')
    words = f"{count} alike" if drawn == count else f"{count} alike, {drawn} drawn"
    sheet.write(words, _CX, sheet.height - 12, 14, anchor="middle", klass="t-quiet")
    grafts = story.loose + tuple(g for card in story.limbs for g in card.grafts)
    limbs.loose_rows(sheet, grafts, sheet.height)
    return sheet
