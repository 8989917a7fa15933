"""No label lies over a mark or over another label, however full the tree; pictures are well-formed XML."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import pytest

from barkslip.present.above import sheet_above
from barkslip.present.labels import Sheet, text_width
from barkslip.present.limbs import finish
from barkslip.present.side import sheet_side
from barkslip.present.treeview import from_above, from_side

SVG = "{http://www.w3.org/2000/svg}"


def faults(sheet: Sheet) -> list[str]:
    out = []
    for i, (text, box) in enumerate(sheet.labels):
        out += [f"{text!r} over a mark" for mark in sheet.marks if box.meets(mark)]
        out += [f"{text!r} over {other!r}" for other, b in sheet.labels[i + 1 :] if box.meets(b)]
        if not box.inside(sheet.width, sheet.height):
            out.append(f"{text!r} leaves the drawing")
    for i, mark in enumerate(sheet.marks):
        for j, other in enumerate(sheet.marks[i + 1 :], i + 1):
            apart = math.hypot(mark.x0 + mark.x1 - other.x0 - other.x1, mark.y0 + mark.y1 - other.y0 - other.y1) / 2
            if apart < (mark.x1 - mark.x0 + other.x1 - other.x0) / 2:
                out.append(f"marks {i} and {j} overlap: {apart:.1f} apart")
    return out


@pytest.mark.parametrize("seed", range(120))
def test_random_trees_have_no_overlaps(garden, seed):
    story = garden.random_story(seed)
    for draw in (sheet_above, sheet_side):
        sheet = draw(story)
        names = len(sheet.labels) + len(sheet.left_out)
        finish(sheet, "t", "d", "k")
        assert len(sheet.labels) == names, "a name that found no room stands under the drawing"
        assert faults(sheet) == []


@pytest.mark.parametrize("seed", range(0, 120, 10))
def test_every_graft_or_its_limb_can_be_touched(garden, seed):
    story = garden.random_story(seed)
    for picture in (from_above(story), from_side(story, "south")):
        root = ET.fromstring(picture)
        links = {a.get("href") for a in root.iter(f"{SVG}a")}
        for card in story.limbs:
            for graft in card.grafts:
                assert {f"/grafts/{graft.graft.code}", f"#limb-{card.limb.thing}"} & links


def test_pictures_are_well_formed_with_title_desc_and_big_enough_words(garden):
    tree = garden.tree(name="Well & <old> yard", union_mm=620.0)
    limb = garden.limb(tree, "NW-M-L", tip_mm=1900.0)
    from barkslip.domain.cards import LimbCard

    story = garden.story(tree, (LimbCard(limb, (garden.graft(tree, limb, ("pushing",)),), ()),))
    for picture in (from_above(story), from_side(story)):
        root = ET.fromstring(picture)
        assert root.get("viewBox").split()[:3] == ["0", "0", "360"]
        assert root.find(f"{SVG}title").text.startswith("Well & <old> yard from ")
        assert root.find(f"{SVG}desc").text
        assert min(float(t.get("font-size")) for t in root.iter(f"{SVG}text")) >= 12
        assert "style=" not in picture and "<style" not in picture and "<script" not in picture
        assert [float(c.get("r")) for c in root.iter(f"{SVG}circle") if c.get("class") == "hit"] == [24.0]


@pytest.mark.parametrize("values", [{"count": 30}, {"count": 60}, {}, {"height_mm": 2400.0}])
def test_trees_without_limbs_and_batches(garden, values):
    tree = garden.tree(**values)
    loose = tuple(garden.graft(tree, None, ("green and still",)) for _ in range(8))
    story = garden.story(tree, (), loose)
    for sheet in (sheet_above(story), sheet_side(story)):
        assert faults(sheet) == []
    words = [text for text, _ in sheet_above(story).labels]
    assert "×8" in words
    if values.get("count") == 60:
        assert "60 alike, 36 drawn" in words


def test_from_the_north_west_is_on_the_right_hand(garden):
    from barkslip.domain.cards import LimbCard

    tree = garden.tree()
    west, east = (garden.limb(tree, f"{b}-M", tip_mm=1500.0) for b in "WE")
    story = garden.story(tree, (LimbCard(west, (), ()), LimbCard(east, (), ())))
    for facing, order in (("north", ["E-M", "W-M"]), ("south", ["W-M", "E-M"])):
        boxes = dict(sheet_side(story, facing).labels)
        assert sorted(("E-M", "W-M"), key=lambda name, b=boxes: b[name].x0) == order


def test_own_roots_have_no_union(garden):
    from barkslip.domain.cards import ChainPart

    story = garden.story(garden.tree(), chain=(ChainPart("own roots", "'Meyer' lemon", 0.9),))
    words = [text for text, _ in sheet_side(story).labels]
    assert "own roots, no union" in words
    assert not any(text.startswith("union") for text in words)


def test_heights_not_measured_show_their_bands_and_no_scale(garden):
    from barkslip.domain.cards import LimbCard

    tree = garden.tree(union_mm=620.0, bench_mm=380.0)
    story = garden.story(tree, (LimbCard(garden.limb(tree, "N-H"), (), ()),))
    words = [text for text, _ in sheet_side(story).labels]
    assert {"low", "middle", "high", "union 62\u00a0cm", "bench 38\u00a0cm"} <= set(words)
    assert not any(text.endswith("\u00a0m") for text in words)


# Advance widths [1/1000 of the size] read with fontTools from atkinson-hyperlegible-latin-400-normal.woff, version 12.
FONT = {" ": 280, "0": 648, "1": 402, "a": 526, "m": 841, "w": 654, "W": 840, "M": 820, "i": 278, "l": 239, "-": 368,
        "'": 160, "×": 528, "…": 696, "°": 352, "−": 602, "N": 689, "E": 567, "e": 539, "n": 546, "t": 324}  # fmt: skip


@pytest.mark.parametrize("letter", FONT)
def test_no_letter_is_wider_than_its_box(letter):
    assert text_width(letter, 1000.0) >= FONT[letter]
