"""Which kind of tree has which curve: never the nearest one; and curves drawn about it keep their order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.sourced import STATUSES
from barkslip.engines.frost_draws import Draws
from barkslip.engines.healing_curve import LEAST_APART_K, curve_of, drawn_days, drawn_temps, kind_of
from barkslip.knowledge.load import load

KNOWN = load()
KINDS = KNOWN.table("healing_kinds")
CURVES = [row.key for row in KINDS]


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("citrus", "citrus"), ("sweet orange", "citrus"), ("Valencia orange", "citrus"),
        ("'Valencia' orange", "citrus"),
        ("Washington navel", "citrus"), ("lemons", "citrus"), ("'Meyer' lemon", "citrus"), ("grapefruit", "citrus"),
        ("Tahiti lime", "citrus"), ("kumquat", "citrus"), ("sour orange", "citrus"), ("trifoliate", "citrus"),
        ("rough lemon seedlings", "citrus"), ("Citrus × sinensis", "citrus"), ("Poncirus trifoliata", "citrus"),
        ("apple", "apple"), ("'Golden Delicious' apple", "apple"), ("crab apple", "apple"),
        ("Malus domestica", "apple"),
        ("pear", "pear"), ("Nashi", "pear"), ("plum", "plum"), ("Japanese plums", "plum"), ("Prunus salicina", "plum"),
        ("apricot", "apricot_cherry"), ("sour cherry", "apricot_cherry"), ("cherries", "apricot_cherry"),
        ("peach", "peach"), ("nectarine", "peach"), ("fig tree", "fig"), ("'Hachiya' persimmon", "persimmon"),
        ("kaki", "persimmon"), ("date plum", "persimmon"), ("Diospyros lotus", "persimmon"), ("grapevine", "grape"),
        ("Vitis vinifera", "grape"), ("walnut", "walnut"), ("black walnut", "walnut"), ("avocado", "avocado"),
        ("alligator pear", "avocado"), ("mango", "mango"), ("MANGOES", "mango"),
    ],
)  # fmt: skip
def test_kinds_by_the_names_growers_use(words: str, key: str) -> None:
    row = kind_of(words, KINDS)
    assert row is not None
    assert row.key == key


@pytest.mark.parametrize(
    "words",
    [
        "", "   ", "cherimoya", "olive", "loquat", "guava", "unknown", "tree", "Osage orange", "mock oranges",
        "custard apple", "rose apple", "pineapple", "prickly pear", "Java plum", "Surinam cherry", "sea grape",
        "Indian fig", "lemon balm", "lemon verbena", "Spanish lime", "macadamia nut", "Prunus dulcis", "orangery",
    ],
)  # fmt: skip
def test_what_is_not_known_has_no_curve(words: str) -> None:
    assert kind_of(words, KINDS) is None
    assert curve_of(words, KINDS, KNOWN.value) is None


def test_other_words_for_the_same_thing_are_asked_next() -> None:
    assert kind_of("Fuyu", KINDS) is None
    row = kind_of("Fuyu", KINDS, also=("persimmon",))
    assert row is not None
    assert row.key == "persimmon"


def test_all_groups_of_the_knowledge_base_are_citrus_but_the_two_that_name_none() -> None:
    unknown = {g.key for g in KNOWN.table("groups") if kind_of(g.cell("name"), KINDS) is None}
    assert unknown == {"other", "own"}
    assert {k.key for g in KNOWN.table("groups") if (k := kind_of(g.cell("name"), KINDS))} == {"citrus"}


@pytest.mark.parametrize("key", CURVES)
def test_every_kind_has_a_whole_curve_with_its_sources(key: str) -> None:
    curve = curve_of(key.partition("_")[0], KINDS, KNOWN.value)
    assert curve is not None
    assert curve.species == key
    values = (curve.t_min, curve.t_opt, curve.t_max, curve.d_bridge, curve.d_xylem, curve.d_unwrap)
    assert all(v.status in STATUSES and KNOWN.source(v.source).citation != "not given" for v in values)
    middles = [v.value for v in values]
    assert middles[:3] == sorted(middles[:3])
    assert middles[3:] == sorted(middles[3:])
    assert (curve.hard_zero is not None) == (key == "walnut")
    assert (curve.habit == "evergreen") == (key in ("citrus", "mango", "avocado"))


@pytest.mark.parametrize("key", CURVES)
def test_drawn_curves_keep_their_order_and_their_middle(key: str) -> None:
    curve = curve_of(key.partition("_")[0], KINDS, KNOWN.value)
    assert curve is not None
    draws = Draws(2000, 4)
    temps, days = drawn_temps(curve, draws, KNOWN.value), drawn_days(curve, draws, KNOWN.value)
    assert (np.diff(temps[:, :3], axis=1) >= LEAST_APART_K - 1e-9).all()
    assert (days > 0.0).all()
    assert (np.diff(days, axis=1) >= 0.0).all()
    middles = [curve.t_min.value, curve.t_opt.value, curve.t_max.value]
    np.testing.assert_allclose(np.median(temps[:, :3], axis=0), np.array(middles, float), atol=0.3)
    np.testing.assert_allclose(
        np.median(days, axis=0), [curve.d_bridge.value, curve.d_xylem.value, curve.d_unwrap.value], atol=0.6
    )
    assert np.corrcoef(days[:, 1], days[:, 2])[0, 1] > 0.6
    assert np.corrcoef(temps[:, 0], temps[:, 1])[0, 1] > 0.3


def test_one_standard_deviation_either_side_is_low_and_high() -> None:
    curve = curve_of("citrus", KINDS, KNOWN.value)
    assert curve is not None
    low = drawn_temps(curve, Draws(4000, 2), KNOWN.value)[:, 0]
    assert low.std() == pytest.approx(1.5, abs=0.1)


def test_the_same_seed_draws_the_same_and_a_narrow_range_the_value_itself() -> None:
    curve = curve_of("mango", KINDS, KNOWN.value)
    assert curve is not None
    one, again = (drawn_days(curve, Draws(50, 9), KNOWN.value) for _ in range(2))
    assert (one == again).all()
    names = ("d_bridge", "d_xylem", "d_unwrap")
    sure = {n: replace(getattr(curve, n), low=getattr(curve, n).value, high=getattr(curve, n).value) for n in names}
    found = drawn_days(replace(curve, **sure), Draws(50, 9), KNOWN.value)
    np.testing.assert_allclose(found, np.tile([6.0, 16.0, 21.0], (50, 1)), atol=1e-9)
