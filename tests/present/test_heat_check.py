"""The logger beside the model: before and after in the same words, how many days it rests on."""

from __future__ import annotations

import itertools
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from barkslip.domain.night import Spread
from barkslip.domain.units import METRIC, US
from barkslip.present import heat_check
from barkslip.present.labels import text_width

SVG = "{http://www.w3.org/2000/svg}"


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_before_and_after_with_the_number_of_days(heats):
    check = heats.check()
    assert plain(heat_check.headline(check)) == (
        "Brown paper bag: 5.9 °C (5.5 to 6.3) over the air, learned from 8 days of your own logger."
    )
    assert [(name, plain(words)) for name, words in heat_check.lines(check)] == [
        ("your logger", "5.9 °C (5.6 to 6.2) over the air"),
        ("model alone", "6.8 °C (4.7 to 9.3) over the air"),
        ("model after learning", "5.9 °C (5.5 to 6.3) over the air"),
    ]
    assert plain(heat_check.text(check)) == (
        "Scion minus shielded air on 8 clear days, mean from 11:00 to 16:00; logger LG-D. 3 days left out: too little "
        "sun or too few readings."
    )
    assert plain(heat_check.learned_text(check)) == (
        "Of the model's members 21 % still speak for this cover. Answers about it in this garden lean on these days."
    )


def test_few_days_are_called_few(heats):
    few = replace(heats.check(), days=heats.check().days[:3])
    assert heat_check.headline(few) == "Brown paper bag: learned from 3 days, too few to lean on."
    assert heat_check.learned_text(few).endswith("It is few: more days make it firmer.")


def test_a_logger_that_the_model_cannot_follow_teaches_nothing(heats):
    astray = replace(heats.check(), astray=True)
    assert (
        heat_check.headline(astray) == "The logger and the model do not agree on brown paper bag: nothing was learned."
    )
    assert [name for name, _ in heat_check.lines(astray)] == ["your logger", "model alone"]
    assert "does its bead touch the scion" in heat_check.learned_text(astray)
    assert "learned" not in heat_check.check_chart(astray)


def test_without_days_nothing_is_compared(heats):
    none = replace(heats.check(), days=())
    assert heat_check.headline(none) == "No day of this logger can be compared for brown paper bag."
    assert heat_check.check_chart(none) == ""
    assert heat_check.learned_text(none).startswith("Bring in a logger")


def test_below_the_air_is_said(heats):
    assert plain(heat_check.over_air(Spread(-1.5, -1.0, -0.2))) == "1.0 °C (0.2 to 1.5) under the air"


def test_differences_never_get_32_added(heats):
    assert plain(heat_check.over_air(Spread(4.7, 6.8, 9.3), US)) == "12.2 °F (8.5 to 16.7) over the air"
    assert heat_check.rows(heats.check(), US)[0][1:] == ("+10.1", "+12.4 (+8.6 to +16.9)", "−2.3")


def test_the_table_has_each_day_with_its_gap(heats):
    rows = heat_check.rows(heats.check())
    assert len(rows) == 8
    assert tuple(map(plain, rows[0])) == ("23 Nov 2021", "+5.6", "+6.9 (+4.8 to +9.4)", "−1.3")


@pytest.mark.parametrize("width", [328.0, 620.0])
@pytest.mark.parametrize("units", [METRIC, US])
def test_a_row_for_each_day_and_one_for_what_was_learned(heats, width, units):
    picture = ET.fromstring(heat_check.check_chart(heats.check(), units, width))
    marks = [p.get("class") for p in picture.iter(f"{SVG}path")]
    assert (marks.count("heat-mid"), marks.count("heat-mid best")) == (8, 1)
    spans = []
    for text in picture.iter(f"{SVG}text"):
        x, y, size = (float(text.get(n)) for n in ("x", "y", "font-size"))
        wide = text_width(text.text, size)
        left = {"start": x, "middle": x - wide / 2}[text.get("text-anchor") or "start"]
        spans.append((left, left + wide, y, text.text))
    for (a0, a1, ay, one), (b0, b1, by, other) in itertools.combinations(spans, 2):
        assert a1 < b0 or b1 < a0 or abs(ay - by) > 12, (one, other)
