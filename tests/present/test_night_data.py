"""A cold night and the morning after as plain data: keys carry their units, nothing is rounded away or promised."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from barkslip.domain.night import AfterFreeze, Offset, OffsetPart, PlotTonight, Spread, TreeAfter
from barkslip.domain.sourced import Value
from barkslip.domain.units import US
from barkslip.present import after_frost, night_data

MONTHS = Value(90.0, "d", "own.trade", "common practice", 60.0, 180.0)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_the_promised_keys(nights):
    data = night_data.night_data(nights.verdict())
    assert {"organs", "series", "measures", "unknowns", "cautions", "knowledge_hash"} <= set(data)
    organ = data["organs"][0]
    assert organ["organ"] == "twig"
    assert organ["low_c"] == {"p10": -5.9, "p50": -4.4, "p90": -2.9}
    assert organ["air_low_c"] == -3.6
    assert organ["hours_below_critical"] == 4.0
    assert organ["chance_of_harm"] == 0.71
    assert organ["status"] == "recalled"
    assert json.loads(json.dumps(data)) == data


def test_series_are_hourly_middles(nights):
    rows = night_data.night_data(nights.verdict())["series"]
    assert len(rows) == 16
    assert rows[0] == {
        "time": "17:00", "air_c": 6.0, "leaf_exposed_c": 6.0, "twig_c": 6.0, "bark_c": 6.0,
        "least_leaf_exposed_c": 6.0, "least_air_inside_c": 6.0,
    }  # fmt: skip
    assert rows[4]["leaf_exposed_c"] == pytest.approx(rows[4]["air_c"] - 1.7, abs=1e-3)


def test_what_has_no_number_is_null(nights):
    line = replace(nights.series("air"), p50_c=(math.nan,) * 16)
    data = night_data.night_data(nights.verdict(series=(line,)))
    assert {row["air_c"] for row in data["series"]} == {None}
    assert "NaN" not in json.dumps(data)


def test_in_a_fahrenheit_garden_keys_and_numbers_change_together(nights):
    data = night_data.night_data(nights.verdict(), US)
    organ = data["organs"][0]
    assert organ["low_f"]["p50"] == pytest.approx(24.08)
    assert organ["margin_f_difference"]["p50"] == pytest.approx(-3.96)
    assert data["series"][0]["air_f"] == pytest.approx(42.8)
    assert data["measures"][3]["gain_f_difference"]["p50"] == pytest.approx(4.68)
    assert data["measures"][4]["set"]["bucket_f"] == pytest.approx(140.0)
    assert organ["critical"]["unit"] == "°F"

    def keys(value):
        if isinstance(value, dict):
            for key, inner in value.items():
                yield key
                yield from keys(inner)
        elif isinstance(value, list):
            for inner in value:
                yield from keys(inner)

    assert [k for k in keys(data) if k.endswith(("_c", "_k"))] == []


def test_the_ladder_says_which_is_least_and_which_is_colder(nights):
    rows = night_data.night_data(nights.verdict())["measures"]
    assert [r["least"] for r in rows].index(True) == 3
    assert [r["runner_up"] for r in rows].index(True) == 4
    assert [r["colder_than_nothing"] for r in rows] == [False, True, False, False, False, False]
    assert rows[3]["steps"][0] == {"at": "17:00", "words": "cover on, while the ground is still warm"}
    assert rows[3]["times"]["lamp_on"] == "21:56"
    assert "electric_outdoors" in rows[3]["hazards"]


def test_cautions_and_unknowns_are_sentences_with_their_codes(nights):
    data = night_data.night_data(nights.verdict())
    assert any("carbon monoxide" in text for text in data["cautions"])
    assert len(data["cautions"]) == len(data["caution_codes"])
    assert any("graft's union" in text for text in data["unknowns"])
    assert data["unknown_codes"] == ["cover_leak", "graft_critical", "harm_curve", "tent_sky_view"]


def test_the_offset_keeps_its_parts(nights):
    part = OffsetPart("still", -2.6, -3.0, -2.2, 1.2, 41)
    air = nights.air(offset=Offset("LOW", "YARD", (part,), "still", -2.6))
    offset = night_data.night_data(nights.verdict(air=air))["air"]["offset"]
    assert offset["used_k"] == -2.6
    assert offset["parts"] == [
        {"kind": "still", "nights": 41, "mean_k": -2.6, "low_k": -3.0, "high_k": -2.2, "sd_k": 1.2}
    ]
    assert night_data.night_data(nights.verdict())["air"]["offset"] is None


def test_plots_without_a_night_stay_unknown():
    rows = night_data.tonight_data((PlotTonight("FAR", "Far corner", "", None, "", None, ("no_forecast",)),))
    assert rows[0]["air_low_c"] is None
    assert rows[0]["chance_of_harm"] is None
    assert rows[0]["unknown_codes"] == ["no_forecast"]


def after(*worst: float, low: Spread | None = None) -> AfterFreeze:
    trees = tuple(TreeAfter(f"T{i}", "Well", "Yard", (("twig", w), ("bark", w / 10))) for i, w in enumerate(worst))
    waits = (("no_cut", "2024-09-14", "2024-12-13", MONTHS), ("whiten", "", "2024-09-21", MONTHS))
    return AfterFreeze("2024-09-14", low, "logger", trees, waits)


@pytest.mark.parametrize(
    ("worst", "words"),
    [
        ((0.9, 0.3, 0.01), "1 of 3 trees was likely hurt, 1 perhaps."),
        ((0.9, 0.8), "2 of 2 trees were likely hurt."),
        ((0.3, 0.01), "No tree was likely hurt; 1 of 2 trees perhaps."),
        ((0.01,), "Little harm is likely."),
        ((), "No tree of the book can be judged."),
    ],
)
def test_after_a_freeze_the_answer_first(worst, words):
    assert after_frost.headline(after(*worst)) == words


def test_a_low_that_was_read_has_no_range_and_one_that_was_not_has():
    read = after(0.9, low=Spread(-5.8, -5.8, -5.8))
    told = after(0.9, low=Spread(-6.5, -5.8, -5.0))
    assert plain(after_frost.low_text(read)) == "Low of the air −5.8 °C; logger."
    assert plain(after_frost.low_text(told)) == "Low of the air −5.8 °C (−6.5 to −5.0); logger."
    assert after_frost.low_text(after()).startswith("The low of that night is not known.")


def test_waits_say_until_when_and_how_that_is_known():
    code, first, last, value = after().waits[0]
    assert after_frost.wait_head(code) == "Do not prune and do not dig out"
    assert plain(after_frost.wait_when(first, last)) == "14 Sep – 13 Dec 2024"
    assert plain(after_frost.wait_known(value)) == "90 days (60 to 180 days), common practice"
    assert plain(after_frost.wait_when("", last)) == "until 13 Dec 2024"
    assert plain(after_frost.wait_when(first, "")) == "from 14 Sep 2024 on"
    assert after_frost.wait_when("", "") == "until new growth shows"
    assert after_frost.wait_head("of_tomorrow") == "Of tomorrow"
    assert after_frost.wait_why("of_tomorrow") == ""


def test_a_tree_names_what_is_likely_and_leaves_out_what_is_not():
    assert plain(after_frost.tree_text(after(0.9).trees[0])) == "young graft or twig 9 in 10, trunk bark 1 in 11"
    assert after_frost.tree_text(after(0.01).trees[0]) == "little harm likely"


def test_after_a_freeze_as_data():
    data = night_data.after_data(after(0.9, low=Spread(-6.5, -5.8, -5.0)), US)
    assert data["air_low_f"]["p50"] == pytest.approx(21.56)
    assert data["trees"][0]["organs"][0] == {"organ": "twig", "chance_of_harm": 0.9}
    assert data["waits"][0]["number"]["status"] == "common practice"
    assert json.loads(json.dumps(data)) == data
