"""A hot day as plain data: keys carry their units, nothing is rounded away or promised."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from barkslip.domain.heat import PlotHeat
from barkslip.domain.night import Spread
from barkslip.domain.units import US
from barkslip.present import heat_data


def test_the_promised_keys(heats):
    data = heat_data.heat_data(heats.verdict())
    one = data["covers"][1]
    assert one["cover"] == "foil_sleeve"
    assert one["scion_max_c"] == {"p10": 37.7, "p50": 39.8, "p90": 42.2}
    assert one["excess_over_air_k"] == {"p10": 1.2, "p50": 1.8, "p90": 2.7}
    assert one["degree_minutes_above_44"] == 0.0
    assert one["degree_minutes_above_44_range"] == {"p10": 0.0, "p50": 0.0, "p90": 36.0}
    assert set(one["water_lost_pct_day"]) == {"p10", "p50", "p90"}
    assert one["chance_of_harm"] == 0.03
    assert (one["verdict"], one["chosen"], one["on_now"]) == ("choose", True, False)
    assert (data["choose"], data["now"], data["danger"]) == (1, 4, "act")
    assert json.loads(json.dumps(data)) == data
    assert "\u00a0" not in json.dumps(data, ensure_ascii=False)


def test_covers_stay_in_their_order(heats):
    data = heat_data.heat_data(heats.verdict())
    assert [c["cover"] for c in data["covers"]] == list(heats.COVERS)
    middles = [c["scion_max_c"]["p50"] for c in data["covers"]]
    assert middles == sorted(middles)


def test_hours_of_covers_air_and_bark(heats):
    data = heat_data.heat_data(heats.verdict())
    rows = data["covers"][0]["series"]
    assert len(rows) == 24
    assert set(rows[0]) == {"time", "scion_c", "strip_c"}
    assert set(data["air"]["hours"][0]) == {
        "time", "air_c", "dew_c", "wind_m_s", "cloud_share", "ghi_w_m2", "dni_w_m2", "dhi_w_m2", "sun_up_deg",
        "sun_from_deg",
    }  # fmt: skip
    west = next(f for f in data["faces"] if f["face"] == "W")
    assert west["over_44_at"] == "14:00 to 18:00"
    assert len(west["by_hour_c"]) == 24
    assert data["lines"][1]["line_c"] == 44.0
    assert data["lines"][1]["number"]["status"] == "published"


def test_fahrenheit_in_all_temperatures_and_no_32_in_differences(heats):
    data = heat_data.heat_data(heats.verdict(), US)
    one = data["covers"][1]
    assert one["scion_max_f"]["p50"] == pytest.approx(39.8 * 1.8 + 32)
    assert one["excess_over_air_f_difference"]["p50"] == pytest.approx(1.8 * 1.8)
    assert one["degree_minutes_above_38"] == 216.0, "kelvin-minutes over the line that the key names"

    def keys(value: object) -> list[str]:
        if isinstance(value, dict):
            return [k for key, inner in value.items() for k in (key, *keys(inner))]
        return [k for inner in value for k in keys(inner)] if isinstance(value, list) else []

    assert not [k for k in keys({**data, "lines": []}) if k.endswith(("_c", "_k"))]


def test_what_holds_no_air_has_no_air_inside(heats):
    covers = {c["cover"]: c for c in heat_data.heat_data(heats.verdict())["covers"]}
    assert covers["film"]["air_inside_max_c"] is None
    assert covers["brown_bag"]["air_inside_max_c"]["p50"] == 44.8


def test_cautions_and_unknowns_as_sentences_with_their_codes(heats):
    data = heat_data.heat_data(heats.verdict())
    assert data["unknown_codes"] == ["paper_optics", "kill_point", "film_rate"]
    assert len(data["unknowns"]) == 3
    assert data["caution_codes"][0] == "people_heat"
    assert {"sealed_plastic", "foil_lines_glare", "paint_water_based", "bag_nests"} <= set(data["caution_codes"])
    assert any("power lines" in text for text in data["cautions"])


def test_all_plots_and_the_unknown_one(heats):
    hot = PlotHeat("LOW", "Lower paddock", "2026-01-10", Spread(36.5, 38.0, 39.5), "G14-10", "brown paper bag", "act",
                   0.93, "foil_sleeve")  # fmt: skip
    rows = heat_data.danger_data((hot, replace(hot, high_c=None, chance=None, danger="", words=("no_forecast",))))
    assert rows[0] == {
        "plot": "LOW", "name": "Lower paddock", "day": "2026-01-10",
        "air_high_c": {"p10": 36.5, "p50": 38.0, "p90": 39.5}, "graft": "G14-10", "cover": "brown paper bag",
        "danger": "act", "chance_of_harm": 0.93, "better": "foil_sleeve", "unknown_codes": [],
    }  # fmt: skip
    assert rows[1]["air_high_c"] is None
    assert rows[1]["chance_of_harm"] is None


def test_the_check_has_its_days_before_and_after(heats):
    data = heat_data.check_data(heats.check())
    assert len(data["days"]) == 8
    assert data["days"][0]["measured_k"] == 5.6
    assert data["before_k"]["p50"] == 6.8
    assert data["after_k"]["p50"] == 5.9
    assert (data["left_out"], data["weight_left"], data["astray"]) == (3, 0.21, False)
    assert "measured_f_difference" in heat_data.check_data(heats.check(), US)
