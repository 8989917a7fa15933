"""A tree from the side: heights over the soil, union and bench, limbs curved to their tips."""

from __future__ import annotations

import math

from barkslip.domain.cards import LimbCard, TreeStory
from barkslip.domain.tree import BANDS, BEARING_DEG, Tree
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import limbs
from barkslip.present import units as u
from barkslip.present.labels import Box, Sheet, disc
from barkslip.present.limbs import APART, MARK_R, Spot

WIDTH, HEIGHT = 360.0, 330.0
_CX, _SOIL, _TOP = 184.0, 292.0, 30.0
_FACING = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}
#: Who stands on one side has these on the left and on the right hand.
_HANDS = {"north": ("E", "W"), "east": ("S", "N"), "south": ("W", "E"), "west": ("N", "S")}
_REACH = {"L": 132.0, "M": 112.0, "H": 84.0}
#: Bands of a tree whose heights nobody measured [share of its height].
_BAND = {"L": (0.36, 0.56), "M": (0.57, 0.77), "H": (0.78, 0.98)}
_STEPS = (100.0, 200.0, 250.0, 500.0, 1000.0, 2000.0)
_STEPS_IN = (152.4, 304.8, 609.6, 1524.0)


def sheet_side(story: TreeStory, facing: str = "north", units: UnitChoice = METRIC) -> Sheet:
    """The drawing, with the boxes of its marks and labels.

    Parameters
    ----------
    facing : {"north", "east", "south", "west"}
        Where the one who looks at the tree stands.
    """
    tree = story.card.tree
    sheet = Sheet(WIDTH, HEIGHT)
    if tree.count > 1:
        return _batch(sheet, story)
    scale = _Scale(story, units)
    _ground(sheet, facing, scale)
    if not story.limbs:
        _crown(sheet, tree, scale)
        _heights(sheet, scale, units)
        _trunk_labels(sheet, story, scale, units)
        return sheet
    clusters = limbs.limb_spots(story)
    ends, depths = _ends(story, facing, scale)
    _arrange(ends, clusters)
    _wood(sheet, story, scale, ends, depths)
    everyone = [one for cluster in clusters for one in cluster]
    limbs.draw_spots(sheet, everyone)
    for end, cluster in zip(ends, clusters, strict=True):
        if not cluster:
            sheet.marks.append(disc(end.x, end.y, 5))
    _heights(sheet, scale, units)
    _trunk_labels(sheet, story, scale, units)
    limbs.number_labels(sheet, everyone)
    _addresses(sheet, story, ends, clusters)
    return sheet


class _Scale:
    """Height over the soil [mm] -> place on the page; says whether the heights are measured."""

    def __init__(self, story: TreeStory, units: UnitChoice) -> None:
        tree = story.card.tree
        tips = [card.limb.tip_mm for card in story.limbs if card.limb.tip_mm is not None]
        sizes = [*tips, *([tree.height_mm] if tree.height_mm else [])]
        low = [h for h in (tree.union_mm, tree.bench_mm) if h]
        low += [card.limb.base_mm for card in story.limbs if card.limb.base_mm]
        self.measured = bool(sizes)
        self.bands = len(tips) < len(story.limbs)
        self.top = max([*sizes, *low]) * 1.04 if sizes else max(low, default=320.0) / 0.32
        self.union = tree.union_mm
        self.steps = _STEPS if units.length == "metric" else _STEPS_IN

    def ticks(self) -> list[float]:
        """Heights of the grid lines [mm]: round ones in the reader's unit, none if nothing is measured."""
        if not self.measured:
            return []
        step = next((s for s in self.steps if self.top / s <= 6), self.steps[-1])
        return [k * step for k in range(1, int(self.top / step) + 1)]

    def y(self, height_mm: float) -> float:
        """Where a height stands on the page."""
        return _SOIL - height_mm / self.top * (_SOIL - _TOP)

    def base(self, card: LimbCard, tip: float) -> float:
        """Where a limb leaves the trunk [mm]; drawn over the union and under its tip if nobody measured it."""
        if card.limb.base_mm is not None:
            return min(card.limb.base_mm, tip)
        floor = (self.union or 0.0) + 0.03 * self.top
        share = {"L": 0.30, "M": 0.36, "H": 0.42}[card.limb.band]
        return max(min(share * self.top, 0.8 * tip), min(floor, 0.9 * tip))

    def tip(self, card: LimbCard) -> float:
        """Height of a limb's end [mm]; the middle of its band if nobody measured it."""
        if card.limb.tip_mm is not None:
            return card.limb.tip_mm
        low, high = _BAND[card.limb.band]
        return (low + high) / 2 * self.top


def _ground(sheet: Sheet, facing: str, scale: _Scale) -> None:
    """Bands or grid lines, and the soil."""
    if scale.bands and not scale.measured:
        for band in "HML":
            low, high = _BAND[band]
            y0, y1 = scale.y(high * scale.top), scale.y(low * scale.top)
            sheet.add(f'<rect class="band" x="0" y="{y0:.1f}" width="{WIDTH:g}" height="{y1 - y0:.1f}"/>')
    for height in scale.ticks():
        y = scale.y(height)
        sheet.add(f'<line class="grid" x1="0" y1="{y:.1f}" x2="{WIDTH:g}" y2="{y:.1f}"/>')
    sheet.add(f'<line class="soil" x1="0" y1="{_SOIL}" x2="{WIDTH:g}" y2="{_SOIL}"/>')
    sheet.soft += [(x, _SOIL) for x in range(0, int(WIDTH), 6)]
    left, right = _HANDS[facing]
    sheet.write(left, 8, _SOIL + 22, 14, klass="t-quiet t-strong")
    sheet.write(right, WIDTH - 8, _SOIL + 22, 14, anchor="end", klass="t-quiet t-strong")
    sheet.write("soil", _CX - 84, _SOIL + 22, 13, anchor="middle", klass="t-quiet")


def _heights(sheet: Sheet, scale: _Scale, units: UnitChoice) -> None:
    """Words of the bands and grid lines at the left edge, at the right edge where a mark stands in the way."""
    if scale.bands and not scale.measured:
        for band in "HML":
            top, bottom = (scale.y(share * scale.top) for share in _BAND[band][::-1])
            places = [(x, y, end) for y in (top + 15, bottom - 5) for x, end in ((4.0, "start"), (WIDTH - 4, "end"))]
            sheet.write_free(BANDS[band], tuple(places), 13, "t-quiet")
    for height in scale.ticks():
        y = scale.y(height) - 4
        sheet.write_free(u.length(height, units), ((4, y, "start"), (WIDTH - 4, y, "end")), 13, "t-quiet")


def _ends(story: TreeStory, facing: str, scale: _Scale) -> tuple[list[Spot], list[float]]:
    """Where limbs end as seen from one side, and how near to the eye they are (1 near, -1 far)."""
    ends, depths = [], []
    aside = 0
    for card in story.limbs:
        turn = math.radians(_FACING[facing] - BEARING_DEG[card.limb.bearing])
        across, depth = math.sin(turn), math.cos(turn)
        if card.limb.bearing == "C":
            across, depth = 0.0, 0.0
        elif abs(across) < 0.2:  # to or from the eye: beside the trunk, not on it
            aside += 1
            across = 0.3 if aside % 2 else -0.3
        ends.append(Spot("", "", "", 1, _CX + across * _REACH[card.limb.band], scale.y(scale.tip(card))))
        depths.append(depth)
    return ends, depths


def _arrange(ends: list[Spot], clusters: list[list[Spot]]) -> None:
    """Spread the limbs' ends, then put marks on them and keep those apart too."""
    box = Box(46, _TOP - 8, WIDTH - 22, _SOIL - 24)
    limbs.push_apart(ends, apart=APART + 2, box=box, sideways=True)
    for end, cluster in zip(ends, clusters, strict=True):
        for i, one in enumerate(cluster):
            one.x, one.y = end.x + (i - (len(cluster) - 1) / 2) * APART, end.y
    bare = [end for end, cluster in zip(ends, clusters, strict=True) if not cluster]
    everyone = [one for cluster in clusters for one in cluster]
    limbs.push_apart([*everyone, *bare], apart=APART, box=box, sideways=True)
    for end, cluster in zip(ends, clusters, strict=True):
        if cluster:
            end.x = sum(one.x for one in cluster) / len(cluster)
            end.y = sum(one.y for one in cluster) / len(cluster)


def _wood(sheet: Sheet, story: TreeStory, scale: _Scale, ends: list[Spot], depths: list[float]) -> None:
    """Trunk and limbs, the far ones first."""
    bases = [scale.base(card, scale.tip(card)) for card in story.limbs]
    order = sorted(range(len(ends)), key=lambda k: depths[k])
    for i in order:
        if depths[i] < -0.2:
            _limb(sheet, ends[i], scale.y(bases[i]), "far", story.limbs[i], scale)
    _trunk(sheet, scale.y(max(bases)))
    for i in order:
        if depths[i] >= -0.2:
            _limb(sheet, ends[i], scale.y(bases[i]), "near", story.limbs[i], scale)


def _trunk(sheet: Sheet, top: float) -> None:
    sheet.add(
        f'<path class="wood" d="M{_CX - 17} {_SOIL} '
        f"C{_CX - 11} {_SOIL - 14} {_CX - 10} {_SOIL - 30} {_CX - 8.5} {top:.1f} "
        f'H{_CX + 8.5} C{_CX + 10} {_SOIL - 30} {_CX + 11} {_SOIL - 14} {_CX + 17} {_SOIL} Z"/>'
    )
    sheet.soft += [(_CX, y) for y in range(int(top), int(_SOIL), 8)]


def _limb(sheet: Sheet, end: Spot, base: float, side: str, card: LimbCard, scale: _Scale) -> None:
    """A limb leaves the trunk, bends up and tapers to its end; dashed if its height stands for a guess."""
    bend_x, bend_y = _CX + (end.x - _CX) * 0.72, base - (base - end.y) * 0.12
    left, right = [], []
    thick = min(1.0, math.hypot(end.x - _CX, base - end.y) / 60.0)  # a stub is thin, or it would be a block
    steps = 14
    for k in range(steps + 1):
        t = k / steps
        x = (1 - t) ** 2 * _CX + 2 * t * (1 - t) * bend_x + t * t * end.x
        y = (1 - t) ** 2 * base + 2 * t * (1 - t) * bend_y + t * t * end.y
        dx = 2 * (1 - t) * (bend_x - _CX) + 2 * t * (end.x - bend_x)
        dy = 2 * (1 - t) * (bend_y - base) + 2 * t * (end.y - bend_y)
        long = math.hypot(dx, dy) or 1.0
        half = (6.5 - 4.2 * t) * thick
        left.append((x - dy / long * half, y + dx / long * half))
        right.append((x + dy / long * half, y - dx / long * half))
        if k > 1:
            sheet.soft.append((x, y))
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in left + right[::-1])
    sheet.add(f'<polygon class="wood {side}" points="{points}"/>')
    if card.limb.tip_mm is None and scale.measured:
        line = f"M{_CX:g} {base:.1f} Q{bend_x:.1f} {bend_y:.1f} {end.x:.1f} {end.y:.1f}"
        sheet.add(f'<path class="guess" d="{line}"/>')


def _crown(sheet: Sheet, tree: Tree, scale: _Scale) -> None:
    """A tree without limbs in the book: trunk and an outline, dashed if nobody measured its height."""
    high = scale.y(tree.height_mm) if tree.height_mm else _TOP + 6
    low = scale.y(0.30 * scale.top)
    dashed = "" if tree.height_mm else " unmeasured"
    _trunk(sheet, low - 20)
    across = min(150.0, (low - high) * 0.62)
    sheet.add(
        f'<ellipse class="crown{dashed}" cx="{_CX:g}" cy="{(high + low) / 2:.1f}" rx="{across:.1f}" '
        f'ry="{(low - high) / 2:.1f}"/>'
    )
    sheet.write("no limbs written down", _CX, (high + low) / 2, 14, anchor="middle", klass="t-quiet")


def _trunk_labels(sheet: Sheet, story: TreeStory, scale: _Scale, units: UnitChoice) -> None:
    """Union and bench at their heights; own roots have neither."""
    tree = story.card.tree
    places = []
    if tree.union_mm is not None:
        places.append(("union", tree.union_mm))
    if tree.bench_mm is not None:
        places.append(("bench", tree.bench_mm))
    for word, height in places:
        y = scale.y(height)
        tilt = 4.0 if word == "union" else 0.0
        sheet.add(f'<line class="{word}" x1="{_CX - 15:g}" y1="{y + tilt:.1f}" x2="{_CX + 15:g}" y2="{y - tilt:.1f}"/>')
    for word, height in places:
        at = (_CX, scale.y(height))
        sheet.place(f"{word} {u.length(height, units)}", at, clear=17, towards=0.0)
    if any(part.level == "own roots" for part in story.chain):
        for side in (-1, 1):
            sheet.add(
                f'<path class="wood-line" stroke-width="3" d="M{_CX + 9 * side} {_SOIL - 1} '
                f'q{16 * side} 5 {26 * side} 24 M{_CX + 4 * side} {_SOIL - 1} q{3 * side} 12 {5 * side} 30"/>'
            )
        sheet.place("own roots, no union", (_CX, _SOIL - 22), clear=18, towards=0.0)


def _addresses(sheet: Sheet, story: TreeStory, ends: list[Spot], clusters: list[list[Spot]]) -> None:
    for card, end, cluster in sorted(zip(story.limbs, ends, clusters, strict=True), key=lambda row: row[1].y):
        outer = max(cluster, key=lambda s: abs(s.x - _CX)) if cluster else end
        towards = 0.0 if outer.x >= _CX else math.pi
        sheet.place(card.limb.address, (outer.x, outer.y), clear=MARK_R if cluster else 5.0, towards=towards, size=13.0)


def _batch(sheet: Sheet, story: TreeStory) -> Sheet:
    """A batch of equal plants: three of them in a row, no heights."""
    sheet.height = 190.0
    soil = 150.0
    sheet.add(f'<line class="soil" x1="0" y1="{soil}" x2="{WIDTH:g}" y2="{soil}"/>')
    for x in (90.0, 180.0, 270.0):
        sheet.add(f'<path class="wood-line" stroke-width="4" d="M{x} {soil} C{x - 3} 110 {x + 3} 80 {x} 52"/>')
        for y, side in ((112, -1), (94, 1), (76, -1), (60, 1)):
            sheet.add(
                f'<path class="leafy" d="M{x} {y} q{14 * side} -16 {30 * side} -10 q{-10 * side} 14 {-30 * side} 10Z"/>'
            )
    sheet.write(
        f"{story.card.tree.count} alike; heights not measured", _CX, soil + 26, 14, anchor="middle", klass="t-quiet"
    )
    return sheet
