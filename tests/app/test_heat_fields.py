"""What is typed about a wrapped graft: sizes with units, sides, covers and how they hang."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.app.door import Door
from barkslip.app.heat_fields import BookGraft, bearing_of, read_graft, read_wraps
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden
from barkslip.domain.graft import Graft
from barkslip.domain.heat import Wrap
from barkslip.domain.tree import Limb, Tree
from barkslip.domain.units import METRIC, US
from barkslip.domain.when import on

DAY = on(date(2024, 10, 8))
LINE = {"id": "x", "thing": "x", "made_utc": ""}
USUAL = (Wrap("film"), Wrap("foil_sleeve"), Wrap("brown_bag"), Wrap("clear_plastic", open_below=False))
GRAFT = Graft(**LINE, code="G14-2", tree="t", method="bark graft", set_on=DAY, scion_mm=11.0, stock_mm=62.0, side="NW")
LIMB = Limb(**LINE, tree="t", bearing="E", band="M", path="1")
TREE = Tree(**LINE, code="T01", name="Gatepost", plot="p", fruit="citrus")


def at(units=METRIC) -> Door:
    return Door(Garden(**LINE, name=""), units, date(2025, 6, 30))


def graft(fields: dict[str, str], book: BookGraft = BookGraft(), units=METRIC):
    return read_graft(at(units), fields, book, USUAL)


def test_nothing_typed_is_a_usual_graft() -> None:
    found = graft({})
    assert (found.scion_mm, found.limb_mm, found.bearing_deg, found.now, found.species) == (8.0, 50.0, None, None, "")


def test_sizes_are_read_in_the_gardens_unit_or_their_own() -> None:
    found = graft({"scion": "9", "limb": "2 in", "scion_length": "12 cm", "bearing": "nw", "shade": "40 %"})
    assert (found.scion_mm, found.limb_mm, found.scion_length_mm) == (9.0, pytest.approx(50.8), 120.0)
    assert (found.bearing_deg, found.shade) == (315.0, pytest.approx(0.4))
    inches = graft({"scion": "0.5", "limb": "2"}, units=US)
    assert (inches.scion_mm, inches.limb_mm) == (pytest.approx(12.7), pytest.approx(50.8))
    assert graft({"bearing": "270°"}).bearing_deg == 270.0


def test_the_book_fills_in_and_what_is_typed_wins() -> None:
    book = BookGraft(GRAFT, LIMB, TREE, "foil sleeve")
    found = graft({}, book)
    assert (found.name, found.species, found.scion_mm, found.limb_mm) == ("G14-2", "citrus", 11.0, 62.0)
    assert (found.bearing_deg, found.now) == (90.0, Wrap("foil_sleeve"))
    typed = graft({"scion": "7", "bearing": "S", "now": "paper bag", "species": "lemon", "whitened": "yes"}, book)
    assert (typed.scion_mm, typed.bearing_deg, typed.now) == (7.0, 180.0, Wrap("brown_bag"))
    assert typed.species == "lemon" and typed.whitened
    # without a limb its own side of the stock tells; one that is no bearing tells nothing
    assert graft({}, BookGraft(GRAFT, None, TREE)).bearing_deg == 315.0
    assert bearing_of(GRAFT, None) == 315.0
    assert graft({}, BookGraft(GRAFT, None, TREE)).now == Wrap("film")


def test_covers_and_how_they_hang() -> None:
    def wraps(**fields: str) -> tuple[Wrap, ...]:
        return read_wraps(at(), fields, USUAL)

    assert wraps() == USUAL
    assert wraps(cover="foil_sleeve, brown bag; film") == (Wrap("foil_sleeve"), Wrap("brown_bag"), Wrap("film"))
    assert wraps(cover="brown bag closed touching") == (Wrap("brown_bag", open_below=False, touching=True),)
    assert wraps(cover="film, film") == (Wrap("film"),)
    # plastic is usually closed; film hangs in no way
    assert wraps(cover="clear_plastic, clear plastic in sun open") == (
        Wrap("clear_plastic", open_below=False), Wrap("clear_plastic"),
    )  # fmt: skip
    assert wraps(cover="film, brown bag", closed="yes", touching="yes") == (
        Wrap("film"), Wrap("brown_bag", open_below=False, touching=True),
    )  # fmt: skip
    assert wraps(cover="brown bag open off", closed="yes", touching="yes") == (Wrap("brown_bag"),)
    assert [w.open_below for w in wraps(closed="yes")] == [True, False, False, False]


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"cover": "tinsel"},
            "Nothing is known of this cover for a graft.\nGiven: tinsel\nAllowed: none, film, white_paint, "
            "foil_sleeve, foil_pouch, white_bag, brown_bag, dark_bag, clear_plastic, clear_plastic_shade, shade_cloth, "
            "nurse_leaves\nNext: Choose the one whose stuff and colour come nearest.",
        ),
        (
            {"scion": "60 mm"},
            "The model is for a graft on a limb; this thickness of the scion is outside it.\nGiven: 60 mm\n"
            "Allowed: 2 to 40 mm\nNext: Correct it.",
        ),
        (
            {"bearing": "uphill"},
            "Not a bearing.\nGiven: uphill\nAllowed: N, NE, E, SE, S, SW, W, NW; or 0 to 360°, clockwise from north\n"
            "Next: Type the side of the tree on which the graft stands, or leave it out.",
        ),
        (
            {"shade": "-3"},
            "That number cannot be.\nGiven: -3 %\nAllowed: 0 to 100 %\nNext: Check the number and its unit.",
        ),
    ],
)
def test_what_is_refused(fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        graft(fields)
        read_wraps(at(), fields, USUAL)
    assert caught.value.message == message
    assert caught.value.field == next(iter(fields))
