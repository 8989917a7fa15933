"""What is typed about days to graft: read in the grower's words, refused with what is allowed."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.app.days_fields import DaysAsked, Places, read_days, usual_path
from barkslip.app.door import Door
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden
from barkslip.domain.graft import Graft
from barkslip.domain.tree import Limb, Tree
from barkslip.domain.units import METRIC, UnitChoice, unit_choice
from barkslip.domain.when import parse_when
from barkslip.knowledge.load import load

KNOWN = load()
TODAY = date(2025, 6, 30)
LINE = {"id": "x", "thing": "x", "made_utc": "2025-06-30T08:00:00Z"}


def asked(places: Places | None = None, *, units: UnitChoice = METRIC, first: date = TODAY, **fields: str) -> DaysAsked:
    garden = Garden(id="", thing="", made_utc="", name="", lat=-33.6, lon=21.0)
    at = Door(garden, units, TODAY)
    return read_days(at, fields, KNOWN, places or Places(), "", first=first, south=True)


def refused(**fields: str) -> str:
    with pytest.raises(InputError) as caught:
        asked(**({"species": "citrus"} | fields))
    return caught.value.message


def test_what_is_not_said_takes_what_is_usual_and_says_so() -> None:
    found = asked(species="citrus")
    plan = found.plan
    assert (plan.species, plan.method, plan.path, plan.buds, plan.bark, plan.flush) == (
        "citrus", "", "growing", "resting", "", None,
    )  # fmt: skip
    assert (plan.cover, found.doubts) == ("film", ("cover_guessed",))
    assert (found.days, found.years, found.first) == (14, True, TODAY)
    assert (plan.limb_mm, plan.scion_mm, plan.bearing_deg, plan.shade) == (50.0, 8.0, None, 0.0)


def test_growers_words() -> None:
    found = asked(
        species="sweet orange", method="rind graft", path="dormant bud", cover="foil-lined pouch", buds="buds pushing",
        bark="Bark Lifts", flush="yes", limb="46", scion="0.3 in", bearing="nw", shade="30 %", days="7", years="no",
    )  # fmt: skip
    plan = found.plan
    assert (plan.method, plan.path, plan.cover, plan.buds) == ("bark_graft", "sleeping", "foil_pouch", "pushing")
    assert (plan.bark, plan.flush, plan.limb_mm, plan.bearing_deg) == ("lifts", True, 46.0, 315.0)
    assert plan.scion_mm == pytest.approx(7.62)
    assert plan.shade == pytest.approx(0.3)
    assert (found.days, found.years, found.doubts) == (7, False, ())
    assert found.method is not None
    assert found.method.bark_must_lift == "yes"
    assert found.wrapped.limb_mm == 46.0


def test_sizes_are_in_the_gardens_units() -> None:
    assert asked(species="citrus", limb="2", units=unit_choice("us")).plan.limb_mm == pytest.approx(50.8)


def test_the_book_speaks_where_nothing_is_typed() -> None:
    when = parse_when("2024-10-06", today=TODAY, field="on")
    places = Places(
        tree=Tree(**LINE, code="T01", name="Gatepost", plot="p", fruit="citrus"),
        limb=Limb(**LINE, tree="t", bearing="SW", band="M", path="3"),
        graft=Graft(
            **LINE, code="G14-1", tree="t", method="bark graft", set_on=when, cover="foil sleeve", stock_mm=36.0,
            scion_mm=7.0,
        ),
        kind="'Washington' navel orange",
        bark="tears",
    )  # fmt: skip
    plan = asked(places).plan
    assert (plan.species, plan.tree, plan.method, plan.cover) == (
        "'Washington' navel orange", "T01", "bark_graft", "foil_sleeve",
    )  # fmt: skip
    assert (plan.limb_mm, plan.scion_mm, plan.bearing_deg, plan.bark) == (36.0, 7.0, 225.0, "tears")
    typed = asked(places, species="apple", cover="film", limb="20 mm", bearing="90", bark="lifts").plan
    assert (typed.species, typed.cover, typed.limb_mm, typed.bearing_deg, typed.bark) == (
        "apple", "film", 20.0, 90.0, "lifts",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("method", "month", "south", "path"),
    [("t_bud", 3, True, "sleeping"), ("t_bud", 3, False, "growing"), ("chip_bud", 9, False, "sleeping"),
     ("bark_graft", 3, True, "growing"), ("", 9, False, "growing")],
)  # fmt: skip
def test_buds_of_late_summer_are_meant_to_sleep(method: str, month: int, south: bool, path: str) -> None:
    assert usual_path(method, date(2024, month, 8), south=south) == path


def test_nothing_to_graft() -> None:
    with pytest.raises(InputError) as caught:
        asked()
    assert caught.value.message == (
        "What is to be grafted?\n"
        "Given: (nothing)\n"
        "Allowed: a kind of tree, such as citrus, apple or persimmon; or a tree or a graft of the book\n"
        "Next: Name the kind of tree, or choose a tree."
    )
    assert caught.value.field == "species"


def test_a_method_nobody_knows() -> None:
    assert refused(method="magic") == (
        "No method of that name is known.\n"
        "Given: magic\n"
        "Allowed: T-bud, inverted T-bud, chip bud, bark graft, cleft graft, whip and tongue, side veneer graft,"
        " side graft, shoot-tip graft, micro-bud, patch bud, bridge graft, inarch\n"
        "Next: Choose one, or leave it out."
    )


def test_a_cover_nobody_knows() -> None:
    assert refused(cover="sock") == (
        "Nothing is known of this cover for a graft.\n"
        "Given: sock\n"
        "Allowed: none, film, white_paint, foil_sleeve, foil_pouch, white_bag, brown_bag, dark_bag, clear_plastic,"
        " clear_plastic_shade, shade_cloth, nurse_leaves\n"
        "Next: Choose the one whose stuff and colour come nearest."
    )


CHECK = "Next: Check the number and its unit."
CHOOSE = "Next: Choose one from the list."


@pytest.mark.parametrize(
    ("field", "typed", "lines"),
    [
        ("days", "0", ("That number cannot be.", "Given: 0 days", "Allowed: 1 to 30 days", CHECK)),
        ("days", "31", ("That number cannot be.", "Given: 31 days", "Allowed: 1 to 30 days", CHECK)),
        (
            "days",
            "2.5",
            (
                "That must be a whole number.",
                "Given: 2.5",
                "Allowed: 1 to 30 days",
                "Next: Type it without a fraction.",
            ),
        ),
        ("path", "both", ("Not one of the choices.", "Given: both", "Allowed: growing, sleeping", CHOOSE)),
        ("buds", "blue", ("Not one of the choices.", "Given: blue", "Allowed: resting, swelling, pushing", CHOOSE)),
        ("flush", "maybe", ("Not one of the choices.", "Given: maybe", "Allowed: yes, no", CHOOSE)),
        ("shade", "120", ("That number cannot be.", "Given: 120 %", "Allowed: 0 to 100 %", CHECK)),
        (
            "bark",
            "soft",
            (
                "Not what a test of the bark can show.",
                "Given: soft",
                "Allowed: lifts, tears, sun side only",
                "Next: Lift a small flap with the knife and say how it parts.",
            ),
        ),
        (
            "bearing",
            "up",
            (
                "Not a bearing.",
                "Given: up",
                "Allowed: N, NE, E, SE, S, SW, W, NW; or 0 to 360°, clockwise from north",
                "Next: Type the side of the tree on which the graft stands, or leave it out.",
            ),
        ),
        (
            "limb",
            "1 m",
            (
                "The model is for a graft on a limb; this thickness of the limb is outside it.",
                "Given: 1000 mm",
                "Allowed: 3 to 400 mm",
                "Next: Correct it.",
            ),
        ),
    ],
)
def test_what_cannot_be_is_told(field: str, typed: str, lines: tuple[str, ...]) -> None:
    assert refused(**{field: typed}) == "\n".join(lines)
