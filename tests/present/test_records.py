"""Plain data of cards: keys carry units, Fahrenheit only where asked, and everything goes through json."""

from __future__ import annotations

import json
from datetime import date

import pytest

from barkslip.domain.act import Event
from barkslip.domain.cards import LimbCard, PlotDay, WeatherSince
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.sourced import Value
from barkslip.domain.units import METRIC, US
from barkslip.domain.when import parse_when
from barkslip.present.records import record

LINE = {"id": "a", "thing": "a", "made_utc": "2024-09-01T06:00:00Z"}


def test_a_story_goes_through_json(garden):
    for seed in range(6):
        data = record(garden.random_story(seed))
        assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_dates_and_days(garden):
    tree = garden.tree(planted=parse_when("about 1998", today=date(2024, 9, 13)))
    data = record(LimbCard(garden.limb(tree, "N-H"), (garden.graft(tree),), (("L2", "2022-02-11"),)))
    assert data["former"] == [{"name": "L2", "until": "2022-02-11"}]
    assert data["grafts"][0]["days"] == {"fewest_d": 100, "most_d": 100}
    assert data["grafts"][0]["tree"]["planted"] == {"first": "1997-01-01", "last": "1999-12-31", "text": "about 1998"}


@pytest.mark.parametrize(
    ("units", "expected"),
    [
        (METRIC, {"day": "2024-09-13", "night_low_c": -3.1, "high_c": None, "hours": 24.0, "forecast": False}),
        (US, {"day": "2024-09-13", "night_low_f": 26.42, "high_f": None, "hours": 24.0, "forecast": False}),
    ],
)
def test_temperatures_follow_the_choice_and_their_keys_say_so(units, expected):
    assert record(PlotDay("2024-09-13", -3.1, None, 24.0), units) == expected


def test_a_difference_never_gets_the_32():
    plot = Plot(**LINE, code="LOW", name="Lower paddock", still_offset_k=-2.5)
    assert record(plot, METRIC)["still_offset_k"] == -2.5
    assert record(plot, US)["still_offset_f_difference"] == -4.5
    assert record(Value(2.0, "K", "s", "recalled", 1.0, None), US) == {
        "value": 3.6, "unit": "°F difference", "low": 1.8, "high": None, "source": "s", "status": "recalled",
        "applies_to": "", "where": "", "note": "",
    }  # fmt: skip
    assert record(Value(36.0, "°C", "s", "recalled"), US)["value"] == 96.8
    assert record(Value("yes", "", "s", "recalled"), US)["value"] == "yes"


def test_figures_of_an_event_keep_their_place():
    day = parse_when("2020-07-15", today=date(2024, 9, 13))
    event = Event(**LINE, kind="still frost", on=day, text="", figures={"low_c.LOW": -5.0})
    assert record(event, US)["figures"] == {"low_f.LOW": 23.0}


def test_places_on_earth_carry_their_unit():
    data = record(Garden(**LINE, name="Quarrow Flat", lat=-33.6, lon=21.0))
    assert (data["lat_deg"], data["lon_deg"]) == (-33.6, 21.0)


def test_days_of_weather_are_named():
    weather = WeatherSince("Yard", "logger", 1.0, 1.0, -1.0, "", 30.0, "", 0.0, 0.0, 0.0, 0.0, 18.0, 30.0, 36.0,
                           (("2024-09-13", -1.0, None),))  # fmt: skip
    assert record(weather)["days"] == [{"day": "2024-09-13", "low_c": -1.0, "high_c": None}]
    assert record(weather, US)["days"] == [{"day": "2024-09-13", "low_f": 30.2, "high_f": None}]
    assert record(weather, US)["healing_low_f"] == 64.4


def test_numbers_that_are_none_and_things_that_cannot_be_written():
    assert record({"x_c": float("nan")}) == {"x_c": None}
    with pytest.raises(TypeError, match="object cannot be written as plain data"):
        record(object())
