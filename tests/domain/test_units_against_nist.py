"""Units against the printed factors of NIST SP 811 (2008), Appendix B.8, and how typed quantities are read."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barkslip.domain.errors import InputError, QuestionError
from barkslip.domain.units import (
    c_to_f,
    convert,
    f_to_c,
    k_to_f_difference,
    parse_quantity,
    parse_temperature,
    unit_choice,
    unit_named,
)

NIST = tomllib.loads((Path(__file__).parents[1] / "published/nist_sp811_b8.toml").read_text(encoding="utf-8"))
STORED_OF = {"m": "mm", "m3": "L", "kg": "g", "m/s": "m/s", "Pa": "Pa"}
SAME_KIND = (
    ("mm", "cm", "m", "in", "ft"),
    ("L", "mL", "US gal", "imp gal"),
    ("g", "kg", "oz", "lb"),
    ("m/s", "km/h", "mph", "kn"),
    ("Pa", "hPa", "mbar", "kPa", "inHg"),
    ("°C", "°F", "K"),
)


@pytest.mark.parametrize(("unit", "si", "mantissa", "power", "to_stored"), NIST["factors"])
def test_factor_against_nist(unit: str, si: str, mantissa: str, power: int, to_stored: float) -> None:
    digits = len(mantissa.split(".")[1])
    printed = float(mantissa) * 10.0**power * to_stored
    half_digit = 0.5 * 10.0 ** (power - digits) * to_stored
    assert abs(convert(1.0, unit, STORED_OF[si]) - printed) <= half_digit * (1 + 1e-9)


def test_mile_per_hour_is_exact() -> None:
    # NIST SP 811 B.8: mile 1.609 344 E+03 m (exact), hour 3.6 E+03 s (exact).
    assert convert(1.0, "mph", "m/s") == pytest.approx(1609.344 / 3600.0, rel=1e-15)
    assert convert(3.6, "km/h", "m/s") == pytest.approx(1.0, rel=1e-15)


@pytest.mark.parametrize("row", NIST["temperature"])
def test_temperature_against_nist(row: dict[str, float]) -> None:
    assert f_to_c(row["f"]) == pytest.approx(row["c"], abs=1e-12)
    assert c_to_f(row["c"]) == pytest.approx(row["f"], abs=1e-12)
    assert convert(row["k"], "K", "°F") == pytest.approx(row["f"], abs=1e-9)
    assert convert(row["f"], "°F", "K") == pytest.approx(row["k"], abs=1e-9)


def test_a_difference_never_gets_32() -> None:
    assert k_to_f_difference(10.0) == 18.0
    assert parse_quantity("18 F", "difference", default_unit="K") == pytest.approx(10.0)
    assert parse_quantity("10", "difference", default_unit="K") == 10.0


@given(
    st.sampled_from([(a, b) for kind in SAME_KIND for a in kind for b in kind]),
    st.floats(-1e4, 1e4, allow_nan=False),
)
def test_there_and_back(pair: tuple[str, str], value: float) -> None:
    there = convert(value, pair[0], pair[1])
    assert convert(there, pair[1], pair[0]) == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(st.sampled_from([(a, b, c) for k in SAME_KIND for a in k for b in k for c in k]), st.floats(-500, 500))
def test_a_detour_changes_nothing(way: tuple[str, str, str], value: float) -> None:
    first, middle, last = way
    assert convert(convert(value, first, middle), middle, last) == pytest.approx(
        convert(value, first, last), rel=1e-12, abs=1e-9
    )


@given(st.decimals(-999, 999, places=2, allow_nan=False), st.sampled_from([".", ","]), st.sampled_from(["", " "]))
def test_typed_number_comes_back(number: object, mark: str, blank: str) -> None:
    text = str(number).replace(".", mark).replace("-", "−")
    assert parse_quantity(f"{text}{blank}mm", "length", default_unit="in") == float(str(number))


def test_leading_point_is_a_number() -> None:
    assert parse_quantity(".5 in", "length", default_unit="mm") == pytest.approx(12.7)


def test_unlike_kinds_are_refused_with_the_units_that_fit() -> None:
    with pytest.raises(InputError) as caught:
        convert(3.0, "mm", "°C")
    assert caught.value.message == (
        "Cannot turn mm into °C.\nGiven: 3 mm\nAllowed: units of the same kind: °C, °F, K\nNext: Check the unit."
    )
    with pytest.raises(InputError) as caught:
        convert(3.0, "°F", "g")
    assert caught.value.message == (
        "Cannot turn °F into g.\nGiven: 3 °F\nAllowed: units of the same kind: g, kg, oz, lb\nNext: Check the unit."
    )


def test_gallon_asks_which() -> None:
    with pytest.raises(QuestionError) as caught:
        unit_named("gal")
    assert caught.value.code == "gallon"
    assert caught.value.message == (
        "Which gallon?\nGiven: gal\nAllowed: US gal, imp gal, L\nNext: Write the amount again with the gallon named."
    )


@pytest.mark.parametrize(("typed", "unit"), [("deg F", "°F"), ("knots", "kn"), ("kt", "kn"), ("Inches", "in")])
def test_spellings(typed: str, unit: str) -> None:
    assert unit_named(typed) == unit


def test_choice_of_units_is_refused_in_full_words() -> None:
    assert unit_choice(" US ").mass == "lb"
    with pytest.raises(InputError) as caught:
        unit_choice("nautical")
    assert caught.value.message == (
        "Not a choice of units.\nGiven: nautical\nAllowed: metric, us, imperial\nNext: Choose one of the three."
    )


class TestTypedTemperature:
    def test_usual_is_taken(self) -> None:
        assert parse_temperature("3,5", home="°C", expect_c=(-5, 15)) == 3.5
        assert parse_temperature("38 F", home="°C", expect_c=(-5, 15)) == pytest.approx(10.0 / 3.0)

    def test_22_in_a_celsius_garden_in_a_frosty_month_asks(self) -> None:
        with pytest.raises(QuestionError) as caught:
            parse_temperature("22", home="°C", expect_c=(-8, 12))
        assert caught.value.code == "unit"
        assert caught.value.answers == (("22 °F", "22 °F"), ("22 °C", "yes, 22 °C"))
        assert caught.value.message == (
            "22 is unusual in °C here. Is it °F?\nGiven: 22\n"
            "Allowed: usual here at this time of year: −8 to 12 °C\nNext: Type it again with its unit."
        )

    def test_being_sure_is_believed(self) -> None:
        assert parse_temperature("22", home="°C", expect_c=(-8, 12), sure=True) == 22.0

    def test_75_in_a_celsius_garden_asks_and_offers_no_impossible_answer(self) -> None:
        with pytest.raises(QuestionError) as caught:
            parse_temperature("75", home="°C", expect_c=(10, 35))
        assert caught.value.answers == (("75 °F", "75 °F"),)

    @pytest.mark.parametrize("sure", [False, True])
    def test_no_air_was_ever_that_hot(self, sure: bool) -> None:
        with pytest.raises(InputError) as caught:
            parse_temperature("75 °C", home="°C", expect_c=(10, 35), sure=sure)
        assert not isinstance(caught.value, QuestionError)
        assert caught.value.message == (
            "No weather station on Earth has measured that.\nGiven: 75 °C\n"
            "Allowed: −90 to 60 °C (−130 to 140 °F)\nNext: Check the number and its unit."
        )

    def test_far_from_usual_in_both_units_asks(self) -> None:
        with pytest.raises(QuestionError) as caught:
            parse_temperature("−40 °C", home="°C", expect_c=(10, 35))
        assert caught.value.code == "unusual"
