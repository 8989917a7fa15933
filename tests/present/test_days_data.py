"""Days to graft as data: the promised keys, three numbers to a range, nulls where a day is not reached."""

from __future__ import annotations

import json
from dataclasses import replace

from barkslip.domain.timing import DateSpread
from barkslip.domain.units import US
from barkslip.present import days, days_data, days_words


def test_the_promised_keys(grafting):
    data = days_data.days_data(grafting.verdict())
    assert len(data["days"]) == 14
    for one in data["days"]:
        assert {"date", "healing_days", "heat_dose", "water_lost_pct", "frost_hours", "chance"} <= set(one)
        for name in ("healing_days", "heat_dose", "water_lost_pct", "frost_hours"):
            assert set(one[name]) == {"p10", "p50", "p90"}
    assert data["release_date"] == {"p10": "2024-10-20", "p50": "2024-11-03", "p90": "2024-11-18"}
    assert data["verdict"] == "wait"
    assert data["words"] == days.headline(grafting.verdict()).replace("\u00a0", " ")
    assert json.loads(json.dumps(data)) == data


def test_chance_and_endings_add_to_one(grafting):
    for one in days_data.days_data(grafting.verdict())["days"]:
        assert abs(one["chance"] + sum(one["ended_by"].values()) - 1.0) < 0.002


def test_a_day_that_is_not_reached_is_null(grafting):
    found = grafting.verdict(release_date=DateSpread("2024-11-20", None, None))
    assert days_data.days_data(found)["release_date"] == {"p10": "2024-11-20", "p50": None, "p90": None}
    nothing = days_data.days_data(grafting.nothing())
    assert nothing["days"] == []
    assert nothing["curve"] is None
    assert nothing["release_date"] == {"p10": None, "p50": None, "p90": None}


def test_unknowns_and_cautions_are_sentences_with_their_codes(grafting):
    data = days_data.days_data(grafting.verdict())
    assert data["unknowns"] == [days_words.unknown(code) for code in data["unknown_codes"]]
    assert data["cautions"] == [days_words.caution(code) for code in data["caution_codes"]]
    assert data["caution_codes"][-1] == "estimate_only"


def test_fahrenheit_keys(grafting):
    one = days_data.days_data(grafting.verdict(), US)["days"][0]
    assert one["air_low_f"] == 29.3
    assert "air_low_c" not in one


def test_the_clock_and_what_was_learned(grafting):
    clock = days_data.clock_data(grafting.clock())
    assert clock["healing_days_so_far"] == {"p10": 8.1, "p50": 9.9, "p90": 12.4}
    assert clock["latest_release"] == "2025-01-04"
    dark = days_data.clock_data(grafting.dark())
    assert dark["healing_days_so_far"] is None
    assert dark["link_date"] == {"p10": None, "p50": None, "p90": None}
    learned = days_data.learned_data(grafting.learned())
    assert learned["after"]["d_xylem_d"]["p50"] == 7.9
    assert learned["rows"][1]["chance"] is None
    json.dumps([clock, dark, learned])


def test_the_year_week_by_week(grafting):
    year = days_data.days_data(grafting.verdict())["year"]
    assert year[0] == {
        "from": "01-01", "chance": {"p10": 0.774, "p50": 0.86, "p90": 0.946}, "worked": 5, "years": 5,
        "ended_by": None, "false_spring_years": 0,
    }  # fmt: skip
    assert days_data.days_data(replace(grafting.verdict(), year=()))["year"] == []
